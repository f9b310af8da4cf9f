"""Published cases as houses of our engine; the reading of the file is shared with the second engine's tests."""

from __future__ import annotations

import json
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

from deadfront.loads.rules.context import Context
from deadfront.loads.rules.items import Item, items_of
from deadfront.loads.rules.methods import method
from deadfront.loads.rules.service import service_limit
from deadfront.results.loads import Method
from tests.loads.from_case import context_of
from tests.oracle.published_inputs import all_loads, case_of, unit_of

CASES: dict[str, dict[str, Any]] = {
    case["id"]: case for case in json.loads((Path(__file__).parent / "dwelling_loads.json").read_text(encoding="utf-8"))
}
BEFORE_2026 = ("2014", "2017", "2020", "2023")


def publisher(case_id: str) -> str:
    """Who printed it."""
    return str(CASES[case_id]["source"]["publisher"]).split("(")[0].split(";")[0].strip()


def exact(value: object) -> Fraction:
    """A printed number without binary noise."""
    return Fraction(str(value))


def digits(printed: object) -> Fraction:
    """Half a unit of the last printed digit."""
    _, _, after = str(printed).partition(".")
    after = "" if after == "0" else after
    return Fraction(1, 2 * 10 ** len(after))


def agrees(ours: Decimal, printed: object) -> bool:
    """Equal within what the printed digits leave open."""
    return abs(Fraction(ours) - exact(printed)) <= digits(printed)


def house(case_id: str, edition: str, count: int = 1, **more: Any) -> Context:
    """The case's dwelling unit with all its loads, by an edition."""
    inputs = CASES[case_id]["inputs"]
    return context_of(case_of([unit_of(inputs, count, all_loads(inputs))], edition, **more))


@dataclass(frozen=True)
class Ran:
    """What our engine gave."""

    context: Context
    items: tuple[Item, ...]

    def by(self, key: str) -> Method:
        """One method."""
        return method(self.context, key, self.items, service_limit(self.context))


def ran(context: Context) -> Ran:
    """A house with its loads counted."""
    return Ran(context, items_of(context))


def total(answer: Method) -> Decimal:
    """The exact total of a method that gave one [VA]."""
    assert answer.total is not None and answer.total.value.exact, answer.why
    return answer.total.value.low


def amperes(answer: Method) -> Decimal:
    """The exact amperes of a method that gave them [A]."""
    assert answer.amperes is not None and answer.amperes.value.exact
    return answer.amperes.value.low


def part(answer: Method, ident: str) -> Decimal:
    """The figure of one Step below the total, by its id."""
    assert answer.total is not None
    return next(step.value.low for step in answer.total.walk() if step.id == ident)
