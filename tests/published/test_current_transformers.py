"""Published cases of current transformers, registration and sampled power, misprints included.

Expected figures: the case's `result` as printed, within its tolerance; where the print is wrong, `published_error` says
how and `recomputed` has the right figure: we must give the right one and not the printed one.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from math import acos, degrees, pi, sin, sqrt
from pathlib import Path
from typing import Any

import pytest

from deadfront.physics import current_transformers as ct
from tests.metering.wiring_model import WYE, Fitted, Nature

FILE = Path(__file__).parent / "circuits_and_sources.json"
CASES: dict[str, dict[str, Any]] = {
    case["id"]: case for case in json.loads(FILE.read_text(encoding="utf-8")) if case["id"].startswith(("CT-", "PWR-"))
}
Figures = dict[str, float]


def tolerance(case: dict[str, Any]) -> float:
    """Relative tolerance that a case states; "exact" is taken to nine digits."""
    found = re.search(r"([0-9.]+) ?%", case["tolerance"])
    return float(found[1]) / 100 if found else 1e-9


def ct_01(i: dict[str, Any]) -> Figures:
    loss, magnetizing = i["Ie_A"] * i["pf_e"], i["Ie_A"] * sqrt(1 - i["pf_e"] ** 2)
    actual = ct.actual_ratio(i["n"], i["Is_A"], loss, magnetizing)
    angle = degrees(ct.phase_error(i["n"], i["Is_A"], loss, magnetizing))
    return {"actual_ratio": actual, "ratio_error_pct": ct.ratio_error_percent(i["n"], actual),
            "phase_error_deg": angle, "phase_error_min": 60 * angle}  # fmt: skip


def ct_02(i: dict[str, Any]) -> Figures:
    angle = acos(i["pf"]) * (-1 if i["lead"] else 1)
    turns = 399.0  # a 2000/5 CT has about 400 turns; 299 is a misprint of 399
    actual = ct.actual_ratio(turns, 5, i["Iw_A"], i["Im_A"], angle)
    minutes = 60 * degrees(ct.phase_error(turns, 5, i["Iw_A"], i["Im_A"], angle))
    return {"ratio_error_pct": ct.ratio_error_percent(i["nominal"], actual), "phase_min": minutes,
            "ratio_error_pct_with_399_turns": ct.ratio_error_percent(i["nominal"], actual),
            "phase_min_with_399_turns": minutes, "inphase_A": 5 * (actual - turns)}  # fmt: skip


def ct_06(i: dict[str, Any]) -> Figures:
    return {"correct_kWh": ct.true_energy(i["registered_kWh"], i["accuracy_pct"])}


def ct_11(i: dict[str, Any]) -> Figures:
    elements = [1.0] * i["elements"]
    shown = [-each if n < i["reversed"] else each for n, each in enumerate(elements)]
    return {"registration_pct": ct.registration_percent(shown, elements)}


def ct_12(i: dict[str, Any]) -> Figures:
    return {"registration_at_unity_pct": ct.two_element_reversed_percent(1),
            "registration_at_0p866_pct": ct.two_element_reversed_percent(sqrt(3) / 2)}  # fmt: skip


def ct_13(i: dict[str, Any]) -> Figures:
    both = (i["P1_kW"], i["P2_kW"])
    return {"registration_pct": ct.registration_percent((both[0], -both[1]), both)}


def pwr_02(i: dict[str, Any]) -> Figures:
    angles = [2 * pi * n / i["N"] for n in range(i["N"])]
    watts, apparent, factor = ct.sampled_power(
        [i["Vpk"] * sin(each) for each in angles], [i["Ipk"] * sin(each - i["lag_rad"]) for each in angles]
    )
    return {"P_W": watts, "S_VA": apparent, "PF": factor}


WORKED: dict[str, Callable[[dict[str, Any]], Figures]] = {
    "CT-01": ct_01, "CT-02": ct_02, "CT-06": ct_06, "CT-11": ct_11, "CT-12": ct_12, "CT-13": ct_13, "PWR-02": pwr_02,
}  # fmt: skip


def test_every_case_is_worked() -> None:
    assert set(WORKED) == set(CASES)


@pytest.mark.parametrize("ident", WORKED)
def test_each_case_gives_the_right_figure(ident: str) -> None:
    case = CASES[ident]
    found, share, right = WORKED[ident](case["inputs"]), tolerance(case), case["recomputed"]
    wanted = {name: right.get(name, value) for name, value in case["result"].items()}
    if case["published_error"]:
        wanted = {name: value for name, value in right.items() if name in found}
    assert wanted
    for name, value in wanted.items():
        assert found[name] == pytest.approx(value, rel=share, abs=1e-9), name


@pytest.mark.parametrize("ident", [each for each, case in CASES.items() if case["published_error"]])
def test_a_misprint_is_not_what_we_get(ident: str) -> None:
    case = CASES[ident]
    found, share = WORKED[ident](case["inputs"]), tolerance(case)
    wrong = [name for name, value in case["result"].items() if found[name] != pytest.approx(value, rel=share)]
    assert set(wrong) == set(case["result"])


def test_registration_by_nature() -> None:
    """The same registration from phasors: one of three turned round is a third at any power factor (theory 5b)."""
    for angle in (0.0, 0.5, 1.0):
        load = 1000 * complex(1, angle)
        nature = Nature(WYE, {("c-k1", "L1"): load, ("c-h2", "L2"): load})
        legs = [Fitted([("c-k1", "L1", 1)], 1, "L1"), Fitted([("c-h2", "L2", 1)], 1, "L2")]
        true = [nature.power(each).real for each in legs]
        turned = [nature.power(Fitted(legs[0].window, -1, "L1")).real, true[1], true[1]]
        assert ct.registration_percent(turned, [true[0], true[1], true[1]]) == pytest.approx(100 / 3)


def test_one_doubled_leg_of_a_wye() -> None:
    # theory 5b: at power factor 0.8 one doubled leg reads 43 % high or low; at unity it is right
    assert ct.wye_doubling_error_percent(0.8) == pytest.approx(43.3, abs=0.05)
    assert ct.wye_doubling_error_percent(1) == 0
    # theory 5a: 0.84 % for 118 and 120 V
    assert abs(ct.split_doubling_error_percent(118, 120)) == pytest.approx(0.84, abs=0.005)


@pytest.mark.parametrize(("factor", "percent"), [(1.0, 0.015), (0.9, 0.85), (0.7, 1.8), (0.5, 3.0), (0.2, 8.6)])
def test_watts_off_by_one_degree(factor: float, percent: float) -> None:
    """The theory's table for one degree, to its printed digits; the sign is that of a current told to lead."""
    one = pi / 180
    found = max(abs(ct.power_error_percent(one, factor)), abs(ct.power_error_percent(-one, factor)))
    assert found == pytest.approx(percent, abs=0.06 if percent > 1 else 0.02)


def test_a_heater_tells_the_phase_error() -> None:
    assert degrees(ct.angle_by_heater(1000, 17.455)) == pytest.approx(1, abs=1e-4)


def test_burden() -> None:
    # hand: 5 A, 0.4 ohm of leads, 0.2 ohm of input: 25 x 0.6 = 15 VA
    assert ct.burden_va(5, 0.4, 0.2) == pytest.approx(15)


def test_samples_that_are_none_are_refused() -> None:
    with pytest.raises(ValueError, match="as many"):
        ct.sampled_power([1.0], [])
