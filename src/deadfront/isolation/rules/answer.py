"""The isolation stage answered: a plan for each work step, for each zone asked for, and what is found of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from deadfront.errors import NotFound
from deadfront.isolation.rules.landing import landings
from deadfront.isolation.rules.names import Names
from deadfront.isolation.rules.plan import plan_for
from deadfront.isolation.rules.zone import Zone, touched, zone_of
from deadfront.job.house import HouseAt, house_at, things
from deadfront.job.model import Job, WorkStep
from deadfront.job.things import House
from deadfront.msg import said
from deadfront.results.isolation import IsolationPlan, IsolationResult
from deadfront.topology.house_network import network_of
from deadfront.topology.network import Network
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing

SAFE_CONDITION = Cite("120.5", "2018", "NFPA 70E", "memory")
LOCKING = Cite("1910.333(b)(2)", "29", "CFR", "partly", "OSHA")
WIRING = (
    "panels", "breakers", "circuits", "boxes", "outlets", "meters", "electrodes", "sources", "transfers", "switches",
    "signals", "gear", "raceways", "structures",
)  # fmt: skip
"""Collections whose things are wired in: a step that adds one has a plan, or is said to have none."""
OF_SERVICE = ("service", "outside", "drop")


def isolation_answer(job: Job) -> IsolationResult:
    """Every work step of a job planned on the house as it stands when that step begins."""
    plans = tuple(_plans(job))
    return IsolationResult(plans, tuple(_checks(plans)))


def _plans(job: Job) -> Iterator[IsolationPlan]:
    before = house_at(job, "before")
    now = network_of(before.house)
    for step in job.work:
        after = house_at(job, step.id)
        then = network_of(after.house)
        zone, name = _zone_of_step(step, before, after, now, then), said("isolation.zone.step", say=step.say)
        kinds = _kinds(step, before.house)
        if zone.places or step.zone or kinds & set(WIRING):
            new = tuple(each.id for each in step.add.sources)
            plan = plan_for(Names(_named(before, after), now), zone, step.id, name, new, Names(after, then))
            yield _with_strays(_with_bonding(_with_zone_asked(plan, step), kinds), step, before, after)
        before, now = after, then


def _kinds(step: WorkStep, before: House) -> set[str]:
    """Collections of what a step adds, removes, moves or sets, "electrodes" too for the grounding of the service."""
    found = {name for name in WIRING if getattr(step.add, name)}
    ids = {*step.remove, *step.move, *step.set}
    found |= {name for name, thing in things(before) if thing.id in ids}
    of_service = set(step.set.get("service", ()))
    found |= {"electrodes"} if "grounding" in of_service else set()
    return found | ({"panels"} if {"conductors", "drop", "outside"} & of_service else set())


def _with_bonding(plan: IsolationPlan, kinds: set[str]) -> IsolationPlan:
    """Grounding and bonding work is said to be what it is: no lock makes it dead."""
    if "electrodes" not in kinds:
        return plan
    note = said("isolation.note.bonding")
    if plan.answer != "nothing" and plan.locks + plan.live:
        return replace(plan, notes=(*plan.notes, note))
    say = said("isolation.say.bonding", zone=plan.name)
    return replace(plan, answer="unknown", say=say, notes=(*plan.notes, note))


def _with_zone_asked(plan: IsolationPlan, step: WorkStep) -> IsolationPlan:
    """A step whose things stand nowhere on the drawing is asked what is to be dead while it is done."""
    if plan.say.key != "isolation.say.not_drawn":
        return plan
    what = Missing(f"{step.id}.zone", said("todo.isolation.zone", thing=plan.name), said("todo.how.isolation.zone"))
    return replace(plan, missing=(*plan.missing, what))


def _with_strays(plan: IsolationPlan, step: WorkStep, before: HouseAt, after: HouseAt) -> IsolationPlan:
    """The plan as it is, or cannot tell where the step is marked with something that is in neither house."""
    there = {thing.id for house in (before.house, after.house) for _, thing in things(house)}
    strays = tuple(each for each in step.zone if each not in there and each not in OF_SERVICE)
    if not strays:
        return plan
    return replace(plan, answer="unknown", say=said("isolation.say.no_such_zone", zone=plan.name, ids=strays))


def _named(before: HouseAt, after: HouseAt) -> HouseAt:
    """The house as the step finds it; sources that it puts in are named with it."""
    there = {thing.id for _, thing in things(before.house)}
    new = tuple(each for each in after.house.sources if each.id not in there)
    if not new:
        return before
    house = before.house.model_copy(update={"sources": (*before.house.sources, *new)})
    tags = {**before.tags, **{each.id: after.tags[each.id] for each in new}}
    return HouseAt(house, before.step, tags, before.removed, before.changed, before.set_fields)


def _zone_of_step(step: WorkStep, before: HouseAt, after: HouseAt, now: Network, then: Network) -> Zone:
    places = landings(step, now, then)
    return zone_of((before.house, after.house), now, touched(step, before.house), places)


def plan_of(at: HouseAt, marked: str) -> IsolationPlan:
    """The plan of a zone that somebody marks: a panel, breaker, circuit, transfer, source, meter, the service.

    Args:
        at: The house at the step at which the work is to be done.
        marked: Id of the thing, or "service", "outside", "drop".

    Raises:
        NotFound: no such thing is there at that step.
    """
    names = Names(at, network_of(at.house))
    if marked not in OF_SERVICE and marked not in names.things:
        raise NotFound("isolation.no_such_thing", id=marked)
    zone = zone_of((at.house,), names.network, (marked,))
    return plan_for(names, zone, marked, names.thing(marked))


def _checks(plans: tuple[IsolationPlan, ...]) -> Iterator[Check]:
    """One finding for all work that can be planned, one for what cannot be told, one for what others must isolate."""
    for which, outcome in (("planned", Outcome.MEETS), ("unknown", Outcome.CANNOT_TELL), ("others", Outcome.FAILS)):
        some = [plan for plan in plans if _standing(plan) == which]
        if not some:
            continue
        missing = tuple(dict.fromkeys(m for plan in some for m in (*plan.waits, *plan.missing)))
        yield Check(
            "isolation.others" if which == "others" else "isolation.plan", "", outcome, Severity.NOTE,
            said(f"check.isolation.{which}", zones=tuple(plan.name for plan in some), count=len(some)),
            missing=missing if outcome is Outcome.CANNOT_TELL else (), cites=(SAFE_CONDITION, LOCKING),
            remedy=said("remedy.isolation.others") if which == "others" else None,
        )  # fmt: skip


def _standing(plan: IsolationPlan) -> str:
    if plan.outcome is Outcome.MEETS:
        return "planned"
    return "others" if plan.answer == "others" and not plan.missing and not plan.waits else "unknown"
