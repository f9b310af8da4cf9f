"""Plans of small houses; what is expected was found by hand on a drawing of each, as said beside it."""

from __future__ import annotations

import pytest

from deadfront.errors import NotFound
from deadfront.isolation.rules.answer import isolation_answer, plan_of
from deadfront.isolation.rules.checker import verdict
from deadfront.job.house import house_at
from deadfront.topology.house_network import network_of
from deadfront.topology.states import live
from deadfront.worksheet.check import Outcome
from tests.isolation.houses import PANEL, SOLAR, full_house, job_of, locks, plan, step_plans, still_live

GENERATOR = """
[[before.breakers]]
id = "b-tr"
panel = "p-aa"
spaces = [5, 7]
lockable = true
[[before.panels]]
id = "p-bb"
fed_by = "t-tr"
[[before.breakers]]
id = "b-b1"
panel = "p-bb"
spaces = [1]
[[before.transfers]]
id = "t-tr"
kind = "automatic switch"
normal = "b-tr"
alternate = ["x-ge"]
excludes = true
control_feeds = ["s-ge", "b-tr"]
inhibit = "Selector to off"
[[before.switches]]
id = "x-ge"
fed_by = "s-ge"
lockable = true
[[before.sources]]
id = "s-ge"
kind = "generator"
joins = "transfer"
disconnects = ["x-ge"]
automatic = true
inhibit = "Control to off"
"""


def test_work_on_a_bus_leaves_the_inverter_side_terminal_in_the_same_panel_live() -> None:
    found = plan("p-aa", PANEL, SOLAR)
    # hand: two feeds, two ways to the bus; the wires from the inverter end in the panel, with no lock ahead of them
    assert found.answer == "locks" and locks(found) == {"disconnect", "b-pv"}
    assert {"out/b-pv", "service"} <= still_live(found)
    same_panel = next(each for each in found.live if each.place == "out/b-pv")
    assert same_panel.say.key == "isolation.live.zone"
    assert "inside/s-pv" in still_live(found)  # an array in daylight


def test_a_lock_at_the_inverter_makes_that_terminal_dead_too() -> None:
    switch = '[[before.switches]]\nid = "x-pv"\nfed_by = "s-pv"\nlockable = true\n'
    found = plan("p-aa", PANEL, SOLAR.replace("breaker =", 'disconnects = ["x-pv"]\nbreaker ='), switch)
    assert locks(found) == {"disconnect", "x-pv"} and "out/b-pv" not in still_live(found)


def test_the_line_side_is_for_the_utility_and_the_meter_is_no_disconnect() -> None:
    for zone in ("service", "m-1ut"):
        found = plan(zone, PANEL)
        assert found.answer == "others" and found.outcome is Outcome.CANNOT_TELL
        assert [each.key for each in found.others] == ["isolation.other.utility"]
        assert not found.missing  # no fact to find would change it
        assert any(action.id == "others/utility" for action in found.actions)


def test_a_lock_that_nobody_looked_for_is_no_lock_and_is_asked_for() -> None:
    found = plan("p-aa", PANEL.replace("disconnect = { rating_a = 200, lockable = true }", ""))
    assert found.answer == "others" and not found.locks
    assert [each.path for each in found.missing] == ["before/service.disconnect.lockable"]
    none = plan("p-aa", PANEL.replace("lockable = true }", "lockable = false }"))
    assert none.answer == "others" and not none.missing


def test_an_interlock_is_not_a_lock() -> None:
    found = plan("p-aa", PANEL, GENERATOR)
    # hand: bridged, the generator reaches the bus through both throws; trusting, it never meets the normal side
    assert locks(found) == {"disconnect", "x-ge"}
    assert found.trusting == ("disconnect",)
    assert [each.trusting for each in found.locks] == [False, True]
    assert any(note.key == "isolation.note.trusting" for note in found.notes)


def test_what_starts_by_itself_is_inhibited_before_anything_is_opened() -> None:
    found = plan("p-aa", PANEL, GENERATOR, SOLAR)
    parts = [action.part for action in found.actions]
    order = ["find", "inhibit", "drop", "open", "wait", "lock", "try", "prove"]
    assert [each for n, each in enumerate(parts) if n == 0 or parts[n - 1] != each] == order
    ids = [action.id for action in found.actions]
    assert ids.index("inhibit/s-ge") < ids.index("open/x-ge") < ids.index("open/disconnect")
    assert "inhibit/t-tr" in ids
    assert [each.device for each in found.locks][-1] == "disconnect"  # sources first, the utility's device last


def test_an_inhibit_or_a_wait_not_on_file_is_cannot_tell() -> None:
    for gone in ('inhibit = "Rapid shutdown switch to off"\n', "shutdown_s = 300\n"):
        found = plan("p-aa", PANEL, SOLAR.replace(gone, ""))
        assert found.answer == "locks" and found.outcome is Outcome.CANNOT_TELL
        assert [each.path for each in found.waits] == [f"before/s-pv.{gone.split(' ', 1)[0]}"]
        assert any(action.stop and action.waits for action in found.actions)
    assert plan("p-aa", PANEL, SOLAR).outcome is Outcome.MEETS


def test_control_and_sensing_leads_of_the_transfer_switch_itself_are_made_dead_too() -> None:
    found = plan("t-tr", PANEL, GENERATOR)
    # hand: the leads from the terminals of the set come ahead of its disconnect, so the set is isolated itself;
    # its disconnect is locked all the same, for it parts the throws from it
    assert found.answer == "others" and [each.key for each in found.others] == ["isolation.other.generator"]
    assert locks(found) == {"disconnect", "x-ge"}
    assert {"at/control/t-tr/s-ge", "at/control/t-tr/b-tr"} <= {each.id for each in found.prove}


def test_automatic_equipment_without_leads_on_file_is_a_fact_to_find_and_none_can_be_said() -> None:
    bare = GENERATOR.replace('control_feeds = ["s-ge", "b-tr"]\n', "")
    found = plan("t-tr", PANEL, bare)
    assert found.answer == "unknown" and "before/t-tr.control_feeds" in [each.path for each in found.missing]
    assert plan("p-aa", PANEL, bare).outcome is Outcome.MEETS  # they end in the transfer switch
    none = plan("t-tr", PANEL, bare.replace("excludes = true", "excludes = true\nno_control_feeds = true"))
    assert none.answer == "locks" and none.outcome is Outcome.MEETS
    by_hand = plan("t-tr", PANEL, bare.replace("automatic switch", "manual switch"))
    assert by_hand.answer == "locks"


def test_circuits_that_share_a_neutral_are_both_locked() -> None:
    alone, shared = PANEL, PANEL.replace('breaker = "b-c2"', 'breaker = "b-c2"\nshares_neutral_with = "c-c1"')
    bus_only = alone.replace("lockable = true }", "lockable = false }").replace(
        'id = "b-pv"\npanel = "p-aa"\nspaces = [38, 40]\nrole = "source"\nlockable = true',
        'id = "b-pv"\npanel = "p-aa"',
    )
    assert locks(plan("c-c1", bus_only)) == {"b-c1"}
    both = plan("c-c1", shared.replace("lockable = true }", "lockable = false }"))
    assert locks(both) == {"b-c1", "b-c2"}
    assert any(note.key == "isolation.note.shared_neutral" for note in both.notes)


def test_an_inlet_is_isolated_by_its_cord() -> None:
    inlet = '[[before.sources]]\nid = "s-in"\nkind = "inlet"\nbreaker = "b-pv"\n'
    found = plan("p-aa", PANEL.replace('role = "source"\nlockable = true', 'role = "source"'), inlet)
    assert locks(found) == {"disconnect", "s-in"}
    assert any(action.say.key == "isolation.do.open_cord" for action in found.actions)
    assert any(action.say.key == "isolation.do.keep" for action in found.actions)


def test_a_supply_side_tap_is_not_opened_by_the_main() -> None:
    tap = SOLAR.replace('breaker = "b-pv"', 'joins = "supply side"')
    found = plan("p-aa", PANEL, tap)
    assert locks(found) == {"disconnect"}
    line = next(each for each in found.live if each.place == "service")
    assert len(line.by) == 2  # the utility and the array


def test_what_feeds_a_panel_nobody_knows_counts_as_live() -> None:
    found = plan("p-bb", PANEL, '[[before.panels]]\nid = "p-bb"\n')
    assert found.answer == "unknown" and found.outcome is Outcome.CANNOT_TELL
    assert "before/p-bb.fed_by" in [each.path for each in found.missing]
    ring = '[[before.panels]]\nid = "p-bb"\nfed_by = "b-bb"\n[[before.breakers]]\nid = "b-bb"\npanel = "p-bb"\n'
    found = plan("p-bb", PANEL, ring)
    assert found.answer == "unknown" and found.outcome is Outcome.CANNOT_TELL
    assert [each.path for each in found.doubts] == ["before/p-bb.fed_by"]


def test_a_source_that_joins_nobody_knows_where_is_locked_out_itself_or_by_others() -> None:
    found = plan("p-aa", PANEL, SOLAR.replace('breaker = "b-pv"\n', ""))
    assert found.answer == "others" and "before/s-pv.joins" in [each.path for each in found.missing]


def test_battery_terminals_stay_live_and_their_maker_isolates_inside() -> None:
    battery = SOLAR.replace('kind = "solar"', 'kind = "battery"')
    found = plan("s-pv", PANEL, battery)
    assert found.answer == "others" and "inside/s-pv" in still_live(found)
    assert [each.key for each in found.others] == ["isolation.other.battery"]


def test_a_breaker_opened_remotely_is_locked_by_its_handle_and_its_commands_disabled() -> None:
    remote = PANEL.replace('id = "b-c1"', 'id = "b-c1"\ncontrollable = true').replace(
        "lockable = true }", "lockable = false }"
    )
    found = plan("c-c1", remote)
    assert found.locks[0].device == "b-c1" and found.locks[0].remote
    assert any(action.id == "inhibit/remote" for action in found.actions)


def test_each_step_of_the_work_is_planned_on_the_house_that_it_finds() -> None:
    work = (
        '[[work]]\nid = "w-s1"\nsay = "Solar"\n[[work.add.breakers]]\nid = "b-nn"\npanel = "p-aa"\nspaces = [5, 7]\n'
        'role = "source"\nlockable = true\n[[work.add.sources]]\nid = "s-nn"\nkind = "solar"\nbreaker = "b-nn"\n'
        'inhibit = "off"\nshutdown_s = 60\n'
        '[[work]]\nid = "w-s2"\nsay = "Lights"\n[[work.add.breakers]]\nid = "b-ll"\npanel = "p-aa"\nspaces = [9]\n'
        '[[work]]\nid = "w-s3"\nsay = "Photos"\n[[work.add.recordings]]\nid = "r-aa"\n'
        '[[work]]\nid = "w-s4"\nsay = "Meter socket"\nzone = ["m-1ut"]\n'
    )
    first, second, fourth = step_plans(PANEL.replace('id = "b-pv"', 'id = "b-xx"'), work)
    assert locks(first) == {"disconnect"} and any(a.id == "lock/new/s-nn" for a in first.actions)
    assert locks(second) == {"disconnect", "b-nn"}
    assert fourth.zone == "w-s4" and fourth.answer == "others"


def test_no_zone_of_the_full_house_is_left_live_and_no_lock_is_one_too_many() -> None:
    at = house_at(full_house(), None)
    network = network_of(at.house)
    planned = 0
    zones = [t.id for name in ("panels", "breakers", "circuits", "transfers", "switches", "sources", "meters")
             for t in getattr(at.house, name)]  # fmt: skip
    for zone in (*zones, "service", "outside", "drop"):
        found = plan_of(at, zone)
        off = [feed.id for feed in network.feeds if any(f"others/{feed.id}" == a.id for a in found.actions)]
        ids = [each.device for each in found.locks]
        assert not set(found.dead) & live(network, ids, feeds_off=off)
        for gone in ids:
            left = [each for each in ids if each != gone]
            own = [place for place in found.dead if place not in live(network, ids)]  # dead by locks alone
            needed = not verdict(network, left, found.dead, feeds_off=off).dead
            assert needed or set(own) & live(network, left), (zone, gone)
        planned += found.answer == "locks"
    assert planned >= len(at.house.panels) + len(at.house.breakers)


def test_several_mains_are_all_opened() -> None:
    found = plan("p-aa", PANEL.replace("[before.service]\n", "[before.service]\ndisconnects = 2\n"))
    assert any(action.say.key == "isolation.do.open_all" for action in found.actions)


def test_a_zone_that_is_not_there_is_an_error_that_says_what_may_be_named() -> None:
    with pytest.raises(NotFound):
        plan("p-zz", PANEL)


def test_findings_say_what_is_planned_what_is_open_and_what_others_must_do() -> None:
    step = '[[work]]\nid = "w-s1"\nsay = "Breaker"\nmove."b-c1".spaces = [9]\n'
    told = {
        Outcome.MEETS: PANEL,
        Outcome.CANNOT_TELL: PANEL.replace("disconnect = { rating_a = 200, lockable = true }", ""),
        Outcome.FAILS: PANEL.replace("lockable = true }", "lockable = false }"),
    }
    for outcome, house in told.items():
        (check,) = isolation_answer(job_of(house, step)).checks
        assert check.outcome is outcome
        assert bool(check.missing) is (outcome is Outcome.CANNOT_TELL)


def test_mains_side_by_side_are_each_opened_and_no_lock_ahead_of_them_is_made_up() -> None:
    mains = "".join(
        f'[[before.breakers]]\nid = "b-m{n}"\npanel = "p-aa"\nrole = "main"\nlockable = true\n' for n in (1, 2)
    )
    found = plan("p-aa", PANEL, mains)
    assert locks(found) == {"b-m1", "b-m2"} and "main/p-aa" in still_live(found)
    ahead = PANEL.replace("[before.service]\n", "[before.service]\ndisconnects = 1\n")
    second = '[[before.panels]]\nid = "p-bb"\nfed_by = "service"\n'
    apart = mains.replace('id = "b-m2"\npanel = "p-aa"', 'id = "b-m2"\npanel = "p-bb"')
    assert locks(plan("p-aa", ahead, second, apart)) == {"disconnect"}  # one throw ahead of both panels
    not_known = plan("p-aa", PANEL, second, apart)
    assert locks(not_known) == {"b-m1"}


def test_leads_of_gear_fed_from_another_panel_stay_live() -> None:
    gear = '[[before.gear]]\nid = "g-aa"\nkind = "metering"\npanel = "p-bb"\ncircuit = "c-c1"\n'
    sub = '[[before.panels]]\nid = "p-bb"\nfed_by = "b-c2"\n'
    found = plan("p-bb", PANEL.replace("lockable = true }", "lockable = false }"), sub, gear)
    # hand: the breaker of the feeder and the breaker of the gear's circuit, each its own lock
    assert locks(found) == {"b-c1", "b-c2"}
    bare = PANEL.replace('id = "b-c1"\npanel = "p-aa"\nspaces = [1]\nlockable = true', 'id = "b-c1"\npanel = "p-aa"')
    found = plan("p-bb", bare.replace("lockable = true }", "lockable = false }"), sub, gear)
    assert locks(found) == {"b-c2"} and "gear/g-aa/0" in still_live(found)


def test_a_neutral_that_may_be_shared_is_found_out_before_it_is_lifted() -> None:
    house = PANEL.replace("lockable = true }", "lockable = false }")
    found = plan("c-c1", house)
    assert locks(found) == {"b-c1"} and found.outcome is Outcome.CANNOT_TELL
    assert [each.path for each in found.waits] == ["before/c-c1.neutral_alone"]
    alone = house.replace('breaker = "b-c1"', 'breaker = "b-c1"\nneutral_alone = true')
    assert plan("c-c1", alone).outcome is Outcome.MEETS


def test_a_disconnect_outdoors_without_a_mark_is_said_to_be_in_doubt() -> None:
    outside = PANEL.replace("[before.service]\n", '[before.service]\noutside = { present = "yes", lockable = true }\n')
    found = plan("p-aa", outside)
    assert locks(found) == {"outside"} and any(n.key == "isolation.doubt.outside" for n in found.notes)
    assert "before/service.outside.marked" in [each.path for each in found.missing]


def test_three_legs_are_tested_on_every_pair() -> None:
    found = plan("p-aa", PANEL.replace("120/240 1ph 3w", "208Y/120 3ph 4w"))
    assert len(found.prove[0].pairs) == 10  # hand: three legs, neutral, ground: 5 x 4 / 2
    assert len(plan("p-aa", PANEL).prove[0].pairs) == 6  # two legs: 4 x 3 / 2


def test_a_charge_is_waited_for_where_no_lock_parts_it_from_the_zone() -> None:
    switches = (
        '[[before.switches]]\nid = "x-dc"\nfed_by = "s-pv"\ndirect_current = true\nlockable = true\n'
        '[[before.switches]]\nid = "x-ac"\nlockable = true\n'
    )
    both = SOLAR.replace('breaker = "b-pv"', 'disconnects = ["x-dc", "x-ac"]\nbreaker = "b-pv"')
    bus = plan("p-aa", PANEL, switches, both)
    # hand: of the two locks on the way of the array the one of direct current is nearer to it; the inverter is then on
    # the zone's side, with its charge
    assert locks(bus) == {"disconnect", "x-dc"} and [each.thing for each in bus.stored] == ["s-pv"]
    ac_alone = switches.replace("direct_current = true\nlockable = true", "direct_current = true\nlockable = false")
    bus = plan("p-aa", PANEL, ac_alone, both)
    assert locks(bus) == {"disconnect", "x-ac"} and not bus.stored  # locked off between the inverter and the panel
    assert [each.thing for each in plan("s-pv", PANEL, ac_alone, both).stored] == ["s-pv"]


def test_gear_that_opens_circuits_by_command_is_disabled_too() -> None:
    gear = '[[before.gear]]\nid = "g-aa"\nname = "Shedding gear"\nkind = "controller"\npanel = "p-aa"\n'
    (action,) = (each for each in plan("p-aa", PANEL, gear).actions if each.id == "inhibit/remote")
    assert [each.params["name"] for each in action.say.params["things"]] == ["Shedding gear"]  # type: ignore[attr-defined]


def test_what_needs_power_meanwhile_is_named_where_the_utility_leaves_it() -> None:
    pump = '[[before.loads]]\nid = "l-aa"\nkind = "sump_pump"\ncircuit = "c-c1"\n'
    for zone in ("p-aa", "service"):
        keys = [each.key for each in plan(zone, PANEL, pump, SOLAR).temporary]
        assert keys[0] == "isolation.temporary.needed" and "isolation.temporary.cords" in keys
    lone = PANEL.replace("lockable = true }", "lockable = false }").replace('"c-c2"', '"c-c2"\nneutral_alone = true')
    assert [each.key for each in plan("c-c2", lone, pump).temporary][0] == "isolation.temporary.people"


def test_terminals_that_a_source_or_a_feeder_ends_on_are_tested_too() -> None:
    switch = '[[before.switches]]\nid = "x-pv"\nfed_by = "s-pv"\nlockable = true\n'
    found = plan("p-aa", PANEL, SOLAR.replace("breaker =", 'disconnects = ["x-pv"]\nbreaker ='), switch)
    assert {"at/bus/p-aa", "at/out/b-pv"} <= {each.id for each in found.prove}
    assert "at/out/b-c1" not in {each.id for each in found.prove}


def test_a_step_marked_with_what_is_not_there_cannot_tell() -> None:
    step = '[[work]]\nid = "w-s1"\nsay = "Breaker"\nzone = ["p-zz"]\nmove."b-c1".spaces = [9]\n'
    (found,) = step_plans(PANEL, step)
    assert found.answer == "unknown" and found.outcome is Outcome.CANNOT_TELL
    assert found.say.key == "isolation.say.no_such_zone" and found.say.params["ids"] == ("p-zz",)
    alone = '[[work]]\nid = "w-s1"\nsay = "Look"\nzone = ["outside"]\n'
    assert step_plans(PANEL, alone)[0].answer == "others"  # no such device: the service disconnect and its line side
