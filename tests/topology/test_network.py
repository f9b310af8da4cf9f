"""The network of a house: devices with two terminals, feeds, what is live in which state; expected by hand."""

from __future__ import annotations

import pytest

from deadfront.job.house import house_at
from deadfront.job.read import read_job
from deadfront.topology.graph import graph_of
from deadfront.topology.house_network import network_of
from deadfront.topology.network import Network
from deadfront.topology.states import live, states, worst_states
from tests.isolation.houses import PANEL, full_house, job_of, network

TWO_PANELS = """
[[before.panels]]
id = "p-bb"
fed_by = "x-bb"
[[before.switches]]
id = "x-bb"
fed_by = "t-tr"
[[before.transfers]]
id = "t-tr"
kind = "manual switch"
normal = "b-c1"
alternate = ["s-ge"]
excludes = true
[[before.sources]]
id = "s-ge"
kind = "generator"
"""
OUTSIDE = 'outside = {{ present = "yes", marked = "{}", lockable = true }}\n'


def whole() -> Network:
    return network_of(house_at(full_house(), None).house)


def test_every_place_of_the_full_house_is_live_and_every_device_stands_between_two_places() -> None:
    found = whole()
    below = {"signal/g-1st/sender", "signal/g-1st/receiver"}  # 12 V from the receiver, a contact without voltage
    assert live(found) == set(found.places) - below and not found.unknowns
    assert len({each.id for each in found.devices}) == len(found.devices)
    assert all(each.a in found.ends and each.b in found.ends for each in found.devices)
    assert all(each.enclosure for each in found.devices if each.opens)


def test_open_devices_and_positions_and_feeds_off_make_places_dead() -> None:
    found = whole()
    utility_lost = live(found, ["disconnect", "x-1pv", "x-3ba"], {"t-1au": frozenset({"t-1au:alternate"})})
    assert "bus/p-3bu" in utility_lost and "bus/p-1ma" not in utility_lost  # the generator alone, on its panel
    bridged = live(found, ["disconnect", "x-1pv", "x-3ba"])
    assert "bus/p-1ma" in bridged  # both throws closed: the generator feeds back
    off = live(found, ["disconnect", "x-1pv", "x-3ba"], feeds_off=["s-2ge"])
    assert "bus/p-3bu" not in off
    neither = live(found, (), {"t-1au": frozenset()})
    assert "bus/p-3bu" not in neither and "bus/p-1ma" in neither


def test_states_of_equipment_that_excludes_and_of_one_that_nobody_knows() -> None:
    excludes = network(PANEL, TWO_PANELS)
    assert [len(each["t-tr"]) for each in states(excludes)] == [0, 1, 1]
    assert len(list(worst_states(excludes))) == 2
    unknown = network(PANEL, TWO_PANELS.replace("excludes = true", ""))
    assert sorted(len(each["t-tr"]) for each in states(unknown)) == [0, 1, 1, 2]
    assert [len(each["t-tr"]) for each in worst_states(unknown)] == [2]


def test_a_panel_behind_a_switch_and_a_transfer_has_its_breaker_of_the_normal_position() -> None:
    house = job_of(PANEL, TWO_PANELS).before
    graph = graph_of(house)
    assert graph.supply["p-bb"] == "b-c1" and graph.feeds["p-bb"] == ("p-aa", "p-bb")
    loop = TWO_PANELS.replace('normal = "b-c1"', 'normal = "x-bb"')
    assert "p-bb" not in graph_of(job_of(PANEL, loop).before).supply  # a ring of switches feeds nothing


@pytest.mark.parametrize(
    ("marked", "home", "ahead"),
    [
        ("service disconnect", "outside", False),
        ("meter disconnect", "p-aa", True),
        ("not service equipment", "p-aa", True),
    ],
)
def test_a_disconnect_outdoors_is_the_service_disconnect_or_stands_ahead_of_it(
    marked: str, home: str, ahead: bool
) -> None:
    found = network(PANEL.replace("[before.service]\n", "[before.service]\n" + OUTSIDE.format(marked)))
    assert found.device["disconnect"].enclosure == home
    assert ("outside" in found.device) is ahead
    assert ("bus/p-aa" in live(found, ["outside" if ahead else "disconnect"])) is False


def test_the_main_of_the_only_service_panel_is_the_service_disconnect() -> None:
    main = '[[before.breakers]]\nid = "b-mn"\npanel = "p-aa"\nrole = "main"\nlockable = false\n'
    found = network(PANEL, main)
    assert "b-mn" not in found.device and found.device["disconnect"].thing == "b-mn"
    assert found.device["disconnect"].lockable is False  # what is read on the breaker counts
    assert "out/b-mn" in live(found, ["disconnect"])


def test_direct_current_disconnects_stand_before_the_inverter() -> None:
    found = network(PANEL, (
        '[[before.switches]]\nid = "x-dc"\ndirect_current = true\nlockable = true\n'
        '[[before.switches]]\nid = "x-ac"\nlockable = true\n'
        '[[before.sources]]\nid = "s-pv"\nkind = "solar"\nbreaker = "b-pv"\ndisconnects = ["x-dc", "x-ac"]\n'
    ))  # fmt: skip
    shut = live(found, ["disconnect", "x-dc"])
    assert "switch/x-dc/line" in shut and "source/s-pv" not in shut and "inside/s-pv" in shut
    assert "source/s-pv" in live(found, ["disconnect", "x-ac"]) and "bus/p-aa" not in live(
        found, ["disconnect", "x-ac"]
    )


def test_what_is_named_and_not_there_counts_as_live() -> None:
    text = '[job]\nname = "A"\ncode.edition = "2023"\n' + PANEL + TWO_PANELS.replace('normal = "b-c1"', "")
    found = network_of(read_job(text).job.before)
    assert ("transfer", "t-tr") in found.unknowns
    assert any(feed.id == "unknown/t-tr/transfer" for feed in found.feeds)


def test_an_interlock_holds_the_main_of_its_own_panel() -> None:
    interlock = (
        '[[before.transfers]]\nid = "t-in"\nkind = "interlock"\nheld_apart = ["service", "b-pv"]\nexcludes = true\n'
    )
    found = network(PANEL, interlock)
    assert found.groups[0].throws == ("disconnect", "b-pv")
    outside = PANEL.replace("[before.service]\n", "[before.service]\n" + OUTSIDE.format("service disconnect"))
    main = '[[before.breakers]]\nid = "b-mn"\npanel = "p-aa"\nrole = "main"\n'
    assert network(outside, main, interlock).groups[0].throws == ("b-mn", "b-pv")
    fed = network(PANEL, interlock, '[[before.panels]]\nid = "p-bb"\nfed_by = "t-in"\n')
    assert ("panel", "p-bb") in fed.unknowns  # an interlock of breakers has no load side
