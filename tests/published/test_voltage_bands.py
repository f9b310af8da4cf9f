"""Published bands of service voltage against the rules of commissioning: the standard's ranges and a state's limits.

VOL-03: the four ranges of ANSI C84.1 as printed; VOL-02: the 5.8 % of 83 Ill. Adm. Code 410.300, 113 to 127 V on 120 V.
"""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from deadfront.codebook.test_limits import limits_of_tests
from deadfront.worksheet.check import Outcome
from tests.commissioning.made_up import one

FILE = Path(__file__).parent / "circuits_and_sources.json"
CASES: dict[str, dict[str, Any]] = {
    case["id"]: case for case in json.loads(FILE.read_text(encoding="utf-8")) if case["id"].startswith("VOL-")
}
BANDS = {
    "A_service": ("bus_voltage", "service_low_percent", "service_high_percent"),
    "B_service": ("bus_voltage", "service_low_b_percent", "service_high_b_percent"),
    "A_util": ("loaded_voltage", "use_low_percent", "service_high_percent"),
    "B_util": ("loaded_voltage", "use_low_b_percent", "service_high_b_percent"),
}
ON = {"l1_a": "20", "l2_a": "15"}
"""The range of use is that of a panel beyond a feeder with its loads on."""
WITHIN = {"A": {"meets"}, "B": {"meets", "range_b"}}


def end(key: str) -> int:
    """An end of a range on a leg of 120 V, on whole volts as it is printed; hand: 120 V times 100 % less or more."""
    sign = -1 if "low" in key else 1
    return round(120 + sign * Decimal(120) * limits_of_tests()[key].value / 100)


def read(test: str, leg_v: Decimal) -> str:
    """How both legs at these volts come out."""
    return key_of(test, {"l1_l2": f"{2 * leg_v}", "l1_n": f"{leg_v}", "l2_n": f"{leg_v}"})


def key_of(test: str, readings: dict[str, str]) -> str:
    found = one(test, "p-2bb", readings | ON) if test == "loaded_voltage" else one(test, "p-1aa", readings)
    assert (found.outcome is Outcome.MEETS) is found.say.key.endswith(".meets")
    return found.say.key.rpartition(".")[2]


@pytest.mark.parametrize("band", CASES["VOL-03"]["result"])
def test_a_range_ends_where_the_standard_prints_it(band: str) -> None:
    low, high = (Decimal(each) for each in CASES["VOL-03"]["result"][band].split("-"))
    test, low_key, high_key = BANDS[band]
    assert (end(low_key), end(high_key)) == (low, high)
    inside = WITHIN[band[0]]
    for volts in (low, high):
        assert read(test, volts) in inside, (band, volts)
    for volts in (low - 1, high + 1):
        assert read(test, volts) not in inside, (band, volts)


def test_every_printed_range_is_tried() -> None:
    assert set(BANDS) == set(CASES["VOL-03"]["result"])


def test_a_state_rule_lies_between_both_ranges() -> None:
    """The state's band is wider than Range A on both sides and reaches the top of Range B, not its bottom."""
    case = CASES["VOL-02"]
    low, high = Decimal(case["result"]["min_V"]), Decimal(case["result"]["max_V"])
    share = Decimal(str(case["inputs"]["pct"])) / 100
    exact = [case["inputs"]["nominal"] * (1 + sign * share) for sign in (-1, 1)]  # hand: 113.04 and 126.96 V
    assert exact == [Decimal(str(case["recomputed"][key])) for key in ("min_V", "max_V")]
    assert [round(each) for each in exact] == [low, high]
    assert end("service_low_percent") > low > end("service_low_b_percent")
    assert high == end("service_high_b_percent") > end("service_high_percent")
    # so what that state allows beyond Range A is noted as the wider range here, never as outside, never as a pass
    assert {read("bus_voltage", volts) for volts in (low, high)} == {"range_b"}
    assert {read("bus_voltage", volts) for volts in (low + 1, high - 1)} == {"meets"}


def test_the_limits_say_where_they_come_from() -> None:
    for _, *keys in BANDS.values():
        for key in keys:
            found = limits_of_tests()[key]
            assert found.cites and all(each.code == "ANSI C84.1" for each in found.cites), key
