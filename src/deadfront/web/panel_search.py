"""The search for even legs on the panel page: begun, watched, stopped; its curve to choose from; what clashes."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from urllib.parse import urlencode

from markupsafe import Markup

from deadfront.app.panel_layouts import apart_of
from deadfront.app.panel_race import installed
from deadfront.app.panel_search import Searched, latest, limits_of, search
from deadfront.app.panels import bars_search
from deadfront.documents.panel_sheets.curve_picture import curve_picture, proof_words, stands_words
from deadfront.errors import NotAllowed
from deadfront.quantities import point
from deadfront.results.panel import CurvePoint, PanelResult, Place
from deadfront.web.desk import AtJob
from deadfront.web.panel_pieces import PointLine, SearchView
from deadfront.web.render import safe
from deadfront.worksheet.sheet import Figure

KIND = "panel"


def search_view(at: AtJob, result: PanelResult, chosen: str) -> SearchView:
    """Everything the page shows of the search."""
    say, run, found = at.catalog, at.web.runs.of(at.id), latest(at.web.desk, at.id, result)
    own = run is not None and run.kind == KIND and run.about == say.say(result.name)
    busy = own and run is not None and run.underway
    percent = int(run.done * 100 / run.size) if busy and run is not None and run.size else 0
    told = "" if run is None or not busy else say.key(f"web.panel.search.{run.status}", done=run.done, size=run.size)
    trouble = say.say(run.trouble) if own and run is not None and run.status == "failed" and run.trouble else ""
    can = installed()
    head = SearchView(result.id, can, "" if can else say.key("cli.panel.solver_missing"), busy, percent, told, trouble,
                      "", Markup(""), (), (), "", (), "")  # fmt: skip
    return head if found is None or busy else _filled(at, result, head, found, chosen)


def _filled(at: AtJob, result: PanelResult, head: SearchView, found: Searched, chosen: str) -> SearchView:
    from dataclasses import replace

    say = at.catalog
    stale = ""
    if found.stale:
        stale = say.key("web.panel.search.stale")
        if found.stands is not None:
            stale = stands_words(found.stands, result.apart, say)

    def href(each: CurvePoint) -> str:
        return _href(at, result.id, each.limit_tenths)

    limit = int(chosen) if chosen.isascii() and chosen.isdigit() else None
    looked = found.stands if found.stands is not None else limit
    clash_head = "" if found.clash_tenths is None else say.key(
        "web.panel.search.clash", limit=_amperes(at, found.clash_tenths))  # fmt: skip
    when = say.key("web.panel.search.when_stopped" if found.stopped else "web.panel.search.when",
                   at=f"{found.at:%Y-%m-%d %H:%M} UTC" if found.at else "")  # fmt: skip
    return replace(
        head, stale=stale, picture=safe(curve_picture(found.points, say, None if found.stale else href, looked)),
        points=tuple(_line(at, result, each, found, looked) for each in found.points),
        clash=tuple(say.say(each) for each in found.clash), clash_head=clash_head,
        groups=tuple(_groups(at, result, found)), when=when,
    )  # fmt: skip


def _href(at: AtJob, panel: str, limit: int, extra: int | None = None) -> str:
    more = {} if extra is None else {"extra": str(extra)}
    return f"/jobs/{at.id}/panel?" + urlencode({"panel": panel, "point": str(limit), **more}) + "#panel-draft"


def _amperes(at: AtJob, tenths: int) -> str:
    return at.catalog.figure(Figure(point(Decimal(tenths) / 10), "A"))


def _line(at: AtJob, result: PanelResult, each: CurvePoint, found: Searched, looked: int | None) -> PointLine:
    href = "" if each.layout is None or found.stale else _href(at, result.id, each.limit_tenths)
    moves = "–" if each.moves is None else str(each.moves)
    old = None if each.apart_tenths is None else point(Decimal(each.apart_tenths) / 10)
    range_a = old if found.bars else apart_of(at.answered, result.id, each)
    apart = "–" if range_a is None else at.catalog.figure(Figure(range_a, "A"))
    return PointLine(_amperes(at, each.limit_tenths), moves, apart, proof_words(each, range_a, at.catalog), href,
                     each.limit_tenths == looked)  # fmt: skip


def _groups(at: AtJob, result: PanelResult, found: Searched) -> Iterator[PointLine]:
    """What it costs to keep breakers of a group near each other."""
    for limit, several in found.groups:
        fewest = next(each.moves or 0 for each in found.points if each.limit_tenths == limit)
        for each in several:
            status = at.catalog.key("web.panel.search.rows" if each.proven else "web.panel.search.rows_open",
                                    count=each.rows)  # fmt: skip
            href = "" if found.stale else _href(at, result.id, limit, each.extra)
            yield PointLine(_amperes(at, limit), str(fewest + each.extra), "", status, href, False)


def places_of_point(at: AtJob, result: PanelResult, chosen: str, extra: str) -> dict[str, Place] | None:
    """The layout of a point of the curve; None where there is none, or it is stale.

    Args:
        chosen: Its limit [0.1 A]; `extra`: with groups near each other, how many more moves.
    """
    found = latest(at.web.desk, at.id, result)
    if found is None or found.stale:
        return None
    if extra:
        several = next((each for limit, each in found.groups if str(limit) == chosen), ())
        return next((dict(each.layout) for each in several if str(each.extra) == extra), None)
    return next((dict(each.layout) for each in found.points
                 if str(each.limit_tenths) == chosen and each.layout is not None), None)  # fmt: skip


def begin(at: AtJob, panel: str) -> None:
    """Begin to search, in the background.

    Raises:
        NotAllowed: the solvers are not installed, the panel cannot be laid out yet, or something is still underway.
    """
    from deadfront.app.panel_layouts import result_of

    result = result_of(at.answered, panel)
    if not installed():
        raise NotAllowed("cli.panel.solver_missing")
    if result.case is None:
        raise NotAllowed("app.panel.no_layout", panel=result.name)
    bars = bars_search(result.case)
    if bars is not None:
        raise NotAllowed(bars.key, **bars.params)
    desk, job_id = at.web.desk, at.id
    at.web.runs.start(
        KIND, job_id, lambda tell, stop: search(desk, job_id, result, tell, stop),
        about=at.catalog.say(result.name), size=len(limits_of(result)) + 1,
    )  # fmt: skip
