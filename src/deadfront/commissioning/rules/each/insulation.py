"""Insulation resistance of a circuit: everything electronic disconnected first, held against its neighbours too."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from statistics import median

from deadfront.commissioning.rules.facts import LEFT, Facts
from deadfront.commissioning.rules.reading import Asked, understood
from deadfront.commissioning.rules.test_kind import Readings, TestKind, Verdict, fails, limit, meets, read_step, yes
from deadfront.msg import said
from deadfront.worksheet.check import Severity

PAIRS = ("l_n_mohm", "l_g_mohm", "n_g_mohm")
FEW = 3  # circuits below which nothing can be called the odd one
TEST = TestKind("insulation", 25, (yes("disconnected"), Asked("test_v", "V", high=Decimal(1000)),
                *(Asked(pair, "Mohm", high=Decimal(10) ** 7) for pair in PAIRS)), ("insulation tester",), "",
                ("insulation", "prove_tester"), ("dead",))  # fmt: skip


def due(facts: Facts) -> Iterator[str]:
    """On every circuit whose conductors the work makes or extends."""
    for circuit in facts.at.house.circuits:
        if facts.at.tag(circuit.id) == "N" or circuit.extended_ft or circuit.outlets_added:
            yield circuit.id


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """Not below what the trade asks; far below its neighbours is worth a look."""
    if not readings["disconnected"].yes:
        return fails("not_disconnected", Severity.NOTE)
    steps = tuple(read_step(TEST.key, readings[pair]) for pair in PAIRS)
    least = limit("insulation_mohm")
    for pair in PAIRS:
        if readings[pair].values and readings[pair].values[0] < least.value and not readings[pair].above:
            return fails("low", steps=steps, limits=(least,), found=readings[pair].values[0], least=least.value,
                         where=said(f"commission.reading.{pair}"))  # fmt: skip
    own, others = _lowest(readings), _others(facts, thing)
    if own is not None and len(others) >= FEW and own * limit("insulation_outlier").value < median(others):
        usual = Decimal(median(others))
        return fails("odd", Severity.NOTE, steps=steps, limits=(limit("insulation_outlier"),), found=own, usual=usual)
    return meets(steps=steps, limits=(least,), least=least.value)


def _lowest(readings: Readings) -> Decimal | None:
    """Lowest of its readings; None where all are beyond the range."""
    return min((readings[pair].values[0] for pair in PAIRS if readings[pair].values), default=None)


def _others(facts: Facts, thing: str) -> list[Decimal]:
    """Lowest readings of the other circuits, those beyond the range at the end of the range."""
    if TEST.key not in facts.kept:
        facts.kept[TEST.key] = dict(_all(facts))
    found: Mapping[str, Decimal] = facts.kept[TEST.key]
    return [lowest for other, lowest in found.items() if other != thing]


def _all(facts: Facts) -> Iterator[tuple[str, Decimal]]:
    for (test, other, stage), records in facts.records_of.items():
        if test == TEST.key and stage == LEFT:
            read = {each.key: understood(each, records[-1].readings.get(each.key, "")) for each in TEST.asked}
            lowest = _lowest(read) if all(read[pair].known for pair in PAIRS) else None
            if lowest is not None:
                yield other, lowest
