"""Raceways and boxes: areas and volumes by hand, by edition, and what is missing."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from deadfront.circuits.rules.each.box_fill import Contents, volume_taken
from deadfront.circuits.rules.each.raceway_fill import fill_of
from deadfront.codebook import open_book
from deadfront.job.panel_things import WireCount
from tests.circuits.runs_made import all_of, facts_from, figure

BOOK = open_book("2023")


def wires(**counts: int) -> tuple[WireCount, ...]:
    """Counts by size, written n12=3."""
    return tuple(WireCount(size=size[1:], count=count) for size, count in counts.items())


def found(part: str, thing: dict[str, Any], edition: str = "2023") -> tuple[str, str]:
    """Outcome and words of the one check of a new raceway or box."""
    facts = facts_from({}, edition, {part: [{"id": "x-01", **thing}]})
    check = next(c for c in all_of(facts) if c.thing == "x-01")
    return check.outcome.name, check.say.key.rsplit(".", 1)[1]


@pytest.mark.parametrize(
    ("count", "nipple", "percent"), [(1, False, 53), (2, False, 31), (3, False, 40), (40, False, 40), (2, True, 60)]
)
def test_share_by_number(count: int, nipple: bool, percent: int) -> None:
    """Published (two pages on Chapter 9): 53, 31, 40 percent; 60 in a nipple."""
    fill = fill_of(BOOK, "r-01", "EMT", "1", wires(n12=count), nipple)
    assert figure(fill.allowed) == Decimal("0.864") * percent / 100


def test_bare_conductors_take_room_too() -> None:
    """Hand: bare 12 AWG 0.006 in2 (Chapter 9, Table 8), insulated 0.0133."""
    bare = (WireCount(size="12", count=1, bare=True),)
    assert figure(fill_of(BOOK, "r-01", "EMT", "1/2", bare, False).taken) == Decimal("0.006")


def test_raceways() -> None:
    full = [{"size": "12", "count": 9}]
    assert found("raceways", {"kind": "EMT", "trade_size": "1/2", "wires": full}) == ("MEETS", "meets")
    over = [{"size": "12", "count": 10}]
    assert found("raceways", {"kind": "EMT", "trade_size": "1/2", "wires": over}) == ("FAILS", "fails")
    short = {"kind": "EMT", "trade_size": "1/2", "wires": over, "length_ft": 2}
    assert found("raceways", short) == ("MEETS", "meets")
    assert found("raceways", {"kind": "EMT", "wires": full}) == ("CANNOT_TELL", "cannot_tell")
    huge = [{"size": "500", "count": 100}]
    assert found("raceways", {"kind": "EMT", "trade_size": "4", "wires": huge}) == ("FAILS", "fails_all")
    odd = [{"size": "12", "count": 3, "insulation": "other"}]
    assert found("raceways", {"kind": "EMT", "trade_size": "1/2", "wires": odd}) == ("CANNOT_TELL", "out_of_table")
    assert found("raceways", {"kind": "EMT", "trade_size": "5", "wires": full}) == ("CANNOT_TELL", "out_of_table")


def test_grounds_above_four_count_from_2020() -> None:
    """Published (2020 text quoted on a box-fill page): six grounds of 12 AWG: 2.25, from 2020 2.25 x 1.5."""
    inside = Contents(grounds=wires(n12=6))
    assert figure(volume_taken(open_book("2017"), "x-01", inside)) == Decimal("2.25")
    assert figure(volume_taken(open_book("2020"), "x-01", inside)) == Decimal("3.375")


def test_clamps_and_supports_count_by_the_largest_conductor() -> None:
    """Hand: 14 and 10 AWG: 2.0 + 2.5, clamps once 2.5, two supports 5.0, a wide device 2 x 2 x 2.5."""
    inside = Contents(wires(n14=1, n10=1), (), 3, 2, (), wires(n10=1))
    assert figure(volume_taken(BOOK, "x-01", inside)) == Decimal("22.0")


def test_boxes() -> None:
    inside = {"wires": [{"size": "14", "count": 6}], "clamps": 0}
    assert found("boxes", {**inside, "volume_in3": 12}) == ("MEETS", "meets")
    assert found("boxes", {**inside, "volume_in3": 11}) == ("FAILS", "fails")
    assert found("boxes", {**inside, "standard": "square 4 x 1-1/2"}) == ("MEETS", "meets")
    assert found("boxes", {**inside, "standard": "shoe box"}) == ("CANNOT_TELL", "out_of_table")
    assert found("boxes", inside) == ("CANNOT_TELL", "cannot_tell")
    assert found("boxes", {"wires": inside["wires"], "volume_in3": 12}) == ("CANNOT_TELL", "cannot_tell")
    assert found("boxes", {"wires": inside["wires"], "volume_in3": 11}) == ("FAILS", "fails")
    assert found("boxes", {"wires": [{"size": "4", "count": 3}], "clamps": 0, "volume_in3": 40})[1] == "out_of_table"
