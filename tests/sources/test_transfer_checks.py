"""What excludes what, sources that meet, trips of ground-fault protection, ratings, capacity, signs of standby."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.sources.rules.each import (
    transfer_capacity,
    transfer_excludes,
    transfer_fault_rating,
    transfer_ground_fault,
    transfer_parallel,
    transfer_rating,
    transfer_signs,
)
from deadfront.sources.rules.transfer.capacity import capacity_answers
from deadfront.worksheet.check import Check, Outcome, Severity
from tests.sources.standby_houses import SET, TRANSFER, facts_of_text, standby_text, text_of, thing

MODULES = (
    transfer_capacity, transfer_excludes, transfer_fault_rating, transfer_ground_fault, transfer_parallel,
    transfer_rating, transfer_signs,
)  # fmt: skip
MEETS, FAILS, OPEN, NONE = Outcome.MEETS, Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.NOT_APPLICABLE


def checks_of(text: str) -> list[Check]:
    """Every check of these rules on a job file, each said in both languages."""
    facts = facts_of_text(text)
    checks = [check for module in MODULES for check in module.checks(facts)]
    assert {check.id for check in checks} <= {ident for module in MODULES for ident in module.IDS}
    for language in ("en", "es"):
        catalog = Catalog(language, strict=True)
        for check in checks:
            said = [check.say, *filter(None, [check.remedy]), *(m.what for m in check.missing)]
            said += [m.how for m in check.missing]
            assert all("[" not in catalog.say(each) for each in said) and not catalog.lacking, catalog.lacking
            assert (check.outcome is OPEN) == bool(check.missing), check
            assert check.outcome is not FAILS or check.remedy is not None
    return checks


def one(checks: list[Check], ident: str, thing_id: str = "") -> Check:
    (check,) = [each for each in checks if each.id == ident and thing_id in ("", each.thing)]
    return check


def standby(*more: str, **changed: Any) -> list[Check]:
    return checks_of(standby_text(*more, **changed))


def test_the_house_as_it_should_be_has_nothing_to_correct() -> None:
    told = {c.id: c.outcome for c in standby() if c.outcome not in (MEETS, NONE)}
    assert told == {"transfer.fault_rating": OPEN}, "nothing is known of the fault current"


# --- what excludes what -------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("excludes", "outcome"), [(True, MEETS), (False, FAILS), (None, OPEN)])
def test_a_switch_excludes_or_endangers(excludes: bool | None, outcome: Outcome) -> None:
    check = one(standby(transfer={"excludes": excludes}), "transfer.excludes")
    assert check.outcome is outcome and check.severity is Severity.DANGER


def interlock(held: list[str], **more: Any) -> str:
    """An inlet on a backfed breaker, with an interlock that holds what is given."""
    blocks = (
        thing("breakers", {"id": "b-0mn", "panel": "p-1ma", "role": "main", "rating_a": 200, "poles": 2}),
        thing("breakers", {"id": "b-2in", "panel": "p-1ma", "role": "source", "rating_a": 30, "poles": 2}),
        thing("transfers", {"id": "t-2in", "kind": "interlock", "held_apart": held, "excludes": True, **more}),
        thing("sources", {"id": "s-2in", "kind": "inlet", "breaker": "b-2in", "neutral_bonded": False,
                          "ground_fault_protected": True, "bonding_sign": True,
                          "output_a": 30}),
    )  # fmt: skip
    return text_of(*blocks)


@pytest.mark.parametrize(
    ("held", "outcome", "how"),
    [(["b-0mn", "b-2in"], MEETS, "meets"), (["service", "b-2in"], MEETS, "meets"), (["b-2in"], FAILS, "main_free"),
     (["b-0mn"], FAILS, "source_free"), (["b-0mn", "b-1tr"], FAILS, "source_free"), ([], OPEN, "cannot_tell")],
)  # fmt: skip
def test_an_interlock_holds_main_and_source(held: list[str], outcome: Outcome, how: str) -> None:
    check = one(checks_of(interlock(held)), "transfer.excludes")
    assert check.outcome is outcome and check.say.key.endswith(how)


def test_a_generator_without_transfer_equipment_is_a_danger_and_an_interactive_source_is_not() -> None:
    lone: dict[str, Any] = {"id": "s-9ge", "kind": "generator", "joins": "supply side", "neutral_bonded": False}
    check = one(checks_of(text_of(thing("sources", lone))), "transfer.none")
    assert check.outcome is FAILS and check.severity is Severity.DANGER
    battery = {"id": "s-9ba", "kind": "battery", "grid_forming": True, "breaker": "b-1tr", "interactive": True}
    assert one(checks_of(text_of(thing("sources", battery))), "transfer.none").outcome is MEETS
    for interactive, outcome in ((False, FAILS), (None, OPEN)):
        told = {**battery, "interactive": interactive}
        assert one(checks_of(text_of(thing("sources", told))), "transfer.none").outcome is outcome
    named = {**lone, "joins": "transfer"}
    assert one(checks_of(text_of(thing("sources", named))), "transfer.none").outcome is OPEN, "which switch?"


def test_an_isolation_device_is_judged_by_its_listing() -> None:
    """It lets its battery run with the utility and parts them when that is lost: no two throws to exclude."""
    for listed, outcome in ((True, MEETS), (False, FAILS), (None, OPEN)):
        device = {"kind": "isolation device", "listed": listed, "alternate": None, "excludes": None}
        battery = {"kind": "battery", "grid_forming": True, "interactive": True, "joins": "breaker", "breaker": "b-8ba"}
        breaker = thing("breakers", {"id": "b-8ba", "panel": "p-2bu", "role": "source", "rating_a": 30, "poles": 2})
        checks = standby(breaker, transfer=device, source=battery)
        assert one(checks, "transfer.excludes").outcome is outcome
        assert not [each for each in checks if each.id == "transfer.none"]


# --- fault current ------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("sccr", "available", "outcome"), [(22, "10", MEETS), (5, "10", FAILS), (None, "10", OPEN),
                                                            (22, None, OPEN)])  # fmt: skip
def test_the_switch_withstands_what_is_ahead_of_it(sccr: int | None, available: str | None, outcome: Outcome) -> None:
    """Hand: 10 kA at the service; the switch stands on the service conductors, so that it sees all of it."""
    text = standby_text(transfer={"normal": "service", "rating_a": 200, "sccr_ka": sccr})
    if available is not None:
        known = f'utility = {{ fault_current_ka = {available}, fault_at = "service" }}\n[[before.panels]]'
        text = text.replace("[[before.panels]]", known, 1)
    assert one(checks_of(text), "transfer.fault_rating").outcome is outcome


# --- sources that meet --------------------------------------------------------------------------------------------
SECOND = {"id": "s-2ge", "name": "Second set", "kind": "generator", "joins": "transfer", "neutral_bonded": False,
          "portable": False, "output_a": 40, "output_breaker_a": 50, "bonding_sign": True}  # fmt: skip


def test_two_sets_on_one_switch_are_in_parallel_by_mistake() -> None:
    checks = standby(thing("sources", SECOND), transfer={"alternate": ["s-1ge", "s-2ge"]})
    assert one(checks, "transfer.parallel").outcome is FAILS
    ahead = {"id": "t-9ah", "kind": "manual switch", "normal": "s-2ge", "alternate": ["s-1ge"], "excludes": True,
             "neutral_switched": False, "neutral_joined": "no", "rating_a": 100}  # fmt: skip
    apart = standby(thing("sources", SECOND), thing("transfers", ahead), transfer={"alternate": ["t-9ah"]})
    assert not [each for each in apart if each.id == "transfer.parallel" and each.outcome is FAILS]


@pytest.mark.parametrize(("inhibit", "outcome"), [("Its contact opens while the set runs", MEETS), (None, OPEN)])
def test_solar_behind_a_generators_switch_must_be_kept_off(inhibit: str | None, outcome: Outcome) -> None:
    breaker = thing("breakers", {"id": "b-5pv", "panel": "p-2bu", "role": "source", "rating_a": 20, "poles": 2})
    solar = thing("sources", {"id": "s-5pv", "kind": "solar", "interactive": True, "breaker": "b-5pv",
                              "inhibit": inhibit})  # fmt: skip
    assert one(standby(breaker, solar), "transfer.parallel").outcome is outcome


# --- the trip of ground-fault protection --------------------------------------------------------------------------
TRIPS: list[tuple[dict[str, Any], dict[str, Any], Outcome]] = [
    ({"neutral_bonded": True, "ground_fault_protected": True}, {}, FAILS),
    ({"neutral_bonded": True, "ground_fault_protected": True}, {"neutral_switched": True}, MEETS),
    ({"neutral_bonded": False, "ground_fault_protected": True}, {}, MEETS),
    ({"neutral_bonded": True, "ground_fault_protected": False}, {}, MEETS),
    ({"neutral_bonded": True, "ground_fault_protected": None}, {}, OPEN),
    ({"neutral_bonded": None, "ground_fault_protected": True}, {}, OPEN),
    ({"neutral_bonded": True, "ground_fault_protected": True}, {"neutral_switched": None}, OPEN),
]


@pytest.mark.parametrize(("source", "transfer", "outcome"), TRIPS)
def test_a_portable_set_trips_where_neutral_current_has_two_ways(
    source: dict[str, Any], transfer: dict[str, Any], outcome: Outcome
) -> None:
    """Hand: two joins make two ways for neutral current; what goes by the second passes the protection by."""
    checks = standby(source={"portable": True, **source}, transfer=transfer)
    assert one(checks, "transfer.ground_fault_trip").outcome is outcome


def test_a_bonded_set_on_an_interlock_trips() -> None:
    text = interlock(["b-0mn", "b-2in"]).replace("neutral_bonded = false", "neutral_bonded = true")
    assert one(checks_of(text), "transfer.ground_fault_trip").outcome is FAILS


# --- ratings ------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("rating", "device", "outcome"), [(60, 60, MEETS), (50, 60, FAILS), (60, 100, FAILS),
                                                           (None, 60, OPEN), (100, None, OPEN)])  # fmt: skip
def test_rating_of_the_switch(rating: int | None, device: int | None, outcome: Outcome) -> None:
    """The breaker ahead of its normal side is 60 A; that of the set as given."""
    checks = standby(transfer={"rating_a": rating}, source={"output_breaker_a": device})
    assert one(checks, "transfer.rating").outcome is outcome


def test_a_switch_without_fuses_is_looked_past() -> None:
    """Hand: the unfused switch protects nothing; the 60 A breaker ahead of it is what counts."""
    switch: dict[str, Any] = {"id": "x-5sw", "fed_by": "b-1tr", "rating_a": 100}
    for fuse, fed, outcome in ((None, "b-1tr", FAILS), (40, "b-1tr", MEETS), (None, None, OPEN)):
        block = thing("switches", {**switch, "fuse_a": fuse, "fed_by": fed})
        changed = {"transfer": {"normal": "x-5sw", "rating_a": 50}, "source": {"output_breaker_a": 50}}
        assert one(standby(block, **changed), "transfer.rating").outcome is outcome


def test_a_switch_on_the_service_is_held_against_the_service_disconnect() -> None:
    check = one(standby(transfer={"normal": "service", "rating_a": 100}), "transfer.rating")
    assert check.outcome is FAILS and check.say.params["ahead"].low == 200  # type: ignore[attr-defined]


# --- capacity -----------------------------------------------------------------------------------------------------
AUTO = {"kind": "automatic switch", "load_connected": "automatically"}
LOADED = "\n".join((
    thing("breakers", {"id": "b-6wh", "panel": "p-2bu", "rating_a": 30, "poles": 2}),
    thing("circuits", {"id": "c-6wh", "breaker": "b-6wh"}),
    thing("loads", {"id": "l-6wh", "kind": "water_heater", "circuit": "c-6wh", "nameplate_w": 4800, "volts": 240}),
))  # fmt: skip


def test_by_hand_the_user_selects_and_unknown_is_asked() -> None:
    assert one(standby(), "transfer.capacity").outcome is NONE
    check = one(standby(transfer={"kind": "automatic switch", "load_connected": None}), "transfer.capacity")
    assert check.outcome is OPEN and [m.path for m in check.missing] == ["w-1aa/t-1aa.load_connected"]


@pytest.mark.parametrize(("output", "outcome"), [(50, MEETS), (20, MEETS), (19, FAILS)])
def test_full_load_behind_an_automatic_switch(output: int, outcome: Outcome) -> None:
    """Hand: one water heater of 4,800 W at 240 V is 20 A."""
    checks = standby(LOADED, transfer=AUTO, source={"output_a": output})
    check = one(checks, "transfer.capacity")
    assert check.outcome is outcome and check.step is not None and check.step.value.low == 20


EMS = {"id": "e-1ms", "set_point_a": 40, "listed": True, "lost_signal": "stops loads", "restricted_access": True}
MANAGED: list[tuple[str, dict[str, Any], int, Outcome, str]] = [
    ("2023", {}, 40, MEETS, "managed"),
    ("2023", {}, 39, FAILS, "managed"),
    ("2023", {"listed": None}, 50, OPEN, "managed"),
    ("2020", {"listed": None}, 50, MEETS, "managed"),
    ("2023", {"set_point_a": None}, 50, OPEN, "managed"),
    ("2023", {"lost_signal": "no limit"}, 19, FAILS, "full"),
]


@pytest.mark.parametrize(("edition", "system", "output", "outcome", "by"), MANAGED)
def test_managed_load_by_edition(edition: str, system: dict[str, Any], output: int, outcome: Outcome, by: str) -> None:
    block = thing("energy_management", {**EMS, **system})
    text = standby_text(block, LOADED, transfer={**AUTO, "managed_by": "e-1ms"}, source={"output_a": output},
                        edition=edition)  # fmt: skip
    check = one(checks_of(text), "transfer.capacity")
    (answer,) = capacity_answers(facts_of_text(text))
    assert (check.outcome, answer.by) == (outcome, by)


@pytest.mark.parametrize(("edition", "by", "outcome"), [("2026", "control", MEETS), ("2023", "full", OPEN)])
def test_a_power_control_setting_counts_from_2026(edition: str, by: str, outcome: Outcome) -> None:
    """Hand: two heaters of 20 A are 40 A; a setting of 24 A and a largest load of 20 A ask 24 A of 25 A.

    Without it: between 20 A, one alone, and 40 A, both at one time; whether 25 A carry that cannot be told.
    """
    more = LOADED.replace("6wh", "7wh")
    battery = {"kind": "battery", "grid_forming": True, "interactive": True, "output_a": 25, "control_limit_a": 24,
               "inhibit": "by its transfer switch", "managed_by": "e-1pc"}  # fmt: skip
    system = {"id": "e-1pc", "listed": True, "restricted_access": True, "lost_signal": "holds limit",
              "monitors": "service"}  # fmt: skip
    held = thing("energy_management", system)
    text = standby_text(LOADED, more, held, transfer=AUTO, source=battery, edition=edition)
    (answer,) = capacity_answers(facts_of_text(text))
    assert (answer.by, answer.outcome) == (by, outcome)
    assert answer.asked is not None and answer.asked.value.high == (24 if by == "control" else 40)


@pytest.mark.parametrize(
    ("facts", "by", "outcome"),
    [
        ({"listed": False}, "full", OPEN),
        ({"listed": None}, "control", OPEN),
        ({"lost_signal": "no limit"}, "full", OPEN),
    ],
)
def test_a_power_control_setting_that_may_not_count_leaves_all_the_load(
    facts: dict[str, Any], by: str, outcome: Outcome
) -> None:
    """Hand: as above, 20 to 40 A for 25 A."""
    battery = {"kind": "battery", "grid_forming": True, "interactive": True, "output_a": 25, "control_limit_a": 24,
               "inhibit": "by its transfer switch", "managed_by": "e-1pc"}  # fmt: skip
    system = {"id": "e-1pc", "listed": True, "restricted_access": True, "lost_signal": "holds limit",
              "monitors": "service", **facts}  # fmt: skip
    blocks = (LOADED, LOADED.replace("6wh", "7wh"), thing("energy_management", system))
    (answer,) = capacity_answers(facts_of_text(standby_text(*blocks, transfer=AUTO, source=battery, edition="2026")))
    assert (answer.by, answer.outcome) == (by, outcome) and answer.missing


def test_the_whole_house_is_the_calculated_load() -> None:
    found = "\n".join((
        thing("transfers", {**TRANSFER, **AUTO, "normal": "service"}, "before"),
        thing("sources", {**SET, "output_a": 100}, "before"),
        thing("units", {"id": "u-1aa", "floor_area_ft2": 2000, "small_appliance_circuits": 2, "laundry_circuits": 1},
              "before"),
    ))  # fmt: skip
    text = text_of(found=found).replace('fed_by = "service"', 'fed_by = "t-1aa"')
    facts = facts_of_text(text)
    (answer,) = capacity_answers(facts)
    relied = facts.load.method(facts.load.relied)
    if relied is not None and relied.rounded is not None:
        assert answer.asked is relied.rounded
    else:
        assert answer.outcome is OPEN and answer.missing


# --- signs --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("known", "outcome"), [(True, MEETS), (False, FAILS), (None, OPEN)])
def test_signs_and_electrodes(known: bool | None, outcome: Outcome) -> None:
    assert one(standby(source={"bonding_sign": known}), "transfer.bonding_sign").outcome is outcome
    switched = {"transfer": {"neutral_switched": True}}
    own = standby(source={"system_grounded": known, "neutral_bonded": True}, **switched)
    assert one(own, "transfer.system_ground").outcome is outcome
    assert not [each for each in own if each.id == "transfer.bonding_sign"]


@pytest.mark.parametrize(("held", "outcome"), [(["b-0mn", "b-2in"], MEETS), (["b-2in"], FAILS), ([], OPEN)])
def test_an_interlock_on_file_answers_for_its_breaker_in_the_circuits_too(held: list[str], outcome: Outcome) -> None:
    found = facts_of_text(interlock(held)).circuits.checks
    assert [each.outcome for each in found if each.id == "protection.kept_apart" and each.thing == "b-2in"] == [outcome]
