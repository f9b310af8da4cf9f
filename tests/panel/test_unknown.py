"""What is not known about a panel is no pass: cannot tell, with the fact that ends it. Names of circuits as checks."""

from __future__ import annotations

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from tests.panel.houses import assessed, breaker, found, house, panel

KITCHEN, DEN, HALL = (breaker("kit", "2", 1200, name="Kitchen counter"), breaker("den", "4", 600, name="Den, north"),
                      breaker("hal", "6", 240, name="Hall, upper"))  # fmt: skip


def said_in_both(check: Check) -> None:
    """Its words are there in both languages, and what is missing says how to find it."""
    for language in ("en", "es"):
        catalog = Catalog(language, strict=True)
        assert catalog.say(check.say)
        assert all(catalog.say(each.what) and catalog.say(each.how) for each in check.missing)
        assert check.remedy is None or catalog.say(check.remedy)


def test_a_house_with_everything_known_meets_and_waits_for_nothing() -> None:
    checks = [each for each in assessed(house(KITCHEN, DEN, HALL)).checks if each.id.startswith("panel.")]
    assert [(each.id, each.outcome) for each in checks] == [("panel.balance", Outcome.MEETS)]


@pytest.mark.parametrize(
    ("old", "new", "path"),
    [
        ("poles = 1\n", "", "before/b-kit.poles"),
        ("spaces = [2]\n", "", "before/b-kit.spaces"),
        ("spaces = [2]\n", "spaces = [9]\n", "before/b-kit.spaces"),
        ("spaces = [2]\n", "spaces = [4]\n", "before/b-kit.spaces"),
        ("spaces = [2]\n", "spaces = [2, 4]\n", "before/b-kit.spaces"),
        ("poles = 1\n", "poles = 2\n", "before/b-kit.spaces"),
        ("spaces = 8\n", "", "before/p-k3m.spaces"),
        ('system = "120/240 1ph 3w"\n', "", "before/service.system"),
        ("disconnect = { rating_a = 100 }\n", "", "before/p-k3m.fed_by"),
        ("load_va = 1200\n", "", "before/c-kit.load_va"),
        ('breakers = "yes", ', "", "before/complete.breakers"),
    ],
)
def test_one_fact_less_and_nobody_says_leave_as_found(old: str, new: str, path: str) -> None:
    """The same house meets with every fact (above); each of these taken away or spoiled is asked for."""
    text = house(KITCHEN, DEN, HALL)
    assert old in text
    result = panel(text.replace(old, new, 1))
    assert result.leave is None
    told = [each for each in result.checks if each.id in ("panel.balance", "panel.layout")]
    assert told and all(each.outcome is Outcome.CANNOT_TELL for each in told)
    assert path in {each.path for check in told for each in check.missing}
    for check in told:
        said_in_both(check)


def test_a_second_panel_that_nobody_knows_the_feeder_of_has_no_limit() -> None:
    """Ten percent of the service would pass almost anything in a small panel."""
    more = '[[before.panels]]\nid = "p-sub"\nname = "Shed"\nspaces = 4\n'
    main, shed = assessed(house(KITCHEN, more=more)).panels
    assert main.limit is not None and shed.limit is None and shed.leave is None


@pytest.mark.parametrize(
    ("more", "path"),
    [
        ('[[before.circuits]]\nid = "c-any"\nname = "Shop"\nload_va = 1500\n', "before/c-any.breaker"),
        ('[[before.breakers]]\nid = "b-any"\nspaces = [8]\npoles = 1\nrating_a = 20\n'
         '[[before.panels]]\nid = "p-sub"\nname = "Shed"\nspaces = 4\nfed_by = "service"\n', "before/b-any.panel"),
        ('[[before.panels]]\nid = "p-sub"\nname = "Shed"\nspaces = 4\n', "before/p-sub.fed_by"),
    ],
)  # fmt: skip
def test_what_may_stand_on_any_leg_leaves_every_panel_open(more: str, path: str) -> None:
    """A circuit on no breaker, a breaker in no panel, a panel fed from nowhere: its load may make the legs uneven."""
    main = assessed(house(KITCHEN, DEN, HALL, more=more)).panels[0]
    (check,) = [each for each in main.checks if each.id == "panel.balance"]
    assert main.leave is None and check.outcome is Outcome.CANNOT_TELL
    assert path in [each.path for each in check.missing]
    said_in_both(check)


def test_three_phases_have_no_usual_way() -> None:
    """A panel on such a service may take two legs or three: which is asked; once entered, the check can tell."""
    text = house(KITCHEN, DEN, HALL).replace("120/240 1ph 3w", "208Y/120 3ph 4w")
    (check,) = found(text, "panel.balance")
    assert check.outcome is Outcome.CANNOT_TELL and check.missing[0].path == "before/p-k3m.legs"
    known = house(KITCHEN, DEN, HALL, panel='legs = ["L1", "L2", "L3"]').replace("120/240 1ph 3w", "208Y/120 3ph 4w")
    assert panel(known).leave is True  # hand: 10, 5 and 2 A, 8 A apart, within 10 A


def test_spaces_that_the_label_was_not_read_for() -> None:
    """Half-size and controllable breakers that stand in a panel whose label says nothing yet."""
    half = [breaker("kit", "2", 300, 'half = "a"'), breaker("den", "2", 300, 'half = "b"')]
    text = house(*half, breaker("hal", "6", 240, "controllable = true")).replace("circuits_max = 12\n", "")
    checks = {each.id: each for each in assessed(text).checks if each.id.startswith("panel.") and each.missing}
    assert {ident: each.missing[0].path for ident, each in checks.items()} == {
        "panel.half_space": "before/p-k3m.half_spaces",
        "panel.controllable_space": "before/p-k3m.controllable_spaces",
        "panel.circuits_limit": "before/p-k3m.circuits_max",
    }
    for check in checks.values():
        assert check.outcome is Outcome.CANNOT_TELL and check.cites
        said_in_both(check)
    known = text.replace(
        "spaces = 8\n", "spaces = 8\ncircuits_max = 16\nhalf_spaces = [2]\ncontrollable_spaces = [6]\n"
    )
    assert [e.id for e in assessed(known).checks if e.id.startswith("panel.") and e.is_finding] == []


def test_an_old_breaker_without_a_place_takes_room_from_a_new_one() -> None:
    """Hand: eight spaces, six one-pole breakers stand, one more is somewhere: one free for a new one of two poles."""
    text = house(
        *(breaker(f"a{n}", f"{n}", 100) for n in range(1, 7)), breaker("lost", "", 100),
        more='[[work]]\nid = "w-4c1"\nsay = "x"\n'
             'add.breakers = [{ id = "b-nw1", panel = "p-k3m", rating_a = 40, poles = 2 }]\n',
    )  # fmt: skip
    (check,) = found(text, "panel.room")
    assert check.outcome is Outcome.FAILS and check.say.params["poles"] == 3 and check.say.params["free"] == 2
    (layout,) = found(text, "panel.layout")
    assert [each.path for each in layout.missing] == ["before/b-lost.spaces"]


@pytest.mark.parametrize(
    ("names", "ident"),
    [
        (("Bobbie's room",), "panel.name_person"),
        (("Lights",), "panel.name_vague"),
        (("Spare",), "panel.name_spare"),
        (("12",), "panel.name_missing"),
        (("Dryer", "the dryer"), "panel.name_twice"),
    ],
)
def test_a_name_that_a_directory_may_not_have_is_a_check(names: tuple[str, ...], ident: str) -> None:
    breakers = [breaker(f"x{n}", f"{n + 1}", 100, name=name) for n, name in enumerate(names)]
    checks = [each for each in assessed(house(*breakers)).checks if each.id.startswith(("panel.name", "panel.not"))]
    (check,) = checks
    assert (check.id, check.outcome, check.thing) == (ident, Outcome.FAILS, "p-k3m")
    assert (check.reach, check.severity) == (Reach.EXISTING, Severity.NOTE)
    assert [each.section for each in check.cites] == ["408.4"]
    said_in_both(check)


def test_a_name_of_the_work_is_to_be_put_right_and_told_apart_from_old_ones() -> None:
    work = """
[[work]]
id = "w-4c1"
say = "Shop"
add.breakers = [{ id = "b-nw1", panel = "p-k3m", spaces = [8], poles = 1, rating_a = 20 }]
add.circuits = [{ id = "c-nw1", name = "Mom", breaker = "b-nw1", load_va = 10 }]
"""
    old, new = sorted(found(house(breaker("kit", "2", 100, name="Kids"), more=work), "panel.name_person"),
                      key=lambda each: each.reach is Reach.NEW)  # fmt: skip
    assert (old.severity, new.severity) == (Severity.NOTE, Severity.CORRECT)
    assert [each.say.params["names"][0].params["name"] for each in (old, new)] == ["Kids", "Mom"]  # type: ignore[index]


def test_breakers_nobody_traced_cannot_be_told_until_the_circuits_are_said_to_be_all() -> None:
    alone = '[[before.breakers]]\nid = "b-un"\npanel = "p-k3m"\nspaces = [5]\npoles = 1\nrating_a = 20\n'
    text = house(KITCHEN, alone)
    assert found(text, "panel.not_traced") == []
    (check,) = found(text.replace(', circuits = "yes"', ""), "panel.not_traced")
    assert check.outcome is Outcome.CANNOT_TELL and check.missing[0].path == "before/complete.circuits"
    assert [each.params["name"] for each in check.say.params["names"]] == ["5"]  # type: ignore[attr-defined]
    said_in_both(check)


def test_names_are_looked_at_where_the_panel_cannot_be_laid_out() -> None:
    text = house(breaker("kit", "2", 100, name="Lights")).replace("spaces = 8\n", "", 1)
    assert [each.id for each in panel(text).checks] == ["panel.layout", "panel.name_vague"]
