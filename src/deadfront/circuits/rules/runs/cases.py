"""The cases of a house: every branch circuit, every feeder, with what the rules need of each and nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal
from operator import attrgetter
from types import MappingProxyType

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.case import BreakerCase, LoadCase, RunCase, kept
from deadfront.job.house import HouseAt
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Breaker, Cable, Circuit, Panel, Raceway
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Reach

_LOAD = attrgetter(*LoadCase._fields[4:])
ONE_RECEPTACLE = ("range", "oven", "cooktop", "dryer", "evse", "water_heater", "tankless_water_heater", "space_heat",
                  "heat_pump", "air_conditioner", "air_handler", "well_pump", "pool_pump", "pool_heater", "spa",
                  "sauna", "sump_pump", "sewage_ejector")  # fmt: skip
OF_MANY = ("small appliance", "laundry", "bathroom", "garage", "general")
NOTHING: tuple[Load, ...] = ()


def cases_of(facts: Facts) -> Mapping[str, RunCase]:
    """Every branch circuit and feeder by the id of its circuit, or of the panel it feeds."""
    house = facts.at.house
    raceways = {each.id: each for each in house.raceways}
    found = {each.id: _circuit(facts, each, raceways) for each in house.circuits}
    found.update((each.of, each) for each in _feeders(facts, raceways))
    return MappingProxyType(found)


def root_of(at: HouseAt, thing: Thing) -> str:
    """Where a thing's facts stand in the job, without the field."""
    tag = at.tags[thing.id]
    return f"{tag.step if tag.letter == 'N' else 'before'}/{thing.id}"


def _load(at: HouseAt, load: Load) -> LoadCase:
    return LoadCase(load.id, root_of(at, load), load.kind, load.name, *_LOAD(load))


def _breaker(at: HouseAt, breaker: Breaker | None) -> BreakerCase | None:
    if breaker is None:
        return None
    return BreakerCase(breaker.id, root_of(at, breaker), breaker.rating_a, poles_of(breaker), breaker.listed_full_load)


def poles_of(breaker: Breaker) -> int | None:
    """Poles of a breaker: as entered, else by the spaces it takes."""
    if breaker.poles is not None:
        return breaker.poles
    return len(breaker.spaces) if 1 <= len(breaker.spaces) <= 2 else None


def _circuit(facts: Facts, circuit: Circuit, raceways: Mapping[str, Raceway]) -> RunCase:
    breaker = facts.breaker_of(circuit)
    loads = facts.loads_on.get(circuit.id, NOTHING)
    count, kind, nipple = _raceway(circuit.cable, raceways)
    made = _breaker(facts.at, breaker)
    return kept(RunCase(
        facts.book, "circuit", circuit.id, root_of(facts.at, circuit), "cable",
        facts.name_of(circuit, "run.circuit"), circuit.cable, made,
        tuple(_load(facts.at, each) for each in loads), facts.reach_of(circuit, breaker, *loads),
        _circuit_volts(facts, circuit, made), circuit.load_va, circuit.continuous_va, count, kind, nipple,
        _several(circuit, loads), _general(circuit), wires_reach=_wires_reach(facts, circuit, "cable"),
    ))  # fmt: skip


def _wires_reach(facts: Facts, thing: Circuit | Panel, field: str) -> Reach:
    """What the work does with the conductors themselves: old ones on another breaker are the old ones still."""
    reach = facts.reach_of(thing)
    moved = isinstance(thing, Panel) and facts.at.tag(thing.id) == "RL"
    if reach is Reach.REPLACED and not moved and field not in facts.at.set_fields.get(thing.id, ()):
        return Reach.EXISTING
    return reach


def _volts(facts: Facts, breaker: BreakerCase | None) -> Decimal | None:
    """Volts of a run by the poles of its breaker and the system; None where not known."""
    poles, system = None if breaker is None else breaker.poles, facts.at.house.service.system
    if poles == 1:
        return facts.number("nominal_volts_120")
    if poles != 2 or system is None:
        return None
    return facts.number("nominal_volts_240" if system.startswith("120/240") else "nominal_volts_208")


def _partners(facts: Facts) -> Mapping[str, tuple[Circuit, ...]]:
    """Circuits that share a neutral with each, whichever of the two says so."""
    found: dict[str, tuple[Circuit, ...]] = {}
    for each in facts.at.house.circuits:
        other = facts.circuits.get(each.shares_neutral_with or "")
        if other is not None and other.id != each.id:
            found[each.id] = (*found.get(each.id, ()), other)
            found[other.id] = (*found.get(other.id, ()), each)
    return found


def _circuit_volts(facts: Facts, circuit: Circuit, breaker: BreakerCase | None) -> Decimal | None:
    """Volts of a circuit: from leg to neutral, too, where it shares a breaker of two poles with its partner."""
    together = any(each.breaker == circuit.breaker for each in facts.once(_partners).get(circuit.id, ()))
    if breaker is not None and breaker.poles == 2 and (together or circuit.on_pole is not None):
        return facts.number("nominal_volts_120")
    return _volts(facts, breaker)


def _raceway(cable: Cable, raceways: Mapping[str, Raceway]) -> tuple[int | None, str | None, bool]:
    """Current-carrying conductors in the raceway of a run, its kind, and whether it is a nipple."""
    raceway = raceways.get(cable.raceway or "")
    if raceway is None:
        return None, None, False
    count = raceway.carrying
    if count is None and raceway.wires:
        count = sum(each.count for each in raceway.wires if not each.bare)
    nipple = raceway.length_ft is not None and raceway.length_ft <= 2
    return count, raceway.kind, nipple


def _several(circuit: Circuit, loads: tuple[Load, ...]) -> bool | None:
    """Whether a circuit supplies more than one receptacle for cord-and-plug loads; None where not known."""
    if circuit.purpose in OF_MANY:
        return True
    if circuit.purpose == "individual":
        return False
    if circuit.outlet_kinds:
        return "receptacles" in circuit.outlet_kinds and not _lone(circuit, loads)
    return False if _lone(circuit, loads) else None


def _lone(circuit: Circuit, loads: tuple[Load, ...]) -> bool:
    """Whether what is on a circuit is one large appliance, which by custom has it to itself."""
    return len(loads) == 1 and loads[0].kind in ONE_RECEPTACLE and circuit.purpose not in OF_MANY


def _general(circuit: Circuit) -> bool:
    return circuit.purpose in OF_MANY


def _feeders(facts: Facts, raceways: Mapping[str, Raceway]) -> Iterator[RunCase]:
    for panel in facts.at.house.panels:
        breaker = facts.feeding(panel)
        if breaker is None:
            continue
        loads = tuple(_load(facts.at, each) for each in loads_below(facts, panel))
        count, kind, nipple = _raceway(panel.feeder, raceways)
        made = _breaker(facts.at, breaker)
        yield kept(RunCase(
            facts.book, "feeder", panel.id, root_of(facts.at, panel), "feeder",
            _feeder_name(facts, panel), panel.feeder, made, loads,
            facts.reach_of(panel, breaker), _volts(facts, made), None, None, count, kind, nipple, False, True,
            carries_all(facts, panel), unlisted(facts, panel), _wires_reach(facts, panel, "feeder"),
            panel.feeder_load_a,
        ))  # fmt: skip


def _feeder_name(facts: Facts, panel: Panel) -> Msg:
    """What a feeder is called: by its panel."""
    return said("thing.named", name=panel.name) if panel.name else said(
        "run.feeder", id=facts.name_of(panel, "thing.by_id"))  # fmt: skip


def panels_below(facts: Facts, panel: Panel) -> set[str]:
    """A panel and all it feeds, each once even where feeders run in a ring."""
    found, todo = {panel.id}, [panel.id]
    while todo:
        one = todo.pop()
        for each in facts.at.house.panels:
            feeding = facts.feeding(each)
            if feeding is not None and feeding.panel == one and each.id not in found:
                found.add(each.id)
                todo.append(each.id)
    return found


def circuits_below(facts: Facts, panel: Panel) -> list[Circuit]:
    """Circuits of a panel and of all it feeds."""
    below = panels_below(facts, panel)
    return [c for c in facts.at.house.circuits if (b := facts.breaker_of(c)) is not None and b.panel in below]


def loads_below(facts: Facts, panel: Panel) -> list[Load]:
    """Loads on those circuits."""
    return [load for circuit in circuits_below(facts, panel) for load in facts.loads_on.get(circuit.id, NOTHING)]


def unlisted(facts: Facts, panel: Panel) -> bool:
    """Whether there may be load on a panel that is not listed: circuits not all entered, or with general outlets."""
    if facts.at.house.complete.circuits != "yes":
        return True
    below = circuits_below(facts, panel)
    return any(circuit.id not in facts.loads_on or _general(circuit) for circuit in below)


def carries_all(facts: Facts, panel: Panel) -> bool:
    """Whether a feeder carries the whole load of one dwelling on a system that the 83 percent rule reaches."""
    house = facts.at.house
    rule = facts.book.rule("service_conductors_83")
    system = house.service.system
    single = system == "120/240 1ph 3w" or (system == "208Y/120 1ph 3w" and bool(rule.params.get("two_legs_of_wye")))
    if not single or sum(unit.count for unit in house.units) != 1:
        return False
    feeding = facts.feeding(panel)
    if feeding is not None and feeding.panel in facts.panels and panel.feeder.sets not in (None, 1):
        return False
    below = panels_below(facts, panel)
    breakers = [facts.breaker_of(circuit) for circuit in house.circuits]
    placed = [each.panel in below for each in breakers if each is not None]
    return bool(placed) and all(placed) and len(placed) == len(house.circuits)
