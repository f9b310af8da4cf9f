"""What the tests of the library share: a fixed time, a short way to make a job and to save."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

from deadfront.msg import said
from deadfront.store.library import Library

NOON = datetime(2026, 5, 12, 12, 0, tzinfo=UTC)


def parsed(name: str = "14 Hollow Creek Rd") -> dict[str, Any]:
    """The parsed form of a job as far as the library looks into it."""
    return {"job": {"name": name}}


def new_job(library: Library, job_id: str = "j-aa", text: str = "first") -> str:
    """A job with one revision."""
    library.create(text, parsed(), job_id=job_id, who="J. R.", at=NOON, say=said("app.change.created"))
    return job_id


def save(library: Library, job_id: str, base: int, text: str, **more: Any) -> int:
    """A save with what most tests do not care about."""
    given: dict[str, Any] = {
        "kind": "edit",
        "say": said("app.change.several", count=1),
        "edits": [{"path": "before/p-k3m.bus_a", "value": "200"}],
        "touched": ["before/p-k3m.bus_a"],
        "who": "J. R.",
        "at": NOON + timedelta(minutes=base),
    }
    return library.save(job_id, base, text, parsed(), **(given | more))
