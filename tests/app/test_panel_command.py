"""`deadfront panel`: what is not known is told apart from what is wrong, by its sign and by the exit code.

Expected figures: hand, the working beside each.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.calling import call
from tests.panel.houses import breaker, house

KITCHEN = breaker("kit", "2", 900, name="Kitchen counter")


def ended(folder: Path, text: str, *more: object) -> tuple[int, str]:
    """Exit code and words of the command."""
    (path := folder / "house.toml").write_text(text, encoding="utf-8")
    done = call("panel", path, *more)
    return done.code, " ".join(done.out.split())


def test_a_space_that_was_not_read_is_cannot_tell(tmp_path: Path) -> None:
    code, told = ended(tmp_path, house(KITCHEN, breaker("den", "", 1200, name="Den, north")))
    assert code == 3 and "\u25a0" not in told, "no square: nothing is wrong"
    assert "\u25c7 Nothing wrong is found with where the breakers stand, as far as is known" in told


def test_a_breaker_that_was_not_traced_leaves_the_legs_open(tmp_path: Path) -> None:
    """Hand: kitchen 7.5 A on L1; what the breaker in 5 draws is anything to 20 A on L1 too: 7.5 to 27.5 A apart."""
    code, told = ended(tmp_path, house(KITCHEN, breaker("den", "5", name="Den, north")))
    assert code == 3 and "the legs differ by 7.5 to 27.5 A" in told


def test_what_is_wrong_ends_with_something_to_correct(tmp_path: Path) -> None:
    code, told = ended(tmp_path, house(KITCHEN, breaker("den", "2", 1200, name="Den, north")))
    assert code == 1 and "\u25a0 Kitchen counter and Den, north:" in told


def test_all_known_and_right_ends_well(tmp_path: Path) -> None:
    """Hand: kitchen 7.5 A on L1, den 10 A on L2: 2.5 A apart."""
    code, told = ended(tmp_path, house(KITCHEN, breaker("den", "4", 1200, name="Den, north")))
    assert code == 0 and "\u25a0" not in told and "\u25c7" not in told


def test_the_curve_and_the_order_tell_the_range(tmp_path: Path) -> None:
    """Hand: range 15 A and den 10 A on L1, the attic's breaker (16 A of 20 A counted) on L2: 9 A apart as counted,
    and 5 to 25 A in the whole range."""
    pytest.importorskip("highspy", reason="the extra solve is not installed")
    things = (breaker("kit", "2", 1800, name="Kitchen counter"), breaker("den", "5", 1200, name="Den, north"),
              breaker("att", "7", name="Attic"))  # fmt: skip
    code, told = ended(tmp_path, house(*things), "--solve", "--limit", 10)
    assert code == 3 and "10.0 A 0 5.0 to 25.0 A proven fewest; within the limit as the loads are counted" in told
    assert "for certain only once the loads that are not on file are known" in told
