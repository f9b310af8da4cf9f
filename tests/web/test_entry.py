"""What is typed into lines: spaces, cables, nameplates, numbers; each refusal says what is allowed."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.documents.catalog import Catalog
from deadfront.job.things import Cable, Load
from deadfront.web.entry import typed as t
from deadfront.web.entry.circuits import cable_text
from deadfront.web.entry.loads import kind_and_name, plate_text
from deadfront.web.tables import kinds_said

EN = Catalog("en", strict=True)


@pytest.mark.parametrize(
    ("text", "spaces", "half"),
    [
        ("1, 3", (1, 3), None),
        ("1,3", (1, 3), None),
        ("1 3", (1, 3), None),
        ("5-7", (5, 7), None),
        ("5/7", (5, 7), None),
        ("14", (14,), None),
        ("13a", (13,), "a"),
        ("13 B", (13,), "b"),
        ("", (), None),
    ],
)
def test_spaces_as_typed(text: str, spaces: tuple[int, ...], half: str | None) -> None:
    assert t.spaces("spaces", text) == (spaces, half)


@pytest.mark.parametrize("text", ["1, 3, 5", "0", "85", "one", "1, 1", "1a, 3a", "-3x", "1e3"])
def test_spaces_that_are_none(text: str) -> None:
    with pytest.raises(t.BadEntry) as error:
        t.spaces("spaces", text)
    assert EN.say(error.value.msg)


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("12-2 NM", {"size": "12", "conductors": 2, "type": "NM"}),
        ("8-3 SE Al", {"size": "8", "conductors": 3, "type": "SE", "metal": "aluminum"}),
        ("12/2 w/g NM-B", {"size": "12", "conductors": 2, "type": "NM-B"}),
        ("3/0 Al", {"size": "3/0", "metal": "aluminum"}),
        ("4/0-3 SER Al", {"size": "4/0", "conductors": 3, "type": "SER", "metal": "aluminum"}),
        ("10-3", {"size": "10", "conductors": 3}),
        ("MC", {"type": "MC"}),
        ("", {}),
    ],
)
def test_cables_as_they_are_called(text: str, fields: dict[str, object]) -> None:
    assert t.cable("cable", text) == fields


@pytest.mark.parametrize("text", ["13-2 NM", "12-9 NM", "NM 99"])
def test_cables_that_are_none(text: str) -> None:
    with pytest.raises(t.BadEntry) as error:
        t.cable("cable", text)
    assert "12-2 NM" in EN.say(error.value.msg)


@pytest.mark.parametrize("text", ["12-2 NM", "8-3 SE Al", "3/0 Al", "10-3", "MC"])
def test_a_cable_is_shown_as_it_was_typed(text: str) -> None:
    assert cable_text(Cable.model_validate(t.cable("cable", text))) == text


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("4.5 kW", "nameplate_w", Decimal(4500)),
        ("4500W", "nameplate_w", Decimal(4500)),
        ("1.2 kVA", "nameplate_va", 1200),
        ("12 A", "nameplate_a", Decimal(12)),
        ("17.5 A MCA", "minimum_circuit_ampacity_a", Decimal("17.5")),
        ("MCA 17.5", "minimum_circuit_ampacity_a", Decimal("17.5")),
        ("1/2 hp", "hp", "1/2"),
        ("1-1/2 HP", "hp", "1-1/2"),
        ("1 1/2 hp", "hp", "1-1/2"),
    ],
)
def test_nameplates_as_typed(text: str, field: str, value: object) -> None:
    got = t.nameplate("nameplate", text)
    assert got[field] == value
    assert [name for name, each in got.items() if each is not None] == [field]
    assert plate_text(Load.model_validate({"id": "l-aaa", "kind": "other", **got}))


@pytest.mark.parametrize("text", ["4500", "12 V", "abc", "4.5 kW 12 A", "-5 W"])
def test_nameplates_that_are_not_understood(text: str) -> None:
    with pytest.raises(t.BadEntry) as error:
        t.nameplate("nameplate", text)
    assert text in EN.say(error.value.msg) and "W" in EN.say(error.value.msg)


def test_a_number_without_its_unit_is_asked_for_never_guessed() -> None:
    with pytest.raises(t.BadEntry) as error:
        t.nameplate("nameplate", "4500")
    assert EN.say(error.value.msg) == "“4500” has no unit. Type 4500 W, 4500 VA or 4500 A, as the plate says."


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("range", "range"),
        ("Range, kitchen", "range"),
        ("Water heater", "water_heater"),
        ("dryer, basement", "dryer"),
        ("EV charger in the garage", "evse"),
        ("AC, upstairs", "air_conditioner"),
        ("Hot tub", "spa"),
        ("ufo", None),
        ("ranger station", None),
    ],
)
def test_kinds_are_found_in_what_is_typed(text: str, kind: str | None) -> None:
    assert kind_and_name("what", text, kinds_said(EN))[0] == kind


@settings(derandomize=True, deadline=None)
@given(st.text(max_size=80))
def test_nothing_typed_breaks_anything(text: str) -> None:
    """Either understood or refused in words: never anything else."""
    for read in (
        lambda: t.spaces("f", text),
        lambda: t.cable("f", text),
        lambda: t.nameplate("f", text),
        lambda: t.conductor("f", text),
        lambda: t.count("f", text, 0, 9),
        lambda: t.one_of("f", text, t.PROTECTIONS),
        lambda: t.text_of("f", text),
        *(lambda unit=unit: t.quantity("f", text, unit) for unit in t.LIMITS),
    ):
        try:
            read()
        except t.BadEntry as error:
            said = EN.say(error.msg)
            assert said and "[" not in said.replace(text, "").replace(t.clean(text)[:60], "")
