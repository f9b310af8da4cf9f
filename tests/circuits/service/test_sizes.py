"""Grounding and bonding conductors: printed cases, cases by hand, and laws."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from deadfront.circuits.rules.service.sizes import Lines, capped, sized, verdict
from deadfront.codebook import EDITIONS, Codebook, open_book
from deadfront.codebook.bonding import bonding_jumper, electrode_cap, electrode_conductor
from deadfront.codebook.conductors import area_cmil, sizes_of
from deadfront.errors import OutOfTable
from deadfront.quantities import size_rank
from deadfront.worksheet.check import Outcome
from tests.circuits.service.houses import facts_from, required, service, sizes, told

CASES = json.loads((Path(__file__).parents[2] / "published" / "circuits_and_sources.json").read_text(encoding="utf-8"))
METALS = ("copper", "aluminum")


@pytest.fixture(params=EDITIONS)
def book(request: pytest.FixtureRequest) -> Codebook:
    return open_book(str(request.param))


def lines(size: str, metal: str = "copper", sets: int = 1) -> Lines:
    return Lines(size, metal, sets, "before/service.conductors.size")


def by_table(book: Codebook, table: Any, size: str, metal: str = "copper", sets: int = 1) -> tuple[str, ...]:
    return tuple(each.size for each in sized(book, table, lines(size, metal, sets), "t"))


def test_every_printed_case_on_electrode_conductors_is_run(book: Codebook) -> None:
    """Published: a trade magazine's code quiz 106, 350 kcmil copper: 2 AWG copper."""
    cases = [each for each in CASES if each["topic"] == "gec"]
    assert [each["id"] for each in cases] == ["GEC-01"]
    size, metal = cases[0]["inputs"]["phase"].replace(" kcmil", "").split()
    printed = cases[0]["recomputed"]["gec"].split()[0]
    assert metal == "Cu"
    assert by_table(book, "electrode_conductor", size)[0] == printed


@pytest.mark.parametrize(
    ("size", "metal", "sets", "electrode", "jumper"),
    [
        ("4", "copper", 1, ("8", "6"), ("8", "6")),  # hand: 41,740 cmil, not over 66,360 (2 AWG)
        ("2/0", "copper", 1, ("4", "2"), ("4", "2")),  # hand: 133,100, between 1/0 and 3/0: a 200 A service
        ("4/0", "aluminum", 1, ("4", "2"), ("4", "2")),  # hand: 211,600, between 3/0 and 250: a 200 A service
        ("4/0", "aluminum", 2, ("2", "1/0"), ("2", "1/0")),  # hand: 423,200, between 250 and 500
        ("250", "copper", 1, ("2", "1/0"), ("2", "1/0")),  # published: spot value of Table 250.102(C)(1), 250 Cu: 2
        ("750", "copper", 1, ("2/0", "4/0"), ("2/0", "4/0")),  # published: spot value of the same, 750 Cu: 2/0
        ("600", "copper", 2, ("3/0", "250"), ("3/0", "250")),
        # hand: 1200 kcmil; electrode conductor stops at 3/0; jumper 12.5 % = 150 kcmil, next size 3/0 (167.8).
        # In aluminum: 900 kcmil Al (425 A) carries what 600 Cu (420 A) does; 12.5 % of 1800 = 225, next size 250.
        ("1000", "aluminum", 2, ("3/0", "250"), ("4/0", "250")),
        # hand: 2000 kcmil Al: 12.5 % = 250. In copper: 700 Cu (460 A) for 1000 Al (445 A); 12.5 % of 1400 = 175: 4/0
    ],
)
def test_sizes_by_table(
    book: Codebook, size: str, metal: str, sets: int, electrode: tuple[str, ...], jumper: tuple[str, ...]
) -> None:
    assert by_table(book, "electrode_conductor", size, metal, sets) == electrode
    assert by_table(book, "bonding_jumper", size, metal, sets) == jumper


def test_a_misprinted_row_is_not_here(book: Codebook) -> None:
    """One page prints the first aluminum row as 1 or smaller; three print 1/0: so 1/0 aluminum takes 8 copper."""
    assert by_table(book, "electrode_conductor", "1/0", "aluminum") == ("8", "6")


def test_a_jumper_above_the_table_goes_on_where_the_electrode_conductor_stops() -> None:
    """Hand: 4 x 750 copper, 3000 kcmil: electrode conductor 3/0, jumper 375 kcmil: 400."""
    book = open_book("2023")
    assert by_table(book, "electrode_conductor", "750", sets=4)[0] == "3/0"
    assert by_table(book, "bonding_jumper", "750", sets=4)[0] == "400"
    found = sized(book, "bonding_jumper", lines("750", sets=4), "t")[0].step
    assert found.value.low == Decimal(375_000) and found.unit == "cmil"


# --- laws --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("table", ["electrode_conductor", "bonding_jumper"])
@pytest.mark.parametrize("metal", METALS)
def test_a_larger_service_never_takes_less(book: Codebook, table: Any, metal: str) -> None:
    for sets in (1, 2, 3, 4):
        found = [by_table(book, table, size, metal, sets) for size in sizes_of(book, metal)]
        for one, more in zip(found, found[1:], strict=False):
            for small, large in zip(one, more, strict=False):
                assert size_rank(small) <= size_rank(large)
    for size in sizes_of(book, metal):
        ranks = [size_rank(by_table(book, table, size, metal, sets)[0]) for sets in range(1, 7)]
        assert ranks == sorted(ranks)


def test_caps_never_raise_a_size_and_never_pass_the_cap(book: Codebook) -> None:
    for metal in METALS:
        for size in sizes_of(book, metal):
            full = sized(book, "electrode_conductor", lines(size, metal), "t")
            for kind in ("rod", "pipe", "plate", "concrete-encased", "ground ring", "water pipe", "other"):
                held = capped(book, lines(size, metal), kind, "2", "t")
                for large, small in zip(full, held, strict=True):
                    cap = electrode_cap(book, kind, small.metal)
                    assert size_rank(small.size) <= size_rank(large.size)
                    assert small.size == large.size or cap is None or size_rank(small.size) <= size_rank(cap.value)
                    assert small.step.value.low == area_cmil(book, small.size).value


def test_aluminum_is_never_smaller_than_copper_for_the_same_work(book: Codebook) -> None:
    for metal in METALS:
        for size in sizes_of(book, metal):
            copper, aluminum = by_table(book, "electrode_conductor", size, metal)
            assert size_rank(copper) < size_rank(aluminum)


def test_a_jumper_is_never_larger_than_the_conductors(book: Codebook) -> None:
    """Tables' note: not larger than the ungrounded conductor set."""
    for metal in METALS:
        for size in sizes_of(book, metal):
            area = area_cmil(book, size).value
            if area >= area_cmil(book, "6").value:
                for sets in (1, 2, 4):
                    each = next(x for x in sized(book, "bonding_jumper", lines(size, metal, sets), "t")
                                if x.metal == metal)  # fmt: skip
                    assert area_cmil(book, each.size).value <= area * sets


def test_what_is_not_in_the_tables_is_refused(book: Codebook) -> None:
    for look_up in (electrode_conductor, bonding_jumper):
        with pytest.raises(OutOfTable):
            look_up(book, Decimal(100_000), "copper", "silver")
        with pytest.raises(OutOfTable):
            look_up(book, Decimal(100_000), "silver", "copper")
    assert electrode_cap(book, "water pipe", "copper") is None
    assert electrode_cap(book, "concrete-encased", "aluminum") is None


def test_a_conductor_of_unknown_metal_is_held_against_both() -> None:
    smallest = sized(open_book("2023"), "electrode_conductor", lines("2/0"), "t")  # 4 copper, 2 aluminum
    assert [verdict(size, None, smallest) for size in ("6", "4", "2", None)] == [
        Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS, Outcome.CANNOT_TELL]  # fmt: skip
    assert verdict("4", "copper", smallest) is Outcome.MEETS
    assert verdict("4", "aluminum", smallest) is Outcome.FAILS


# --- in a house --------------------------------------------------------------------------------------------------
ROD = {"id": "e-aa", "kind": "rod", "length_ft": 8}
WATER = {"id": "e-bb", "kind": "water pipe", "length_ft": 40}
UFER = {"id": "e-cc", "kind": "concrete-encased", "length_ft": 20}
GROUNDING = {"conductor_size": "6", "conductor_metal": "copper"}
TOUCH = {"service": {"grounding": {}}}


@pytest.mark.parametrize(
    ("electrodes", "complete", "least", "outcome"),
    [
        ([ROD], "yes", ("6", "4"), "MEETS meets"),  # hand: rods alone: 6 copper is enough for any service
        ([ROD], "unknown", ("4", "2"), "CANNOT_TELL cannot_tell"),  # a water pipe may be there
        ([ROD, WATER], "yes", ("4", "2"), "FAILS fails"),  # hand: 200 A service to a water pipe: 4 copper
        ([ROD, UFER], "yes", ("4", "2"), "FAILS fails"),  # hand: goes on to footing steel: 4 copper
        ([], "unknown", ("4", "2"), "CANNOT_TELL cannot_tell"),
    ],
)
def test_the_conductor_to_the_whole_system(
    electrodes: list[dict[str, Any]], complete: str, least: tuple[str, ...], outcome: str
) -> None:
    facts = facts_from({"service": service(grounding=GROUNDING), "electrodes": electrodes,
                        "complete": {"electrodes": complete}}, set_=TOUCH)  # fmt: skip
    assert sizes(required(facts, "electrode_conductor")) == least
    assert told(facts, "grounding.electrode_conductor") == [outcome]


@pytest.mark.parametrize(
    ("only", "others", "size", "outcome"),
    [
        (True, [WATER], "6", "MEETS"),  # hand: cap of a rod alone
        (None, [WATER], "6", "CANNOT_TELL"),  # it may go on to the water pipe
        (False, [WATER], "6", "FAILS"),  # it does
        (None, [], "6", "MEETS"),  # rods are all there is
        (None, [WATER], "4", "MEETS"),  # large enough for all
        (None, [WATER], "8", "FAILS"),  # too small even for a rod
        (False, [], "6", "MEETS"),  # goes on to another rod only
    ],
)
def test_the_conductor_to_a_rod(only: bool | None, others: list[dict[str, Any]], size: str, outcome: str) -> None:
    rod = {**ROD, "conductor_size": size, "conductor_metal": "copper"} | ({} if only is None else {"only_to_it": only})
    facts = facts_from({"service": service(), "electrodes": [rod, *others], "complete": {"electrodes": "yes"}})
    assert required(facts, "electrode_conductor", "e-aa").outcome.name == outcome


def test_unknown_service_conductors_size_nothing() -> None:
    facts = facts_from({"service": {"grounding": GROUNDING}}, set_=TOUCH)
    line = required(facts, "electrode_conductor")
    assert line.smallest == () and line.outcome is Outcome.CANNOT_TELL


# --- neutral -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("size", "sets", "least"),
    [
        ("4/0", 1, ("4", "2")),  # hand: as the table
        ("4/0", 2, ("1/0", "1/0")),
        # hand: table 2 copper for both sets, 33,180 each, and 4 for one set alone: the parallel minimum 1/0 counts
    ],
)
def test_the_neutral_of_the_service_by_the_table(size: str, sets: int, least: tuple[str, ...]) -> None:
    facts = facts_from({"service": service(size, "aluminum", sets)})
    assert sizes(required(facts, "grounded_conductor")) == least


def test_a_neutral_below_full_size_waits_for_the_load_that_bounds_it() -> None:
    part = service()
    part["conductors"]["neutral_size"] = "2/0"
    line = required(facts_from({"service": part}), "grounded_conductor")
    assert line.outcome is Outcome.CANNOT_TELL
    part["conductors"]["neutral_size"] = "4/0"
    assert required(facts_from({"service": part}), "grounded_conductor").outcome is Outcome.MEETS


def test_the_neutral_carries_the_neutral_load() -> None:
    """Hand: 20,000 ft2 x 3 + 4500 = 64,500 VA; 3000 + 35 % of 61,500 = 24,525 VA; 102 A at 240 V.

    The table asks 6 copper or 4 aluminum; 102 A needs 2 copper (115 A at 75 C; 3 carries 100) or 1/0 aluminum (120 A).
    """
    unit = {"id": "u-aa", "floor_area_ft2": 20000, "small_appliance_circuits": 2, "laundry_circuits": 1}
    before = {"units": [unit], "complete": {"units": "yes", "loads": "yes"}}
    line = required(facts_from({**before, "service": service("1", "copper")}), "grounded_conductor")
    assert sizes(line) == ("2", "1/0")
    assert required(facts_from({"service": service("1", "copper")}), "grounded_conductor").smallest[0].size == "6"
