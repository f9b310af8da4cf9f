"""Disconnects on the path of a source: their rating against what they carry, and against the fault current there."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Source, Switch
from deadfront.quantities import UNKNOWN, point
from deadfront.sources.rules.amounts import apart_by, output_of, plain
from deadfront.sources.rules.each.output import continuous, sure
from deadfront.sources.rules.each.transfer_fault_rating import whole
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.paths import Joint, joints
from deadfront.sources.rules.switch_faults import KILO, at_switch
from deadfront.sources.rules.tell import tell
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, at_most
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

RATING, FAULT = "source.switch", "source.switch_fault"
IDS = (RATING, FAULT)
ORDER = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every disconnect of alternating current that is no breaker, with all sources that give through it."""
    for switch in facts.at.house.switches:
        mine = [each for each in joints(facts) if switch.id in each.source.disconnects]
        if mine and not switch.direct_current:
            yield from _rating(facts, switch, mine)
            yield from _fault(facts, switch, mine)


def _rating(facts: SourceFacts, switch: Switch, mine: list[Joint]) -> Iterator[Check]:
    """It carries 125 percent of outputs given for hours, else the output; no fuse in it is larger than it."""
    needs = [_need(facts, each) for each in mine]
    need = needs[0] if len(needs) == 1 else build.total(f"switch/{switch.id}/need", "source.shared_counted", needs,
                                                        unit="A")  # fmt: skip
    rating = facts.fact(f"switch/{switch.id}/rating", "source.switch_rating", switch, "rating_a")
    outcome, how = at_most(need.value, rating.value), "fails"
    missing: tuple[Missing, ...] = (*need.all_missing(), *rating.all_missing())
    if outcome is Outcome.FAILS and not all(sure(each) for each in mine):
        outcome, missing = Outcome.CANNOT_TELL, tuple(apart_by(facts, each) for each in mine if not sure(each))
    if switch.fuse_a is not None:
        fuse = facts.fact(f"switch/{switch.id}/fuse", "source.fuse", switch, "fuse_a")
        blown, fits = at_most(need.value, fuse.value), at_most(fuse.value, rating.value)
        if Outcome.FAILS in (blown, fits) and outcome is not Outcome.FAILS:
            outcome, how = Outcome.FAILS, "fuse" if fits is Outcome.FAILS else "small_fuse"
    yield from tell(RATING, switch.id, outcome, _reach(facts, switch, mine), how if outcome is Outcome.FAILS
                    else outcome.name.lower(), facts.name_of(switch), cites=(facts.cite("source_disconnect"),),
                    hazard=True, step=need, missing=missing, need=need.value, rating=rating.value,
                    fuse=switch.fuse_a or UNKNOWN)  # fmt: skip


def _need(facts: SourceFacts, joint: Joint) -> Step:
    source: Source = joint.source
    return plain(facts, source) if continuous(joint) and source.kind != "inlet" else output_of(facts, source)


def _reach(facts: SourceFacts, switch: Switch, mine: list[Joint]):  # type: ignore[no-untyped-def]
    return facts.reach_of(switch, *(each.source for each in mine))


def _fault(facts: SourceFacts, switch: Switch, mine: list[Joint]) -> Iterator[Check]:
    """Its short-circuit current rating against the fault current where it stands; the worst of its sources."""
    told = [(_judge(facts, switch, each), each) for each in mine]
    (outcome, available, step, missing), _ = min(told, key=lambda each: ORDER.index(each[0][0]))
    rating = UNKNOWN if switch.sccr_ka is None else point(switch.sccr_ka)
    yield from tell(FAULT, switch.id, outcome, _reach(facts, switch, mine), outcome.name.lower(), facts.name_of(switch),
                    cites=(facts.cite("equipment_short_circuit"),), hazard=True, step=step, missing=missing,
                    rating=rating, available=whole(available))  # fmt: skip


def _judge(facts: SourceFacts, switch: Switch, joint: Joint):  # type: ignore[no-untyped-def]
    found = at_switch(facts, joint)
    if switch.sccr_ka is None:
        return Outcome.CANNOT_TELL, found.available, found.step, (facts.lack(switch, "sccr_ka"), *found.missing)
    outcome = at_most(found.available, point(switch.sccr_ka * KILO))
    missing = found.missing
    if outcome is Outcome.CANNOT_TELL and not missing:
        missing = (facts.lack(switch, "fault_at"),)
    return outcome, found.available, found.step, missing
