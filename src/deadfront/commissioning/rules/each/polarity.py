"""Wiring of a receptacle by voltages, one of them to a ground of its own: a three-light tester sees no bootleg."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import (
    Readings,
    TestKind,
    Verdict,
    amperes,
    fails,
    limit,
    meets,
    read_step,
    unclear,
    volts,
)
from deadfront.worksheet.check import Severity

TEST = TestKind("polarity", 80, (volts("l_n"), volts("l_g"), volts("n_g"), volts("g_remote"),
                amperes("load_a", needed=False)), ("multimeter",), "CAT II", ("live_work", "prove_tester"),
                ("bus_voltage",), alone=True)  # fmt: skip
LIVE_V = Decimal(90)  # above it a hot stands behind the slot
LOW_V = Decimal(30)  # below it none does; between them a floating conductor
NOTHING_V = Decimal("0.1")  # a neutral that carries current and reads no more is joined to ground here
KEYS = ("l_n", "l_g", "n_g", "g_remote")


def due(facts: Facts) -> Iterator[str]:
    """At every receptacle that the work makes, moves or whose circuit it makes or extends."""
    circuits = {each.id: each for each in facts.at.house.circuits}
    for outlet in facts.at.house.outlets:
        circuit = circuits.get(outlet.circuit or "")
        extended = circuit is not None and bool(circuit.extended_ft or circuit.outlets_added)
        if outlet.kind == "receptacle" and (extended or facts.touched(outlet, circuit)):
            yield outlet.id


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Hot to neutral and to ground alike, neutral near ground, ground at the potential of the earth."""
    l_n, l_g, n_g, remote = (readings[key].mean for key in KEYS)
    steps = tuple(read_step(TEST.key, readings[key]) for key in KEYS)
    used = (limit("remote_earth_v"), limit("neutral_to_ground_v"))
    if remote > limit("remote_earth_v").value:
        which = "reversed_bootleg" if remote > LIVE_V and n_g < LOW_V else "ground_live"
        return fails(which, Severity.DANGER, steps=steps, limits=used, found=remote)
    if l_n < LOW_V and l_g > LIVE_V:
        return fails("open_neutral", Severity.DANGER, steps=steps, limits=used)
    if n_g > LIVE_V and l_g < LOW_V:
        return fails("reversed", Severity.DANGER, steps=steps, limits=used)
    if l_n > LIVE_V and l_g <= LIVE_V:
        return fails("open_ground", Severity.DANGER, steps=steps, limits=used, found=l_g)
    if l_n <= LIVE_V:
        return fails("no_power", steps=steps, limits=used, found=l_n)
    if n_g > limit("neutral_to_ground_v").value:
        return fails("neutral_high", steps=steps, limits=used, found=n_g, most=limit("neutral_to_ground_v").value)
    load = readings["load_a"]
    least = limit("bootleg_load_a")
    if not load.known or load.mean < least.value:
        return unclear("no_load", steps=steps, limits=(*used, least), least=least.value)
    if n_g < NOTHING_V:
        return fails("bootleg", Severity.DANGER, steps=steps, limits=(*used, least), found=n_g)
    return meets(steps=steps, limits=(*used, least), found=n_g)
