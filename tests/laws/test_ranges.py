"""Every range contains the exact answers that it stands for, and a verdict said with blanks holds for all of them.

Origin of every expected figure: independent (the same house with every fact filled in, the thresholds of the rules
among the values).
"""

from __future__ import annotations

import pytest

from deadfront.codebook.editions import EDITIONS
from tests.laws.inside import sweep

HOUSES, SAMPLES = range(45), 8


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_exact_answer_lies_inside_its_range(edition: str) -> None:
    found, counts = sweep(edition, HOUSES, SAMPLES)
    print("\n".join(f"{counts[name]:6d}  {name}" for name in sorted(counts)))
    assert found == []
    assert counts["samples: standard"] == len(HOUSES) * SAMPLES
    assert counts["range: standard from below"] >= 20
    assert counts["range: standard bounded"] >= 3
    assert counts["verdict with blanks: standard fails"] >= 60
    assert counts["verdict with blanks: standard meets"] >= 40
    assert counts["verdict with blanks: optional meets"] >= 40


@pytest.mark.parametrize("shape", ["multifamily", "two_family", "wye_unit"])
def test_buildings_and_wyes(shape: str) -> None:
    """Several units, three phases, two legs of a wye."""
    found, counts = sweep("2023", range(100, 112), 8, shape)
    assert found == []
    assert counts["samples: standard"] == 96
