"""Houses put together by chance, with names that lead nowhere: a plan or an answer for every thing, never a fault."""

from __future__ import annotations

from decimal import Decimal
from random import Random

from deadfront.isolation.rules.answer import plan_of
from deadfront.isolation.rules.checker import verdict
from deadfront.job.house import HouseAt, Tag
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.job.service_things import Disconnect, Meter, OutsideDisconnect, Service
from deadfront.job.source_things import Source, Switch, Transfer
from deadfront.job.things import COLLECTIONS, House
from deadfront.topology.house_network import network_of
from deadfront.topology.states import live
from deadfront.worksheet.check import Outcome

PANELS, BREAKERS = ("p-aa", "p-bb", "p-cc"), tuple(f"b-{n}{n}" for n in range(8))
SWITCHES, SOURCES, TRANSFERS = ("x-aa", "x-bb", "x-cc"), ("s-aa", "s-bb", "s-cc"), ("t-aa", "t-bb")
LOCK = (True, True, False, None)
KINDS = ("solar", "battery", "generator", "vehicle", "inlet")
JOINS = (None, "breaker", "supply side", "feeder", "transfer")
EQUIPMENT = ("manual switch", "automatic switch", "interlock", "meter-mounted", "isolation device")
ROLES = ("branch", "branch", "main", "source")


def any_house(seed: int, tidy: bool = False) -> House:
    """A house of up to three panels, sources, switches and transfers; a name in ten is of a thing that is not there.

    Args:
        tidy: Every name is of a thing that is there, and the facts of the procedure are known; chains may still lead
            anywhere.
    """
    dice = Random(seed)
    strays = () if tidy else (None, "z-zz")

    def some(names: tuple[str, ...], *more: str | None) -> str | None:
        return dice.choice((*names, *more, *strays))

    def several(names: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(dice.sample((*names, *(each for each in strays if each)), dice.randint(0, 2)))

    def lock() -> bool | None:
        return dice.choice(LOCK)

    outside = OutsideDisconnect(
        present=dice.choice(("yes", "no", "unknown")), lockable=lock(),
        marked=dice.choice(("service disconnect", "meter disconnect", None)),
    )  # fmt: skip
    service = Service(disconnect=Disconnect(lockable=lock()), outside=outside, disconnects=dice.choice((None, 1, 2)))
    feeds = (*BREAKERS, *SWITCHES, *TRANSFERS, *SOURCES)
    return House(
        service=service,
        meters=tuple(Meter(id=f"m-{n}{n}") for n in range(dice.randint(0, 2))),
        panels=tuple(
            Panel(id=each, fed_by=dice.choice(("service", some(feeds)))) for each in PANELS[: dice.randint(1, 3)]
        ),
        breakers=tuple(
            Breaker(id=each, panel=some(PANELS), lockable=lock(), role=dice.choice(ROLES))
            for each in BREAKERS
        ),
        circuits=tuple(
            Circuit(id=f"c-{n}{n}", breaker=some(BREAKERS), shares_neutral_with=some(("c-00", "c-11")))
            for n in range(3)
        ),
        switches=tuple(
            Switch(id=each, fed_by=dice.choice(("service", some(feeds))), lockable=lock(), direct_current=lock())
            for each in SWITCHES
        ),
        sources=tuple(
            Source(
                id=each, kind=dice.choice(KINDS), breaker=some(BREAKERS),
                joins=dice.choice(JOINS), feeder_of=some(PANELS),
                inhibit="off" if tidy else None, shutdown_s=Decimal(9) if tidy else None,
                disconnects=several((*SWITCHES, *BREAKERS[:3])),
            )
            for each in SOURCES[: dice.randint(0, 3)]
        ),
        transfers=tuple(
            Transfer(
                id=each, normal=dice.choice(("service", some(feeds))), alternate=several(feeds), excludes=lock(),
                kind=dice.choice(EQUIPMENT),
                held_apart=several(("service", *BREAKERS)), off_position=lock(), lockable_off=lock(),
                inhibit="off" if tidy else None,
                lockable_normal=lock(), lockable_alternate=lock(), service_equipment=lock(),
                control_feeds=several(("service", *feeds)),
            )
            for each in TRANSFERS[: dice.randint(0, 2)]
        ),
    )  # fmt: skip


def found_as(house: House) -> HouseAt:
    """The house before any work."""
    ids = [thing.id for name in COLLECTIONS for thing in getattr(house, name)]
    return HouseAt(house, "before", {ident: Tag("E", "before") for ident in ids})


def traced(house: House, start: str) -> bool:
    """Whether what feeds a panel leads to the service or a source: walked here without a line of the drawing's code."""
    panels = {each.id: each for each in house.panels}
    things = {each.id: each for each in (*house.breakers, *house.switches, *house.transfers)}
    at: str | None = start
    for _ in range(40):
        if at == "service" or at in {each.id for each in house.sources}:
            return True
        if at in panels:
            at = panels[at].fed_by or ("service" if len(panels) == 1 else None)
            continue
        thing = things.get(at or "")
        if isinstance(thing, Breaker):
            at = thing.panel or (next(iter(panels)) if len(panels) == 1 else None)
        elif isinstance(thing, Switch):
            at = thing.fed_by
        elif isinstance(thing, Transfer):
            at = thing.normal or ("service" if thing.kind == "meter-mounted" else None)
        else:
            return at is not None and at.startswith("m-")
    return False


def test_every_thing_of_any_house_has_an_answer_that_holds() -> None:
    told: dict[str, int] = {}
    for seed in range(150):
        house = any_house(seed)
        at = found_as(house)
        ids = list(at.tags)
        network = network_of(house)
        places = set(network.places)
        assert all(each.a in places and each.b in places for each in network.devices)
        for zone in (*ids, "service", "outside", "drop"):
            found = plan_of(at, zone)
            told[found.answer] = told.get(found.answer, 0) + 1
            off = [each.id.partition("/")[2] for each in found.actions if each.id.startswith("others/")]
            kept = [each.device for each in found.locks]
            assert not set(found.dead) & live(network, kept, feeds_off=off)
            assert verdict(network, kept, found.dead, feeds_off=off).holds or not found.dead
            if found.answer == "locks":
                assert not off
    print(told)
    assert min(told.get(each, 0) for each in ("locks", "others", "unknown")) >= 100


def test_no_plan_of_any_house_meets_while_a_panel_leads_back_to_nothing() -> None:
    held, stopped = 0, 0
    for seed in range(400):
        house = any_house(seed, tidy=True)
        house = house.model_copy(update={"complete": house.complete.model_copy(update={"sources": "yes"})})
        at = found_as(house)
        ends = all(traced(house, each.id) for each in house.panels)
        for each in house.panels:
            found = plan_of(at, each.id)
            stopped += not ends and found.answer == "locks"
            if found.outcome is Outcome.MEETS:
                held += 1
                assert ends and len(house.meters) < 2 and not network_of(house).doubts
    print(held, stopped)
    assert held >= 25 and stopped >= 25
