"""The neutral of a feeder: no smaller than its ground would be, and large enough for the unbalanced load."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.ampacity import carried, metals_of
from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.checking import TOUCHED
from deadfront.circuits.rules.runs.sizing import PARALLEL_FROM, analysis
from deadfront.codebook.conductors import area_cmil, grounding_size, size_of_area, sizes_of
from deadfront.errors import OutOfTable
from deadfront.job.panel_things import Panel
from deadfront.msg import said
from deadfront.quantities import size_rank
from deadfront.results.circuits import Sized
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

ID = "feeder.neutral_size"
IDS = (ID,)
UNGROUNDED_ONLY = 2  # insulated conductors of a feeder without a neutral: the rule on missing neutrals says that


def checks(facts: Facts) -> Iterator[Check]:
    """Feeders whose neutral is smaller than the other conductors, or whose neutral load is entered."""
    for panel in facts.at.house.panels:
        case = facts.cases.get(panel.id)
        if case is None or case.kind != "feeder" or case.cable.conductors == UNGROUNDED_ONLY:
            continue
        if _smaller(case) or panel.neutral_load_a is not None:
            yield from _judge(facts, panel, case)


def _smaller(case: RunCase) -> bool:
    """Whether the neutral is smaller than the ungrounded conductors, or may be."""
    own, other = case.cable.neutral_size, case.cable.size
    return own is not None and (other is None or size_rank(own) < size_rank(other))


def _judge(facts: Facts, panel: Panel, case: RunCase) -> Iterator[Check]:
    size, load_a = case.cable.neutral_size or case.cable.size, panel.neutral_load_a
    if size is None:
        yield from _tell(facts, panel, Outcome.CANNOT_TELL, missing=facts.missing(panel, "feeder.neutral_size"))
        return
    holds = _carries(case, size)
    if load_a is not None and holds is not None and holds.value.high is not None and holds.value.high < load_a:
        yield from _tell(facts, panel, Outcome.FAILS, "fails_load", Severity.DANGER, step=holds, found=size,
                         carries=holds.value, load=load_a)  # fmt: skip
        return
    floors = [_least(case, metal, load_a, facts.at.path(panel, "neutral_load_a")) for metal in set(metals_of(case))]
    known = [each for each in floors if each is not None]
    missing = tuple(_lacks(facts, panel, case, load_a, holds))
    if len(known) < len(floors) or not known:
        missing = missing or (case.lacks_rating(),)
    enough = {_large_enough(case, size, each) for each in known}
    wanted = max(known, key=lambda each: size_rank(each.size), default=None)
    shown = {"found": size, "wanted": "" if wanted is None else wanted.size}
    step = None if wanted is None else wanted.step
    if enough == {False}:
        yield from _tell(facts, panel, Outcome.FAILS, step=step, **shown)
    elif False in enough:
        yield from _tell(facts, panel, Outcome.CANNOT_TELL, missing=(case.lacks("metal"), *missing), **shown)
    elif missing:
        yield from _tell(facts, panel, Outcome.CANNOT_TELL, step=step, missing=missing, **shown)
    else:
        yield from _tell(facts, panel, Outcome.MEETS, step=step, **shown)


def _carries(case: RunCase, size: str) -> Step | None:
    """What the neutral carries under the conditions of its feeder [A]."""
    cable = case.cable.model_copy(update={"size": size})
    return analysis(replace(case, of=f"{case.of}/neutral", cable=cable, loads=(), whole_dwelling=False)).ampacity


def _lacks(facts: Facts, panel: Panel, case: RunCase, load_a: Decimal | None, holds: Step | None) -> Iterator[Missing]:
    """The facts that a neutral waits for; its load is none where it carries all that the breaker lets through."""
    if case.rating_a is None:
        yield case.lacks_rating()
    for field in ("type", "size"):
        if getattr(case.cable, field) is None:
            yield case.lacks(field)
    most = load_a if load_a is not None else case.rating_a
    if holds is None or most is None or holds.value.low < most:
        yield from facts.missing(panel, "neutral_load_a")
        if load_a is not None and holds is not None:
            yield from holds.all_missing()


def _least(case: RunCase, metal: str, load_a: Decimal | None, path: str) -> Sized | None:
    """The smallest neutral of a metal: by the grounding table, and for the neutral load; None where not known."""
    if case.rating_a is None:
        return None
    ident = f"feeder_neutral/{case.of}/{metal}"
    try:
        floor = grounding_size(case.book, case.rating_a, metal)
        area = area_cmil(case.book, floor.value)
    except OutOfTable:
        return None
    rating = build.fact(f"{ident}/breaker", "run.rating", case.rating_a, "A", case.lacks_rating().path)
    table = build.lookup(f"{ident}/floor", "run.neutral_floor", area.value, "cmil", floor.cite,
                         table="equipment_grounding_conductor", row=floor.row, args=(rating,))  # fmt: skip
    loaded = _for_load(case, metal, load_a, path, ident)
    parts = (table,) if loaded is None else (table, loaded)
    step = build.largest(ident, "run.neutral_least", parts, unit="cmil", cite=case.book.rule("feeder_neutral").cite)
    size = size_of_area(case.book, step.value.low)
    return None if size is None else Sized(size, metal, step, case.cable.sets or 1)


def _for_load(case: RunCase, metal: str, load_a: Decimal | None, path: str, ident: str) -> Step | None:
    """The area of the smallest neutral that carries its load under the worst conditions there may be [cmil]."""
    around, sets = analysis(case).around, case.cable.sets or 1
    if load_a is None or around is None:
        return None
    load = build.fact(f"{ident}/load_a", "run.neutral_load", load_a, "A", path)
    for size in sizes_of(case.book, metal):
        if carried(case.book, size, metal, around.worst) * sets >= load_a:
            area = area_cmil(case.book, size)
            return build.lookup(f"{ident}/load", said("run.neutral_for_load", size=size), area.value * sets, "cmil",
                                area.cite, table="conductor_ampacity", row=size, args=(load,))  # fmt: skip
    return None


def _large_enough(case: RunCase, size: str, least: Sized) -> bool:
    """Whether the neutral has the area, all its sets together, and none is below the least for parallel sets."""
    sets = case.cable.sets or 1
    if sets > 1 and size_rank(size) < size_rank(PARALLEL_FROM):
        return False
    try:
        return area_cmil(case.book, size).value * sets >= least.step.value.low
    except OutOfTable:
        return False


def _tell(
    facts: Facts, panel: Panel, outcome: Outcome, which: str = "", severity: Severity = Severity.CORRECT, *,
    step: Step | None = None, missing: tuple[Missing, ...] = (), **params: object,
) -> Iterator[Check]:  # fmt: skip
    """One check; of what the work leaves alone only a neutral that its load burns."""
    case = facts.cases[panel.id]
    if case.reach not in TOUCHED and severity is not Severity.DANGER:
        return
    ending = which or {Outcome.FAILS: "fails", Outcome.MEETS: "meets"}.get(outcome, "cannot_tell")
    say = said(f"check.{ID}.{ending}", name=facts.name_of(panel, "thing.by_id"), **params)
    lacking = tuple(dict.fromkeys(missing)) if outcome is Outcome.CANNOT_TELL else ()
    remedy = said(f"remedy.{ID}") if outcome is Outcome.FAILS else None
    yield Check(ID, panel.id, outcome, severity, say, case.reach, step, lacking, (facts.cite("feeder_neutral"),),
                remedy)  # fmt: skip
