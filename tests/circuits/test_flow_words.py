"""Every line, check and missing fact of fault current, drop and graph can be said in both languages."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from deadfront.codebook import EDITIONS, open_book
from deadfront.documents.catalog import Catalog
from deadfront.documents.formula import formula
from deadfront.job.things import House
from deadfront.worksheet.check import Check
from deadfront.worksheet.step import Step
from tests.circuits.flow_houses import answered, service_house

FIFTY = {"kva": 50, "impedance_percent": "1.6", "x_over_r": "1.5"}
MINE = ("fault.", "feeder.ring", "circuit.orphan", "circuit.topology", "circuit.length", "circuit.voltage_drop")


def houses() -> Iterator[House]:
    """Houses that between them bring out every line: letters, bands, wyes, rings, sources, blanks."""
    cable = {"type": "NM-B", "size": "12", "metal": "copper", "length_ft": 150}
    parts: dict[str, Any] = {
        "panels": [
            {"id": "p-main", "fed_by": "service", "spaces": 20, "sccr_ka": 5},
            {"id": "p-sub", "fed_by": "b-sub", "series_ka": 8,
             "feeder": {"type": "MC", "size": "2", "metal": "aluminum", "length_ft": 0, "sets": 2}},
            {"id": "p-loop", "fed_by": "b-loop"}, {"id": "p-gone", "fed_by": "b-gone"}, {"id": "p-none"},
        ],
        "breakers": [
            {"id": "b-main", "panel": "p-main", "spaces": [1, 3], "poles": 2, "rating_a": 200, "role": "main",
             "interrupting_ka": 5},
            {"id": "b-sub", "panel": "p-main", "spaces": [2, 4], "poles": 2, "rating_a": 90, "interrupting_ka": 5},
            {"id": "b-one", "panel": "p-sub", "spaces": [1], "poles": 1, "rating_a": 20, "interrupting_ka": 5},
            {"id": "b-two", "panel": "p-main", "spaces": [30], "poles": 1, "rating_a": 20, "interrupting_ka": 65},
            {"id": "b-six", "panel": "p-main", "spaces": [2], "poles": 2, "rating_a": 20},
            {"id": "b-loop", "panel": "p-loop", "spaces": [1, 2], "poles": 2, "rating_a": 60},
            {"id": "b-lost", "panel": "p-lost", "spaces": [1]}, {"id": "b-free"},
        ],
        "circuits": [
            {"id": "c-one", "name": "Garage", "breaker": "b-one", "cable": cable},
            {"id": "c-two", "breaker": "b-two", "cable": {**cable, "size": "18"}},
            {"id": "c-six", "breaker": "b-six"}, {"id": "c-gone", "breaker": "b-away"}, {"id": "c-none"},
        ],
        "loads": [{"id": "l-one", "kind": "other", "circuit": "c-one", "nameplate_w": 1500, "volts": 120}],
        "sources": [{"id": "s-one", "kind": "battery", "output_a": 30}, {"id": "s-two", "kind": "solar"},
                    {"id": "s-six", "kind": "generator", "fault_current_a": 100}],
    }  # fmt: skip
    outside = {"outside": {"present": "yes", "marked": "not service equipment", "sccr_ka": 10},
               "disconnect": {"sccr_ka": 22}}  # fmt: skip
    known = {**parts, "sources": [each for each in parts["sources"] if each["kind"] != "solar"]}
    yield service_house(transformer=FIFTY, service=outside, **known)
    yield service_house(transformer={"kva": 50, "primary_fault_mva": 40}, **parts)
    yield service_house(transformer={"kva": 51}, drop_ft=None, **parts)
    yield service_house(utility={"fault_current_ka": "8.5"}, service=outside, **parts)
    yield service_house(utility={"fault_current_ka": "8.5", "fault_at": "transformer"}, drop_ft=None, **parts)
    for system in ("208Y/120 1ph 3w", "208Y/120 3ph 4w"):
        yield service_house(transformer=FIFTY, system=system, legs={}, **parts)
        yield service_house(utility={"fault_current_ka": 12, "fault_at": "transformer"}, system=system, **parts)
    yield service_house(**parts)


def steps_of(house: House) -> Iterator[Step]:
    result = answered(house, everything(house))
    for point in result.faults:
        for found in (point.line_to_line, point.line_to_neutral, point.largest, point.smallest):
            if found is not None:
                yield from found.walk()
    for drop in result.drops:
        for found in (drop.here, drop.all_along):
            if found is not None:
                yield from found.walk()


def everything(house: House) -> tuple[str, ...]:
    return tuple(each.id for kind in (house.panels, house.breakers, house.circuits, house.sources) for each in kind)


def checks_of(house: House) -> list[Check]:
    return [each for each in answered(house, everything(house)).checks if each.id.startswith(MINE)]


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_line_can_be_printed(language: str) -> None:
    catalog, ops = Catalog(language, strict=True), set()
    for house in houses():
        for step in steps_of(house):
            assert catalog.say(step.name) and formula(step, catalog)
            ops.add(step.op)
            for missing in step.missing:
                assert catalog.say(missing.what) and catalog.say(missing.how)
            for assumed in step.assumed:
                assert catalog.has(f"assumed.{assumed}"), assumed
    assert {"hypot", "leg", "apart", "interval", "quotient", "lookup", "percent", "count"} <= ops


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_check_can_be_said(language: str) -> None:
    catalog, keys = Catalog(language, strict=True), set()
    for house in houses():
        for check in checks_of(house):
            assert catalog.say(check.say)
            keys.add(check.say.key)
            for part in (check.remedy,) if check.remedy is not None else ():
                assert catalog.say(part)
            for missing in check.missing:
                assert catalog.say(missing.what) and catalog.say(missing.how)
    outcomes = {key.rpartition(".")[2] for key in keys if key.startswith("check.fault.interrupting")}
    assert {"meets", "fails", "series", "rating_unknown"} <= outcomes
    assert {key.split(".")[1] for key in keys} >= {"fault", "feeder", "circuit"}


def test_no_two_lines_of_one_answer_share_an_id_and_differ() -> None:
    for house in houses():
        seen: dict[str, Step] = {}
        for step in steps_of(house):
            other = seen.setdefault(step.id, step)
            assert other.value == step.value and other.op == step.op, step.id


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_edition_answers_every_house(edition: str) -> None:
    """Every fault, drop and graph check cites the edition it was asked for, or a standard that is no code book."""
    book = open_book(edition)
    for house in houses():
        checks = [each for each in answered(house, everything(house), book).checks if each.id.startswith(MINE)]
        assert checks
        for check in checks:
            assert check.cites and all(cite.edition in (edition, "") for cite in check.cites), check.id
            assert check.remedy is not None or not check.is_finding, check.id
            if check.outcome.name == "CANNOT_TELL":
                assert check.missing, (check.id, check.say)
