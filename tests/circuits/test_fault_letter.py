"""A letter of the utility that its transformer contradicts is not used in silence."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from deadfront.circuits.rules.flows.told import whole_amperes
from deadfront.documents.catalog import Catalog
from deadfront.quantities import UNKNOWN, Interval
from deadfront.worksheet.check import Check, Outcome, Severity
from tests.circuits.flow_houses import answered, service_house, worked

HUNDRED = {"kva": 100, "impedance_percent": "1.5", "x_over_r": "2"}


def letter(house: Any, new: tuple[str, ...] = ("p-main",)) -> Check | None:
    return next((each for each in answered(house, new).checks if each.id == "fault.letter"), None)


def house(ka: Any, at: str = "service", drop_ft: Any = 60, transformer: Any = HUNDRED) -> Any:
    return service_house(utility={"fault_current_ka": ka, "fault_at": at}, transformer=transformer, drop_ft=drop_ft,
                         service_ft=2, breakers=[{"id": "b-one", "panel": "p-main", "spaces": [1], "rating_a": 20,
                                                  "poles": 1, "role": "branch", "interrupting_ka": 5}])  # fmt: skip


def test_a_letter_below_the_transformer_fails_and_the_larger_counts() -> None:
    """Hand: 100 kVA, 1.5 %: 27.8 kA at its terminals; 62 ft of 4/0 aluminum leave about 12 kA leg to leg.
    A letter of 3 kA is far below; a breaker of 5 kA, enough by the letter, does not pass."""
    check = letter(house(3))
    assert check is not None and (check.outcome, check.severity) == (Outcome.FAILS, Severity.CORRECT)
    at = next(each for each in worked(house(3)) if each.of == "service")
    assert at.largest is not None and at.largest.value.low > 8000
    breaker = next(each for each in answered(house(3), ("b-one",)).checks
                   if each.id == "fault.interrupting" and each.thing == "b-one")  # fmt: skip
    assert breaker.outcome is not Outcome.MEETS


def test_an_old_house_hears_of_the_contradiction_too() -> None:
    found, fine = letter(house(3), ()), letter(house(20), ())
    assert found is not None and found.outcome is Outcome.FAILS
    assert fine is None


def test_a_letter_that_agrees_stands_alone() -> None:
    check = letter(house(25, "transformer"))  # hand: 27.8 kA less a tenth is 25.3 kA, with a tenth of tolerance
    assert check is not None and check.outcome is Outcome.FAILS
    check = letter(house(26, "transformer"))
    assert check is not None and check.outcome is Outcome.MEETS
    alone = house(26, "transformer", transformer={})
    assert letter(alone) is None
    mine, other = (next(e for e in worked(h) if e.of == "p-main").largest for h in (house(26, "transformer"), alone))
    assert mine is not None and other is not None and mine.value.high <= (other.value.high or 0)


def test_a_drop_not_measured_leaves_it_open() -> None:
    check = letter(house(3, drop_ft=None))
    assert check is not None and (check.outcome, check.severity) == (Outcome.CANNOT_TELL, Severity.CORRECT)
    assert any("drop" in each.path for each in check.missing)
    usual = letter(house(3, drop_ft=None, transformer={"kva": 100}))
    assert usual is not None and usual.severity is Severity.NOTE


def test_the_transformers_row_shows_the_nameplate() -> None:
    """Hand: 100,000 VA / 240 V / 1.5 % = 27,778 A."""
    row = next(each for each in worked(house(12)) if each.of == "transformer")
    assert row.line_to_line is not None and round(row.line_to_line.value.low) == 27778


def test_fault_currents_are_told_in_whole_amperes_on_the_safe_side() -> None:
    """Hand: 8,999.9 to 15,000.01 A is 8,999 to 15,001 A; one exact figure goes up, the smallest fault down."""
    range_a, exact = Interval(Decimal("8999.9"), Decimal("15000.01")), Interval(Decimal("2126.4"), Decimal("2126.4"))
    assert whole_amperes(range_a) == Interval(Decimal(8999), Decimal(15001))
    assert whole_amperes(exact).low == 2127 and whole_amperes(exact, down=True).low == 2126
    assert whole_amperes(UNKNOWN) == UNKNOWN
    for check in answered(house(3), ("p-main", "b-one")).checks:
        if check.id.startswith("fault."):
            text = Catalog("en", strict=True).say(check.say)
            assert ".0 A" not in text and "9 A to" not in text
