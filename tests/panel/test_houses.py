"""Panels of whole houses: what is read from a job, the legs, what is said, and what is not said twice."""

from __future__ import annotations

from decimal import Decimal

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.quantities import between, point
from deadfront.results.panel import Place
from deadfront.worksheet.check import Outcome, Reach, Severity
from tests.panel.houses import assessed, breaker, found, house, panel

RANGE = breaker("rng", "1, 3", 9600, poles=2)
KITCHEN, DEN, HALL = breaker("kit", "2", 1200), breaker("den", "4", 600), breaker("hal", "6", 240)


def test_legs_by_hand() -> None:
    """Hand: 1200 and 240 VA on L1 (rows 1 and 3) are 10 and 2 A, 600 VA on L2 is 5 A: 7 A apart, within 10 A."""
    result = panel(house(RANGE, KITCHEN, DEN, HALL))
    (legs,) = result.balances
    assert [each.value for each in legs.legs] == [point(12), point(5)]
    assert legs.apart.value == point(7) and legs.neutral.value == point(7)
    assert result.leave is True and result.free == (5, 7, 8)
    (check,) = found(house(RANGE, KITCHEN, DEN, HALL), "panel.balance")
    assert (check.outcome, check.severity) == (Outcome.MEETS, Severity.NOTE)


def test_times_that_were_entered() -> None:
    """Hand: at night the kitchen draws nothing and the den 16 A: L1 2 A, L2 16 A, 14 A apart: more than 10 A."""
    times = """
[choices]
panel_loads = [
  { name = "day" },
  { name = "night", currents_a = { "c-kit" = 0, "c-den" = 16 } },
  { name = "own source", currents_a = { "c-hal" = 2 }, others = "off" },
]
"""
    result = panel(house(RANGE, KITCHEN, DEN, HALL, more=times))
    assert [each.apart.value.low for each in result.balances] == [7, 14, 2]
    assert result.leave is False
    assert result.case is not None and result.case.pieces[1].tenths == (100, 0, 0)


def test_percent_of_a_kind() -> None:
    """Hand: half of 1200 VA at 120 V is 5 A; a kind that nobody knows is said."""
    load = '[[before.loads]]\nid = "l-ac1"\nkind = "appliance"\ncircuit = "c-kit"\nnameplate_w = 1200\nvolts = 120\n'
    times = '[choices]\npanel_loads = [{ name = "spring", percent = { appliance = 50, warmth = 0 } }]\n'
    result = panel(house(breaker("kit", "2"), DEN, more=load + times))
    assert result.balances[0].legs[0].value == point(5)
    assert result.case is not None
    assert [each.params["ids"] for each in result.case.told if each.key == "panel.told.strangers"] == [("warmth",)]


def test_a_load_that_is_not_known_is_a_range_and_a_named_basis() -> None:
    """Hand: 0 to 20 A against 5 A on the other leg; counted at 80 % of 20 A, that is 16.0 A."""
    text = house(breaker("kit", "2"), DEN)
    result = panel(text)
    apart = result.balances[0].apart.value
    assert (apart.low, apart.high) == (0, 15)
    assert result.leave is None
    assert result.case is not None and result.case.pieces[0].tenths == (160,)
    (check,) = found(text, "panel.balance")
    assert check.outcome is Outcome.CANNOT_TELL
    assert [each.path for each in check.missing] == ["before/c-kit.load_va"]
    assert assessed(text).to_find and all(f.missing.path != "before/c-kit.load_va" for f in assessed(text).to_find)


def test_a_list_that_is_not_complete_is_no_pass() -> None:
    text = house(RANGE, KITCHEN, DEN, HALL).replace('breakers = "yes", ', "")
    (check,) = found(text, "panel.balance")
    assert check.outcome is Outcome.CANNOT_TELL
    assert check.missing[0].path == "before/complete.breakers"


def test_numbers_that_run_down_the_columns() -> None:
    """Hand: eight spaces, four rows: 1 and 2 are neighbors, 5 is beside 1; rows 1 and 3 are on one leg."""
    case = panel(house(breaker("rng", "1, 2", 9600, poles=2), panel='numbering = "down"')).case
    assert case is not None
    assert case.rows == (0, 1, 2, 3, 0, 1, 2, 3) and case.columns == (0,) * 4 + (1,) * 4
    assert case.legs == (0, 1, 0, 1) * 2


@pytest.mark.parametrize(
    ("facts", "key"),
    [
        ('legs = ["L1"]', "panel.trouble.one_leg"),
        ('legs = ["L1", "L2", "L3"]', "panel.trouble.third_leg"),
        ("fuses = true", "panel.trouble.fuses"),
    ],
)
def test_what_cannot_be_laid_out_is_said_with_the_way_out(facts: str, key: str) -> None:
    result = panel(house(KITCHEN, DEN, panel=facts))
    assert result.case is None
    assert [each.key for each in result.troubles] == [key]
    for language in ("en", "es"):
        assert len(Catalog(language, strict=True).say(result.troubles[0])) > 40
    (check,) = result.checks
    assert check.id == "panel.layout" and check.say == result.troubles[0]
    assert (check.outcome is Outcome.NOT_APPLICABLE) == (facts == "fuses = true")
    assert [each.path for each in check.missing] == ["before/p-k3m.legs"] * facts.startswith("legs")


def test_without_spaces_or_system_the_facts_are_asked_for() -> None:
    result = panel(house(KITCHEN).replace("spaces = 8\n", "", 1).replace('system = "120/240 1ph 3w"\n', ""))
    assert [each.key for each in result.troubles] == ["panel.trouble.spaces", "panel.trouble.system"]
    assert [each.path for each in result.missing] == ["before/p-k3m.spaces", "before/service.system"]


def test_a_pattern_nobody_knows_is_refused_by_the_file_with_what_is_allowed() -> None:
    from deadfront.job.read import read_job

    (problem,) = read_job(house(KITCHEN, panel='legs = ["A", "B"]'), file="x.toml").problems[:1]
    assert "L1" in str(problem.msg.params)


@pytest.mark.parametrize(
    ("breakers", "facts", "ident", "reach"),
    [
        ([breaker("den", "4", 600, 'half = "a"')], "half_spaces = [7, 8]", "panel.half_space", Reach.EXISTING),
        ([breaker("den", "4", 600, "controllable = true")], "controllable_spaces = [1, 3]",
         "panel.controllable_space", Reach.EXISTING),
        ([breaker("den", "4", 600)], "reserved = [4]", "panel.kept_space", Reach.EXISTING),
        ([breaker("den", "4", 600, 'tied_with = "b-hal"'), breaker("hal", "8", 240)], "", "panel.tie", Reach.EXISTING),
        ([breaker("rng", "1, 3", 9600, poles=2)], 'legs = ["L1", "L1", "L2", "L2"]', "panel.two_legs", Reach.EXISTING),
        ([breaker(f"a{n}", f"{n}", 100) for n in range(1, 4)], "circuits_max = 2", "panel.circuits_limit",
         Reach.EXISTING),
    ],
)  # fmt: skip
def test_what_is_wrong_is_a_check_with_a_remedy(breakers: list[str], facts: str, ident: str, reach: Reach) -> None:
    text = house(*breakers, panel=facts)
    text = text.replace("circuits_max = 12\n", "") if "circuits_max" in facts else text
    (check,) = found(text, ident)
    assert check.outcome is Outcome.FAILS and check.reach is reach and check.remedy is not None
    for language in ("en", "es"):
        catalog = Catalog(language, strict=True)
        assert catalog.say(check.say) and catalog.say(check.remedy)


def test_what_the_circuits_stage_says_is_not_said_again() -> None:
    """A space taken twice, a space that is not there, hots of a shared neutral on one leg: once each."""
    twice = assessed(house(breaker("kit", "2", 100), breaker("den", "2", 100), breaker("far", "9", 100)))
    said = [check for check in twice.checks if check.is_finding and check.thing in ("b-kit", "b-den", "b-far")]
    assert sorted(check.id for check in said if check.id.startswith(("panel.", "circuit.topology"))) == [
        "circuit.topology", "circuit.topology",
    ]  # fmt: skip
    assert {wrong.kind for wrong in twice.panels[0].violations} == {"overlap", "no_such_space"}
    shared = breaker("two", "6", 100) + 'shares_neutral_with = "c-kit"\n'
    pair = assessed(house(breaker("kit", "2", 100), shared))
    assert [c.id for c in pair.checks if c.severity is Severity.DANGER] == ["protection.multiwire_legs"]
    assert {wrong.kind for wrong in pair.panels[0].violations} == {"multiwire_leg"}


WORK = """
[[work]]
id = "w-4c1"
say = "Charger"
add.breakers = [{ id = "b-44t", panel = "p-k3m", rating_a = 40, poles = 2 }]
add.circuits = [{ id = "c-9pw", name = "Charger", breaker = "b-44t", load_va = 7680 }]
"""


def test_three_legs_say_how_loads_between_them_are_counted() -> None:
    """Hand: 9600 VA at 208 V is 46.15 A on each of two legs, 30 degrees off; 10 A and 2 A to neutral stand on the first
    and third: the first carries the hypotenuse of 10 + 46.15 x 0.866 and 46.15 / 2, 55.0 A."""
    result = panel(house(RANGE, KITCHEN, HALL).replace("120/240 1ph 3w", "208Y/120 3ph 4w"))
    assert result.case is not None and "panel.told.between_legs" in [each.key for each in result.case.told]
    assert [round(float(each.value.low), 1) for each in result.balances[0].legs] == [55.0, 46.2, 2.0]


def test_a_new_breaker_without_a_place_waits_or_does_not_fit() -> None:
    (check,) = found(house(RANGE, KITCHEN, more=WORK), "panel.room")
    assert check.outcome is Outcome.CANNOT_TELL
    assert [each.path for each in check.missing] == ["w-4c1/b-44t.spaces"]
    full = [breaker(f"a{n}", f"{n}", 100) for n in range(1, 8)]
    (check,) = found(house(*full, more=WORK), "panel.room")
    assert check.outcome is Outcome.FAILS and check.severity is Severity.CORRECT


def test_a_breaker_that_stays_and_is_moved_by_the_work() -> None:
    move = '[[work]]\nid = "w-4c1"\nsay = "Even"\nmove = { "b-kit" = { spaces = [5] } }\n'
    text = house(breaker("kit", "2", 1200, "fixed = true"), DEN, more=move)
    assert [check.outcome for check in found(text, "panel.stays")] == [Outcome.FAILS]
    assert found(text, "panel.stays", "before") == []
    case = panel(text).case
    assert case is not None and case.pieces[0].now == Place((5,)) and case.pieces[0].fixed
    assert case.pieces[0].reach is Reach.REPLACED


def test_a_panel_below_widens_the_difference() -> None:
    """Hand: 10 A on L1 alone here, 3 A on one leg of the shed's panel: 7 to 13 A, against 10 A: cannot tell."""
    sub = (
        '[[before.panels]]\nid = "p-sub"\nname = "Shed"\nspaces = 4\nfed_by = "b-sub"\n'
        '[[before.breakers]]\nid = "b-sub"\npanel = "p-k3m"\nspaces = [5, 7]\npoles = 2\nrating_a = 30\n'
        'role = "feeder"\n'
    )
    light = breaker("lgt", "1", 360).replace('panel = "p-k3m"', 'panel = "p-sub"')
    main, shed = assessed(house(KITCHEN, light, more=sub)).panels
    assert shed.apart == point(3) and main.apart == between(7, 13)
    assert main.leave is None and [each.key for each in main.case.told][-1] == "panel.told.feeders_even"  # type: ignore[union-attr]


def test_the_main_of_a_panel_fed_by_a_breaker_is_that_breaker() -> None:
    """Hand: 10 % of 40 A."""
    more = '[[before.panels]]\nid = "p-sub"\nname = "Shed"\nspaces = 4\nfed_by = "b-rng"\n'
    results = assessed(house(RANGE.replace("c-rng", "c-xrn"), KITCHEN, more=more)).panels
    assert results[1].limit is not None and results[1].limit.value == point(Decimal(4))
    assert results[0].limit is not None and results[0].limit.value == point(10)
