"""What the judge found, and how even the legs are, as checks with their reach.

What the circuits stage says already is not said again: spaces taken twice or not there, poles and spaces that do not go
together, hots of a shared neutral on one leg or not opened together, breakers that are not listed for the panel.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from deadfront.codebook.book import Codebook
from deadfront.job.house import HouseAt
from deadfront.msg import Msg, said
from deadfront.panel.rules.feeds import protects
from deadfront.panel.rules.open_checks import TOUCHED, label_open, unsure_of_leg
from deadfront.quantities import UNKNOWN
from deadfront.results.panel import Kind, PanelResult, Piece, Violation
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing


def checks_of(book: Codebook, at: HouseAt, result: PanelResult) -> Iterator[Check]:
    """The checks of one panel."""
    if result.case is None:
        return
    reaches = {piece.id: piece.reach for piece in result.case.pieces}
    for wrong in _together(result):
        reach = next((each for each in TOUCHED if each in (reaches[ident] for ident in wrong.pieces)), Reach.EXISTING)
        yield from _wrong(book, result, wrong, reach)
    yield from label_open(book, at, result)
    yield from _moved(at, result)
    yield from _room(at, result)
    yield from _bus(book, at, result)
    yield _even(at, result)


def _together(result: PanelResult) -> Iterator[Violation]:
    """The violations; half-size breakers where none may be are said once, old ones apart from new ones."""
    assert result.case is not None
    pieces = {piece.id: piece for piece in result.case.pieces}
    halves: dict[bool, list[Violation]] = {}
    for wrong in result.violations:
        if wrong.kind == "half_place":
            halves.setdefault(pieces[wrong.pieces[0]].reach in TOUCHED, []).append(wrong)
        else:
            yield wrong
    for several in halves.values():
        names = tuple(pieces[wrong.pieces[0]].name for wrong in several)
        spaces = tuple(sorted({space for wrong in several for space in wrong.spaces}))
        say = said("panel.wrong.half_place", names=names, spaces=tuple(map(str, spaces)))
        yield Violation("half_place", tuple(wrong.pieces[0] for wrong in several), spaces, say)


def _wrong(book: Codebook, result: PanelResult, wrong: Violation, reach: Reach) -> Iterator[Check]:
    """One violation, unless the circuits stage says it."""
    thing = wrong.pieces[0] if wrong.pieces else result.id
    bad, correct = Outcome.FAILS, Severity.CORRECT
    listing: tuple[Cite, ...] = (book.rule("listing_and_instructions").cite,)
    fix: Msg = said(f"remedy.panel.{wrong.kind}")
    kind: Kind = wrong.kind
    if kind in ("half_place", "half_width"):
        yield Check("panel.half_space", thing, bad, correct, wrong.say, reach, None, (), listing, fix)
    elif kind == "too_many_circuits":
        cites = (book.rule("panel_circuits_limit").cite, *listing)
        yield Check("panel.circuits_limit", thing, bad, correct, wrong.say, Reach.EXISTING, None, (), cites, fix)
    elif kind == "controllable":
        yield Check("panel.controllable_space", thing, bad, correct, wrong.say, reach, None, (), listing, fix)
    elif kind in ("reserved", "source_place"):
        severity = correct if reach in TOUCHED else Severity.NOTE
        yield Check("panel.kept_space", thing, bad, severity, wrong.say, reach, None, (), (), fix)
    elif kind == "one_leg":
        yield Check("panel.two_legs", thing, bad, correct, wrong.say, reach, None, (), listing, fix)
    elif kind == "tied_apart" and result.case is not None and not _multiwire(result, wrong):
        cites = (book.rule("handle_ties").cite,)
        yield Check("panel.tie", thing, bad, correct, wrong.say, reach, None, (), cites, fix)


def _multiwire(result: PanelResult, wrong: Violation) -> bool:
    pieces = result.case.pieces if result.case is not None else ()
    return any(piece.shares_neutral for piece in pieces if piece.id in wrong.pieces)


def _moved(at: HouseAt, result: PanelResult) -> Iterator[Check]:
    """Breakers that were to stay and are moved by the work."""
    assert result.case is not None
    names = {piece.id: piece.name for piece in result.case.pieces}
    for breaker in at.house.breakers:
        if breaker.fixed and breaker.id in names and at.tag(breaker.id) == "RL":
            say = said("check.panel.stays.fails", name=names[breaker.id], spaces=tuple(map(str, breaker.spaces)))
            yield Check("panel.stays", breaker.id, Outcome.FAILS, Severity.CORRECT, say, Reach.REPLACED, None, (), (),
                        said("remedy.panel.stays"))  # fmt: skip


def _room(at: HouseAt, result: PanelResult) -> Iterator[Check]:
    """Breakers that have no place: new ones, and whether there is room for them; old ones, whose place was not read."""
    assert result.case is not None
    homeless = [piece for piece in result.case.pieces if piece.now is None]
    new = [piece for piece in homeless if piece.reach in TOUCHED]
    old = [piece for piece in homeless if piece.reach not in TOUCHED]
    if new:
        poles = sum(piece.poles for piece in homeless)
        full = poles > len(result.free)
        say = said("check.panel.room.full" if full else "check.panel.room.waiting", panel=result.name,
                   names=tuple(piece.name for piece in (homeless if full else new)), poles=poles,
                   free=len(result.free))  # fmt: skip
        remedy = said("remedy.panel.room" if full else "remedy.panel.place")
        outcome = Outcome.FAILS if full else Outcome.CANNOT_TELL
        missing = () if full else _spaces_of(at, new)
        yield Check("panel.room", new[0].id, outcome, Severity.CORRECT, say, Reach.NEW, None, missing, (), remedy)
    if old:
        say = said("check.panel.layout.unplaced", panel=result.name, names=tuple(piece.name for piece in old))
        yield Check("panel.layout", result.id, Outcome.CANNOT_TELL, Severity.NOTE, say, Reach.EXISTING, None,
                    _spaces_of(at, old))  # fmt: skip


def _bus(book: Codebook, at: HouseAt, result: PanelResult) -> Iterator[Check]:
    """What protects the panel is rated above its bus: the breaker lets through more than the bus is made for."""
    panel = next(each for each in at.house.panels if each.id == result.id)
    ratings = [rating for rating, protecting in protects(at, panel) if protecting]
    if panel.bus_a is None or not ratings or min(ratings) <= panel.bus_a:
        return
    touched = at.tag(panel.id) in ("N", "RL") or panel.id in at.changed
    say = said("check.panel.bus.fails", panel=result.name, rating=min(ratings), bus=panel.bus_a)
    yield Check("panel.bus", panel.id, Outcome.FAILS, Severity.CORRECT, say, Reach.NEW if touched else Reach.EXISTING,
                None, (), (book.rule("panel_protection").cite,), said("remedy.panel.bus"))  # fmt: skip


def _spaces_of(at: HouseAt, pieces: Sequence[Piece]) -> tuple[Missing, ...]:
    """The spaces of breakers, to be found out or chosen."""
    breakers = {each.id: each for each in at.house.breakers}
    return tuple(
        Missing(at.path(breakers[piece.id], "spaces"), said("todo.panel.spaces_of", thing=piece.name),
                said("todo.how.panel.spaces_of")) for piece in pieces
    )  # fmt: skip


def _even(at: HouseAt, result: PanelResult) -> Check:
    """Legs within 10 percent of the main: leave as found."""
    worst = max(result.balances, key=lambda each: each.apart.value.high or each.apart.value.low)
    outcome = Outcome.CANNOT_TELL if result.leave is None else Outcome.MEETS if result.leave else Outcome.FAILS
    unsure = unsure_of_leg(at, result)
    missing = (*unsure, *worst.apart.all_missing()) if outcome is Outcome.CANNOT_TELL else ()
    if outcome is Outcome.CANNOT_TELL and at.house.complete.breakers != "yes":
        found = Missing("before/complete.breakers", said("todo.panel.breakers"), said("todo.how.panel.breakers"))
        missing = (found, *missing)
    if outcome is Outcome.CANNOT_TELL and result.limit is None:
        panel = next(each for each in at.house.panels if each.id == result.id)
        rating = Missing(at.path(panel, "fed_by"), said("todo.panel.main", panel=result.name),
                         said("todo.how.panel.main"))  # fmt: skip
        missing = (rating, *missing)
    limit = "" if result.limit is None else result.limit.value
    key = "unsure" if unsure and outcome is Outcome.CANNOT_TELL else outcome.name.lower()
    if key == "cannot_tell":
        apart = "_without_apart" if result.apart is None or result.apart == UNKNOWN else ""
        key += apart + (("_limit" if apart else "_without_limit") if result.limit is None else "")
    say = said(f"check.panel.balance.{key}", panel=result.name, scenario=worst.scenario,
               apart=result.apart, limit=limit)  # fmt: skip
    remedy = said("remedy.panel.balance") if outcome is Outcome.FAILS else None
    return Check("panel.balance", result.id, outcome, Severity.NOTE, say, Reach.EXISTING, worst.apart, missing, (),
                 remedy)  # fmt: skip
