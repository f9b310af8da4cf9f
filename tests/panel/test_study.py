"""The study of panels runs small here; in full with `python -m tests.study.run panels`."""

from __future__ import annotations

from tests.study import panels


def test_a_small_study_writes_its_rows() -> None:
    seen = panels.look(20, None, range(4))
    assert seen.points == 16 and seen.narrow == 4 and seen.settled == 16
    assert panels.line("20", seen).startswith("| 20 | 4 | ")


def test_hundredths_by_hand() -> None:
    """Hand: of twenty values the 95th of a hundred is the nineteenth, the 90th the eighteenth."""
    values = list(range(1, 21))
    assert (panels.share(values, 95), panels.share(values, 90), panels.share([7], 95)) == (19, 18, 7)
