"""What is moved as one body or not at all: tandems; breakers of sources; three hots of one neutral."""

from __future__ import annotations

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.msg import Msg
from deadfront.panel.rules.judge import judge
from deadfront.panel.rules.order import ordered
from deadfront.panel.solve.curve import clashing, curve, fewest_moves
from deadfront.results.panel import PanelCase, Place
from tests.panel.houses import breaker, found, house, panel
from tests.panel.made import empty_case, piece

FACTS = 'numbering = "odd left"\nlegs = ["L1", "L2"]\nhalf_spaces = [5, 6, 7, 8]\ncontrollable_spaces = [5, 7]'


def kinds(case: PanelCase, **places: Place) -> list[str]:
    """What is wrong with a layout in which some breakers are put elsewhere."""
    return [wrong.kind for wrong in judge(case, {**case.found(), **{f"b-{i}": place for i, place in places.items()}})]


def words(told: tuple[Msg, ...]) -> str:
    """Said in both languages; the English."""
    assert all(Catalog("es", strict=True).say(each) for each in told)
    return " ".join(Catalog("en", strict=True).say(each) for each in told)


# --- tandems ---
def tandem(*more: str) -> PanelCase:
    """15 A and 15 A on both halves of space 5; 10 A in space 1."""
    case = panel(house(breaker("one", "5", 1800, 'half = "a"', *more), breaker("two", "5", 1800, 'half = "b"', *more),
                       breaker("kit", "1", 1200), panel=FACTS)).case  # fmt: skip
    assert case is not None
    return case


def test_half_of_a_tandem_does_not_leave_alone() -> None:
    case = tandem()
    assert kinds(case, one=Place((7,), "a")) == ["tandem_apart"]
    assert kinds(case, one=Place((7,), "a"), two=Place((7,), "b")) == []
    assert kinds(case, one=Place((7,), "b"), two=Place((7,), "a")) == []  # two terminals of one body
    assert kinds(case, one=Place((7,), "a"), two=Place((6,), "b")) == ["tandem_apart"] * 2
    assert kinds(case, one=Place((3,))) == ["half_width"]


def test_a_half_that_comes_in_full_size_leaves_as_a_new_breaker() -> None:
    case = tandem('protection = "plain"')
    assert kinds(case, one=Place((3,))) == []
    point = fewest_moves(case, 100, 10)
    assert (point.moves, point.status) == (1, "proven") and point.layout is not None  # hand: 25 A against 15 A
    (step,) = ordered(case, dict(point.layout))
    assert step.other_size and step.end is not None and not step.end.half


def test_both_halves_are_moved_in_one_go() -> None:
    """Hand: 40 A on one leg; the tandem of 30 A moved to the other leaves 20 A apart, its best."""
    case = tandem()
    point = fewest_moves(case, 200, 10)
    assert point.layout is not None and point.apart_tenths == 200
    target = {**case.found(), "b-one": Place((7,), "a"), "b-two": Place((7,), "b")}
    steps = ordered(case, target)
    assert [(each.piece, each.together) for each in steps] == [("b-one", False), ("b-two", True)]
    assert fewest_moves(case, 100, 10).status == "impossible"
    assert "one body" in words(clashing(case, 100, 10))


def test_two_tandems_change_places_with_both_halves_set_aside() -> None:
    spots = {"a": Place((1,), "a"), "b": Place((1,), "b"), "c": Place((3,), "a"), "d": Place((3,), "b")}
    mates = {"a": "b", "b": "a", "c": "d", "d": "c"}
    pieces = tuple(
        piece(ident, 10, now=place, half=True, full=False, body=mates[ident]) for ident, place in spots.items()
    )
    case = empty_case(4, half_spaces=frozenset({1, 3}), pieces=pieces)
    target = {"a": spots["c"], "b": spots["d"], "c": spots["a"], "d": spots["b"]}
    assert judge(case, target) == ()
    steps = ordered(case, target)
    assert [(each.kind, each.piece) for each in steps[:2]] in (
        [("park", "a"), ("park", "b")],
        [("park", "c"), ("park", "d")],
    )
    assert [each.together for each in steps[2:]] == [False, True, False, True]


# --- sources ---
SOLAR = """
[[before.breakers]]
id = "b-sun"
panel = "p-k3m"
spaces = [5, 7]
poles = 2
rating_a = 40
{more}
[[before.sources]]
id = "s-pv1"
kind = "{kind}"
breaker = "b-sun"
output_a = 32
"""


def solar(more: str = 'role = "source"', kind: str = "solar", main_at: str = "top") -> PanelCase:
    """A source at the end away from a main at the top, and a new controllable breaker that fits only there."""
    new = breaker("rng", "", 9600, "controllable = true", poles=2)
    text = house(SOLAR.format(more=more, kind=kind), breaker("kit", "2", 600), new, panel=FACTS)
    case = panel(text.replace('main_at = "top"', f'main_at = "{main_at}"')).case
    assert case is not None
    return case


@pytest.mark.parametrize("more", ['role = "source"', "", "kept_apart = true", "held_down = true"])
def test_the_breaker_of_a_source_stays_unless_asked(more: str) -> None:
    case = solar(more)
    (source,) = [each for each in case.pieces if each.id == "b-sun"]
    assert source.fixed and source.stays_for == "source" and source.role == "source"
    wrong = judge(case, {**case.found(), "b-sun": Place((1, 3))})
    (stays,) = [each for each in wrong if each.kind == "fixed"]
    assert "breaker of a source stays in 5 and 7" in words((stays.say,))
    for each in curve(case, (100, 10), 10):
        assert each.layout is None or dict(each.layout)["b-sun"] == Place((5, 7))


def test_a_source_that_may_be_moved_goes_to_the_end_away_from_the_main() -> None:
    """Hand: main at the top, 8 spaces: the ends are 5 and 7, 6 and 8; from the bottom they are 1 and 3, 2 and 4."""
    case = solar('role = "source"\nfixed = false')
    assert "source_end" in kinds(case, sun=Place((1, 3)))
    assert "source_end" not in kinds(case, sun=Place((6, 8)))
    point = fewest_moves(case, 100, 10)
    assert point.layout is not None and dict(point.layout)["b-sun"] == Place((6, 8))
    below = solar('role = "source"\nfixed = false', main_at="bottom")
    assert "source_end" in kinds(below, sun=Place((6, 8))) and "source_end" not in kinds(below, sun=Place((2, 4)))


def test_a_generator_on_an_interlock_has_no_end_of_the_bus_to_keep() -> None:
    case = solar("kept_apart = true\nfixed = false", kind="generator")
    assert "source_end" not in kinds(case, sun=Place((1, 3)))


def test_a_new_source_is_put_at_the_end() -> None:
    text = SOLAR.format(more='role = "source"', kind="battery").replace("spaces = [5, 7]\n", "")
    case = panel(house(text, breaker("kit", "2", 600), panel=FACTS)).case
    assert case is not None
    point = fewest_moves(case, 100, 10)
    assert point.layout is not None and set(dict(point.layout)["b-sun"].spaces) in ({5, 7}, {6, 8})


def test_a_source_breaker_that_cannot_move_is_named_with_its_reason() -> None:
    case = solar("kept_apart = true", kind="generator")
    assert "the breaker of a source, stays in 5 and 7" in words(clashing(case, None, 10))


# --- one neutral ---
def test_every_two_hots_of_one_neutral_are_compared() -> None:
    """Hand: on three legs, the first and the fourth row stand on one."""
    shares = {"aaa": 'shares_neutral_with = "c-bbb"\n', "bbb": 'shares_neutral_with = "c-ccc"\n', "ccc": ""}
    for last, wrong in ((7, 1), (5, 0)):
        spaces = {"aaa": 1, "bbb": 3, "ccc": last}
        text = house(*(breaker(ident, str(space), 1200) + shares[ident] for ident, space in spaces.items()),
                     panel='numbering = "odd left"\nlegs = ["L1", "L2", "L3"]')  # fmt: skip
        result = panel(text.replace("120/240 1ph 3w", "208Y/120 3ph 4w"))
        assert [(each.kind, each.pieces) for each in result.violations] == [
            ("multiwire_leg", ("b-aaa", "b-ccc"))
        ] * wrong


def test_a_neutral_shared_across_two_panels_is_said() -> None:
    there = breaker("den", "1", 1200).replace('panel = "p-k3m"', 'panel = "p-sub"')
    more = '[[before.panels]]\nid = "p-sub"\nfed_by = "b-fee"\nspaces = 8\n'
    text = house(breaker("kit", "1", 1200) + 'shares_neutral_with = "c-den"\n', there,
                 '[[before.breakers]]\nid = "b-fee"\npanel = "p-k3m"\nspaces = [2, 4]\npoles = 2\nrating_a = 50\n',
                 panel=FACTS, more=more)  # fmt: skip
    assert [each.kind for each in panel(text).violations] == ["multiwire_panel"]
    assert found(text, "protection.multiwire_panel") or found(text, "protection.multiwire_legs")
