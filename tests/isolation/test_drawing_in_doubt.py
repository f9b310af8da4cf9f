"""What the record leaves open or contradicts stops every plan from being told; expected by hand on a drawing."""

from __future__ import annotations

import pytest

from deadfront.isolation.rules.answer import isolation_answer
from deadfront.isolation.rules.checker import verdict
from deadfront.topology.states import live
from deadfront.worksheet.check import Outcome
from tests.isolation.houses import PANEL, SOLAR, job_of, locks, network, plan, step_plans, still_live
from tests.isolation.test_plans import GENERATOR

SECOND = '[[before.panels]]\nid = "p-bb"\nfed_by = "b-c2"\n'
SERVICE = "[before.service]\n"


def test_a_backfed_breaker_in_no_known_panel_brings_its_source_to_every_bus() -> None:
    lost = PANEL.replace('id = "b-pv"\npanel = "p-aa"', 'id = "b-pv"').replace("lockable = true }", "lockable = true }")
    switch = '[[before.switches]]\nid = "x-pv"\nfed_by = "s-pv"\nlockable = true\n'
    solar = SOLAR.replace("breaker =", 'disconnects = ["x-pv"]\nbreaker =')
    found = network(lost, SECOND, solar, switch)
    off = ["utility"]
    assert {"bus/p-aa", "bus/p-bb"} <= live(found, feeds_off=off)
    # the checker of its own does not let a plan without the source pass
    assert not verdict(found, ["disconnect"], ["bus/p-aa"]).dead
    for panel in ("p-aa", "p-bb"):
        planned = plan(panel, lost, SECOND, solar, switch)
        assert "x-pv" in locks(planned) and planned.outcome is Outcome.CANNOT_TELL
        assert "before/b-pv.panel" in [each.path for each in planned.doubts]
        assert "at/out/b-pv" in [each.id for each in planned.prove]  # it may be in this panel


def test_a_branch_breaker_in_no_known_panel_is_in_doubt_itself_and_no_other_zone_is() -> None:
    lost = PANEL.replace('id = "b-c1"\npanel = "p-aa"', 'id = "b-c1"')
    assert plan("c-c1", lost, SECOND).answer == "unknown"
    assert plan("p-aa", lost, SECOND).outcome is Outcome.MEETS  # a branch circuit feeds no bus


LOOPS = {
    "own breaker": PANEL.replace('fed_by = "service"', 'fed_by = "b-c1"'),
    "own main": PANEL.replace('fed_by = "service"', 'fed_by = "b-mn"')
    + '[[before.breakers]]\nid = "b-mn"\npanel = "p-aa"\nrole = "main"\nlockable = true\n',
    "transfer": PANEL.replace('fed_by = "service"', 'fed_by = "t-tr"') + GENERATOR,
    "two panels": PANEL.replace('fed_by = "service"', 'fed_by = "b-bb"')
    + '[[before.panels]]\nid = "p-bb"\nfed_by = "b-c2"\n[[before.breakers]]\nid = "b-bb"\npanel = "p-bb"\n',
    "switch": PANEL.replace('fed_by = "service"', 'fed_by = "x-bb"')
    + '[[before.switches]]\nid = "x-bb"\nfed_by = "x-bb"\nlockable = false\n',
}


@pytest.mark.parametrize("house", LOOPS.values(), ids=LOOPS)
def test_a_chain_that_leads_back_to_itself_is_never_a_plan_without_the_utility(house: str) -> None:
    found = plan("p-aa", house, SOLAR)
    assert found.answer == "unknown" and found.outcome is Outcome.CANNOT_TELL
    assert any(note.key == "isolation.doubt.loop" for note in found.notes)
    assert found.doubts and all(each.path.endswith((".fed_by", ".normal")) for each in found.doubts)


def test_transfer_equipment_fed_by_itself_stops_the_plans_of_the_whole_house() -> None:
    loop = GENERATOR.replace('normal = "b-tr"', 'normal = "t-tr"')
    for zone in ("p-aa", "p-bb", "t-tr"):
        assert plan(zone, PANEL, loop).outcome is Outcome.CANNOT_TELL


def test_a_panel_that_nothing_reaches_counts_as_live_and_one_fed_by_its_own_source_does_not() -> None:
    far = '[[before.panels]]\nid = "p-bb"\nfed_by = "x-bb"\n'
    alone = '[[before.sources]]\nid = "s-ge"\nkind = "generator"\n[[before.switches]]\nid = "x-bb"\nfed_by = "s-ge"\n'
    assert not [each for each in network(PANEL, far, alone).unknowns if each[0] in ("island", "loop")]
    ahead = PANEL.replace('fed_by = "service"', 'fed_by = "x-cc"') + '[[before.switches]]\nid = "x-cc"\n'
    assert plan("p-aa", ahead).answer == "unknown"


@pytest.mark.parametrize(
    ("more", "path"),
    [
        ('[[before.meters]]\nid = "m-2ut"\n', "before/m-2ut.purpose"),
        (GENERATOR.replace('normal = "b-tr"\n', ""), "before/t-tr.normal"),
        ('[[before.panels]]\nid = "p-cc"\n', "before/p-cc.fed_by"),
    ],
)
def test_what_the_drawing_does_not_know_stops_a_plan_of_the_main_panel(more: str, path: str) -> None:
    found = plan("p-aa", PANEL, more)
    assert found.answer == "locks" and found.outcome is Outcome.CANNOT_TELL
    assert path in [each.path for each in found.doubts] and path in [each.path for each in found.missing]
    step = '[[work]]\nid = "w-s1"\nsay = "Breaker"\nmove."b-c1".spaces = [9]\n'
    (check,) = isolation_answer(job_of(PANEL, more, step)).checks
    assert check.outcome is Outcome.CANNOT_TELL and path in [each.path for each in check.missing]


def test_a_disconnect_outdoors_without_a_mark_stops_it_too() -> None:
    outside = PANEL.replace(SERVICE, SERVICE + 'outside = { present = "yes", lockable = true }\n')
    assert plan("p-aa", outside).outcome is Outcome.CANNOT_TELL


def test_a_further_meter_that_feeds_a_panel_on_file_is_no_doubt() -> None:
    more = '[[before.meters]]\nid = "m-2ut"\n[[before.panels]]\nid = "p-bb"\nfed_by = "m-2ut"\n'
    assert plan("p-aa", PANEL, more).outcome is Outcome.MEETS
    assert plan("p-bb", PANEL, more).answer == "others"  # no lock between that meter and the panel
    assert "bus/p-bb" in live(network(PANEL, more), ["disconnect"])


SIGNAL = """
[[before.signals]]
id = "g-st"
purpose = "engine start"
sender = "t-tr"
receiver = "s-ge"
"""


def test_signal_wires_with_voltage_and_the_supply_of_their_sender_are_live_in_what_they_end_in() -> None:
    low = SIGNAL + "voltage_free = true\nreceiver_volts = 12\n"
    quiet = network(PANEL, GENERATOR, low)
    assert not {"signal/g-st/sender", "signal/g-st/receiver"} & live(quiet)
    mains = network(PANEL, GENERATOR, low.replace("= 12", "= 120"))
    assert "signal/g-st/sender" in live(
        mains, ["disconnect", "x-ge"]
    )  # hand: the set gives it, ahead of its disconnect
    not_read = network(PANEL, GENERATOR, SIGNAL + "voltage_free = true\n")
    assert "signal/g-st/sender" in live(not_read, ["disconnect", "x-ge"])
    powered = low + 'powered_by = "c-c1"\n'
    shut = ["disconnect", "x-ge", "b-tr"]
    assert "signal/g-st/supply" in live(network(PANEL, GENERATOR, powered))
    assert "signal/g-st/supply" not in live(network(PANEL, GENERATOR, powered), [*shut, "b-c1"])
    driven = network(PANEL, GENERATOR, powered.replace("voltage_free = true", "voltage_free = false"))
    assert "signal/g-st/sender" in live(driven, ["x-ge"], feeds_off=["s-ge"])
    found = plan("t-tr", PANEL.replace("lockable = true }", "lockable = false }"), GENERATOR, powered)
    assert "b-c1" in locks(found)  # the supply of the sender comes from there
    over = network(PANEL, GENERATOR, powered + "over_network = true\n")
    assert "signal/g-st/sender" not in over.ends


def test_the_direct_current_terminals_of_an_inverter_are_in_its_zone_behind_their_own_disconnect() -> None:
    switches = (
        '[[before.switches]]\nid = "x-dc"\nfed_by = "s-pv"\ndirect_current = true\nlockable = true\n'
        '[[before.switches]]\nid = "x-ac"\nlockable = true\n'
    )
    both = SOLAR.replace('breaker = "b-pv"', 'disconnects = ["x-dc", "x-ac"]\nbreaker = "b-pv"')
    found = plan("s-pv", PANEL, switches, both)
    points = {each.id: [pair.key for pair in each.pairs] for each in found.prove}
    assert found.answer == "locks" and {"x-dc"} < locks(found)
    assert points["at/dc/s-pv"][0] == "isolation.pair.plus_minus" and "at/source/s-pv" in points
    shut = network(PANEL, switches, both)
    assert shut.enclosure_of["dc/s-pv"] == "s-pv" and "inside/s-pv" not in shut.enclosure_of  # the array is on the roof
    bare = plan("s-pv", PANEL, SOLAR)
    assert bare.answer == "others" and "inside/s-pv" in still_live(bare)


def test_steps_without_a_plan_are_counted_and_said() -> None:
    rod = '[[work]]\nid = "w-s1"\nsay = "Rod"\n[[work.add.electrodes]]\nid = "n-aa"\nkind = "rod"\n'
    (found,) = step_plans(PANEL, rod)
    assert found.answer == "unknown" and found.say.key == "isolation.say.bonding"
    assert [note.key for note in found.notes] == ["isolation.note.bonding"]
    (check,) = isolation_answer(job_of(PANEL, rod)).checks
    assert check.outcome is Outcome.CANNOT_TELL and [each.path for each in check.missing] == ["w-s1.zone"]
    old = '[[before.electrodes]]\nid = "n-bb"\nkind = "rod"\n'
    changed = '[[work]]\nid = "w-s1"\nsay = "Wire to the rod"\nset."n-bb".conductor_size = "6"\n'
    (found,) = step_plans(PANEL, old, changed)
    assert found.say.key == "isolation.say.bonding"
    bonds = '[[work]]\nid = "w-s1"\nsay = "Bonds"\nset.service.grounding = { water_pipe = "yes" }\n'
    (found,) = step_plans(PANEL, bonds)
    assert "isolation.note.bonding" in [note.key for note in found.notes]
    meter = '[[work]]\nid = "w-s1"\nsay = "Meter"\n[[work.add.meters]]\nid = "m-nn"\n'
    (found,) = step_plans(PANEL, meter)
    assert found.answer == "others"  # hand: it is wired to the service point


def test_work_on_a_signal_or_on_gear_is_work_on_its_leads() -> None:
    powered = SIGNAL + 'voltage_free = true\nreceiver_volts = 12\npowered_by = "c-c1"\n'
    found = plan("g-st", PANEL, GENERATOR, powered)
    assert "at/signal/g-st/supply" in [each.id for each in found.prove]
    gear = '[[before.gear]]\nid = "g-aa"\nkind = "metering"\npanel = "p-bb"\ncircuit = "c-c1"\n'
    unlocked = PANEL.replace("lockable = true }", "lockable = false }")
    assert locks(plan("g-aa", unlocked, SECOND, gear)) == {"b-c1", "b-c2"}
    no_lock = unlocked.replace("spaces = [1]\nlockable = true", "spaces = [1]")
    assert plan("g-aa", no_lock, SECOND, gear).answer == "others"  # its own leads have no lock ahead of them


def test_an_alternate_side_that_nothing_feeds_is_in_doubt_until_all_sources_are_entered() -> None:
    bare = GENERATOR.replace('alternate = ["x-ge"]\n', "")
    bare = bare[: bare.index("[[before.switches]]")].replace(
        'control_feeds = ["s-ge", "b-tr"]', "no_control_feeds = true"
    )
    for zone in ("t-tr", "p-bb", "p-aa"):
        found = plan(zone, PANEL, bare)
        assert found.outcome is Outcome.CANNOT_TELL and "before/t-tr.alternate" in [each.path for each in found.doubts]
    none = '[before]\ncomplete = { sources = "yes" }\n' + PANEL
    assert plan("p-aa", none, bare).outcome is Outcome.MEETS


def test_a_source_on_the_feeder_of_a_panel_fed_nobody_knows_from_where_still_reaches_it() -> None:
    tap = SOLAR.replace('breaker = "b-pv"', 'joins = "feeder"\nfeeder_of = "p-bb"')
    assert "bus/p-bb" in live(
        network(PANEL, '[[before.panels]]\nid = "p-bb"\n', tap), feeds_off=["utility", "unknown/p-bb/panel"]
    )
