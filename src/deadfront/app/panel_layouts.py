"""A layout tried by hand or chosen from the curve: judged before it is kept, and kept as moves of the work."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from deadfront.app.panels import as_work_step, moves_in_order
from deadfront.errors import NotAllowed, NotFound
from deadfront.job.edit import Edit
from deadfront.job.edits import AddStep, Move, Set
from deadfront.job.house import HouseAt, Tag
from deadfront.job.model import Job
from deadfront.panel.rules.answer import panels_answer
from deadfront.panel.rules.judge import judge
from deadfront.results.panel import Layout, MoveStep, PanelCase, PanelResult, Place, Violation

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
    """A house with some breakers put elsewhere; those that were found are tagged RL."""
    if not places:
        return at
    breakers = tuple(
        each.model_copy(update={"spaces": places[each.id].spaces, "half": places[each.id].half or None})
        if each.id in places else each for each in at.house.breakers
    )  # fmt: skip
    moved = {ident: Tag("RL", at.step) for ident in places if at.tag(ident) == "E"}
    return replace(at, house=at.house.model_copy(update={"breakers": breakers}), tags={**at.tags, **moved})


def keeping_edits(
    job: Job, found: Tried, step: str, say: str, new_breaker: Callable[[], str], *, own_step: bool = False
) -> list[Edit]:
    """The edits that keep a layout: places of new breakers are set, all others are moves of a step of the work.

    Args:
        step: Id of the step that is added where one is needed, `say`: what it is called. A step of that name that is
            there already takes the moves.
        own_step: All moves of breakers go into a step of their own, in the order they are worked.
    Raises:
        NotAllowed: nothing changes, or something would be made wrong.
    """
    if not found.changed:
        raise NotAllowed("app.panel.nothing_moved")
    if found.new_wrong:
        raise NotAllowed("app.panel.wrong", first=found.new_wrong[0].say)
    there = None if own_step else next((each.id for each in job.work if each.say == say), None)
    into, edits, needed = there or step, list[Edit](), False
    for each in found.steps:
        if each.end is None:
            continue
        placed = _place_edit(job, found.at, each, own_step)
        if placed is not None:
            edits.append(placed)
            continue
        needed = True
        edits += [edit for edit in as_work_step(found.at, [each], into, say, new_breaker) if edit.do != "add_step"]
    return [AddStep(id=step, say=say), *edits] if needed and there is None else edits


def _place_edit(job: Job, at: HouseAt, each: MoveStep, own_step: bool) -> Edit | None:
    """The edit of a breaker whose place an earlier edit said; None where a move of the work is needed."""
    if each.end is None or each.other_size:
        return None
    fields: dict[str, object] = {"spaces": list(each.end.spaces)}
    if each.end.half:
        fields["half"] = each.end.half
    moving = [step for step in job.work if "spaces" in step.move.get(each.piece, {})]
    if moving and not own_step:
        return Move(step=moving[-1].id, id=each.piece, fields=fields)
    if at.tag(each.piece) == "N" and not moving and not each.end.half:
        return Set(path=f"{at.tags[each.piece].step}/{each.piece}.spaces", value=list(each.end.spaces))
    return None
