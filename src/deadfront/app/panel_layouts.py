"""A layout tried by hand or chosen from the curve: judged before it is kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from deadfront.app.panels import moves_in_order
from deadfront.errors import NotAllowed, NotFound
from deadfront.job.house import HouseAt, Tag
from deadfront.panel.rules.answer import panels_answer
from deadfront.panel.rules.judge import judge
from deadfront.quantities import Interval
from deadfront.results.panel import CurvePoint, Layout, MoveStep, PanelCase, PanelResult, Place, Violation

if TYPE_CHECKING:
    from deadfront.app.answers import Answered

UNWORKABLE = ("no_such_space", "shape", "overlap", "one_leg", "multiwire_leg")
"""What is wrong with a layout so that no order of moves leads to it."""


@dataclass(frozen=True, slots=True)
class Tried:
    """A layout that is tried.

    Args:
        now: The panel as it stands.
        after: The panel as it would stand, with the evenness of its legs.
        at: The house as it would stand, moved breakers tagged.
        layout: Where every breaker would stand.
        changed: Breakers whose place differs from where they stand.
        wrong: Everything that would be wrong.
        new_wrong: Of these, what is not wrong already.
        steps: The moves in the order they are worked; empty where none leads there.
    """

    now: PanelResult
    after: PanelResult
    at: HouseAt
    layout: Layout
    changed: tuple[str, ...]
    wrong: tuple[Violation, ...]
    new_wrong: tuple[Violation, ...]
    steps: tuple[MoveStep, ...]

    @property
    def may_be_kept(self) -> bool:
        """Something changes, and nothing is made wrong by it."""
        return bool(self.changed) and not self.new_wrong


def result_of(answered: Answered, panel: str) -> PanelResult:
    """What is said of a panel as it stands after the work.

    Raises:
        NotFound: no such panel.
    """
    found = next((each for each in answered.assessment.panels if each.id == panel), None)
    if found is None:
        raise NotFound("cli.panel.no_panel", found=panel,
                       allowed=tuple(each.id for each in answered.assessment.panels))  # fmt: skip
    return found


def tried(answered: Answered, panel: str, places: Mapping[str, Place]) -> Tried:
    """A panel with some of its breakers put elsewhere, judged.

    Args:
        places: The new places by the id of the breaker; breakers of other panels are left out.
    Raises:
        NotFound: no such panel.
        NotAllowed: the panel cannot be laid out yet.
    """
    now = result_of(answered, panel)
    if now.case is None:
        raise NotAllowed("app.panel.no_layout", panel=now.name)
    case, found = now.case, now.case.found()
    layout = {**found, **{piece.id: places[piece.id] for piece in case.pieces if piece.id in places}}
    changed = tuple(piece.id for piece in case.pieces if layout.get(piece.id) != found.get(piece.id))
    wrong = judge(case, layout)
    known = {_same(each) for each in now.violations}
    new = tuple(each for each in wrong if _same(each) not in known and set(each.pieces) & set(changed))
    at = house_with(answered.assessment.at, {ident: layout[ident] for ident in changed})
    after = now if not changed else _answered(answered, at, panel)
    after = replace(after, violations=wrong)
    return Tried(now, after, at, layout, changed, wrong, new, _steps(case, layout, changed, wrong))


def apart_of(answered: Answered, panel: str, point: CurvePoint) -> Interval | None:
    """How far the legs differ with the layout of a point: the whole range, where loads are ranges [A].

    None where the point has no layout.
    """
    return None if point.layout is None else tried(answered, panel, dict(point.layout)).after.apart


def _same(wrong: Violation) -> tuple[str, tuple[str, ...], tuple[int, ...]]:
    return wrong.kind, wrong.pieces, wrong.spaces


def _answered(answered: Answered, at: HouseAt, panel: str) -> PanelResult:
    found = answered.assessment
    results = panels_answer(found.book, at, found.circuits.runs, answered.job.choices.panel_loads)
    return next(each for each in results if each.id == panel)


def _steps(case: PanelCase, layout: Layout, changed: Sequence[str], wrong: Sequence[Violation]) -> tuple[MoveStep, ...]:
    """The moves in order; none while something is wrong with where a breaker goes."""
    if not changed or any(each.kind in UNWORKABLE and set(each.pieces) & set(changed) for each in wrong):
        return ()
    placed = tuple(piece for piece in case.pieces if piece.id in layout)
    return moves_in_order(replace(case, pieces=placed), tuple(layout.items()))


def house_with(at: HouseAt, places: Mapping[str, Place]) -> HouseAt:
    """A house with some breakers put elsewhere; those that were found somewhere are tagged RL."""
    if not places:
        return at
    breakers = tuple(
        each.model_copy(update={"spaces": places[each.id].spaces, "half": places[each.id].half or None})
        if each.id in places else each for each in at.house.breakers
    )  # fmt: skip
    stood = {each.id for each in at.house.breakers if each.spaces}
    moved = {ident: Tag("RL", at.step) for ident in places if at.tag(ident) == "E" and ident in stood}
    return replace(at, house=at.house.model_copy(update={"breakers": breakers}), tags={**at.tags, **moved})
