"""Both engines on one case: where they agree, and what the case exercised."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from deadfront.loads.rules.answer import minimum_service
from deadfront.loads.rules.context import Context
from deadfront.loads.rules.items import items_of
from deadfront.loads.rules.methods import method
from deadfront.loads.rules.service import service_limit
from deadfront.results.loads import Method
from deadfront.worksheet.check import Outcome
from tests.loads.from_case import context_of
from tests.oracle import engine
from tests.oracle.houses import random_case

METHODS = {"standard": "standard", "optional_one": "optional", "existing": "existing",
           "two_family": "two_family", "multifamily": "multifamily"}  # fmt: skip
MIXED = "mixed ratings on a 3-phase system"
TOLERANCE = Fraction(1, 10**9)
ROOT_OF_THREE_TOLERANCE = Fraction(1, 10**7)


@dataclass
class Agreement:
    """What was compared: how often, by what path, and every difference."""

    counts: Counter[str] = field(default_factory=Counter)
    differences: list[str] = field(default_factory=list)

    def add(self, other: Agreement) -> None:
        """Take in what another comparison found."""
        self.counts.update(other.counts)
        self.differences += other.differences


def same(ours: Decimal, theirs: Fraction, tolerance: Fraction = TOLERANCE) -> bool:
    """Equal; where a quotient has no end in decimals, to one part in 10^9."""
    exact = Fraction(ours)
    return exact == theirs or abs(exact - theirs) <= tolerance * abs(theirs)


def refusal(answer: Method) -> bool:
    """True where our method may not be used or is not encoded."""
    return answer.admissible is not Outcome.MEETS or answer.total is None


def compare(case: dict[str, Any]) -> Agreement:
    """Every method of one case by both engines."""
    found, context = Agreement(), context_of(case)
    items, limit = items_of(context), service_limit(context)
    theirs = engine.calculate(case)
    for their_key, our_key in METHODS.items():
        answer = method(context, our_key, items, limit)
        _compare_method(found, context, case, answer, theirs[their_key])
    return found


def _compare_method(
    found: Agreement, context: Context, case: dict[str, Any], ours: Method, theirs: dict[str, Any]
) -> None:
    key, edition = ours.key, case["edition"]
    if "refused" in theirs or refusal(ours):
        if MIXED in theirs.get("refused", ""):
            found.counts[f"not compared: {MIXED}"] += 1
        elif "refused" not in theirs or not refusal(ours):
            said = theirs.get("refused", theirs.get("total_va"))
            found.differences.append(f"{edition} {key}: {ours.why.key} {_value(ours)}, theirs {said}")
        else:
            found.counts[f"refused: {key}, {theirs['refused']}"] += 1
        return
    found.counts[f"method: {key}"] += 1
    assert ours.total is not None and ours.amperes is not None
    _same(found, f"{edition} {key} total", ours.total, theirs["total_va"])
    if key == "standard":
        assert ours.neutral is not None
        _same(found, f"{edition} {key} neutral", ours.neutral, theirs["neutral_va"])
    _compare_amperes(found, context, case, ours, theirs)
    found.counts.update(_paths(ours))


def _same(found: Agreement, what: str, step: Any, theirs: Fraction, tolerance: Fraction = TOLERANCE) -> None:
    if not step.value.exact or not same(step.value.low, theirs, tolerance):
        found.differences.append(f"{what}: {step.value.low} to {step.value.high}, theirs {float(theirs)}")


def _compare_amperes(
    found: Agreement, context: Context, case: dict[str, Any], ours: Method, theirs: dict[str, Any]
) -> None:
    """Amperes and the next standard service.

    On two legs of a wye the other engine takes all 120 V loads over both legs, ours only the lighting (the form of
    Example D5): ours must not be less.
    """
    assert ours.amperes is not None
    if case["system"] == "208Y/120 1ph":
        if ours.amperes.value.low is None or Fraction(ours.amperes.value.low) < theirs["amperes"] * (1 - TOLERANCE):
            found.differences.append(f"{ours.key} amperes on two legs of a wye: {ours.amperes.value.low}")
        found.counts["amperes: two legs of a wye, not below"] += 1
        return
    _same(found, f"{ours.key} amperes", ours.amperes, theirs["amperes"], ROOT_OF_THREE_TOLERANCE)
    if ours.key == "standard":
        assert ours.neutral_amperes is not None
        _same(found, "neutral amperes", ours.neutral_amperes, theirs["neutral_a"], ROOT_OF_THREE_TOLERANCE)
    minimum = minimum_service(context, ours)
    assert minimum is not None
    if minimum.value.high != theirs["minimum_service_a"]:
        found.differences.append(f"{ours.key} service: {minimum.value}, theirs {theirs['minimum_service_a']}")
    found.counts[f"amperes: {case['system']}"] += 1


def _value(method_: Method) -> str:
    return "no total" if method_.total is None else str(method_.total.value)


PATH = re.compile(r"/cooking/(all_nameplates|nameplates|own_columns|all_column_c|all_c|column_[abc])")


def _paths(ours: Method) -> Counter[str]:
    """Which readings were in play and which way through the rules the figure went."""
    counts: Counter[str] = Counter()
    for reading in ours.readings:
        counts[f"reading: {reading.subject} = {reading.chosen or 'larger'}"] += 1
    assert ours.total is not None
    steps = list(ours.total.walk()) + (list(ours.neutral_amperes.walk()) if ours.neutral_amperes else [])
    for step in steps:
        if step.op == "min" and step.id.endswith("/cooking"):
            taken = min(step.args, key=lambda arg: arg.value.low)
            match = PATH.search(taken.id)
            counts[f"path: cooking: {match[1].replace('_', ' ') if match else taken.id}"] += 1
        elif step.op == "sum" and step.id.endswith("/cooking"):
            counts["path: cooking: none in the table"] += 1
        elif step.id.endswith("/increase") and step.value.low > 0:
            counts["path: cooking: over 12 kW"] += 1
        elif step.id.endswith("fastened/demand"):
            counts["path: fastened: three quarters"] += 1
        elif step.id.endswith("/dryers") and step.op == "percent" and step.params["percent"] != 100:
            counts["path: dryers: under 100 percent"] += 1
        elif step.id.endswith("/dryers/two_phases"):
            counts["path: dryers: three phases"] += 1
        elif step.id.endswith("space_heat/many"):
            counts["path: heat: four or more at 40 percent"] += 1
        elif step.id.endswith("space_heat/few"):
            counts["path: heat: fewer than four at 65 percent"] += 1
        elif step.id.endswith("neutral/amperes") and step.op == "tier":
            counts["path: neutral over 200 A"] += 1
    if ours.key == "two_family":
        counts["path: two-family: " + ("by three units" if _by_three(ours) else "by the standard method")] += 1
    return counts


def _by_three(ours: Method) -> bool:
    assert ours.total is not None
    return ours.total.op == "min" and ours.total.args[1].value.low < ours.total.args[0].value.low


def compare_many(edition: str, seeds: range, shape: str | None = None) -> Agreement:
    """Random houses of one edition."""
    every = Agreement()
    for seed in seeds:
        case = random_case(seed, edition, shape)
        one = compare(case)
        every.counts["houses"] += 1
        every.counts[f"edition: {edition}"] += 1
        every.counts.update(one.counts)
        every.differences += [f"seed {seed}: {text}" for text in one.differences]
    return every
