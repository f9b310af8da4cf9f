"""Houses made up at random for the rules on protection: every fact known or not, sound or absurd."""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any, get_args

from deadfront.codebook.kinds import load_kinds
from deadfront.job.panel_things import Protection, Room
from tests.circuits.protection.houses import job

ROOMS, PROTECTIONS = get_args(Room), get_args(Protection)
EDITIONS = ("2014", "2017", "2020", "2023", "2026")
OUTLET_KINDS = ("receptacles", "lighting", "fixed equipment", "smoke alarms", "other")
PURPOSES = ("small appliance", "laundry", "bathroom", "garage", "general", "individual", "other")
Some = Callable[..., dict[str, Any]]


def made_up(seed: int) -> dict[str, Any]:
    """A job in which part of the house was there, part is added, and some old things are set."""
    chance = random.Random(seed)

    def some(**fields: Callable[[], Any]) -> dict[str, Any]:
        return {field: make() for field, make in fields.items() if chance.random() < 0.6}

    house = {**_things(chance, some), **_more(chance, some)}
    before: dict[str, Any] = {
        "complete": some(**dict.fromkeys(("circuits", "outlets", "loads", "sources"), lambda: "yes")),
        "service": {"system": chance.choice(["120/240 1ph 3w", "208Y/120 3ph 4w"]),
                    **some(smoke_alarms=lambda: chance.choice(["on a circuit", "battery alone", "none"]))},
    }  # fmt: skip
    add: dict[str, Any] = {}
    for name, things in house.items():
        cut = chance.randint(0, len(things))
        before[name], add[name] = things[:cut], things[cut:]
    work: dict[str, Any] = {}
    for name in ("breakers", "circuits", "outlets", "loads"):
        for thing in before[name]:
            if chance.random() < 0.2:
                forms = [{"note": "x"}]
                if name == "circuits":
                    forms += [{"breaker": "b-0x"}, {"rooms": ["den"]}, {"cable": {"size": "12"}}]  # type: ignore[list-item, dict-item]
                work[thing["id"]] = chance.choice(forms)
    more = {"permit_on": chance.choice(["2026-08-31", "2026-09-01"])} if chance.random() < 0.5 else {}
    return job(chance.choice(EDITIONS), before, add, set=work, existing=chance.random() < 0.5, **more)


def _ids(letter: str, count: int) -> list[str]:
    return [f"{letter}-{number}x" for number in range(count)]


def _things(r: random.Random, some: Some) -> dict[str, list[dict[str, Any]]]:
    def yes() -> bool:
        return r.random() < 0.5

    panels, breakers, circuits = _ids("p", 2), _ids("b", 6), _ids("c", 6)
    return {
        "panels": [{"id": i, "fed_by": "service", **some(
            spaces=lambda: 40, circuits_lengthened=yes, fill_percent=lambda: r.randint(0, 90),
            splices_percent=lambda: r.randint(0, 90), feed_through_labeled=yes)} for i in panels],
        "breakers": [{"id": i, **some(
            panel=lambda: r.choice(panels), spaces=lambda: r.choice([[1], [2], [3], [1, 3], [5, 7]]),
            rating_a=lambda: r.choice([10, 15, 20, 30, 50, 60]), poles=lambda: r.choice([1, 2]),
            protection=lambda: r.choice(PROTECTIONS), role=lambda: r.choice(["branch", "main", "feeder", "source"]),
            controllable=yes, neutral_on=lambda: r.choice(["bar", "breaker"]), held_down=yes,
            tied_with=lambda: r.choice(breakers), opens_with_partner=yes, neutral_as_listed=yes)} for i in breakers],
        "circuits": [{"id": i, **some(
            breaker=lambda: r.choice(breakers), rooms=lambda: r.sample(ROOMS, r.randint(1, 3)),
            outlet_kinds=lambda: r.sample(OUTLET_KINDS, r.randint(1, 3)), purpose=lambda: r.choice(PURPOSES),
            shares_neutral_with=lambda: r.choice(circuits), first_outlet=lambda: r.choice(PROTECTIONS),
            extended_ft=lambda: r.choice([0, 6, 9]), outlets_added=lambda: r.choice([0, 1]),
            afci_combination_listed=yes, hots_240_apart=yes, multiwire_grouped=yes, neutral_alone=yes,
            cable=lambda: some(type=lambda: r.choice(["NM-B", "MC"]), conductors=lambda: r.choice([2, 3]),
                               ground=lambda: r.choice(["wire", "none"])))} for i in circuits],
    }  # fmt: skip


def _more(r: random.Random, some: Some) -> dict[str, list[dict[str, Any]]]:
    def yes() -> bool:
        return r.random() < 0.5

    panels, breakers, circuits, loads = _ids("p", 2), _ids("b", 6), _ids("c", 6), _ids("l", 6)
    return {
        "outlets": [{"id": i, **some(
            circuit=lambda: r.choice(circuits), kind=lambda: r.choice(["receptacle", "lighting", "hard-wired",
            "switch"]), room=lambda: r.choice(ROOMS), volts=lambda: r.choice([120, 240]),
            rating_a=lambda: r.choice([15, 20, 30, 50]), load=lambda: r.choice(loads), at_counter=yes,
            within_6ft_of_sink=yes, within_6ft_of_tub=yes, damp=yes, protection=lambda: r.choice(PROTECTIONS),
            exempt=lambda: r.choice(["snow melting", "exhaust fan", "security", "listed HVAC", "none"]),
            tamper_resistant=yes, weather_resistant=yes, listed_for_charging=yes, through_doorway=yes)}
            for i in _ids("o", 8)],
        "loads": [{"id": i, "kind": r.choice([*load_kinds(), "evse", "evse", "air_conditioner"]), **some(
            circuit=lambda: r.choice(circuits), nameplate_a=lambda: r.choice([12, 16, 32, 80]),
            volts=lambda: r.choice([120, 240]), cord_and_plug=yes, replaces=yes, listed=yes,
            charging_disconnect=yes)} for i in loads],
        "gear": [{"id": i, "kind": r.choice(["metering", "controllable breakers", "controller", "other"]), **some(
            panel=lambda: r.choice(panels), listed=yes, listed_for_panel=yes, circuit=lambda: r.choice(circuits),
            own_circuit_needed=yes, supply_a=lambda: r.choice([15, 20]), portable_generator_allowed=yes,
            on_portable_generator=yes, may_not_serve=lambda: ["space_heat"], serves=lambda: r.sample(circuits, 2),
            leads_insulation_v=lambda: r.choice([150, 600]), class_two=yes, instructions_read=yes,
            remote_opening=yes)} for i in _ids("g", 2)],
        "sources": [{"id": i, "kind": r.choice(["solar", "battery", "generator", "vehicle", "inlet"]),
                     **some(breaker=lambda: r.choice(breakers))} for i in _ids("s", 2)],
        "energy_management": [{"id": "m-0x", **some(controls=lambda: r.sample(circuits, 2))}],
        "units": [{"id": "u-0x", **some(garage=yes)}],
    }  # fmt: skip
