"""A layout kept as work: its edits, put where every step of the job can be done in the order of the steps."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial

from deadfront.app.panel_layouts import Tried
from deadfront.app.panels import as_work_step
from deadfront.errors import EditRefused, NotAllowed
from deadfront.job.edit import Edit, apply_edits
from deadfront.job.edits import AddStep, Move, Set
from deadfront.job.house import HouseAt, house_at
from deadfront.job.model import Job
from deadfront.panel.rules.case import case_of
from deadfront.panel.rules.currents import sources_of
from deadfront.panel.rules.judge import judge
from deadfront.results.panel import MoveStep

WAITING = "unplaced"
"""A breaker that has no space yet at a step: it is put in later, and nothing bars the step."""
Wrong = tuple[str, tuple[str, ...], tuple[int, ...]]


@dataclass(frozen=True)
class Keeping:
    """What a layout is kept into.

    Args:
        job: The job; `text`: its file.
        found: The layout.
        step: Id of the step that is added where one is needed; `say`: what it is called.
        ids: The id of the breaker that takes the place of one of another size.
    """

    job: Job
    text: str
    found: Tried
    step: str
    say: str
    new_breaker: Callable[[], str]
    ids: dict[str, str] = field(default_factory=dict)

    def new_id(self, old: str) -> str:
        """Id of the breaker that takes the place of one of another size: the same in every way tried."""
        if old not in self.ids:
            self.ids[old] = self.new_breaker()
        return self.ids[old]


def keeping_edits(
    job: Job, text: str, found: Tried, step: str, say: str, new_breaker: Callable[[], str], *, own_step: bool = False
) -> list[Edit]:
    """The edits that keep a layout, so that no step of the work needs a space that is not free yet.

    The place of a new breaker is set where it is added, and the moves are a step at the end; where the new breaker
    would stand in another one until then, the moves are a step before it is added; where they need that step to be
    done first, the new breaker is put in by the step of the moves.

    Args:
        text: The file of the job.
        step: Id of the step that is added where one is needed, `say`: what it is called. A step of that name that is
            there already takes the moves where every step can be done so.
        own_step: All moves of breakers go into a step of their own.
    Raises:
        NotAllowed: nothing changes, or something would be made wrong.
    """
    if not found.changed:
        raise NotAllowed("app.panel.nothing_moved")
    if found.new_wrong:
        raise NotAllowed("app.panel.wrong", first=found.new_wrong[0].say)
    keeping = Keeping(job, text, found, step, say, new_breaker)
    known = wrong_on_the_way(job, found.now.id)
    ways = [*_ways(keeping, own_step=own_step)]
    return next((edits for edits in ways if _can_be_done(keeping, edits, known)), ways[-1])


def _ways(keeping: Keeping, *, own_step: bool) -> Iterator[list[Edit]]:
    """The ways to keep a layout, the plainest first."""
    there = None if own_step else next((each.id for each in keeping.job.work if each.say == keeping.say), None)
    yield _edits(keeping, into=there, own_step=own_step)
    first = _first_placed(keeping)
    if first is not None:
        yield _edits(keeping, own_step=True, after=first)
    yield _edits(keeping, own_step=True, place_new=False)


def _first_placed(keeping: Keeping) -> str | None:
    """After which step the first of the new breakers that get a place is added; "before" for the first step."""
    tags = keeping.found.at.tags
    adding = {tags[each.piece].step for each in keeping.found.steps if tags[each.piece].letter == "N"}
    order = ["before", *(each.id for each in keeping.job.work)]
    return next((order[n - 1] for n, each in enumerate(order) if each in adding), None)


def _edits(
    keeping: Keeping, into: str | None = None, *, own_step: bool, after: str | None = None, place_new: bool = True
) -> list[Edit]:
    """One way to keep a layout.

    Args:
        into: The step that takes the moves; None: one that is added.
        after: The step that the added one comes after; None: the last.
        place_new: The place of a new breaker is set where it is added; else the step of the moves puts it in.
    """
    edits, needed = list[Edit](), False
    at, step = keeping.found.at, into or keeping.step
    for each in keeping.found.steps:
        if each.end is None:
            continue
        placed = _place_edit(keeping.job, at, each, own_step, place_new)
        if placed:
            edits += placed
            continue
        needed = True
        made = as_work_step(at, [each], step, keeping.say, partial(keeping.new_id, each.piece))
        edits += [edit for edit in made if edit.do != "add_step"]
    head = [AddStep(id=step, say=keeping.say, after=after)] if needed and into is None else []
    return [*head, *edits]


def _place_edit(job: Job, at: HouseAt, each: MoveStep, own_step: bool, place_new: bool) -> list[Edit]:
    """The edits of a breaker whose place is no move of its own: read now, new, or moved already; empty: a move."""
    if each.end is None or each.other_size:
        return []
    fields: dict[str, object] = {"spaces": list(each.end.spaces)}
    if each.end.half:
        fields["half"] = each.end.half
    moving = [step for step in job.work if "spaces" in step.move.get(each.piece, {})]
    if moving and not own_step:
        return [Move(step=moving[-1].id, id=each.piece, fields=fields)]
    if each.start is None and at.tag(each.piece) == "E":
        return [Set(path=f"before/{each.piece}.{name}", value=value) for name, value in fields.items()]
    if place_new and at.tag(each.piece) == "N" and not moving and not each.end.half:
        return [Set(path=f"{at.tags[each.piece].step}/{each.piece}.spaces", value=list(each.end.spaces))]
    return []


def _can_be_done(keeping: Keeping, edits: Sequence[Edit], known: frozenset[Wrong]) -> bool:
    """Whether no step of the work stands wrong that did not before, and the layout is the one that was chosen."""
    try:
        after = apply_edits(keeping.text, edits).job
    except EditRefused:
        return False
    panel = keeping.found.now.id
    places = {each.id: (each.spaces, each.half or "") for each in house_at(after).house.breakers}
    chosen = {keeping.ids.get(each.piece, each.piece): each.end for each in keeping.found.steps if each.end is not None}
    stands = all(places.get(ident) == (end.spaces, end.half) for ident, end in chosen.items())
    return stands and wrong_on_the_way(after, panel) <= known


def wrong_on_the_way(job: Job, panel: str) -> frozenset[Wrong]:
    """Everything that is wrong with a panel as found or after any step of the work, but what has no space yet."""
    found: set[Wrong] = set()
    for step in ("before", *(each.id for each in job.work)):
        at = house_at(job, step)
        here = next((each for each in at.house.panels if each.id == panel), None)
        case = None if here is None else case_of(sources_of(at, (), ()), here).case
        if case is not None:
            found |= {(each.kind, each.pieces, each.spaces) for each in judge(case, case.found())
                      if each.kind != WAITING}  # fmt: skip
    return frozenset(found)
