"""Fault current at a disconnect of a source: from its bus through its conductors, or of the source alone."""

from __future__ import annotations

from typing import NamedTuple

from deadfront.codebook.impedance import RACEWAYS, conductor_impedance
from deadfront.errors import DeadfrontError
from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.quantities import UNKNOWN, Interval
from deadfront.sources.rules.amounts import apart_by, volts_of
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.paths import Joint
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

SERVICE = "service"
KILO = 1000


class AtSwitch(NamedTuple):
    """Fault current at a disconnect [A]: as at the bus, which is the most; as at the source, which is the least."""

    available: Interval
    step: Step | None
    missing: tuple[Missing, ...] = ()


def at_switch(facts: SourceFacts, joint: Joint) -> AtSwitch:
    """Where on its conductors a disconnect stands is not on file: between the bus and the source."""
    source = joint.source
    if joint.parallel is not True:
        alone = facts.fact(f"source/{source.id}/fault", "source.fault_alone", source, "fault_current_a")
        if joint.parallel is False:
            return AtSwitch(alone.value, alone, alone.all_missing())
        return AtSwitch(Interval(alone.value.low, None), alone, (apart_by(facts, joint), *alone.all_missing()))
    of = SERVICE if joint.way == "supply side" else joint.panel.id if joint.panel is not None else ""
    point = next((each for each in facts.circuits.faults if each.of == of), None)
    if point is None or point.largest is None:
        return AtSwitch(UNKNOWN, None, (facts.lack(None, "utility.fault_current_ka"),))
    largest = point.largest
    far = _far_end(facts, source, largest)
    low = far.value.low if far is not None else largest.value.low * 0
    return AtSwitch(Interval(low, largest.value.high), far or largest, largest.all_missing())


def _far_end(facts: SourceFacts, source: Source, bus: Step) -> Step | None:
    """At least this much at the source: impedances added as if all pointed one way, the raceway that opposes most."""
    cable, ident = source.cable, f"source/{source.id}/fault"
    if cable.size is None or cable.metal is None or cable.length_ft is None or not bus.value.low:
        return None
    try:
        found = [conductor_impedance(facts.book, cable.size, cable.metal, each) for each in RACEWAYS]
    except DeadfrontError:
        return None
    worst = max(found, key=lambda each: each.resistance.value + each.reactance.value)
    parts = [build.lookup(f"{ident}/{key}", f"source.fault_{key}", one.value, "ohm/kft", one.cite,
                          table="conductor_impedance", row=one.row)
             for key, one in (("r", worst.resistance), ("x", worst.reactance))]  # fmt: skip
    each = build.total(f"{ident}/per", "source.fault_per", parts, unit="ohm/kft")
    length = build.given(
        f"{ident}/kft", "source.fault_kft", 2 * cable.length_ft / KILO / (cable.sets or 1), "kft", None
    )
    wires = build.product(f"{ident}/wires", "source.fault_wires", (each, length), unit="ohm")
    volts = volts_of(facts, source)
    ahead = build.quotient(f"{ident}/ahead", "source.fault_ahead", volts, bus, unit="ohm")
    whole = build.total(f"{ident}/whole", said("source.fault_whole"), (ahead, wires), unit="ohm")
    return build.quotient(f"{ident}/far", "source.fault_far", volts, whole)
