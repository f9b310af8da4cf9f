"""The search for even legs as something asked for: stored by what went into it, told apart when the job changed."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field, fields, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from deadfront import __version__
from deadfront.app import panels
from deadfront.app.panels import Grouped
from deadfront.msg import Msg
from deadfront.panel.rules.judge import judge, worst_apart
from deadfront.results.panel import CurvePoint, PanelCase, PanelResult, Piece, Place
from deadfront.store.rows import AskedResult
from deadfront.store.said import msg_from_json, to_json

if TYPE_CHECKING:
    from deadfront.app.library import Desk

KIND = "panel/"
Progress = Callable[[int], None]
Stop = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Searched:
    """What a search found.

    Args:
        points: The fewest moves for every limit, as far as it came.
        clash_tenths: The widest limit that no layout keeps [0.1 A]; `clash`: the rules that clash there.
        groups: For a limit [0.1 A]: layouts whose groups stand nearest to each other.
        stopped: It was stopped before its end.
        at: When it ended.
        stale: The panel, its loads or this program changed since: to be asked for again.
        stands: The limit of the point that was kept and stands in the panel now [0.1 A]: its breakers stand as it
            says, nothing else changed since, and judged anew it still keeps its limit; None for none.
    """

    points: tuple[CurvePoint, ...]
    clash_tenths: int | None = None
    clash: tuple[Msg, ...] = ()
    groups: tuple[tuple[int, tuple[Grouped, ...]], ...] = ()
    stopped: bool = False
    at: datetime | None = None
    stale: bool = False
    stands: int | None = field(default=None)

    @property
    def bars(self) -> bool:
        """Stale, and not the layout that stands: it may not go into a packet."""
        return self.stale and self.stands is None


def input_hash(job_id: str, case: PanelCase) -> str:
    """Everything that the search looks at, in one settled form."""
    told = {each.name: getattr(case, each.name) for each in fields(case) if each.name not in ("told", "name")}
    return hashlib.sha256(json.dumps([job_id, _settled(told)], sort_keys=True).encode()).hexdigest()


def rest_hash(job_id: str, case: PanelCase) -> str:
    """Everything that the search looks at but where the breakers stand: the same before a layout is kept and after."""
    return input_hash(job_id, replace(case, pieces=tuple(replace(each, now=None) for each in case.pieces)))


def _settled(value: Any) -> Any:
    if isinstance(value, Msg):
        return to_json(value)
    if isinstance(value, Piece):
        return {each.name: _settled(getattr(value, each.name)) for each in fields(value) if each.name != "reach"}
    if isinstance(value, dict):
        return {name: _settled(each) for name, each in value.items()}
    if isinstance(value, frozenset):
        return sorted(value)
    return [_settled(each) for each in value] if isinstance(value, tuple) else value


def limits_of(result: PanelResult) -> tuple[int, ...]:
    """The limits searched for: the usual ones, and 10 percent of the main [0.1 A]."""
    own = () if result.limit is None else (int(result.limit.value.low * 10),)
    return tuple(sorted({*panels.LIMITS, *(each for each in own if each > 0)}, reverse=True))


def search(
    desk: Desk, job_id: str, result: PanelResult, progress: Progress, stop: Stop, seconds: float = panels.SECONDS
) -> int:
    """Search, and keep what was found; how many points there are. Stopped: what came until then is kept.

    Raises:
        NotAllowed: the solvers are not installed.
    """
    case = result.case
    assert case is not None
    found: list[CurvePoint] = []
    for each in panels.points(case, limits_of(result), seconds, stop):
        found.append(each)
        progress(len(found))
    none = next((each for each in found if each.status == "impossible"), None)
    clash = () if none is None else panels.clash(case, none.limit_tenths, seconds, stop)
    groups = [(each.limit_tenths, tuple(panels.grouped(case, each, seconds, stop)))
              for each in found if each.layout is not None]  # fmt: skip
    if found:
        made = Searched(tuple(found), none.limit_tenths if none else None, clash,
                        tuple((limit, several) for limit, several in groups if several), stop())  # fmt: skip
        kept = AskedResult(KIND + result.id, input_hash(job_id, case), __version__, job_id, desk.clock(),
                           {**_to_json(made), "rest": rest_hash(job_id, case)})  # fmt: skip
        desk.library.put_result(kept)
    return len(found)


def latest(desk: Desk, job_id: str, result: PanelResult) -> Searched | None:
    """The search for a panel as it is, else the last one, marked as stale; None where none was asked for."""
    kind = KIND + result.id
    same = None
    if result.case is not None:
        same = desk.library.get_result(kind, input_hash(job_id, result.case), __version__)
    kept = same or desk.library.last_result(job_id, kind)
    if kept is None:
        return None
    try:
        found = _from_json(kept.body, kept.at, same is None)
        return replace(found, stands=_stands(found, kept, job_id, result))
    except (KeyError, TypeError, ValueError):
        return None  # of another form


# --- as it is kept --------------------------------------------------------------------------------------------------
def _layout_json(layout: Sequence[tuple[str, Place]] | None) -> Any:
    return None if layout is None else [[ident, list(place.spaces), place.half] for ident, place in layout]


def _layout_of(kept: Any) -> tuple[tuple[str, Place], ...] | None:
    return None if kept is None else tuple((str(i), Place(tuple(map(int, s)), str(h))) for i, s, h in kept)


def _to_json(found: Searched) -> Any:
    return {
        "points": [{**asdict(each), "layout": _layout_json(each.layout)} for each in found.points],
        "clash_tenths": found.clash_tenths,
        "clash": [to_json(each) for each in found.clash],
        "groups": [
            [limit, [[g.extra, g.rows, g.proven, _layout_json(g.layout)] for g in several]]
            for limit, several in found.groups
        ],
        "stopped": found.stopped,
    }


def _from_json(kept: Any, at: datetime, stale: bool) -> Searched:
    points = tuple(CurvePoint(**{**each, "layout": _layout_of(each["layout"])}) for each in kept["points"])
    groups = tuple(
        (int(limit), tuple(Grouped(extra, rows, proven, _layout_of(layout) or ())
                           for extra, rows, proven, layout in several))
        for limit, several in kept["groups"]
    )  # fmt: skip
    clash = tuple(msg_from_json(each) for each in kept["clash"])
    return Searched(points, kept["clash_tenths"], clash, groups, bool(kept["stopped"]), at, stale)


def _stands(found: Searched, kept: AskedResult, job_id: str, result: PanelResult) -> int | None:
    """The narrowest limit whose layout was kept and stands, with nothing else changed, judged with today's figures."""
    case = result.case
    if not found.stale or case is None or kept.engine_version != __version__:
        return None
    if kept.body["rest"] != rest_hash(job_id, case):
        return None
    now = case.found()
    if judge(case, now):
        return None
    apart = worst_apart(case, now)
    limits = [each.limit_tenths for each in found.points if each.layout is not None and dict(each.layout) == now]
    return min((limit for limit in limits if apart <= limit), default=None)
