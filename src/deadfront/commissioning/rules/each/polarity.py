"""Wiring of a receptacle by voltages, two of them to an earth of its own: a three-light tester sees no bootleg."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.test_kind import (
    VOLTMETERS,
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
from deadfront.commissioning.rules.voltages import ends_of_use
from deadfront.worksheet.check import Severity

TEST = TestKind("polarity", 80, (volts("l_n"), volts("l_g"), volts("n_g"), volts("l_remote"), volts("g_remote"),
                amperes("load_a", needed=False)), VOLTMETERS, "CAT II", ("live_work", "prove_tester"),
                ("bus_voltage",), alone=True)  # fmt: skip
LIVE_V = Decimal(90)  # above it a hot stands behind the slot
LOW_V = Decimal(30)  # below it none does; between them a floating conductor
HIGH_V = Decimal(140)  # above it two hots, or a neutral that has moved
NOTHING_V = Decimal("0.1")  # a neutral that carries current and reads no more may be joined to ground here
AGREE_V = Decimal(2)  # hot to ground is hot to neutral and neutral to ground together, within the meter
TWO_LEGS_V = 150  # volts of a receptacle above which it has no neutral to judge
KEYS = ("l_n", "l_g", "n_g", "l_remote", "g_remote")


def due(facts: Facts) -> Iterator[str]:
    """At every 120 V receptacle that the work makes or moves, or whose circuit it makes or extends."""
    circuits = {each.id: each for each in facts.at.house.circuits}
    for outlet in facts.at.house.outlets:
        circuit = circuits.get(outlet.circuit or "")
        breaker = facts.breakers.get(circuit.breaker or "") if circuit else None
        two_legs = outlet.volts > TWO_LEGS_V if outlet.volts is not None else breaker is not None and breaker.poles == 2  # noqa: PLR2004
        extended = circuit is not None and bool(circuit.extended_ft or circuit.outlets_added)
        if outlet.kind == "receptacle" and not two_legs and (extended or facts.touched(outlet, circuit)):
            yield outlet.id


def alarm(facts: Facts, thing: str, readings: Readings) -> Verdict | None:
    """What endangers by one or two readings, whatever else is missing."""
    found = {key: readings[key].mean for key in KEYS if readings[key].known}
    steps = tuple(read_step(TEST.key, readings[key]) for key in found)
    used = (limit("remote_earth_v"),)
    if found.get("g_remote", Decimal(0)) > limit("remote_earth_v").value:
        both = found["g_remote"] > LIVE_V and found.get("n_g", LIVE_V) < LOW_V
        which = "reversed_bootleg" if both else "ground_live"
        return fails(which, Severity.DANGER, steps=steps, limits=used, found=found["g_remote"])
    highest = max((found[key] for key in ("l_n", "l_g") if key in found), default=Decimal(0))
    if highest > HIGH_V:
        return fails("high", Severity.DANGER, steps=steps, limits=used, found=highest)
    if {"l_n", "l_g"} <= found.keys() and found["l_n"] < LIVE_V < found["l_g"]:
        return fails("open_neutral", Severity.DANGER, steps=steps, limits=used, found=found["l_n"])
    if {"n_g", "l_g"} <= found.keys() and found["n_g"] > LIVE_V and found["l_g"] < LOW_V:
        return fails("reversed", Severity.DANGER, steps=steps, limits=used)
    if found.get("n_g", Decimal(0)) > LOW_V:
        return fails("neutral_live", Severity.DANGER, steps=steps, limits=used, found=found["n_g"])
    return None


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Hot to neutral and to ground alike, neutral near ground, ground at the potential of the earth."""
    l_n, l_g, n_g, l_remote, _ = (readings[key].mean for key in KEYS)
    steps = tuple(read_step(TEST.key, readings[key]) for key in KEYS)
    ends, limits = ends_of_use()
    used = (limit("remote_earth_v"), limit("neutral_to_ground_v"), *limits)
    if l_n >= ends["least"] and l_g < ends["least"] and l_n - l_g > n_g + AGREE_V:
        return fails("open_ground", Severity.DANGER, steps=steps, limits=used, found=l_g)
    if l_n < LOW_V and l_g < LOW_V:
        return fails("no_power", steps=steps, limits=used, found=l_n)
    if not ends["least"] <= l_n <= ends["most"]:
        return fails("voltage", steps=steps, limits=used, found=l_n, **ends)
    if abs(l_n - l_g) > n_g + AGREE_V:
        return unclear("disagree", steps=steps, limits=used)
    if n_g > limit("neutral_to_ground_v").value:
        return fails("neutral_high", steps=steps, limits=used, found=n_g, most=limit("neutral_to_ground_v").value)
    if abs(l_remote - l_g) > limit("remote_earth_v").value:
        return unclear("lead", steps=steps, limits=used, found=l_remote)
    load, least = readings["load_a"], limit("bootleg_load_a")
    if not load.known or load.mean < least.value:
        return unclear("no_load", steps=steps, limits=(*used, least), least=least.value)
    if n_g - readings["n_g"].half < NOTHING_V:
        return unclear("bootleg", steps=steps, limits=(*used, least), found=n_g)
    return meets(steps=steps, limits=(*used, least), found=n_g)
