"""Figures that worked examples and public pages print, against the code book."""

from __future__ import annotations

from decimal import Decimal

import pytest

from deadfront.codebook import EDITIONS, open_book


@pytest.mark.parametrize(
    ("name", "figures"),
    [
        # one line per value: 2014, 2017, 2020, 2023, 2026; "-" where the edition has no such value
        ("lighting_unit_load", "3 3 3 3 2"),  # published: forum quotes of 2020 and 2023; lighting trade page on 2026
        ("small_appliance_circuit_load", "1500 1500 1500 1500 1500"),  # published: Annex D1(a)
        ("laundry_circuit_load", "1500 1500 1500 1500 1500"),  # published: Annex D1(a)
        ("small_appliance_circuits_min", "2 2 2 2 2"),  # published: Annex D1(a)
        ("laundry_circuits_min", "1 1 1 1 1"),  # published: Annex D1(a)
        ("fastened_percent", "75 75 75 75 75"),  # published: Electrical Contractor, 220.53 example
        ("fastened_count_min", "4 4 4 4 4"),  # published: license-renewal course, 220.53
        ("fastened_va_min", "- - 500 500 500"),  # published: license-renewal course on 2020
        ("dryer_va_min", "5000 5000 5000 5000 5000"),  # published: forum quote of 220.54
        ("cooking_va_min", "1750 1750 1750 1750 1750"),  # published: forum quote of 220.55
        ("cooking_note_step_percent", "5 5 5 5 5"),  # published: Annex D6
        ("motor_adder_percent", "25 25 25 25 25"),  # published: Annex D1(b)
        ("evse_va_min", "- - - 7200 7200"),  # published: continuing-education lesson on 220.57
        ("neutral_cooking_percent", "70 70 70 70 70"),  # published: Annex D1(a), 8000 -> 5600
        ("neutral_dryer_percent", "70 70 70 70 70"),  # published: Annex D1(a), 5500 -> 3850
        ("optional_first_va", "10000 10000 10000 10000 8000"),  # published: Annex D2(a); lighting trade page on 2026
        ("optional_rest_percent", "40 40 40 40 40"),  # published: Annex D2(a), 19,700 -> 7880
        ("optional_supplement_percent", "65 65 65 65 65"),  # published: Annex D2(c), 15,000 -> 9750
        ("optional_heat_many_percent", "40 40 40 40 40"),  # published: Annex D2(a), 9000 -> 3600
        ("optional_heat_few_percent", "65 65 65 65 65"),  # from memory
        ("existing_first_va", "8000 8000 8000 8000 -"),  # published: trade magazine on existing dwellings
        ("existing_rest_percent", "40 40 40 40 -"),  # published: the same
        ("service_min_one_family_a", "100 100 100 100 100"),  # published: Annex D1(a)
        ("service_conductor_percent", "83 83 83 83 83"),  # published: trade magazine on 310.12
        ("next_size_up_upto_a", "800 800 800 800 800"),  # published: pages on 240.4(B)
    ],
)
def test_values_by_edition(name: str, figures: str) -> None:
    for edition, figure in zip(EDITIONS, figures.split(), strict=True):
        book = open_book(edition)
        assert book.has(name) == (figure != "-")
        if figure != "-":
            assert book.value(name).number == Decimal(figure)


def test_values_that_are_not_numbers() -> None:
    book = open_book("2023")
    assert book.value("fastened_hp_min").value == "1/4"
    assert book.value("fastened_excludes_evse").value is True
    assert open_book("2020").value("fastened_excludes_evse").value is False
    for name in ("fastened_hp_min", "fastened_excludes_evse"):
        with pytest.raises(TypeError):
            _ = book.value(name).number


def test_marks_stand_on_what_comes_from_memory() -> None:
    book = open_book("2023")
    assert book.value("optional_heat_few_percent").cite.marked
    assert not book.value("optional_rest_percent").cite.marked


def test_evse_by_edition() -> None:
    """2014 to 2020 name no EVSE load; 2023 has the minimum; 2026 nameplate first and outside the tiers."""
    bases = [open_book(each).rule("evse_load").params["basis"] for each in EDITIONS]
    assert bases == ["none"] * 3 + ["larger_of_minimum_and_nameplate", "nameplate_or_minimum_if_unknown"]
    places = [open_book(each).rule("evse_in_optional").params["place"] for each in EDITIONS]
    assert places == ["pool"] * 4 + ["outside_tiers"]


def test_disputed_readings_by_edition() -> None:
    def readings(subject: str) -> list[tuple[str, ...]]:
        return [open_book(each).rule(subject).readings for each in EDITIONS if open_book(each).has(subject)]

    ev = ("pool_at_least_7200", "pool_nameplate")
    assert readings("evse_in_optional") == [(), (), (), ev, ()]
    assert readings("evse_in_existing") == [(), (), (), ev]
    assert readings("existing_hvac") == [("larger_at_100", "both_in_pool", "left_out")] * 4
    assert readings("cooking_demand") == [("own_columns", "note_2_all")] * 5
    assert readings("noncoincident_loads") == [(), ()] + [("per_alternative", "quarter_of_dropped")] * 3


def test_sections_that_move() -> None:
    def sections(subject: str) -> list[str]:
        return [open_book(each).rule(subject).section for each in EDITIONS]

    assert sections("dwelling_optional_load") == ["220.82"] * 4 + ["120.82"]
    assert sections("service_conductors_83") == ["310.15(B)(7)"] * 2 + ["310.12"] * 3
    assert open_book("2026").rule("energy_management_load").section == "120.7"


def test_fastened_appliances_by_edition() -> None:
    """License-renewal course on 2020: first exclusion was electric ranges only, no size floor; 2023 adds EVSE."""
    rules = [open_book(each).rule("fastened_appliances").params for each in EDITIONS]
    assert [rule["size_floor"] for rule in rules] == [False, False, True, True, True]
    assert [("range" in rule["never"], "cooking" in rule["never"], "evse" in rule["never"]) for rule in rules] == [
        (True, False, False), (True, False, False), (False, True, False), (False, True, True), (False, True, True)
    ]  # fmt: skip
