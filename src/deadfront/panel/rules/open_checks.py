"""What the panel stage cannot tell, with the way out: a panel that cannot be laid out, a label that was not read.

A layout in which nothing wrong is found is right only as far as the panel's label is known; here stands where it is
not.
"""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.codebook.book import Codebook
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.msg import said
from deadfront.results.panel import PanelCase, PanelResult, Piece
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing

TOUCHED = (Reach.NEW, Reach.EXTENDED, Reach.REPLACED)
NO_LAYOUT_HERE = "panel.trouble.fuses"


def layout_open(result: PanelResult) -> Iterator[Check]:
    """A panel that is not laid out: fuses have no layout; anything else is a fact to find out."""
    for trouble in result.troubles:
        fuses = trouble.key == NO_LAYOUT_HERE
        outcome = Outcome.NOT_APPLICABLE if fuses else Outcome.CANNOT_TELL
        missing = () if fuses else result.missing
        yield Check("panel.layout", result.id, outcome, Severity.NOTE, trouble, Reach.EXISTING, None, missing)


def label_open(book: Codebook, at: HouseAt, result: PanelResult) -> Iterator[Check]:
    """Breakers that stand where only the label says whether they may, and the label was not read."""
    case = result.case
    if case is None:
        return
    halves = [each for each in case.pieces if each.now is not None and each.now.half]
    able = [each for each in case.pieces if each.controllable]
    listing = book.rule("listing_and_instructions").cite
    yield from _unread(at, result, case)
    if halves and case.half_spaces is None:
        yield _open(at, result, "half_space", halves, "half_spaces", (listing,))
    if able and case.controllable_spaces is None:
        yield _open(at, result, "controllable_space", able, "controllable_spaces", (listing,))
    if halves and case.circuits_max is None:
        cites = (book.rule("panel_circuits_limit").cite, listing)
        yield _open(at, result, "circuits_limit", halves, "circuits_max", cites)


def _unread(at: HouseAt, result: PanelResult, case: PanelCase) -> Iterator[Check]:
    """Breakers of two poles and shared neutrals where legs or numbering were not read: nobody can tell."""
    paired = [each for each in case.pieces if each.poles == 2 or each.shares_neutral or each.neutral]
    asks = (("legs", paired if case.legs_open else []),
            ("numbering", [each for each in case.pieces if each.id in case.numbering_open]))  # fmt: skip
    for field, pieces in asks:
        if pieces:
            say = said(f"check.panel.layout.{field}", panel=result.name, names=tuple(each.name for each in pieces))
            reach = next((each.reach for each in pieces if each.reach in TOUCHED), Reach.EXISTING)
            severity = Severity.CORRECT if reach in TOUCHED else Severity.NOTE
            missing = (of_panel(at, result, field),)
            yield Check("panel.layout", result.id, Outcome.CANNOT_TELL, severity, say, reach, None, missing)


def _open(
    at: HouseAt, result: PanelResult, ident: str, pieces: list[Piece], field: str, cites: tuple[Cite, ...]
) -> Check:
    reach = next((each.reach for each in pieces if each.reach in TOUCHED), Reach.EXISTING)
    severity = Severity.CORRECT if reach in TOUCHED else Severity.NOTE
    say = said(f"check.panel.{ident}.cannot_tell", panel=result.name, names=tuple(each.name for each in pieces))
    missing = (of_panel(at, result, field),)
    return Check(f"panel.{ident}", result.id, Outcome.CANNOT_TELL, severity, say, reach, None, missing, cites)


def of_panel(at: HouseAt, result: PanelResult, field: str) -> Missing:
    """A fact of a panel to find out."""
    panel = next(each for each in at.house.panels if each.id == result.id)
    return Missing(at.path(panel, field), said(f"todo.panel.{field}", panel=result.name),
                   said(f"todo.how.panel.{field}"))  # fmt: skip


LEGS_OPEN = ("unplaced", "no_such_space", "overlap", "shape", "one_leg")
"""What leaves the leg of a breaker open."""


def unsure_of_leg(at: HouseAt, result: PanelResult) -> tuple[Missing, ...]:
    """What leaves open which leg something draws from, or whether it draws from this panel at all."""
    case = result.case
    if case is None:
        return ()
    spoiled = {ident for wrong in result.violations if wrong.kind in LEGS_OPEN for ident in wrong.pieces}
    panel = next(each for each in at.house.panels if each.id == result.id)
    # A panel on a service of three phases may take two of them or all three: no usual way to go by.
    unread = (("legs", not panel.legs and case.leg_count == 3), ("numbering", bool(case.numbering_open)))
    asked = tuple(of_panel(at, result, field) for field, open_ in unread if open_)
    return (*asked, *_missing_of(at, case, spoiled), *_anywhere(at, panel))


def _anywhere(at: HouseAt, panel: Panel) -> Iterator[Missing]:
    """Breakers of no panel, circuits on no breaker, panels fed from nowhere: each may stand on a leg of this one."""
    several = len(at.house.panels) > 1
    for breaker in at.house.breakers:
        if breaker.panel is None and several:
            yield _asked(at, breaker, "panel")
    for circuit in at.house.circuits:
        if circuit.breaker is None:
            yield _asked(at, circuit, "breaker")
    for other in at.house.panels:
        if other.fed_by is None and several and other.id != panel.id:
            yield _asked(at, other, "fed_by")


def _asked(at: HouseAt, thing: Breaker | Circuit | Panel, field: str) -> Missing:
    name = said("thing.named", name=thing.name) if thing.name else said("thing.by_id", id=thing.id)
    path = at.path(thing, field)
    return Missing(path, said(f"todo.circuits.{field}", thing=name), said(f"todo.how.circuits.{field}"))


def _missing_of(at: HouseAt, case: PanelCase, spoiled: set[str]) -> Iterator[Missing]:
    names = {each.id: each.name for each in case.pieces}
    for breaker in at.house.breakers:
        if breaker.id not in names:
            continue
        if breaker.poles is None and len(breaker.spaces) < 2:
            yield Missing(at.path(breaker, "poles"), said("todo.circuits.poles", thing=names[breaker.id]),
                          said("todo.how.circuits.poles"))  # fmt: skip
        if breaker.id in spoiled:
            yield Missing(at.path(breaker, "spaces"), said("todo.panel.spaces_of", thing=names[breaker.id]),
                          said("todo.how.panel.spaces_of"))  # fmt: skip
