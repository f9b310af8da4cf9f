"""Insulation resistance of a circuit: everything electronic disconnected first, held against its neighbors too."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from statistics import median

from deadfront.commissioning.rules.facts import LEFT, Facts
from deadfront.commissioning.rules.reading import Asked, understood
from deadfront.commissioning.rules.test_kind import (
    Readings,
    TestKind,
    Verdict,
    fails,
    limit,
    meets,
    read_step,
    unclear,
    yes,
)
from deadfront.job.panel_things import Circuit
from deadfront.msg import said
from deadfront.worksheet.check import Severity

PAIRS = ("l_n_mohm", "l_g_mohm", "n_g_mohm")
SECOND = ("l_l_mohm", "l2_n_mohm", "l2_g_mohm")
FEW = 3  # circuits below which nothing can be called the odd one
TEST = TestKind("insulation", 25, (yes("disconnected"), Asked("test_v", "V", high=Decimal(1000)),
                *(Asked(pair, "Mohm", high=Decimal(10) ** 7) for pair in PAIRS),
                *(Asked(pair, "Mohm", high=Decimal(10) ** 7, needed=False) for pair in SECOND)),
                ("insulation tester",), "", ("insulation", "prove_tester"), ("dead",))  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """On every circuit whose conductors the work makes or extends."""
    for circuit in facts.at.house.circuits:
        if facts.at.tag(circuit.id) == "N" or circuit.extended_ft or circuit.outlets_added:
            yield circuit.id


def alarm(facts: Facts, thing: str, readings: Readings) -> Verdict | None:
    """A pair below the limit, whatever else is missing."""
    least = limit("insulation_mohm")
    for pair in (*PAIRS, *SECOND):
        reading = readings[pair]
        if reading.known and reading.at_least(least.value) is False:
            return fails("low", steps=(read_step(TEST.key, reading),), limits=(least,), found=reading.values[0],
                         least=least.value, where=said(f"commission.reading.{pair}"))  # fmt: skip
    return None


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Not below what the trade asks; far below its neighbors is worth a look."""
    read = [pair for pair in (*PAIRS, *SECOND) if readings[pair].known]
    steps = tuple(read_step(TEST.key, readings[pair]) for pair in read)
    least, used_v = limit("insulation_mohm"), limit("insulation_test_v")
    if not readings["disconnected"].yes:
        return unclear("not_disconnected", steps=steps)
    if readings["test_v"].mean < used_v.value:
        return unclear("low_test", steps=steps, limits=(used_v,), least=used_v.value)
    if _two_hots(facts, thing) and any(pair not in read for pair in SECOND):
        return unclear("second_hot", steps=steps)
    if any(readings[pair].at_least(least.value) is None for pair in read):
        return unclear("beyond", steps=steps, limits=(least,), least=least.value)
    own, others = _lowest(readings), _others(facts, thing)
    if own is not None and len(others) >= FEW and own * limit("insulation_outlier").value < median(others):
        usual = Decimal(median(others))
        return fails("odd", Severity.NOTE, steps=steps, limits=(limit("insulation_outlier"),), found=own, usual=usual)
    return meets(steps=steps, limits=(least, used_v), least=least.value)


def _two_hots(facts: Facts, thing: str) -> bool:
    circuit = facts.things.get(thing)
    breaker = facts.breakers.get(circuit.breaker or "") if isinstance(circuit, Circuit) else None
    return breaker is not None and (breaker.poles == 2 or len(breaker.spaces) == 2)  # noqa: PLR2004


def _lowest(readings: Readings) -> Decimal | None:
    """Lowest of its readings; None where all are beyond the range."""
    return min((readings[pair].values[0] for pair in PAIRS if readings[pair].values), default=None)


def _others(facts: Facts, thing: str) -> list[Decimal]:
    """Lowest readings of the other circuits, those beyond the range at the end of the range."""
    every: dict[str, Decimal] = facts.kept.setdefault("insulation", {})
    if not every:
        every.update(_all_lowest(facts))
    return [found for other, found in every.items() if other != thing]


def _all_lowest(facts: Facts) -> Iterator[tuple[str, Decimal]]:
    for (test, other, stage), records in facts.records_of.items():
        if test == TEST.key and stage == LEFT:
            read = {each.key: understood(each, records[-1].readings.get(each.key, "")) for each in TEST.asked}
            lowest = _lowest(read) if all(read[pair].known for pair in PAIRS) else None
            if lowest is not None:
                yield other, lowest
