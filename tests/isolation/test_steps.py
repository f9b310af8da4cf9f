"""What a step of the work touches, and its way back; expected by hand on a drawing of each."""

from __future__ import annotations

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.isolation.rules.answer import isolation_answer
from deadfront.results.isolation import IsolationPlan
from deadfront.worksheet.check import Outcome
from tests.isolation.houses import PANEL, SOLAR, full_house, job_of, locks, plan, step_plans
from tests.isolation.test_plans import GENERATOR

STEP = '[[work]]\nid = "w-s1"\nsay = "Work"\n'
SET = '[[work.add.sources]]\nid = "s-nn"\nkind = "generator"\njoins = "transfer"\ninhibit = "off"\n'
UNLOCKED = PANEL.replace("lockable = true }", "lockable = false }")
FEEDER = '[[before.panels]]\nid = "p-bb"\nfed_by = "b-c2"\n'


def points(found: IsolationPlan) -> set[str]:
    return {each.id.removeprefix("at/") for each in found.prove}


@pytest.mark.parametrize("normal", ['normal = "service"\n', ""])
def test_meter_mounted_equipment_is_work_in_the_jaws_of_the_meter(normal: str) -> None:
    collar = f'[[work.add.transfers]]\nid = "t-mm"\nkind = "meter-mounted"\n{normal}alternate = ["s-nn"]\n'
    (found,) = step_plans(PANEL, STEP, collar, SET)
    assert found.answer == "others" and [each.key for each in found.others] == ["isolation.other.utility"]
    assert {"meter/m-1ut/line", "meter/m-1ut/load", "service"} <= points(found)
    bare = PANEL.replace('[[before.meters]]\nid = "m-1ut"\n', "")
    (found,) = step_plans(bare, STEP, collar, SET)
    assert found.answer == "others" and "service point" in points(found)


def test_service_rated_equipment_and_a_switch_on_the_service_conductors_touch_the_line_side() -> None:
    rated = (
        '[[work.add.transfers]]\nid = "t-se"\nkind = "automatic switch"\nnormal = "service"\nalternate = ["s-nn"]\n'
        "service_equipment = true\n"
    )
    feeder = STEP + 'set."p-aa".fed_by = "t-se"\n'
    switch = '[[work.add.switches]]\nid = "x-su"\nfed_by = "service"\nlockable = true\n'
    for work in ((feeder, rated, SET), (STEP, switch)):
        (found,) = step_plans(PANEL, *work)
        assert found.answer == "others" and "service" in points(found), work
    behind = '[[work.add.transfers]]\nid = "t-bb"\nkind = "manual switch"\nnormal = "service"\nalternate = ["s-nn"]\n'
    (found,) = step_plans(PANEL, STEP, behind, SET)
    # whether it holds the service disconnect is not on file
    assert found.answer == "others" and [each.path for each in found.missing] == ["w-s1/t-bb.service_equipment"]
    (found,) = step_plans(PANEL, STEP, behind + "service_equipment = false\n", SET)
    assert found.answer == "locks" and locks(found) == {"disconnect"}  # on the load side of the service disconnect


def test_a_changed_cable_is_landed_at_both_ends_and_in_the_panel_of_its_breaker() -> None:
    cable = 'cable = { type = "NM-B", size = "12", metal = "copper" }\n'
    (found,) = step_plans(PANEL, STEP + f'set."c-c1".{cable}')
    assert {"end/c-c1", "out/b-c1", "bus/p-aa"} <= points(found) and locks(found) == {"disconnect"}
    (found,) = step_plans(PANEL, FEEDER, STEP + f'set."p-bb".{cable.replace("cable", "feeder")}')
    assert {"bus/p-bb", "out/b-c2", "bus/p-aa"} <= points(found) and locks(found) == {"disconnect"}
    switch = '[[before.switches]]\nid = "x-pv"\nfed_by = "s-pv"\nlockable = true\n'
    solar = SOLAR.replace("breaker =", 'disconnects = ["x-pv"]\nbreaker =')
    (found,) = step_plans(PANEL, switch, solar, STEP + f'set."s-pv".{cable}')
    ends = {"source/s-pv", "switch/x-pv/line", "switch/x-pv/load", "out/b-pv", "bus/p-aa"}
    assert ends <= points(found) and found.answer == "others"  # no lock ahead of the terminals of the inverter
    assert locks(found) == {"disconnect", "x-pv"}


def test_replacing_a_panel_takes_its_line_lugs_with_it() -> None:
    (found,) = step_plans(PANEL, STEP + 'set."p-aa".bus_a = 225\n')
    assert found.answer == "others" and {"service", "bus/p-aa", "out/b-c1"} <= points(found)
    (found,) = step_plans(PANEL, FEEDER, STEP + 'set."p-bb".bus_a = 125\n')
    assert found.answer == "locks"  # a feeder panel: its lugs are behind the breaker of the feeder
    outside = PANEL.replace(
        "[before.service]\n",
        '[before.service]\noutside = { present = "yes", marked = "service disconnect", lockable = true }\n',
    )
    (found,) = step_plans(outside, STEP + 'set."p-aa".bus_a = 225\n')
    assert found.answer == "locks" and locks(found) == {"disconnect"}


def test_only_a_lock_that_exists_is_said_to_stay_on() -> None:
    source = '[[work.add.sources]]\nid = "s-nn"\nkind = "solar"\nbreaker = "b-nn"\ninhibit = "off"\nshutdown_s = 1\n'
    breaker = '[[work.add.breakers]]\nid = "b-nn"\npanel = "p-aa"\nspaces = [5, 7]\nrole = "source"\n'
    for more, key in (("lockable = true\n", "new_source"), ("lockable = false\n", "new_source_no_lock"),
                      ("", "new_source_no_lock")):  # fmt: skip
        (found,) = step_plans(PANEL, STEP, breaker + more, source)
        (action,) = (each for each in found.actions if each.id == "lock/new/s-nn")
        assert action.say.key == f"isolation.do.{key}"


def test_the_way_back_is_that_of_the_house_which_the_step_leaves() -> None:
    first, second = isolation_answer(full_house()).plans
    ids = [each.id for each in first.back]
    # hand: the first step puts the generator and its transfer switch in; the array was there
    assert "back/transfer" in ids and {"back/source/s-1pv", "back/source/s-2ge"} <= set(ids)
    assert "back/source/s-3ba" not in ids and "back/source/s-3ba" in [each.id for each in second.back]
    gone = PANEL + SOLAR + STEP + 'remove = ["s-pv"]\n'
    (found,) = step_plans(gone)
    assert "back/source/s-pv" not in [each.id for each in found.back]


def test_covers_go_on_after_the_last_reading_inside_and_the_main_is_named() -> None:
    found = plan("p-aa", PANEL)
    ids = [each.id for each in found.back]
    assert (
        ids.index("back/main") < ids.index("back/neutral_load") < ids.index("back/covers") < ids.index("back/circuits")
    )
    words = [Catalog("en").say(each.say) for each in found.back if each.id == "back/main"]
    assert words == ["Close the main (service disconnect). The same at its load side."]
    mains = "".join(
        f'[[before.breakers]]\nid = "b-m{n}"\nname = "Main {n}"\npanel = "p-aa"\nrole = "main"\nlockable = true\n'
        for n in (1, 2)
    )
    (main,) = (each for each in plan("p-aa", PANEL, mains).back if each.id == "back/main")
    assert "Main 1 and Main 2" in Catalog("en").say(main.say)


POLES = [
    ("poles = 1\n", "", ["l_n", "l_g", "n_g"]),
    ("poles = 2\n", "cable.conductors = 2\n", ["l1_l2", "l1_g", "l2_g"]),
    ("poles = 2\n", "cable.conductors = 3\n", ["l1_l2", "l1_n", "l2_n", "l1_g", "l2_g", "n_g"]),
    ("poles = 1\n", 'shares_neutral_with = "c-c2"\n', ["l1_l2", "l1_n", "l2_n", "l1_g", "l2_g", "n_g"]),
]


@pytest.mark.parametrize(("poles", "cable", "pairs"), POLES)
def test_a_circuit_is_tested_between_the_conductors_it_has(poles: str, cable: str, pairs: list[str]) -> None:
    house = PANEL.replace('id = "b-c1"\n', f'id = "b-c1"\n{poles}').replace('id = "c-c1"\n', f'id = "c-c1"\n{cable}')
    (point,) = (each for each in plan("c-c1", house).prove if each.id == "at/end/c-c1")
    assert [each.key.removeprefix("isolation.pair.") for each in point.pairs] == pairs


def test_a_system_that_is_not_on_file_may_have_three_legs() -> None:
    point = plan("p-aa", PANEL.replace('system = "120/240 1ph 3w"\n', "")).prove[0]
    assert len(point.pairs) == 10  # hand: three legs, neutral and ground: 5 x 4 / 2
    inlet = '[[before.sources]]\nid = "s-in"\nkind = "inlet"\nbreaker = "b-pv"\nvolts = 120\n'
    (point,) = (each for each in plan("s-in", PANEL, inlet).prove if each.id == "at/source/s-in")
    assert len(point.pairs) == 3


def test_one_outlet_does_not_take_the_house_down() -> None:
    alone = PANEL.replace('id = "c-c1"\n', 'id = "c-c1"\nneutral_alone = true\n')
    found = plan("c-c1", alone)
    # hand: its breaker or the service disconnect, one lock each; the nearer one leaves the other circuit on
    assert locks(found) == {"b-c1"} and found.outcome is Outcome.MEETS
    assert [note.key for note in found.notes] == ["isolation.note.farther"]
    in_doubt = plan("c-c1", PANEL)
    assert locks(in_doubt) == {"disconnect"} and in_doubt.outcome is Outcome.MEETS
    assert [note.key for note in in_doubt.notes] == ["isolation.note.nearer_once_known"]
    assert locks(plan("p-aa", alone)) == {"disconnect"}  # work on a bus takes the one nearest to the feeds
    assert not plan("c-c1", UNLOCKED).notes  # nothing to choose


def test_an_explanation_that_would_take_too_long_is_said_to_be_left_out() -> None:
    many = "".join(
        f'[[before.transfers]]\nid = "t-{n:02}"\nkind = "manual switch"\nnormal = "b-c1"\nalternate = ["x-ge"]\n'
        "excludes = true\n"
        for n in range(20)
    )
    found = plan("p-aa", PANEL, GENERATOR, many)
    assert found.trusting is None and locks(found) == {"disconnect", "x-ge"}
    assert any(note.key == "isolation.note.trusting_not_worked_out" for note in found.notes)


def test_the_full_house_has_its_findings_of_old() -> None:
    (check,) = isolation_answer(job_of(PANEL, STEP + 'move."b-c1".spaces = [9]\n')).checks
    assert check.outcome is Outcome.MEETS
    assert all(each.outcome is Outcome.MEETS for each in isolation_answer(full_house()).plans)
