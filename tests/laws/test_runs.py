"""What must hold for any run: heat and neighbors only take, size only gives, no next size rescues, ranges hold."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.circuits.rules.runs.ampacity import carried
from deadfront.circuits.rules.runs.conditions import Conditions
from deadfront.circuits.rules.runs.limits import most_over
from deadfront.codebook import EDITIONS, open_book
from deadfront.codebook.conductors import grounding_size, sizes_of
from deadfront.codebook.lookup import standard_ratings
from deadfront.quantities import SIZES, size_rank
from deadfront.worksheet.check import Outcome
from tests.circuits.runs_made import case, checks, ends, run

BOOK = open_book("2023")
METALS = st.sampled_from(["copper", "aluminum"])
SIZE = st.sampled_from([size for size in sizes_of(BOOK, "aluminum") if size_rank(size) <= size_rank("500")])
AIR = st.integers(0, 60)
COUNT = st.integers(1, 50)
INSULATION = st.sampled_from([60, 75, 90])
TERMINALS = st.sampled_from([60, 75])
RATING = st.sampled_from([15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 125, 150, 200])
TYPES = st.sampled_from(["NM-B", "SER", "THWN-2", "UF-B", "XHHW", "AC"])
COLUMNS_ONLY = settings(max_examples=200, deadline=None)
HOUSES = settings(max_examples=60, deadline=None)


def at(insulation: int, terminals: int, air: int, count: int, limit: int | None = None) -> Conditions:
    return Conditions(insulation, limit, False, terminals, Decimal(air), count)


@COLUMNS_ONLY
@given(SIZE, METALS, INSULATION, TERMINALS, AIR, AIR, COUNT)
def test_hotter_never_carries_more(size: str, metal: str, ins: int, term: int, one: int, other: int, n: int) -> None:
    cool, hot = sorted((one, other))
    assert carried(BOOK, size, metal, at(ins, term, hot, n)) <= carried(BOOK, size, metal, at(ins, term, cool, n))


@COLUMNS_ONLY
@given(SIZE, METALS, INSULATION, TERMINALS, AIR, COUNT, COUNT)
def test_more_together_never_carry_more(
    size: str, metal: str, ins: int, term: int, air: int, one: int, two: int
) -> None:
    few, many = sorted((one, two))
    assert carried(BOOK, size, metal, at(ins, term, air, many)) <= carried(BOOK, size, metal, at(ins, term, air, few))


@COLUMNS_ONLY
@given(SIZE, SIZE, METALS, INSULATION, TERMINALS, AIR, COUNT)
def test_bigger_never_carries_less(a: str, b: str, metal: str, ins: int, term: int, air: int, count: int) -> None:
    small, large = sorted((a, b), key=size_rank)
    here = at(ins, term, air, count)
    assert carried(BOOK, small, metal, here) <= carried(BOOK, large, metal, here)


@COLUMNS_ONLY
@given(SIZE, INSULATION, TERMINALS, AIR, COUNT)
def test_aluminum_never_carries_more_than_copper(size: str, ins: int, term: int, air: int, count: int) -> None:
    here = at(ins, term, air, count)
    assert carried(BOOK, size, "aluminum", here) <= carried(BOOK, size, "copper", here)


@COLUMNS_ONLY
@given(st.integers(1, 6000), st.integers(1, 6000), METALS, st.sampled_from(EDITIONS))
def test_a_larger_breaker_never_asks_for_a_smaller_ground(one: int, two: int, metal: str, edition: str) -> None:
    small, large = sorted((one, two))
    book = open_book(edition)
    low, high = (grounding_size(book, Decimal(each), metal).value for each in (small, large))
    order = [*SIZES, *({low, high} - set(SIZES))]  # 1200 kcmil is no size of ours; it stands last of all
    assert order.index(low) <= order.index(high) or high == "1200"


@HOUSES
@given(SIZE, METALS, st.integers(10, 2000))
def test_the_breaker_over_conductors_is_never_more_than_the_next_standard(size: str, metal: str, amperes: int) -> None:
    ratings = standard_ratings(BOOK)
    one = case({"type": "NM-B"}, 20, edition="2023")
    without, with_up = (most_over(one, Decimal(amperes), size, metal, up=up) for up in (False, True))
    assert without <= amperes and without <= with_up
    assert with_up <= next((each for each in ratings if each >= amperes), ratings[-1])


@HOUSES
@given(SIZE, METALS, TYPES, RATING, st.integers(1, 150))
def test_next_size_up_never_rescues(size: str, metal: str, kind: str, rating_a: int, load_a: int) -> None:
    """Whatever breaker stands over them, conductors below the least the load asks for do not meet."""
    cable = {"type": kind, "size": size, "metal": metal, "runs": ["wall"], "terminals_c": 75, "insulation_c": 75}
    load = {"kind": "evse", "nameplate_a": load_a}
    made = run(cable, rating_a, load, poles=2)
    assert made.ampacity is not None and made.least is not None
    if made.ampacity.value.high is not None and made.least.value.low > made.ampacity.value.high:
        assert checks(cable, rating_a, load, poles=2)["circuit.conductor"].outcome is Outcome.FAILS


@HOUSES
@given(RATING, st.integers(1, 80), st.integers(1, 80), TYPES)
def test_a_larger_load_never_takes_smaller_conductors(rating_a: int, one: int, two: int, kind: str) -> None:
    cable = {"type": kind, "runs": ["wall"], "terminals_c": 75, "insulation_c": 75}
    small, large = sorted((one, two))
    found = [run(cable, rating_a, {"kind": "evse", "nameplate_a": a}, poles=2).smallest for a in (small, large)]
    for metal in range(min(map(len, found))):
        assert size_rank(found[0][metal].size) <= size_rank(found[1][metal].size)


KNOWN: dict[str, list[Any]] = {
    "terminals_c": [60, 75], "metal": ["copper", "aluminum"], "insulation_c": [60, 75, 90],
    "runs": [["wall"], ["attic"], ["insulation"], ["outdoors"]], "ambient_c": [30, 40, 45],
}  # fmt: skip


@HOUSES
@given(SIZE, RATING, st.sampled_from(["SER", "NM", "AC"]), st.sets(st.sampled_from(sorted(KNOWN))), st.data())
def test_what_is_not_known_is_an_outer_range(size: str, rating_a: int, kind: str, left: set[str], data: Any) -> None:
    """A fact filled in never leads out of the range that stood before."""
    cable = {"type": kind, "size": size, "metal": "copper", "runs": ["outdoors"], "terminals_c": 75,
             "insulation_c": {"NM": 90, "SER": 75, "AC": 90}[kind]}  # fmt: skip
    known = {name: data.draw(st.sampled_from(KNOWN[name])) for name in sorted(left) if name != "insulation_c"}
    if "insulation_c" in left:
        known["insulation_c"] = data.draw(st.sampled_from({"NM": [60, 90], "SER": [75, 90], "AC": [60, 90]}[kind]))
    if known.get("ambient_c", 30) > 30 and "runs" in known:
        known["runs"] = ["outdoors"]  # a wall hotter than 30 C breaks a printed assumption
    vague = {name: value for name, value in cable.items() if name not in left}
    low, high = ends(run(vague, rating_a).ampacity)
    inside_low, inside_high = ends(run({**cable, **known}, rating_a).ampacity)
    assert low <= inside_low and (high is None or (inside_high is not None and inside_high <= high))
