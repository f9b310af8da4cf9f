"""The isolation sheet: for each step of the work the procedure to tick, then the tests to write down and to sign."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.documents.circuit_sheets.common import cites_of
from deadfront.msg import Msg, said
from deadfront.results.isolation import Action, IsolationPlan, IsolationResult, StillLive
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Heading,
    PageBreak,
    Paragraph,
    Sheet,
    SheetHead,
    Table,
)

TICK = "\N{BALLOT BOX}"


def isolation_sheet(result: IsolationResult, head: SheetHead) -> Sheet | None:
    """Two pages for each step of the work that touches something live; None where no step does."""
    if not result.plans:
        return None
    blocks: list[Block] = []
    for plan in result.plans:
        blocks += [PageBreak()] if blocks else []
        blocks += _plan(plan)
    return Sheet("isolation", said("sheet.isolation.title"), head, tuple(blocks), cites_of((), result.checks))


def _plan(plan: IsolationPlan) -> Iterator[Block]:
    """The first page: what to do, in its order. The second: what to test and write down, and the way back."""
    yield answer_of(plan)
    yield Caution("danger", said(f"isolation.caution.{'several' if several_sources(plan) else 'one'}"))
    yield Paragraph(said("sheet.isolation.plan_only"))
    yield from _told(plan)
    if plan.actions:
        yield Heading(said("sheet.isolation.procedure"))
        yield _ticks(plan.actions)
        yield from locks_of(plan)
        yield _signed("signed_before")
        yield PageBreak()
    yield from _second_page(plan)


def answer_of(plan: IsolationPlan) -> Answer:
    """Question and answer; the answer of a plan is never more than a plan."""
    outcome = Outcome.FAILS if plan.answer == "others" and not plan.missing else plan.outcome
    return Answer(said("sheet.isolation.question"), plan.say, outcome, plan.others)


def several_sources(plan: IsolationPlan) -> bool:
    """Whether more than the utility feeds the house: then the caution on several sources belongs to the plan."""
    return sum(action.id.startswith("find/") for action in plan.actions) > 2


def _told(plan: IsolationPlan) -> Iterator[Block]:
    for note in plan.notes:
        yield Paragraph(note)
    facts = tuple(dict.fromkeys((*plan.waits, *plan.missing)))
    if facts:
        rows: tuple[tuple[Cell, ...], ...] = tuple((fact.what, fact.how) for fact in facts)
        yield Table((said("sheet.isolation.column.fact"), said("sheet.isolation.column.how")), rows, key="isolation")


def _ticks(actions: tuple[Action, ...]) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for number, action in enumerate(actions, start=1):
        same = number > 1 and actions[number - 2].part == action.part
        part: Cell = "" if same else said(f"isolation.part.{action.part}")
        rows.append((str(number), part, with_stop(action), TICK))
    columns = ("number", "part", "what", "done")
    return Table(tuple(said(f"sheet.isolation.column.{each}") for each in columns), tuple(rows), key="isolation_steps")


def with_stop(action: Action) -> Msg:
    """What is done, with the rule when to stop."""
    return said("sheet.isolation.with_stop", say=action.say, stop=action.stop) if action.stop else action.say


def _second_page(plan: IsolationPlan) -> Iterator[Block]:
    yield from _live(plan.live)
    yield from stored_of(plan)
    yield from _prove(plan)
    if plan.temporary:
        yield Heading(said("sheet.isolation.temporary"))
        columns = (said("sheet.isolation.column.what"), said("sheet.isolation.column.done"))
        yield Table(columns, tuple((each, TICK) for each in plan.temporary), key="isolation_live")
    if plan.back:
        yield Heading(said("sheet.isolation.back"))
        rows = tuple((str(n), with_stop(each), TICK) for n, each in enumerate(plan.back, start=1))
        heads = tuple(said(f"sheet.isolation.column.{each}") for each in ("number", "what", "done"))
        yield Table(heads, rows, key="isolation_back")
        yield _signed("signed_after")


def _signed(what: str) -> Table:
    """A line to sign in a row: the two pages hold a signature each."""
    columns = tuple(said(f"sheet.isolation.column.{each}") for each in ("what", "name", "signature", "when"))
    return Table(columns, ((said(f"sheet.isolation.{what}"), "", "", ""),), key="isolation_sign")


def locks_of(plan: IsolationPlan) -> Iterator[Block]:
    """Every lock with its place, and room for who locked it."""
    if not plan.locks:
        return
    yield Heading(said("sheet.isolation.locks"))
    columns = tuple(said(f"sheet.isolation.column.{each}") for each in ("device", "where", "lock", "key"))
    yield Table(columns, tuple((lock.name, lock.where, "", "") for lock in plan.locks), key="isolation_locks")


def _live(live: tuple[StillLive, ...]) -> Iterator[Block]:
    if live:
        yield Heading(said("sheet.isolation.live"))
        columns = (said("sheet.isolation.column.live"), said("sheet.isolation.column.guarded"))
        yield Table(columns, tuple((each.say, TICK) for each in live), key="isolation_live")


def stored_of(plan: IsolationPlan) -> Iterator[Block]:
    """Equipment that holds a charge, its marked wait, and room for the times."""
    if plan.stored:
        yield Heading(said("sheet.isolation.stored"))
        names = ("equipment", "wait", "off_at", "touched_at")
        columns = tuple(said(f"sheet.isolation.column.{each}") for each in names)
        rows = tuple(
            (each.name, said("sheet.isolation.not_read") if each.wait is None
             else said("sheet.isolation.seconds", time=each.wait.value.low), "", "")
            for each in plan.stored
        )  # fmt: skip
        yield Table(columns, rows, key="isolation_stored")


def _prove(plan: IsolationPlan) -> Iterator[Block]:
    """Every point, a row for each set of pairs, with room for the reading; the tester proved before and after."""
    if not plan.prove:
        return
    yield Heading(said("sheet.isolation.prove"))
    yield Paragraph(said("sheet.isolation.prove_how"))
    for pairs in dict.fromkeys(point.pairs for point in plan.prove):
        empty = ("",) * len(pairs)
        names = [said("sheet.isolation.prover_before")]
        for point in plan.prove:
            if point.pairs == pairs:
                key = "sheet.isolation.beside" if point.boundary else "sheet.isolation.point"
                names.append(said(key, point=point.name))
        names.append(said("sheet.isolation.prover_after"))
        rows: tuple[tuple[Cell, ...], ...] = tuple((name, *empty) for name in names)
        yield Table((said("sheet.isolation.column.point"), *pairs), rows, key="isolation_prove")
