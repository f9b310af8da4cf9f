"""Test button of every ground-fault device that the work puts in or works on: it trips, and it resets."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, fails, meets, yes
from deadfront.worksheet.check import Severity

TEST = TestKind("ground_fault", 85, (yes("trips"), yes("power_off"), yes("resets")), cautions=("tripped_once",),
                before=("bus_voltage",), alone=True)  # fmt: skip
KINDS = ("ground fault", "both")


def due(facts: Facts, kinds: tuple[str, ...] = KINDS) -> Iterator[str]:
    """At every device of that protection on what the work touches: breakers, first outlets, receptacles."""
    for breaker in facts.at.house.breakers:
        circuits = facts.circuits_on.get(breaker.id, ())
        touched = facts.touched(breaker, *circuits)
        if breaker.protection in kinds and touched:
            yield breaker.id
        for circuit in circuits:
            if circuit.first_outlet in kinds and touched:
                yield circuit.id
            for outlet in facts.outlets_on.get(circuit.id, ()):
                if outlet.protection in kinds and (touched or facts.touched(outlet)):
                    yield outlet.id


def alarm(facts: Facts, thing: str, readings: Readings) -> Verdict | None:
    """One that does not trip, or leaves power on, whatever else is missing."""
    return no_trip(readings)


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Trips, takes the power away, and resets."""
    return of_button(readings)


def no_trip(readings: Readings) -> Verdict | None:
    """What a test button must not show."""
    if readings["trips"].yes is False:
        return fails("no_trip", Severity.DANGER)
    return fails("still_live", Severity.DANGER) if readings["power_off"].yes is False else None


def of_button(readings: Readings) -> Verdict:
    """What a test button shows."""
    return meets() if readings["resets"].yes else fails("no_reset")
