"""Checks of sources: each outcome of each rule, by edition, and their words in both languages."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from deadfront.codebook import EDITIONS
from deadfront.documents.catalog import Catalog
from deadfront.msg import Msg
from deadfront.results.sources import SourcesResult
from deadfront.sources.rules.each import (
    array_voltage,
    bus,
    disconnects,
    emergency_shutdown,
    output,
    places,
    power_control,
    rapid_shutdown,
    supply_side,
)
from deadfront.worksheet.check import Outcome, Severity
from deadfront.worksheet.step import Step
from tests.sources.made import answer, panel, told
from tests.sources.test_buses import on_feeder, set_to

ROOF = {"location": "roof", "rapid_shutdown": "listed array", "rapid_shutdown_outside": True,
        "rapid_shutdown_switch": "outdoors"}  # fmt: skip
WIRE = {"type": "THWN-2", "size": "6", "metal": "copper", "terminals_c": 75}
MODULES = (array_voltage, bus, disconnects, emergency_shutdown, output, places, power_control, rapid_shutdown,
           supply_side)  # fmt: skip


def made(kind: str = "solar", edition: str = "2023", *, new: bool = True, switches: list[dict[str, Any]] | None = None,
         **source: Any) -> Any:  # fmt: skip
    """A source made by the work (or found), with these facts."""
    house = panel(source={"kind": kind, **source})
    add: dict[str, Any] = {"switches": switches or []}
    if new:
        add["sources"] = house.pop("sources")
    return answer(house, edition, add=add)


# --- rapid shutdown --------------------------------------------------------------------------------------------------
RAPID_SHUTDOWN: list[Any] = [
    ("2023", {}, "MEETS meets"),
    ("2023", {"rapid_shutdown": "none"}, "FAILS inside"),
    ("2023", {"rapid_shutdown": "no exposed wiring"}, "FAILS wiring"),
    ("2020", {"rapid_shutdown": "no exposed wiring"}, "MEETS meets"),
    ("2017", {"rapid_shutdown": "80 V in 30 s"}, "MEETS meets"),
    ("2014", {"rapid_shutdown": "none"}, "CANNOT_TELL seconds"),  # 10 s in print; the fact tells of 30
    ("2014", {"rapid_shutdown_outside": False}, "FAILS outside"),
    ("2023", {"rapid_shutdown_outside": False}, "FAILS outside"),
    ("2020", {"rapid_shutdown_switch": "indoors"}, "FAILS indoors"),
    ("2017", {"rapid_shutdown_switch": "indoors"}, "FAILS indoors"),  # 690.12(C), as a public course page tells it
    ("2014", {"rapid_shutdown_switch": "indoors"}, "CANNOT_TELL seconds"),
    ("2023", {"rapid_shutdown_switch": "none"}, "FAILS switch"),
    ("2023", {"rapid_shutdown_switch": "service disconnect"}, "CANNOT_TELL service_place"),
    ("2023", {"rapid_shutdown": None}, "CANNOT_TELL cannot_tell"),
    ("2023", {"rapid_shutdown_outside": None}, "CANNOT_TELL cannot_tell"),
    ("2023", {"rapid_shutdown_switch": None}, "CANNOT_TELL cannot_tell"),
    ("2023", {"location": "ground", "rapid_shutdown": None}, "MEETS meets"),
]  # fmt: skip


@pytest.mark.parametrize(("edition", "facts", "wanted"), RAPID_SHUTDOWN)
def test_rapid_shutdown(edition: str, facts: dict[str, Any], wanted: str) -> None:
    source = {key: each for key, each in {**ROOF, **facts}.items() if each is not None}
    assert told(made(edition=edition, **source), "source.rapid_shutdown") == [wanted]


# --- disconnects -----------------------------------------------------------------------------------------------------
def switch(**facts: Any) -> list[dict[str, Any]]:
    return [{"id": "k-01", "fed_by": "s-01", **facts}]


DISCONNECTS: list[Any] = [
    ("solar", "2023", {"readily_accessible": True}, "MEETS meets"),
    ("solar", "2023", {"readily_accessible": False}, "FAILS not_reached"),
    ("solar", "2023", {}, "CANNOT_TELL cannot_tell"),
    ("generator", "2023", {"lockable": True}, "MEETS meets"),
    ("generator", "2014", {"lockable": False}, "FAILS not_lockable"),
    ("generator", "2023", {}, "CANNOT_TELL cannot_tell"),
    ("battery", "2023", {"within_sight_ft": 10}, "MEETS meets"),
    ("battery", "2023", {"within_sight_ft": 11, "lockable": False}, "FAILS far"),
    ("battery", "2023", {"within_sight_ft": 11, "lockable": True}, "MEETS meets"),
    ("battery", "2023", {"within_sight_ft": 11}, "CANNOT_TELL cannot_tell"),
    ("battery", "2026", {"within_sight_ft": 0}, "MEETS meets"),
    ("battery", "2020", {"readily_accessible": True}, "MEETS meets"),
    ("battery", "2014", {"readily_accessible": True}, "CANNOT_TELL not_encoded"),
    ("vehicle", "2023", {"readily_accessible": True}, "MEETS meets"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "edition", "facts", "wanted"), DISCONNECTS)
def test_disconnects(kind: str, edition: str, facts: dict[str, Any], wanted: str) -> None:
    result = made(kind, edition, switches=switch(**facts), disconnects=["k-01"])
    assert told(result, "source.disconnect") == [wanted]


def test_a_portable_set_is_unplugged() -> None:
    assert told(made("generator", portable=True), "source.disconnect") == []


# --- emergency shutdown ----------------------------------------------------------------------------------------------
@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(
    ("kind", "field"), [("battery", "emergency_shutdown_outdoors"), ("generator", "shutdown_outdoors")]
)
def test_emergency_shutdown_since_2020(edition: str, kind: str, field: str) -> None:
    """Verified by edition in the reference: nothing of it in 2014 and 2017."""
    for known, wanted in ((True, "MEETS meets"), (False, "FAILS fails"), (None, "CANNOT_TELL cannot_tell")):
        source = {} if known is None else {field: known}
        found = told(made(kind, edition, **source), "source.emergency_shutdown")
        assert found == ([wanted] if edition >= "2020" else [])


def test_labels_bar_nothing_while_they_are_not_looked_at() -> None:
    found = [each for each in made().checks if each.id == "source.labels"]
    assert (found[0].outcome, found[0].severity) == (Outcome.CANNOT_TELL, Severity.NOTE)
    assert told(made(marked=True), "source.labels") == ["MEETS meets"]
    assert told(made(marked=False), "source.labels") == ["FAILS fails"]


# --- places ----------------------------------------------------------------------------------------------------------
PLACE_OF_A_BATTERY: list[Any] = [
    ({"location": "living space"}, "FAILS living"),
    ({"location": "outdoors", "listed_for_location": True}, "MEETS meets"),
    ({"location": "outdoors", "listed_for_location": False}, "FAILS not_listed"),
    ({"location": "garage", "listed_for_location": True}, "CANNOT_TELL cannot_tell"),
    ({"location": "garage", "listed_for_location": True, "vehicle_impact": False}, "FAILS vehicle"),
    ({"location": "garage", "listed_for_location": True, "vehicle_impact": True}, "MEETS meets"),
    ({}, "CANNOT_TELL cannot_tell"),
]  # fmt: skip


@pytest.mark.parametrize(("facts", "wanted"), PLACE_OF_A_BATTERY)
def test_place_of_a_battery(facts: dict[str, Any], wanted: str) -> None:
    assert told(made("battery", **facts), "source.battery_place") == [wanted]


PLACE_OF_A_GENERATOR: list[Any] = [
    ({"location": "garage"}, "FAILS indoors"),
    ({"location": "outdoors", "from_opening_ft": 6, "from_wall_ft": 5}, "MEETS meets"),
    ({"location": "outdoors", "from_opening_ft": 6, "from_wall_ft": 2}, "CANNOT_TELL near"),
    ({"location": "outdoors", "from_opening_ft": 6}, "CANNOT_TELL cannot_tell"),
    ({"location": "outdoors", "from_opening_ft": 6, "portable": True}, "CANNOT_TELL near"),
    ({"location": "outdoors", "from_opening_ft": 20, "portable": True}, "MEETS meets"),
    ({}, "CANNOT_TELL cannot_tell"),
]  # fmt: skip


@pytest.mark.parametrize(("facts", "wanted"), PLACE_OF_A_GENERATOR)
def test_place_of_a_generator(facts: dict[str, Any], wanted: str) -> None:
    assert told(made("generator", **facts), "source.generator_place") == [wanted]


# --- output circuit --------------------------------------------------------------------------------------------------
CONDUCTORS: list[Any] = [
    (WIRE, "MEETS meets"),  # hand: 65 A for 40; the device of 60 A is within
    ({**WIRE, "size": "8"}, "FAILS unprotected"),  # 50 A at 75 C: at most a 50 A device
    ({**WIRE, "size": "10"}, "FAILS small"),  # 35 A
    ({**WIRE, "size": "8", "terminals_c": None}, "FAILS unprotected"),  # 40 or 50 A: neither allows 60 A
    ({**WIRE, "size": "4", "terminals_c": None}, "MEETS meets"),  # 70 or 85 A
    ({**WIRE, "type": None}, "CANNOT_TELL cannot_tell"),
    ({**WIRE, "runs": ["attic"]}, "CANNOT_TELL cannot_tell"),  # how hot it gets is not known
    ({**WIRE, "runs": ["attic"], "ambient_c": 50}, "MEETS meets"),  # hand: 75 x 0.82 = 61.5 A, next standard is 70
    ({**WIRE, "ambient_c": 60}, "MEETS meets"),  # hand: 75 x 0.71 = 53.3 A: 60 A is the next standard
    ({**WIRE, "bundled": 10}, "FAILS small"),  # hand: 75 x 0.50 = 37.5 A for 40
    ({}, "CANNOT_TELL cannot_tell"),
]  # fmt: skip


@pytest.mark.parametrize(("cable", "wanted"), CONDUCTORS)
def test_conductors(cable: dict[str, Any], wanted: str) -> None:
    source = {key: each for key, each in cable.items() if each is not None}
    assert told(made(cable=source), "source.conductors") == [wanted]


LISTING: list[Any] = [
    ({}, "MEETS meets"), ({"listed": False}, "FAILS fails"), ({"interactive": False}, "FAILS fails"),
    ({"listed": None}, "CANNOT_TELL cannot_tell"), ({"interactive": None}, "CANNOT_TELL cannot_tell"),
]  # fmt: skip


@pytest.mark.parametrize(("facts", "wanted"), LISTING)
def test_listing(facts: dict[str, Any], wanted: str) -> None:
    assert told(made(**facts), "source.listed") == [wanted]


def test_where_a_source_joins_is_asked_for() -> None:
    assert told(made(breaker=None), "source.join") == ["CANNOT_TELL cannot_tell"]
    assert told(made(joins="feeder", breaker=None), "source.join") == ["CANNOT_TELL cannot_tell"]
    assert told(made(), "source.join") == []


def ahead(edition: str = "2023", **source: Any) -> Any:
    return made(edition=edition, breaker=None, joins="supply side", **source)


LEAST_SIZE_AHEAD_OF_THE_SERVICE: list[Any] = [
    ("2017", {"size": "10", "metal": "copper"}, []),
    ("2020", {"size": "6", "metal": "copper"}, ["MEETS meets"]),
    ("2023", {"size": "8", "metal": "copper"}, ["FAILS fails"]),
    ("2026", {"size": "6", "metal": "aluminum"}, ["FAILS fails"]),
    ("2023", {"size": "4", "metal": "aluminum"}, ["MEETS meets"]),
    ("2023", {"size": "6"}, ["CANNOT_TELL cannot_tell"]),
    ("2023", {"size": "8"}, ["FAILS fails"]),
    ("2023", {}, ["CANNOT_TELL cannot_tell"]),
]  # fmt: skip


@pytest.mark.parametrize(("edition", "cable", "wanted"), LEAST_SIZE_AHEAD_OF_THE_SERVICE)
def test_least_size_ahead_of_the_service(edition: str, cable: dict[str, Any], wanted: list[str]) -> None:
    assert told(ahead(edition, cable=cable), "source.supply_conductors") == wanted


LENGTH_AHEAD_OF_THE_SERVICE: list[Any] = [
    ("2017", 30, "NOT_APPLICABLE not_in_edition"), ("2020", 10, "MEETS meets"), ("2020", 11, "FAILS fails"),
    ("2023", 30, "NOT_APPLICABLE not_in_edition"), ("2026", 11, "FAILS fails"),
    ("2026", None, "CANNOT_TELL cannot_tell"),
]  # fmt: skip


@pytest.mark.parametrize(("edition", "length", "wanted"), LENGTH_AHEAD_OF_THE_SERVICE)
def test_length_ahead_of_the_service(edition: str, length: float | None, wanted: str) -> None:
    facts = {} if length is None else {"tap_ft": length}
    assert told(ahead(edition, **facts), "source.supply_length") == [wanted]


# --- standby sources -------------------------------------------------------------------------------------------------
def standby(device: float, *more: float) -> Any:
    """Generators of these devices kept apart on a bus of 200 A."""
    house = panel()
    house["transfers"] = [{"id": "t-01", "kind": "interlock", "held_apart": ["b-mn", "b-s1", "b-s2"], "excludes": True}]
    del house["sources"]
    added = []
    for number, rating in enumerate((device, *more), 1):
        if number > 1:
            house["breakers"].append({"id": f"b-s{number}", "panel": "p-aa", "poles": 2})
        house["breakers"][number]["rating_a"] = rating
        added.append({"id": f"s-0{number}", "kind": "generator", "breaker": f"b-s{number}"})
    return answer(house, add={"sources": added})


def test_the_worst_of_several_standby_sources_speaks_for_a_bus() -> None:
    """Hand: 300 A is over the 200 A bus by 100."""
    assert told(standby(100), "source.standby_bus", "p-aa") == ["MEETS meets"]
    assert told(standby(300), "source.standby_bus", "p-aa") == ["FAILS fails"]
    assert told(standby(100, 300), "source.standby_bus", "p-aa") == ["FAILS fails"]
    assert told(standby(300, 100), "source.standby_bus", "p-aa") == ["FAILS fails"]


# --- reach -----------------------------------------------------------------------------------------------------------
def test_an_old_source_does_not_drown_the_house() -> None:
    """Left alone by the work: nothing that is merely not known is asked, what endangers is said."""
    checks = made(new=False).checks
    assert [each for each in checks if each.outcome is Outcome.CANNOT_TELL] == []
    over = made(new=False, output_a=90)
    assert "source.bus" not in {c.id for c in over.checks if c.outcome is Outcome.CANNOT_TELL}


# --- words -----------------------------------------------------------------------------------------------------------
def every_house() -> Iterator[SourcesResult]:
    """The houses of all the cases above, and those of feeders, strings and settings."""
    for edition, facts, _ in RAPID_SHUTDOWN:
        yield made(edition=edition, **{key: each for key, each in {**ROOF, **facts}.items() if each is not None})
    for kind, edition, facts, _ in DISCONNECTS:
        yield made(kind, edition, switches=switch(**facts), disconnects=["k-01"])
    for facts, _ in PLACE_OF_A_BATTERY:
        yield made("battery", **facts)
    for facts, _ in PLACE_OF_A_GENERATOR:
        yield made("generator", **facts)
    for cable, _ in CONDUCTORS:
        yield made(cable={key: each for key, each in cable.items() if each is not None})
    for facts, _ in LISTING:
        yield made(**facts)
    for edition, cable, _ in LEAST_SIZE_AHEAD_OF_THE_SERVICE:
        yield ahead(edition, cable=cable)
    for edition, length, _ in LENGTH_AHEAD_OF_THE_SERVICE:
        yield ahead(edition, **({} if length is None else {"tap_ft": length}))
    for known in (True, False, None):
        yield made("battery", **({} if known is None else {"emergency_shutdown_outdoors": known, "marked": known}))
    yield made(breaker=None)
    yield from (answer(on_feeder(at_far_end=far, tap_ft=8, cable=WIRE), "2023") for far in (True, False))
    yield from (set_to(40, "2023", listed=listed) for listed in (True, False))
    yield from (set_to(40, edition) for edition in EDITIONS)
    strings = {"in_series": 14, "open_volts_v": 40, "open_percent_per_c": -0.3, "crystalline": True, "strings": 3}
    for device in (100, 300):
        yield standby(device)
    for more in ({}, {"short_circuit_a": 10, "fuse_max_a": 15}):
        yield made(modules=[{**strings, **more}], lowest_c=-15, input_max_v=600)


def words_of(result: SourcesResult) -> Iterator[Msg]:
    """Everything that a result says of sources: findings, remedies, facts, names of steps, options, ways."""
    ids = {ident for module in MODULES for ident in module.IDS}
    steps: list[Step | None] = [each for bus_ in result.buses for each in (bus_.main, bus_.current)]
    for check in (each for each in result.checks if each.id in ids):
        yield from (check.say, *((check.remedy,) if check.remedy else ()))
        for missing in check.missing:
            yield from (missing.what, missing.how)
        steps.append(check.step)
    for option in (each for bus_ in result.buses for each in bus_.options):
        yield from (option.name, *((option.why,) if option.why else ()), *(way.say for way in option.ways))
        steps += [option.used, option.limit, option.over, option.spare, *(way.step for way in option.ways)]
    yield from (each.name for each in (*result.buses, *result.strings))
    yield from (step.name for each in steps if each is not None for step in each.walk())


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_word_that_can_be_said_is_written(language: str) -> None:
    catalog, found = Catalog(language, strict=True), list(every_house())
    assert all(catalog.say(each) for result in found for each in words_of(result))
    made_ids = {check.id for result in found for check in result.checks}
    assert made_ids >= {ident for module in MODULES for ident in module.IDS}


def test_what_an_edition_does_not_tell_of_a_disconnect_is_named() -> None:
    """The 2014 edition has no article on energy storage: the book itself is to be read."""
    (check,) = [each for each in made("battery", "2014").checks if each.id == "source.disconnect"]
    assert check.outcome is Outcome.CANNOT_TELL and check.say.key.endswith("not_encoded") and check.missing


def test_ways_are_said_as_a_choice() -> None:
    house = panel(100, 100, 48, breakers=[{"id": "b-xx", "panel": "p-aa", "spaces": [1, 3], "rating_a": 100}])
    (check,) = [each for each in answer(house).checks if each.id == "source.bus"]
    assert check.remedy is not None
    for language, word in (("en", "; or "), ("es", "; o bien ")):
        assert Catalog(language, strict=True).say(check.remedy).count(word) == 3, check.remedy
