"""Every rule of the metering plan: what meets, what fails and by how much, what cannot be told."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from deadfront.metering.rules.registry import check_ids
from deadfront.worksheet.check import Check, Outcome, Severity
from tests.metering.metered import BREAKERS, CIRCUITS, GEAR, GOOD, assessed, english, one

MEETS, FAILS, OPEN, NONE = Outcome.MEETS, Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.NOT_APPLICABLE
WH = {"measures": "c-wh1", "rating_a": 60, "primary_a": 60, "set_primary_a": 60}
"""The good channel on the water heater: two hots, no neutral."""
RANGE = WH | {"measures": "c-rr1"}
MAINS = {"measures": "service", "role": "mains", "rating_a": 200, "primary_a": 200, "set_primary_a": 200}
CURRENT = {"output": "current", "secondary_mv": None, "secondary_ma": 5000, "built_in_burden": None}
DRYER = [{"id": "l-dd1", "kind": "dryer", "circuit": "c-rr1", "nameplate_w": 5400, "neutral": True}]
NO_WORD = {"id": "l-dd1", "kind": "range", "circuit": "c-rr1", "nameplate_w": 8000}
UNITY = [{"id": "l-hh1", "kind": "water_heater", "circuit": "c-wh1", "nameplate_w": 4500, "power_factor": 1}]
BARE = [{"id": "c-rr1", "name": "Range", "breaker": "b-rr1", "cable": {"conductors": 2}}, *CIRCUITS[1:]]
SOLAR = [{"id": "s-ab1", "kind": "solar", "breaker": "b-rr1"}]

CASES: list[tuple[str, dict[str, Any], dict[str, Any], Outcome, str]] = [
    ("placed", {}, {}, MEETS, "leg L1"),
    ("placed", {"leg": "L2"}, {}, FAILS, "stands on L1"),  # hand: space 2 is in the first row, the first leg
    ("placed", {"leg": "L3"}, {}, FAILS, "has L1 and L2"),
    ("placed", {"input": None}, {}, OPEN, ""),
    ("placed", {"measures": "c-kk1"}, {"breakers": [*BREAKERS[:2], {"id": "b-kk1"}, BREAKERS[3]]}, OPEN, ""),
    ("voltage", {}, {}, MEETS, ""),
    ("voltage", {"voltage_leg": "L2"}, {}, FAILS, "negative"),
    ("voltage", {"voltage_leg": "L2"}, {"system": "208Y/120 1ph 3w"}, FAILS, "minus half"),
    ("voltage", {"voltage_leg": None}, {}, OPEN, ""),
    ("voltage", {"voltage_leg": "L2", "arrow_fitted_to": "load"}, {}, FAILS, "looks right"),
    ("voltage", {"voltage_leg": "L2"}, {"system": None}, FAILS, "hangs on"),
    ("arrow", {}, {}, MEETS, "source"),
    ("arrow", {"arrow_points_to": "load", "arrow_fitted_to": "load"}, {}, MEETS, "load"),
    ("arrow", {"arrow_fitted_to": "load"}, {}, FAILS, "negative"),
    ("arrow", {"arrow_fitted_to": "load", "voltage_leg": "L2"}, {}, FAILS, "cancel"),
    ("arrow", {"arrow_fitted_to": "load", "voltage_leg": "L2"}, {"system": "208Y/120 1ph 3w"}, FAILS, "plus half"),
    ("arrow", {"arrow_points_to": None}, {}, OPEN, "Makes differ"),
    ("window", {}, {}, MEETS, "one hot"),
    ("window", {"window": "hot and neutral"}, {}, FAILS, "leakage"),
    ("window", {"window": "whole cable"}, {}, FAILS, "leakage"),
    ("window", WH | {"window": "two hots, same way"}, {}, FAILS, "cancel"),
    ("window", WH | {"window": "two hots, one turned"}, {}, MEETS, "both currents"),
    ("window", WH | {"window": "two hots, one turned"}, {"system": "208Y/120 3ph 4w"}, FAILS, "120 degrees"),
    ("window", {"window": "two hots, one turned"}, {}, FAILS, "has one"),
    ("window", {"window": None}, {}, OPEN, ""),
    ("opening", {}, {}, MEETS, "0.2 in"),
    ("opening", {"conductor_in": "0.5"}, {}, FAILS, "not close"),
    ("opening", {"conductor_in": None}, {}, OPEN, ""),
    ("rating", {}, {}, MEETS, "20 A"),
    ("rating", {"rating_a": 15}, {}, FAILS, "saturates"),
    ("rating", {"turns": 3}, {}, FAILS, "60 A"),  # hand: 20 A three times
    ("rating", WH | {"window": "two hots, one turned"}, {}, MEETS, "60 A"),  # hand: 2 x 30 A
    ("rating", WH | {"window": "two hots, one turned", "rating_a": 50}, {}, FAILS, "60 A"),
    ("rating", MAINS, {}, MEETS, "200 A"),
    ("rating", {"rating_a": None}, {}, OPEN, ""),
    ("ratio", {}, {}, MEETS, ""),
    ("ratio", {"set_primary_a": 100}, {}, FAILS, "2 times"),  # hand: 100 / 50
    ("ratio", {"turns": 2}, {}, FAILS, "2 times"),  # hand: 50 x 2 / 50
    ("ratio", {"turns": 2, "set_primary_a": 25}, {}, MEETS, ""),
    ("ratio", {"turns": 3, "set_primary_a": "16.667"}, {}, MEETS, ""),
    ("ratio", {"secondary_ma": 5000}, {}, FAILS, "one of them"),
    ("ratio", {"secondary_mv": None, "secondary_ma": 5000}, {}, FAILS, "secondary current"),
    ("ratio", {"output": "current"}, {}, FAILS, "secondary voltage"),
    ("ratio", {"set_primary_a": None}, {}, OPEN, ""),
    ("burden", {}, {}, NONE, "built in"),
    ("burden", CURRENT, {}, OPEN, ""),
    # hand: 2 x 50 ft x 7.95 ohm/kft = 0.795 ohm, and 0.1 of the input
    ("burden", CURRENT | {"burden_max_ohm": 1, "burden_ohm": "0.1", "lead_ft": 50, "lead_size": "18"}, {}, MEETS,
     "0.895"),
    ("burden", CURRENT | {"burden_max_ohm": "0.8", "burden_ohm": "0.1", "lead_ft": 50, "lead_size": "18"}, {}, FAILS,
     "0.895"),
    ("open_secondary", {}, {}, MEETS, "unplugged"),
    ("open_secondary", {"built_in_burden": None}, {}, OPEN, "dangerous"),
    ("open_secondary", {"output": None}, {}, OPEN, "dangerous"),
    ("open_secondary", CURRENT, {}, OPEN, "dangerous"),
    ("open_secondary", CURRENT | {"shorting": True}, {}, MEETS, "shorts it"),
    ("open_secondary", CURRENT | {"shorting": False}, {}, FAILS, "dangerous volts"),
    ("doubling", {}, {}, MEETS, ""),
    ("doubling", {"doubled": "watts"}, {}, FAILS, "twice"),
    ("doubling", WH | {"doubled": "watts"}, {}, MEETS, "(V1 - V2)/(V1 + V2)"),
    ("doubling", WH, {}, FAILS, "half"),
    ("doubling", WH | {"doubled": "amperes"}, {}, FAILS, "only watts"),
    ("doubling", WH | {"window": "two hots, one turned"}, {}, MEETS, "without doubling"),
    ("doubling", WH | {"window": "two hots, one turned", "doubled": "watts"}, {}, FAILS, "twice"),
    ("doubling", RANGE | {"doubled": "watts"}, {}, OPEN, "neutral"),
    ("doubling", RANGE | {"doubled": "watts", "neutral_w": 400}, {}, FAILS, "V1 I1 - V2 I2"),
    ("doubling", WH | {"doubled": "watts"}, {"system": "208Y/120 1ph 3w"}, FAILS, "43.30 %"),
    ("doubling", WH, {"system": "208Y/120 1ph 3w"}, FAILS, "shows half"),
    ("doubling", WH | {"doubled": "amperes"}, {"system": "208Y/120 1ph 3w"}, FAILS, "doubles amperes"),
    ("doubling", WH | {"doubled": "watts"}, {"system": "208Y/120 1ph 3w", "loads": UNITY}, MEETS, "power factor 1"),
    ("doubling", WH | {"doubled": "watts", "neutral_w": 9}, {"system": "208Y/120 1ph 3w", "loads": UNITY}, FAILS,
     "uses the neutral"),
    ("doubling", RANGE | {"neutral_w": 400}, {"loads": DRYER}, FAILS, "about half"),
    ("doubling", RANGE | {"neutral_w": 400, "doubled": "amperes"}, {"loads": DRYER}, FAILS, "neither"),
    ("doubling", RANGE | {"neutral_w": 6000, "doubled": "watts"}, {"loads": DRYER}, FAILS, "no larger than the whole"),
    ("doubling", RANGE | {"neutral_w": 0, "doubled": "watts"}, {"loads": DRYER}, FAILS, "as 0 W"),
    # two insulated conductors and a bare one that an old range uses as neutral
    ("doubling", RANGE | {"doubled": "watts"}, {"circuits": BARE, "loads": DRYER}, OPEN, "bare one"),
    ("doubling", RANGE | {"doubled": "watts"}, {"circuits": BARE, "loads": [NO_WORD]}, OPEN, "neutral"),
    ("doubling", RANGE | {"doubled": "watts"}, {"circuits": BARE, "loads": [NO_WORD | {"neutral": False}]}, MEETS,
     "at most"),
    ("doubling", MAINS, {}, FAILS, "other leg"),
    ("doubling", {"doubled": None}, {}, OPEN, ""),
    ("position", MAINS, {}, OPEN, ""),
    ("position", MAINS, {"complete": {"sources": "yes"}}, NONE, "no source"),
    ("position", MAINS | {"position": "net"}, {"sources": SOLAR}, MEETS, "net"),
    ("position", MAINS | {"position": "gross"}, {"sources": SOLAR}, FAILS, "missing"),
    ("position", MAINS | {"position": "net", "sources_join": "line side"}, {"sources": SOLAR}, FAILS, "counted as use"),
    ("position", MAINS | {"position": "net"}, {"sources": [SOLAR[0] | {"joins": "supply side"}]}, OPEN, "side"),
    ("position", MAINS, {"sources": SOLAR}, OPEN, ""),
    ("low_load", {}, {}, OPEN, ""),
    ("sum_check", {}, {}, OPEN, "L1 and L2"),
    ("sum_check", {}, {"complete": {"channels": "yes"}}, FAILS, "hides"),
    ("taps", {}, {}, OPEN, ""),
    ("taps", {}, {"gear": [GEAR | {"taps": "none"}]}, FAILS, "burns"),
    ("taps", {}, {"gear": [GEAR | {"taps": "a breaker", "taps_breaker": "b-kk1", "taps_max_a": 20}]}, MEETS, "20 A"),
    ("taps", {}, {"gear": [GEAR | {"taps": "a breaker", "taps_breaker": "b-kk2", "taps_max_a": 20}]}, FAILS,
     "stands on L2"),
    ("taps", {"voltage_leg": "L2"}, {"gear": [GEAR | {"taps": "a breaker", "taps_breaker": "b-kk1", "taps_max_a": 20}]},
     FAILS, "voltage of L2"),
    ("taps", {}, {"gear": [GEAR | {"taps": "a breaker", "taps_breaker": "b-rr1", "taps_max_a": 20}]}, FAILS, "50 A"),
    ("taps", {}, {"gear": [GEAR | {"taps": "fuses in the leads", "taps_a": 1, "taps_max_a": 5}]}, MEETS, "1 A"),
    ("taps", {}, {"gear": [GEAR | {"taps": "fuses in the leads", "taps_a": 1}]}, OPEN, ""),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "channel", "house", "wanted", "told"), CASES)
def test_each_rule(rule: str, channel: dict[str, Any], house: dict[str, Any], wanted: Outcome, told: str) -> None:
    check = one(f"metering.{rule}", channel, **house)
    assert check.outcome is wanted, english(check)
    assert told in english(check)
    assert bool(check.missing) is (wanted is OPEN)
    assert (check.remedy is not None) is (wanted is FAILS)


def test_every_rule_is_tried_here() -> None:
    assert {f"metering.{case[0]}" for case in CASES} | {"metering.same_conductor"} == set(check_ids())


def test_two_on_one_conductor_or_one_input() -> None:
    second = GOOD | {"id": "ch-aa2", "input": "4", "measures": "c-kk2", "leg": "L2", "voltage_leg": "L2"}
    assert one("metering.same_conductor", {}, second).outcome is MEETS
    assert one("metering.same_conductor", {}, second | {"input": "3"}).outcome is FAILS
    assert one("metering.same_conductor", {}, second | {"measures": "c-kk1", "leg": "L1"}).outcome is FAILS
    assert one("metering.same_conductor", {"input": None}, second).outcome is OPEN


def test_two_cts_on_two_hots() -> None:
    second = GOOD | RANGE | {"id": "ch-aa2", "input": "4", "leg": "L2", "voltage_leg": "L2"}
    assert one("metering.doubling", RANGE, second).outcome is MEETS
    assert one("metering.doubling", RANGE | {"doubled": "watts"}, second).outcome is FAILS
    assert one("metering.doubling", RANGE, second, system="208Y/120 1ph 3w").outcome is MEETS


def test_mains_on_every_leg_let_branches_be_summed() -> None:
    mains = [GOOD | MAINS | {"id": f"ch-mm{n}", "input": f"M{n}", "leg": f"L{n}", "voltage_leg": f"L{n}"}
             for n in (1, 2)]  # fmt: skip
    assert one("metering.sum_check", {}, *mains).outcome is MEETS
    check = one("metering.sum_check", {}, *mains, system="208Y/120 3ph 4w")
    assert check.outcome is OPEN and "L3" in english(check) and "L1" not in english(check)


def step_of(check: Check) -> Decimal:
    """The figure a check rests on, its largest."""
    assert check.step is not None and check.step.value.high is not None
    return check.step.value.high


def test_how_far_doubling_is_off() -> None:
    # practice notes: 5000 W element and 400 W motor on the sensed leg, doubled: +7.4 %; hand: 400 / 5400 = 7.407 %
    check = one("metering.doubling", RANGE | {"doubled": "watts", "neutral_w": 400}, loads=DRYER)
    assert round(step_of(check), 1) == Decimal("7.4") and "7.41 %" in english(check)
    # hand: one leg at 126 V, the other at 114 V: (126 - 114) / (126 + 114) = 12 / 240 = 5.0 %, the most there is
    watts = one("metering.doubling", WH | {"doubled": "watts"})
    assert step_of(watts) == 5 and "at most 5" in english(watts)
    most = max(
        abs(a - b) / (a + b) for a in range(114, 127) for b in range(114, 127)
    )  # independent: every pair of volts
    assert round(100 * most, 9) == 5
    # theory: at power factor 0.8 one doubled leg of a wye reads 43 % high or low; hand: 0.75 x 0.57735 = 43.3 %
    wye = one("metering.doubling", WH | {"doubled": "watts"}, system="208Y/120 1ph 3w")
    assert round(step_of(wye), 1) == Decimal("43.3")
    assert step_of(one("metering.doubling", WH | {"doubled": "watts"}, system="208Y/120 1ph 3w", loads=UNITY)) == 0
    # the worst load on the circuit counts: hand: tan(acos 0.6) = 1.3333, times 0.57735 = 77.0 %
    mixed = [*UNITY, UNITY[0] | {"id": "l-hh2", "power_factor": "0.6"}]
    wye = one("metering.doubling", WH | {"doubled": "watts"}, system="208Y/120 1ph 3w", loads=mixed)
    assert round(step_of(wye), 1) == Decimal("77.0")


def test_lead_protection_counts_for_old_gear_too() -> None:
    assert one("metering.taps", {}, new=False).severity is Severity.CORRECT
    on_one = GEAR | {"taps": "a breaker", "taps_breaker": "b-kk1", "taps_max_a": 20}
    no_spaces = [{key: value for key, value in each.items() if key != "spaces"} for each in BREAKERS]
    second = GOOD | {"id": "ch-aa2", "input": "4", "measures": "c-kk2", "leg": "L2", "voltage_leg": "L2"}
    check = one("metering.taps", {}, second, gear=[on_one], breakers=no_spaces)
    assert check.outcome is FAILS and "1 pole" in english(check)


def test_small_loads_are_noise_on_a_large_one() -> None:
    loads = [{"id": "l-ww1", "kind": "water_heater", "circuit": "c-wh1", "nameplate_w": 4500}]
    # hand: 4500 W at 240 V is 18.75 A; 10 % of 200 A is 20 A, 1 % of 60 A is 0.6 A
    large = WH | {"rating_a": 200, "accurate_from_percent": 10}
    check = one("metering.low_load", large, loads=loads)
    assert (check.outcome, check.severity) == (FAILS, Severity.NOTE) and "20 A" in english(check)
    assert one("metering.low_load", WH, loads=loads).outcome is MEETS


def test_danger_stands_for_old_channels_too_and_the_rest_are_notes() -> None:
    old = one("metering.open_secondary", CURRENT | {"shorting": False}, new=False)
    assert (old.outcome, old.severity) == (FAILS, Severity.DANGER)
    assert one("metering.arrow", {"arrow_fitted_to": "load"}, new=False).severity is Severity.NOTE


def test_nothing_is_said_without_channels() -> None:
    assert assessed().metering.checks == () and assessed().metering.channels == ()
