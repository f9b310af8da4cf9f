"""A table cell that is a little wrong is noticed: by a published case or by the second engine, or it is named.

Two engines that share a table share its errors; the second has its own, typed from the digest.
"""

from __future__ import annotations

from tests.loads.perturb import caught_by_edition, changed_books, holding, second_engine_sees

# What the second engine does not hold: the digest names no 200 V motor currents and no motors above 5 hp.
UNSEEN = ("current_200v_a", "7-1/2 current_", "10 current_")


def test_cells_changed_one_at_a_time() -> None:
    for edition in ("2017", "2026"):
        found = caught_by_edition(edition)
        print(found.row())
        assert found.cells >= 160
        assert all(any(part in name for part in UNSEEN) for name in found.unseen), found.unseen
        assert found.second >= 0.85 * found.cells - 5
        assert found.published >= (15 if edition == "2017" else 3)


def test_the_published_cases_hold_before_anything_is_changed() -> None:
    """None is caught out by the unchanged book, or it could not catch anything."""
    assert len(holding("2017")) == 17
    assert len(holding("2023")) >= 16


def test_every_table_of_loads_is_among_the_cells() -> None:
    assert {changed.table for changed in changed_books("2023")} == {
        "range_demand", "dryer_demand", "multifamily_demand", "lighting_demand", "motor_current_single_phase"
    }  # fmt: skip
    lighting = [changed for changed in changed_books("2023") if changed.table == "lighting_demand"]
    assert all(second_engine_sees(changed) for changed in lighting) and len(lighting) == 5
