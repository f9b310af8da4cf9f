"""No more is said of a panel than was read of it: legs, numbering, poles, spaces of controllable breakers, main."""

from __future__ import annotations

from dataclasses import replace

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.panel.rules.judge import judge
from deadfront.panel.rules.order import ordered
from deadfront.panel.solve.curve import clashing, curve
from deadfront.results.panel import Place
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from tests.panel.houses import breaker, found, house, panel

FACTS = 'numbering = "odd left"\nlegs = ["L1", "L2"]'
THREE = "208Y/120 3ph 4w"
PAIR = (breaker("kit", "1", 1200) + 'shares_neutral_with = "c-den"\n', breaker("den", "3", 1200))


def said_in_both(check: Check) -> str:
    """Its words in both languages; the English."""
    assert Catalog("es", strict=True).say(check.say)
    return Catalog("en", strict=True).say(check.say)


def test_a_new_controllable_breaker_has_no_proven_place_where_the_label_was_not_read() -> None:
    """Without the label, what is found may be forbidden: best found, and the question stands on its step."""
    able = breaker("wat", "", 4500, "controllable = true", poles=2)
    text = house(breaker("kit", "1", 1800), breaker("den", "5", 1200), able, panel=FACTS)
    result = panel(text)
    assert result.case is not None and result.layout_open
    points = list(curve(result.case, (100, 30), 10))
    assert [each.status for each in points] == ["best found", "impossible"]  # hand: 15 and 10 A never come within 3 A
    steps = ordered(result.case, dict(points[0].layout or ()))
    assert [each.ask_controllable for each in steps if each.piece == "b-wat"] == [True]
    assert not any(each.ask_controllable for each in steps if each.piece != "b-wat")
    known = panel(house(breaker("kit", "1", 1800), breaker("den", "5", 1200), able,
                        panel=FACTS + "\ncontrollable_spaces = [6, 8]")).case  # fmt: skip
    assert known is not None
    assert [each.status for each in curve(known, (100,), 10)] == ["proven"]


def test_legs_of_three_phases_that_were_not_read_leave_the_layout_open() -> None:
    text = house(*PAIR, panel='numbering = "odd left"').replace("120/240 1ph 3w", THREE)
    result = panel(text)
    (check,) = [each for each in result.layout_open if each.id == "panel.layout"]
    assert check.outcome is Outcome.CANNOT_TELL and "two legs" in said_in_both(check)
    assert [each.path for each in check.missing] == ["before/p-k3m.legs"]
    assert result.leave is None and result.case is not None
    assert {each.status for each in curve(result.case, (100, 10), 10)} == {"not found"}
    read = panel(text.replace('numbering = "odd left"', 'numbering = "odd left"\nlegs = ["L1", "L2", "L3"]'))
    assert read.layout_open == () and read.case is not None and not read.case.legs_open


def test_numbering_that_was_not_read_matters_to_a_pair() -> None:
    """Hand: 1 and 3 are neighbors where odd numbers stand left; down a column of four they are not."""
    result = panel(house(*PAIR, panel='legs = ["L1", "L2"]'))
    (check,) = [each for each in result.layout_open if each.id == "panel.layout"]
    assert "numbering" in said_in_both(check)
    assert [each.path for each in check.missing] == ["before/p-k3m.numbering"]
    assert result.leave is None and result.case is not None
    assert {each.status for each in curve(result.case, (100, 10), 10)} <= {"best found", "not found"}
    assert panel(house(*PAIR, panel=FACTS)).layout_open == ()


def test_a_breaker_of_two_poles_shows_the_numbering() -> None:
    """Hand: two poles in 5 and 7 are neighbors only where odd numbers stand left."""
    shown = breaker("rng", "5, 7", 9600, poles=2)
    assert panel(house(*PAIR, shown, panel='legs = ["L1", "L2"]')).layout_open == ()


def test_poles_that_are_not_known_leave_nothing_proven() -> None:
    text = house(breaker("kit", "1", 1800), breaker("den", "3", 100), panel=FACTS).replace("poles = 1\n", "", 1)
    case = panel(text).case
    assert case is not None
    assert {each.status for each in curve(case, (100, 10), 10)} <= {"best found", "not found"}


@pytest.mark.parametrize(("spaces", "poles"), [("1, 3", 1), ("1", 2)])
def test_poles_and_spaces_that_contradict_each_other_say_so(spaces: str, poles: int) -> None:
    case = panel(house(breaker("kit", spaces, 1200, poles=poles), panel=FACTS)).case
    assert case is not None
    told = " ".join(Catalog("en", strict=True).say(each) for each in clashing(case, None, 10))
    assert f"poles: {poles} and spaces: {spaces.replace(', ', ' and ')}, which contradict each other" in told
    assert "strike out" not in told


def test_a_main_in_numbered_spaces_is_no_circuit() -> None:
    """From memory: the label counts branch circuits; six of them and a main in two spaces are six."""
    main = 'id = "b-mai"\npanel = "p-k3m"\nspaces = [1, 3]\npoles = 2\nrating_a = 100\nrole = "main"\n'
    circuits = [breaker(f"c{n}", str(n), 600) for n in (2, 4, 5, 6, 7, 8)]
    text = house(f"[[before.breakers]]\n{main}", *circuits, panel=FACTS)
    assert panel(text.replace("circuits_max = 12", "circuits_max = 6")).violations == ()
    few = panel(text.replace("circuits_max = 12", "circuits_max = 5")).violations
    assert [each.kind for each in few] == ["too_many_circuits"]


def test_a_current_that_is_entered_is_no_basis() -> None:
    times = '[choices]\npanel_loads = [{ name = "Winter", currents_a = { c-kit = 3 } }]\n'
    text = house(breaker("kit", "2"), breaker("den", "4", 900), panel=FACTS).replace("[before]", times + "[before]", 1)
    case = panel(text).case
    assert case is not None and "panel.told.basis" not in [each.key for each in case.told]
    open_ = panel(house(breaker("kit", "2"), breaker("den", "4", 900), panel=FACTS)).case
    assert open_ is not None and "panel.told.basis" in [each.key for each in open_.told]


@pytest.mark.parametrize(("of", "limit"), [("rating_a = 100", 10), ("rating_a = 200\nfuse_a = 60", 6), ("", 10)])
def test_what_feeds_a_panel_gives_its_rating(of: str, limit: int) -> None:
    """Hand: 10 percent of 100 A, of a fuse of 60 A, of the service of 100 A behind a disconnect without a rating."""
    more = f'[[before.switches]]\nid = "k-dsc"\nfed_by = "service"\n{of}\n'
    text = house(breaker("kit", "2", 1200), panel=FACTS, more=more).replace('fed_by = "service"', 'fed_by = "k-dsc"', 1)
    result = panel(text)
    assert result.limit is not None and result.limit.value.low == limit
    ats = '[[before.transfers]]\nid = "t-ats"\nkind = "automatic switch"\nnormal = "service"\nrating_a = 80\n'
    text = house(breaker("kit", "2", 1200), panel=FACTS, more=ats).replace('fed_by = "service"', 'fed_by = "t-ats"', 1)
    after = panel(text).limit
    assert after is not None and after.value.low == 8


def test_a_panel_whose_main_nobody_knows_says_that() -> None:
    text = house(breaker("kit", "2", 1200), panel=FACTS).replace("disconnect = { rating_a = 100 }\n", "")
    (check,) = found(text, "panel.balance")
    assert check.outcome is Outcome.CANNOT_TELL
    assert (
        said_in_both(check)
        == "Main panel: the legs differ by 10 A (all loads on); the rating of the main is not known."
    )


@pytest.mark.parametrize("rating", [100, 125, 150, 200])
def test_a_main_above_the_bus_fails(rating: int) -> None:
    """From memory (408.36): a panel is protected at no more than its rating; the bus is of 125 A."""
    text = house(breaker("kit", "2", 1200), panel=FACTS).replace("rating_a = 100", f"rating_a = {rating}")
    checks = found(text, "panel.bus")
    assert [each.outcome for each in checks] == [Outcome.FAILS] * (rating > 125)
    for check in checks:
        assert check.reach is Reach.EXISTING and check.severity is Severity.CORRECT
        assert f"{rating} A" in said_in_both(check) and check.cites and check.remedy is not None
        assert Catalog("es", strict=True).say(check.remedy)


def test_an_unfused_disconnect_protects_no_bus() -> None:
    """A switch of 200 A without fuses, behind a breaker of 100 A: the breaker protects."""
    more = '[[before.switches]]\nid = "k-dsc"\nfed_by = "service"\nrating_a = 200\n'
    text = house(breaker("kit", "2", 1200), panel=FACTS, more=more).replace('fed_by = "service"', 'fed_by = "k-dsc"', 1)
    assert found(text, "panel.bus") == []


def test_a_typed_place_is_judged_by_the_same_rules() -> None:
    case = panel(house(breaker("kit", "1", 1200), panel=FACTS)).case
    assert case is not None
    stays = replace(case, pieces=tuple(replace(each, fixed=True) for each in case.pieces))
    assert [each.kind for each in judge(stays, {"b-kit": Place((3,))})] == ["fixed"]
