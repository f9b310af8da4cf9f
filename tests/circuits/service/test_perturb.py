"""A cell of the grounding tables that is one size wrong is noticed, or is named here; the counts are in the study."""

from __future__ import annotations

from dataclasses import replace

import pytest

from deadfront.codebook import EDITIONS, open_book
from tests.circuits.service.perturb import BOTH, CELLS, caught, changed_books, law_notices, printed_notices
from tests.study.grounding_tables import run


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_unchanged_book_is_noticed_by_nobody(edition: str) -> None:
    book = open_book(edition)
    assert not printed_notices(book)
    same = [replace(each, book=book) for table in CELLS for each in changed_books(edition, table)]
    assert not any(law_notices(each) for each in same)


@pytest.mark.parametrize("edition", EDITIONS)
def test_which_cells_nobody_notices(edition: str) -> None:
    found = {each.table: each for each in caught(edition)}
    assert {name: each.changes for name, each in found.items()} == {
        "electrode_conductor": 80, "bonding_jumper": 72, "electrode_conductor_cap": 14, BOTH: 72}  # fmt: skip
    assert [each.printed for each in found.values()] == [3, 4, 0, 5]
    unseen = {name: each.unseen for name, each in found.items() if each.unseen}
    assert unseen == {"electrode_conductor_cap": ("concrete-encased copper",)}


def test_the_study_writes_its_table() -> None:
    out: list[str] = []
    run(out)
    assert any(line.startswith("| bonding_jumper | 72 |") for line in out) and any("Not noticed" in x for x in out)
