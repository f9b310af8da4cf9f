"""A table cell that is a little wrong is noticed by a published case or by a law; the full counts are in the study."""

from __future__ import annotations

from dataclasses import replace

import pytest

from deadfront.codebook import EDITIONS, open_book
from tests.circuits.perturb import CELLS, cases, caught, changed_books, law_notices, notices
from tests.study.circuit_tables import run

SMALL = ("bundling_adjustment", "small_conductor_protection", "raceway_fill", "box_conductor_volume")


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_published_cases_hold_before_anything_is_changed(edition: str) -> None:
    """None is caught out by the unchanged book, or it could not catch anything."""
    book = open_book(edition)
    assert [name for name, case in cases().items() if notices(case, book)] == []


def test_the_law_holds_before_anything_is_changed_and_sees_every_factor_of_the_air() -> None:
    hot = [each for each in changed_books("2023") if each.table == "ambient_correction"]
    assert len(hot) == 39 and all(law_notices(each) for each in hot)
    same = [replace(each, book=open_book("2023")) for each in changed_books("2023")]
    assert [each.name for each in same if law_notices(each)] == []


def test_cells_of_small_tables_changed_one_at_a_time() -> None:
    found = {each.table: each for each in caught("2023", SMALL)}
    assert sum(each.cells for each in found.values()) == 24
    assert found["bundling_adjustment"].published >= 3 and found["box_conductor_volume"].published == 2
    assert found["raceway_fill"].published >= 1
    assert all(set(each.unseen) for each in found.values())  # each names what nobody notices


def test_every_table_of_the_runs_is_among_the_cells() -> None:
    assert {each.table for each in changed_books("2023")} == set(CELLS)


def test_the_study_writes_its_table() -> None:
    out: list[str] = []
    run(out, ("raceway_fill",))
    assert any(line.startswith("| `raceway_fill` | 3 |") for line in out) and any("Not noticed" in x for x in out)
