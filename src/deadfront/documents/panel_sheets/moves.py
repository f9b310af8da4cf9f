"""The moves to a layout in words, one sentence a step; and what each step of the work does in a panel, in order.

Within a step first what is taken out for good, then the moves so that no breaker needs a space that is not free yet,
then the handle ties of what must open together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from deadfront.documents.catalog import Catalog
from deadfront.job.house import HouseAt, house_at
from deadfront.job.model import Job
from deadfront.msg import Msg
from deadfront.panel.rules.case import case_of
from deadfront.panel.rules.currents import sources_of
from deadfront.panel.rules.judge import judge
from deadfront.panel.rules.order import ordered
from deadfront.results.circuits import Run
from deadfront.results.panel import MoveStep, PanelCase, Piece, Place
from deadfront.worksheet.check import Reach

UNWORKABLE = ("unplaced", "no_such_space", "shape", "overlap", "one_leg", "multiwire_leg")
"""What is wrong with a layout so that no order of moves leads to it."""


@dataclass(frozen=True, slots=True)
class TakenOut:
    """A breaker that comes out of a panel for good, and where it stood."""

    name: Msg
    start: Place


@dataclass(frozen=True, slots=True)
class Tied:
    """Two breakers that are to open together from now on."""

    names: tuple[Msg, Msg]


@dataclass(frozen=True, slots=True)
class Barred:
    """Why a step cannot be worked as it is."""

    say: Msg


@dataclass(frozen=True, slots=True)
class Read:
    """A breaker that was there already: where it stands is noted, nothing is moved."""

    name: Msg
    end: Place


Act = MoveStep | TakenOut | Tied | Barred | Read


@dataclass(frozen=True, slots=True)
class StepMoves:
    """What one step of the work does in a panel, in order: its id, what it is called, the acts."""

    id: str
    say: str
    acts: tuple[Act, ...]


def step_words(act: Act, catalog: Catalog) -> str:
    """One act in words."""
    if isinstance(act, TakenOut):
        return catalog.key("panel.move.out", name=act.name, start=act.start.told())
    if isinstance(act, Tied):
        return catalog.key("panel.move.tie", names=act.names)
    if isinstance(act, Read):
        return catalog.key("panel.move.read", name=act.name, end=act.end.told())
    if isinstance(act, Barred):
        return catalog.key("panel.move.barred", wrong=act.say)
    start, end = (() if each is None else each.told() for each in (act.start, act.end))
    kind = act.kind
    if kind == "park":
        words = catalog.key("panel.move.park", name=act.name, start=start)
    elif act.other_size:
        words = catalog.key("panel.move.resize", name=act.name, start=start, end=end)
    elif kind == "place":
        words = catalog.key("panel.move.place_new" if act.new else "panel.move.place_back", name=act.name, end=end)
    else:
        words = catalog.key("panel.move.move", name=act.name, start=start, end=end)
    more = (("reach", act.check_reach), ("together", act.together), ("ask_controllable", act.ask_controllable))
    return " ".join((words, *(catalog.key(f"panel.move.{each}") for each, asked in more if asked)))


def with_ties(case: PanelCase, steps: tuple[MoveStep, ...]) -> tuple[Act, ...]:
    """The moves to a layout, and after them the ties that what was moved then needs; what was only read is noted."""
    unread = {each.id for each in case.pieces if each.now is None and each.reach is Reach.EXISTING}
    acts = tuple(Read(each.name, each.end) if each.piece in unread and each.end else each for each in steps)
    moved = {each.piece for each in steps if each.end is not None and each.piece not in unread}
    tied = {piece.id: piece.tied for piece in case.pieces}
    return (*acts, *_ties(case, moved, tied))


def work_moves(job: Job, panel: str, until: str, runs: Sequence[Run] = ()) -> tuple[StepMoves, ...]:
    """What each step of the work does in a panel, in the order it is worked.

    Where something is wrong with where a step puts a breaker, that is said in place of its moves; a panel that cannot
    be laid out has none.

    Args:
        until: The last step that counts; "before": none.
        runs: The circuits of the house, for their loads: of several, the breaker with the least is set aside.
    """
    made = list[StepMoves]()
    before = _case(job, house_at(job, "before"), panel, runs)
    for step in job.work if until != "before" else ():
        after = _case(job, house_at(job, step.id), panel, runs)
        acts = () if before is None or after is None else tuple(_acts(before, after))
        if acts:
            made.append(StepMoves(step.id, step.say, acts))
        before = after
        if step.id == until:
            break
    return tuple(made)


def acts_told(job: Job, at: HouseAt, catalog: Catalog, runs: Sequence[Run] = ()) -> dict[str, list[str]]:
    """What each step of the work does in every panel, in words, in the order it is worked: by the id of the step."""
    told: dict[str, list[str]] = {}
    several = len(at.house.panels) > 1
    for panel in at.house.panels:
        for step in work_moves(job, panel.id, at.step, runs):
            words = [step_words(act, catalog) for act in step.acts]
            name = panel.name or panel.id
            told.setdefault(step.id, []).extend(f"{name}: {each}" if several else each for each in words)
    return told


def _case(job: Job, at: HouseAt, panel: str, runs: Sequence[Run]) -> PanelCase | None:
    """A panel at a step; None where it is not there or cannot be laid out."""
    here = next((each for each in at.house.panels if each.id == panel), None)
    return None if here is None else case_of(sources_of(at, runs, job.choices.panel_loads), here).case


def _acts(before: PanelCase, after: PanelCase) -> Iterator[Act]:
    """From one step to the next: out, moved, tied."""
    was, places = before.found(), after.found()
    left = {piece.id for piece in after.pieces}
    pieces = tuple(replace(each, now=was.get(each.id)) for each in after.pieces if each.id in places)
    moved = {each.id for each in pieces if each.now != places[each.id]}
    bars = [each for each in judge(after, places) if each.kind in UNWORKABLE and set(each.pieces) & moved]
    if bars:
        yield Barred(bars[0].say)
        return
    for piece in before.pieces:
        if piece.now is not None and piece.id not in left:
            yield TakenOut(piece.name, piece.now)
    yield from ordered(replace(after, pieces=pieces), places)
    yield from _ties(after, moved, {piece.id: piece.tied for piece in before.pieces})


def _ties(case: PanelCase, moved: set[str], tied: Mapping[str, bool]) -> Iterator[Tied]:
    """Pairs that share a neutral or are said to be tied, of which one was moved and that were not tied before."""
    by_id = {piece.id: piece for piece in case.pieces}
    for piece in case.pieces:
        other: Piece | None = by_id.get(piece.partner)
        if other is None or (other.partner == piece.id and other.id < piece.id):
            continue
        asked = piece.shares_neutral or other.shares_neutral or piece.tied or other.tied
        before = tied.get(piece.id, False) or tied.get(other.id, False)
        if asked and not before and {piece.id, other.id} & moved:
            yield Tied((piece.name, other.name))
