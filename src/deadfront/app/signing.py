"""Signing a revision, and what changed among the answers since."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass

from deadfront.errors import NotAllowed
from deadfront.store.rows import Issue


class NotSignable(NotAllowed):
    """Something bars a signature: what is wrong in the file, to correct or to find out; the message says what next."""


@dataclass(frozen=True, slots=True)
class ChangedAnswer:
    """An answer that is not what was signed; None: it was not given, or is not given any more."""

    key: str
    signed: str | None
    now: str | None


@dataclass(frozen=True, slots=True)
class Reopened:
    """A signed job looked at again.

    Args:
        issue: What was signed last.
        changed: Every answer that differs; empty only where none does.
        revisions_since: Saves since the signed one.
        codebook_changed: The code book is no longer the signed one.
        engine_changed: The program is no longer the signed version.
    """

    issue: Issue
    changed: tuple[ChangedAnswer, ...]
    revisions_since: int
    codebook_changed: bool
    engine_changed: bool

    @property
    def stands(self) -> bool:
        """True where every answer is as signed."""
        return not self.changed


def digest_of(answers: Mapping[str, str]) -> str:
    """SHA-256 of all answers, in one settled form."""
    text = json.dumps(dict(answers), sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def changed_answers(signed: Mapping[str, str], now: Mapping[str, str]) -> tuple[ChangedAnswer, ...]:
    """The answers that differ, in the order signed, new ones last."""
    keys = dict.fromkeys([*signed, *now])
    return tuple(ChangedAnswer(k, signed.get(k), now.get(k)) for k in keys if signed.get(k) != now.get(k))
