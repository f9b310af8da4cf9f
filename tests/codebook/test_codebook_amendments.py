"""Local amendments: what they may change, how they show, and that bad files are refused in one way only."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.codebook import (
    EDITIONS,
    Amendment,
    amendment_from_dict,
    as_dict,
    dwelling_rating,
    dwelling_size,
    open_book,
    read_amendments,
)
from deadfront.codebook.data_files import data
from deadfront.errors import JobUnreadable, NotAllowed, OutOfTable

MARLOW_FALLS = """
[set.service_min_one_family_a]
value = 150
unit = "A"
section = "8.20.040"

[set.fastened_excludes_evse]
value = false

[set.fastened_hp_min]
value = "1/3"
unit = "hp"

[[bar]]
rule = "dwelling_optional_load"
section = "8.20.045"

[[select]]
rule = "existing_hvac"
reading = "both_in_pool"

[[require]]
section = "8.20.050"
text = "Mark the service disconnect with the date of the calculation."

[[require]]
text = "Leave a copy at the panel."
"""


@pytest.fixture
def marlow_falls() -> Amendment:
    return read_amendments(MARLOW_FALLS, "Marlow Falls 8.20")


def test_a_set_value_is_cited_to_the_amendment(marlow_falls: Amendment) -> None:
    value = open_book("2023", amendments=(marlow_falls,)).value("service_min_one_family_a")
    assert value.number == 150
    assert (value.section, value.amended_by) == ("8.20.040", "Marlow Falls 8.20")
    assert (value.cite.code, value.cite.edition) == ("Marlow Falls 8.20", "2023")
    assert open_book("2023").value("service_min_one_family_a").number == 100


def test_values_that_are_not_numbers_can_be_set(marlow_falls: Amendment) -> None:
    book = open_book("2023", amendments=(marlow_falls,))
    assert book.value("fastened_excludes_evse").value is False
    assert book.value("fastened_hp_min").value == "1/3"
    assert book.value("fastened_hp_min").section == "Marlow Falls 8.20"


def test_a_barred_rule_names_its_amendment(marlow_falls: Amendment) -> None:
    book = open_book("2023", amendments=(marlow_falls,))
    assert book.barred("dwelling_optional_load") == "Marlow Falls 8.20"
    assert book.barred("dwelling_standard_load") is None
    assert open_book("2023").barred("dwelling_optional_load") is None


def test_a_selected_reading_names_its_amendment(marlow_falls: Amendment) -> None:
    book = open_book("2023", amendments=(marlow_falls,))
    assert book.selected("existing_hvac") == ("both_in_pool", "Marlow Falls 8.20")
    assert book.selected("cooking_demand") is None


def test_worded_requirements_are_shown_as_given(marlow_falls: Amendment) -> None:
    first, second = open_book("2023", amendments=(marlow_falls,)).requirements
    assert first.text == "Mark the service disconnect with the date of the calculation."
    assert (first.cite.section, first.cite.code) == ("8.20.050", "Marlow Falls 8.20")
    assert (second.amendment, second.cite.section) == ("Marlow Falls 8.20", "Marlow Falls 8.20")
    assert open_book("2023").requirements == ()


def test_a_later_amendment_wins(marlow_falls: Amendment) -> None:
    county = amendment_from_dict({"name": "county", "set": {"service_min_one_family_a": {"value": 125, "unit": "A"}}})
    assert open_book("2023", amendments=(marlow_falls, county)).value("service_min_one_family_a").number == 125
    assert open_book("2023", amendments=(county, marlow_falls)).value("service_min_one_family_a").number == 150


def test_amendments_change_the_digest(marlow_falls: Amendment) -> None:
    plain, amended = open_book("2023"), open_book("2023", amendments=(marlow_falls,))
    assert plain.digest != amended.digest
    again = read_amendments(MARLOW_FALLS.replace("150", "150.0"), "Marlow Falls 8.20")
    assert again == marlow_falls and open_book("2023", amendments=(again,)).digest == amended.digest


def test_it_travels_inside_a_job(marlow_falls: Amendment) -> None:
    assert amendment_from_dict(json.loads(json.dumps(as_dict(marlow_falls)))) == marlow_falls
    assert as_dict(Amendment("nothing")) == {"name": "nothing"}
    assert amendment_from_dict({"name": "nothing"}) == Amendment("nothing")


def test_an_amendment_outside_its_edition_is_refused(marlow_falls: Amendment) -> None:
    """2014 has no smallest horsepower for fastened appliances; 2026 has no reading of 220.83."""
    with pytest.raises(NotAllowed) as refused:
        open_book("2014", amendments=(marlow_falls,))
    assert refused.value.msg.params["found"] == "fastened_hp_min"
    with pytest.raises(NotAllowed) as refused:
        open_book("2026", amendments=(marlow_falls,))
    assert refused.value.msg.params["found"] == "existing_hvac: both_in_pool"
    with pytest.raises(NotAllowed):
        open_book("2023", amendments=(Amendment("by hand", barred=("no_such_rule",)),))


def test_another_percent_moves_the_dwelling_conductor_sizes() -> None:
    """Hand: at 100 percent of 200 A, copper 3/0 carries 200 A at 75 C; aluminum needs 250 (205 A)."""
    full = amendment_from_dict({"name": "full", "set": {"service_conductor_percent": {"value": 100, "unit": "%"}}})
    book = open_book("2023", amendments=(full,))
    assert dwelling_size(book, Decimal(200), "copper").value == "3/0"
    assert dwelling_size(book, Decimal(200), "aluminum").value == "250"
    assert dwelling_size(book, Decimal(200), "copper").cite.code == "full"
    found = dwelling_rating(book, "2/0", "copper")
    assert found is not None and found.value == 175
    huge = amendment_from_dict({"name": "huge", "set": {"service_conductor_percent": {"value": 200, "unit": "%"}}})
    with pytest.raises(OutOfTable):
        dwelling_size(open_book("2023", amendments=(huge,)), Decimal(400), "copper")


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ('[set.no_such_value]\nvalue = 1\nunit = "A"', "set"),
        ("set = 3", "set"),
        ("[set]\nservice_min_one_family_a = 3", "set.service_min_one_family_a"),
        ("[set.service_min_one_family_a]\nvalue = 150", "set.service_min_one_family_a.unit"),
        ('[set.service_min_one_family_a]\nvalue = 150\nunit = "VA"', "set.service_min_one_family_a.unit"),
        ('[set.service_min_one_family_a]\nunit = "A"', "set.service_min_one_family_a.value"),
        ('[set.service_min_one_family_a]\nvalue = true\nunit = "A"', "set.service_min_one_family_a.value"),
        ('[set.service_min_one_family_a]\nvalue = "lots"\nunit = "A"', "set.service_min_one_family_a.value"),
        ('[set.service_min_one_family_a]\nvalue = -1\nunit = "A"', "set.service_min_one_family_a.value"),
        ('[set.service_min_one_family_a]\nvalue = nan\nunit = "A"', "set.service_min_one_family_a.value"),
        ('[set.service_min_one_family_a]\nvalue = inf\nunit = "A"', "set.service_min_one_family_a.value"),
        ('[set.service_min_one_family_a]\nvalue = 1e300\nunit = "A"', "set.service_min_one_family_a.value"),
        ('[set.service_min_one_family_a]\nvalue = 1e-300\nunit = "A"', "set.service_min_one_family_a.value"),
        ('[set.service_min_one_family_a]\nvalue = 9\nunit = "A"\nwhy = "x"', "set.service_min_one_family_a"),
        ("[set.small_appliance_circuits_min]\nvalue = 2.5", "set.small_appliance_circuits_min.value"),
        ("[set.fastened_excludes_evse]\nvalue = 1", "set.fastened_excludes_evse.value"),
        ('[set.fastened_hp_min]\nvalue = "many"\nunit = "hp"', "set.fastened_hp_min.value"),
        ('[set.fastened_hp_min]\nvalue = 3\nunit = "hp"', "set.fastened_hp_min.value"),
        ('[[bar]]\nrule = "no_such_rule"', "bar 1.rule"),
        ("bar = 3", "bar"),
        ("bar = [3]", "bar 1"),
        ('[[bar]]\nrule = "farm_load"\n[[bar]]\nrule = 2', "bar 2.rule"),
        ('[[select]]\nrule = "general_rounding"\nreading = "x"', "select 1.rule"),
        ('[[select]]\nrule = "existing_hvac"\nreading = "x"', "select 1.reading"),
        ('[[select]]\nrule = "existing_hvac"\nreading = "left_out"\n'
         '[[select]]\nrule = "existing_hvac"\nreading = "both_in_pool"', "select 2"),
        ("[[require]]\nsection = 'x'", "require 1.text"),
        ("[[require]]\ntext = '  '", "require 1.text"),
        ('[[require]]\ntext = "\\u0007"', "require 1.text"),
        ("[[require]]\ntext = 'x'\nsection = 4", "require 1.section"),
        ("colour = 3", ""),
    ],
)  # fmt: skip
def test_bad_amendments_say_where_and_what_is_allowed(text: str, where: str) -> None:
    with pytest.raises(JobUnreadable) as refused:
        read_amendments(text, "Marlow Falls")
    params = refused.value.msg.params
    assert refused.value.msg.key == "codebook.file_entry"
    assert (params["file"], params["where"]) == ("Marlow Falls", where)
    assert params["allowed"]


def test_what_is_not_toml_or_too_long_is_refused() -> None:
    for text in ("[", "a = 1\na = 2", "a = " + "[" * 50_000, "a = " + "9" * 5000, "\x00"):
        with pytest.raises(JobUnreadable) as refused:
            read_amendments(text, "bad")
        assert refused.value.msg.key == "codebook.file_not_toml"
    with pytest.raises(JobUnreadable) as refused:
        read_amendments("#" * 200_001, "bad")
    assert refused.value.msg.key == "codebook.file_too_long"
    with pytest.raises(JobUnreadable):
        read_amendments("", " ")


def test_figures_from_json_are_taken_as_typed() -> None:
    def of(value: object) -> object:
        told = {"name": "x", "set": {"lighting_unit_load": {"value": value, "unit": "VA/ft2"}}}
        return amendment_from_dict(told).values[0][1].value

    assert of(2.1) == of("2.1") == Decimal("2.1")
    assert str(of(3.0)) == "3" and str(of("1E2")) == "100" and str(of("-0")) == "0"
    for bad in (float("nan"), float("inf"), None, [], {}, -0.5, 10**5000, "\ud800"):
        with pytest.raises(JobUnreadable):
            of(bad)


def test_lone_surrogates_and_endless_nesting_are_refused() -> None:
    deep: list[object] = []
    for _ in range(5000):
        deep = [deep]
    for written in ({"name": "\ud800"}, {"name": deep}, {"name": "x", "bar": [deep]}, [], "x", None, {3: 4}):
        with pytest.raises(JobUnreadable):
            amendment_from_dict(written)


_WORDS = st.sampled_from(
    ["name", "set", "bar", "select", "require", "rule", "reading", "text", "section", "value", "unit", "A", "%", "VA",
     "existing_hvac", "left_out", "service_min_one_family_a", "dwelling_optional_load", "fastened_hp_min", "1/3"]
)  # fmt: skip
_LEAVES = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | _WORDS
_ANYTHING = st.recursive(
    _LEAVES,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_WORDS | st.text(max_size=4), inner, max_size=4),
)


@settings(max_examples=150)
@given(st.dictionaries(_WORDS, _ANYTHING, max_size=5) | _ANYTHING)
def test_any_data_gives_an_amendment_or_one_kind_of_error(written: object) -> None:
    try:
        amendment = amendment_from_dict(written)
    except JobUnreadable:
        return
    assert amendment_from_dict(as_dict(amendment)) == amendment


@settings(max_examples=150)
@given(st.text(max_size=60) | st.lists(st.sampled_from(MARLOW_FALLS.splitlines()), max_size=12).map("\n".join))
def test_any_text_gives_an_amendment_or_one_kind_of_error(text: str) -> None:
    try:
        amendment = read_amendments(text, "fuzz")
    except JobUnreadable:
        return
    assert amendment_from_dict(as_dict(amendment)) == amendment


@settings(max_examples=60)
@given(st.sampled_from(sorted(data().values)), st.decimals(0, 100_000, places=2))
def test_any_value_an_edition_has_can_be_set_and_stands(name: str, number: Decimal) -> None:
    unit = data().values[name]["unit"]
    written = {"name": "x", "set": {name: {"value": str(number), "unit": unit}}}
    try:
        amendment = amendment_from_dict(written)
    except JobUnreadable:
        assert unit in ("", "hp")  # yes/no, whole numbers and horsepower are narrower
        return
    for edition in EDITIONS:
        if open_book(edition).has(name):
            assert open_book(edition, amendments=(amendment,)).value(name).value == number
