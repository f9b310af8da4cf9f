"""What a start of the pages is told: its key, the names it answers to, its limits."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from hashlib import sha256

from deadfront.codebook import Overlay

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")


def _new_key() -> str:
    return secrets.token_urlsafe(24)


@dataclass(frozen=True, slots=True)
class Settings:
    """How one start of the pages behaves.

    Args:
        key: Opens the door; new at every start.
        hosts: Names this machine may be called by; every other is refused.
        overlay: Code values confirmed by a license holder.
        today: Says what day it is, for sheets.
        max_body_bytes: Longest form.
        max_upload_bytes: Longest job file.
        max_recording_bytes: Longest recording of demand; it is written to disk as it comes.
        max_pasted_rows: Longest list pasted at once.
    """

    key: str = field(default_factory=_new_key)
    hosts: tuple[str, ...] = LOOPBACK
    overlay: Overlay | None = None
    today: Callable[[], date] = date.today
    max_body_bytes: int = 1_000_000
    max_upload_bytes: int = 64_000_000
    max_recording_bytes: int = 4_000_000_000
    max_pasted_rows: int = 400

    @property
    def cookie(self) -> str:
        """Name of the cookie: another start on this machine has another."""
        return "deadfront_" + sha256(self.key.encode()).hexdigest()[:10]
