"""The time of day, in the one place that may ask for it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

Clock = Callable[[], datetime]


def now() -> datetime:
    """This moment, in UTC."""
    return datetime.now(UTC)
