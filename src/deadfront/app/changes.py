"""What changed, as words for the history; and two people's changes side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from deadfront.app.values import value_at
from deadfront.job.edit import Edit, conflicts
from deadfront.msg import Msg, said
from deadfront.store.trouble import StaleRevision

MAX_TOLD = 20


@dataclass(frozen=True, slots=True)
class Side:
    """One fact that I changed, as it was, as I want it, as it is now.

    Args:
        clash: Someone else changed it too, or the thing it belongs to; otherwise mine can simply be made again.
    """

    path: str
    base: Any
    mine: Any
    theirs: Any
    clash: bool


class StaleEdits(StaleRevision):
    """Someone saved first; carries both sides.

    Attributes:
        sides: Every fact I changed.
        mine: By path, the values I asked for.
        theirs: By path, the values that stand now.
    """

    def __init__(self, stale: StaleRevision, job: str, sides: tuple[Side, ...]) -> None:
        super().__init__(job=job, base=stale.base, current=stale.current, touched=stale.touched)
        self.sides = sides
        self.mine = {side.path: side.mine for side in sides}
        self.theirs = {side.path: side.theirs for side in sides}

    @property
    def clashes(self) -> tuple[Side, ...]:
        """Only what both changed; empty where my edits can be made again as they are."""
        return tuple(side for side in self.sides if side.clash)


def side_by_side(
    edits: Sequence[Edit], touched: Sequence[str], base: Mapping[str, Any], mine: Mapping[str, Any],
    now: Mapping[str, Any],
) -> tuple[Side, ...]:  # fmt: skip
    """Every path that my edits touch, with its value in the base, in mine and now.

    Args:
        touched: Paths that others changed since the base.
        base: The job I started from, as JSON; likewise mine and now.
    """
    clash = {path for edit, _ in conflicts(edits, touched) for path in edit.touches()}
    paths = dict.fromkeys(path for edit in edits for path in edit.touches())
    return tuple(
        Side(path, value_at(base, path), value_at(mine, path), value_at(now, path), path in clash) for path in paths
    )


def shown(value: Any) -> Any:
    """A value short enough for a line of history."""
    if isinstance(value, Mapping | list | tuple):
        value = str(value.get("name") or value.get("id") or len(value)) if isinstance(value, Mapping) else len(value)
    return value if not isinstance(value, str) or len(value) <= 80 else value[:77] + "..."


def told(edit: Edit, base: Mapping[str, Any], new: Mapping[str, Any]) -> Msg:
    """One edit as a line of history.

    Args:
        base: The job before, as JSON; `new` the job after.
    """
    path = edit.touches()[0] if edit.touches() else ""
    if edit.do == "set":
        before, after = value_at(base, path), value_at(new, path)
        if after is None:
            return said("app.change.cleared", path=path, old=shown(before))
        if before is None:
            return said("app.change.filled", path=path, new=shown(after))
        return said("app.change.set", path=path, old=shown(before), new=shown(after))
    return Msg(f"app.change.{edit.do}", {"path": path})


def told_all(edits: Sequence[Edit], base: Mapping[str, Any], new: Mapping[str, Any]) -> Msg:
    """All edits of a save: the one, or how many with each of the first."""
    if len(edits) == 1:
        return told(edits[0], base, new)
    each = tuple(told(edit, base, new) for edit in edits[:MAX_TOLD])
    return said("app.change.several", count=len(edits), changes=each)
