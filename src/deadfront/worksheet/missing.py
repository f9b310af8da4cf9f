"""A fact not known yet: what it is, and how to get it."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.msg import Msg


@dataclass(frozen=True, slots=True)
class Missing:
    """A fact that an answer waits for.

    Args:
        path: Where it belongs in the job: "before/l-2xf.nameplate_w", "before.service/disconnect.rating_a",
            "before.complete/loads".
        what: The fact in words.
        how: How to get it on site or from whom.
    """

    path: str
    what: Msg
    how: Msg
