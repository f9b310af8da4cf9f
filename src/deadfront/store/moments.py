"""Times as UTC text of fixed width, which sorts by time."""

from __future__ import annotations

from datetime import UTC, datetime


def to_text(at: datetime) -> str:
    """ "2026-05-12T14:03:00.000000+00:00".

    Raises:
        ValueError: a time without its zone.
    """
    if at.tzinfo is None:
        raise ValueError("a time must carry its zone")
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def from_text(text: str) -> datetime:
    """The time that `to_text` wrote, in UTC."""
    return datetime.fromisoformat(text)
