"""Houses with facts left out, and ways to fill them in: thresholds of the rules among the values."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from deadfront.codebook import open_book
from deadfront.codebook.kinds import load_kinds
from deadfront.job.house import HouseAt, Tag
from deadfront.job.things import Breaker, Circuit, Complete, EnergyManagement, Load, Unit
from deadfront.loads.rules.context import TYPICAL, Context
from tests.loads.from_case import ALL_THERE, house_of, readings_of
from tests.oracle.houses import load as case_load
from tests.oracle.houses import random_case

EDGES_VA = (
    1, 2, 250, 499, 500, 501, 1500, 1749, 1750, 1751, 3000, 3499, 3500, 3501, 4999, 5000, 5001, 7199, 7200, 7201, 8749,
    8750, 8751, 11999, 12000, 12001, 12499, 12500, 12501, 13499, 13500, 20000, 26999, 27000, 27001, 40000,
)  # fmt: skip
FURTHER = ("range", "cooktop", "oven", "dryer", "water_heater", "dishwasher", "disposal", "appliance", "evse",
           "space_heat", "heat_pump", "air_conditioner", "air_handler", "other")  # fmt: skip


@dataclass(frozen=True)
class Blank:
    """A house with facts left out.

    Args:
        context: With the facts left out.
        whole: The same house with every fact.
        fields: What was left out: (id of load or unit, field).
        open: The list of loads is not said to be complete.
    """

    context: Context
    whole: HouseAt
    fields: tuple[tuple[str, str], ...]
    open: bool


def _with(at: HouseAt, loads: tuple[Load, ...], **more: Any) -> HouseAt:
    return replace(at, house=at.house.model_copy(update={"loads": loads, **more}))


def _blank_load(rng: random.Random, load: Load, by_rule: bool) -> dict[str, None]:
    """Facts of one load that this house leaves out; not where the edition has a figure for what is not chosen yet."""
    gone: dict[str, None] = {}
    if load.hp is None and not by_rule and rng.random() < 0.45:
        gone["nameplate_va"] = None
    if load.kind == "heat_pump":
        gone |= {name: None for name in ("together", "supplemental_w") if rng.random() < 0.4}
    if load.kind == "space_heat" and load.quantity > 1 and rng.random() < 0.5:
        gone["separate_units"] = None
    return gone


def _set_evse(rng: random.Random, load: Load) -> Load:
    """Now and then an EVSE adjusted to a smaller current, who can change it being one of the facts."""
    if load.kind != "evse" or rng.random() < 0.4:
        return load
    return load.model_copy(update={"setting_a": Decimal(rng.choice((6, 16, 24, 30, 48))), "setting_restricted": True})


def _systems(rng: random.Random, loads: tuple[Load, ...]) -> tuple[EnergyManagement, ...]:
    """Now and then an energy management system, on the service or on a feeder, with its facts on file."""
    held = tuple(load.id for load in loads if load.kind == "evse" or rng.random() < 0.1)
    if not held or rng.random() < 0.5:
        return ()
    on = rng.choice(("service", "b-fe"))
    point = Decimal(rng.choice((16, 40, 80, 160)))
    return (EnergyManagement(id="e-01", listed=True, set_point_a=point, restricted_access=True,
                             lost_signal="holds limit", monitors=on, controls=held),)  # fmt: skip


def _counted(rng: random.Random) -> list[dict[str, Any]]:
    """More of what is counted: cooking, dryers, appliances fastened in place, at the edges of their tables."""
    kinds = [rng.choice(("range", "oven", "cooktop")) for _ in range(rng.randint(0, 4))]
    kinds += ["dryer"] * rng.randint(0, 1) + [rng.choice(("microwave", "appliance")) for _ in range(rng.randint(0, 4))]
    return [
        case_load(kind, rng.choice(EDGES_VA), 240, rng.random() < 0.7, quantity=rng.choice((1, 1, 2, 5)))
        for kind in kinds
    ]


def _blank_unit(unit: Unit, gone: dict[str, None]) -> Unit:
    """A unit with facts left out; whether its laundry is shared goes with the count."""
    shared = {"laundry_shared": None} if "laundry_circuits" in gone else {}
    return unit.model_copy(update={**gone, **shared})


def blank(seed: int, edition: str, shape: str | None = None) -> Blank:
    """A house of that seed with some facts left out.

    Every fourth is a first look by typical sizes with no load missing; every fourth leaves out only facts that bound
    the answer by themselves, so that a verdict can be reached.
    """
    rng = random.Random(seed * 7 + 1)
    case = random_case(seed, edition, shape)
    if seed % 2:
        case["units"][0]["loads"] += _counted(rng)
    first_look = seed % 4 == 0
    bounded = seed % 4 == 2
    if first_look or bounded:
        case["service_ampacity_a"] = 1200
    at = house_of(case)
    loads = tuple(_set_evse(rng, load) for load in at.house.loads)
    breakers, circuits, bound = [], [], set()
    for index, load in enumerate(loads):
        if load_kinds()[load.kind].resistive and load.quantity == 1 and rng.random() < 0.5:
            breakers.append(Breaker(id=f"b-{index:02d}", rating_a=Decimal(rng.choice((15, 20, 30, 60))), poles=2))
            circuits.append(Circuit(id=f"c-{index:02d}", breaker=f"b-{index:02d}"))
            bound.add(load.id)
    placed = iter(circuits)
    loads = tuple(load.model_copy(update={"circuit": next(placed).id}) if load.id in bound else load for load in loads)
    systems = _systems(rng, loads)
    tags = {**at.tags, **{thing.id: Tag("E", "before") for thing in (*breakers, *circuits, *systems)}}
    more = {"breakers": tuple(breakers), "circuits": tuple(circuits), "energy_management": systems}
    whole = replace(_with(at, loads, **more), tags=tags)
    new = {ident for ident, tag in at.tags.items() if tag.letter == "N" and edition == "2026"}
    gone = {load.id: _blank_load(rng, load, load.kind == "evse" and load.id in new) for load in loads}
    for load in loads:
        if load.setting_a is not None and rng.random() < 0.6:
            gone[load.id]["setting_restricted"] = None
    units = {unit.id: {} for unit in whole.house.units}
    for unit in units.values():
        for name in ("floor_area_ft2", "small_appliance_circuits", "laundry_circuits"):
            if rng.random() < 0.12:
                unit[name] = None
    if bounded:
        for ident, names in gone.items():
            if ident not in bound:
                names.pop("nameplate_va", None)
            names.pop("supplemental_w", None)
        units = {ident: {} for ident in units}
    opened = not first_look and not bounded and rng.random() < 0.5
    blanked = _with(
        whole,
        tuple(load.model_copy(update=gone[load.id]) for load in loads),
        units=tuple(_blank_unit(unit, units[unit.id]) for unit in whole.house.units),
        complete=Complete(**{**ALL_THERE, "loads": "unknown" if opened else "yes"}),  # type: ignore[arg-type]
    )
    assumed = frozenset({TYPICAL}) if first_look or (not bounded and rng.random() < 0.3) else frozenset()
    context = Context(open_book(edition), blanked, assumed, readings_of(case), bool(case["existing"]))
    fields = tuple((ident, name) for part in (gone, units) for ident, names in part.items() for name in names)
    return Blank(context, whole, fields, opened)


def _nameplate(rng: random.Random, blanked: Blank, load: Load) -> Decimal:
    """A rating that the blank leaves possible: any; within typical sizes; within what the breaker carries."""
    kind = load_kinds()[load.kind]
    if TYPICAL in blanked.context.assumptions and kind.typical is not None:
        low, high = kind.typical
        inside = [Decimal(each) for each in EDGES_VA if low <= each <= high]
        return rng.choice([low, high, *inside, Decimal(rng.randint(int(low), int(high)))])
    values = [Decimal(each) for each in EDGES_VA] + [Decimal(rng.randint(0, 30000))]
    circuit = next((c for c in blanked.whole.house.circuits if c.id == load.circuit), None)
    if circuit is not None:
        breaker = next(b for b in blanked.whole.house.breakers if b.id == circuit.breaker)
        assert breaker.rating_a is not None and load.volts is not None
        most = breaker.rating_a * load.volts
        values = [each for each in values if each <= most] + [most]
    return rng.choice(values)


def _filled(rng: random.Random, blanked: Blank, load: Load, names: list[str]) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for name in names:
        if name == "nameplate_va":
            made[name] = _nameplate(rng, blanked, load)
        elif name == "supplemental_w":
            top = load_kinds()[load.kind].typical_supplement if TYPICAL in blanked.context.assumptions else None
            most = 40000 if top is None else top[1]
            made[name] = Decimal(rng.choice([each for each in (0, 1, 3000, 5000, 9999, 15000, 20000) if each <= most]))
        elif name == "separate_units":
            made[name] = rng.randint(1, load.quantity)
        else:
            made[name] = rng.random() < 0.5
    return made


def _further(rng: random.Random, blanked: Blank) -> tuple[Load, ...]:
    """Loads that come to light: none, a few, or many of one kind, as counted demand falls with the count."""
    form = rng.random()
    if not blanked.open or form < 0.25:
        return ()
    units = [unit.id for unit in blanked.whole.house.units]
    if form < 0.6:
        kinds = [rng.choice(FURTHER) for _ in range(rng.randint(1, 5))]
    else:
        kinds = [rng.choice(("range", "oven", "dryer", "appliance"))] * rng.randint(1, 12)
    va = Decimal(rng.choice(EDGES_VA))
    same = rng.random() < 0.6
    made = []
    for index, kind in enumerate(kinds):
        rating = va if same else Decimal(rng.choice(EDGES_VA))
        made.append(
            Load(
                id=f"l-x{index:03d}",
                kind=kind,
                unit=rng.choice([*units, "house"]),
                nameplate_va=rating,
                volts=Decimal(240),
                neutral=rng.random() < 0.5,
                supplemental_w=Decimal(rng.choice((0, 5000, 15000))) if kind == "heat_pump" else None,
                together=rng.random() < 0.5 if kind == "heat_pump" else None,
                separate_units=rng.randint(1, 6) if kind == "space_heat" else None,
            )  # fmt: skip
        )
    return tuple(made)


def _circuit_counts(blanked: Blank, name: str) -> list[int]:
    """Circuits that a unit may have: the minimum or more; by the assumption of typical sizes one more at most."""
    least = int(blanked.context.number(f"{name}_min"))
    return [least, least + 1] if TYPICAL in blanked.context.assumptions else [least, least + 1, least + 4]


def fill(blanked: Blank, seed: int) -> Context:
    """The house with every blank filled in and every load found."""
    rng = random.Random(seed)
    gone: dict[str, list[str]] = {}
    for ident, name in blanked.fields:
        gone.setdefault(ident, []).append(name)
    loads = tuple(
        load.model_copy(update=_filled(rng, blanked, load, gone.get(load.id, []))) for load in blanked.whole.house.loads
    )
    units = []
    for unit in blanked.whole.house.units:
        made: dict[str, Any] = {}
        for name in gone.get(unit.id, []):
            if name == "floor_area_ft2":
                made[name] = Decimal(rng.randint(100, 6000))
            else:
                made[name] = rng.choice(_circuit_counts(blanked, name))
                if name == "laundry_circuits":
                    several = sum(each.count for each in blanked.whole.house.units) > 1
                    shared = several and TYPICAL not in blanked.context.assumptions and rng.random() < 0.3
                    made |= {"laundry_shared": True, "laundry_circuits": 0} if shared else {"laundry_shared": None}
        units.append(unit.model_copy(update=made))
    further = _further(rng, blanked)
    at = _with(
        blanked.whole,
        (*loads, *further),
        units=tuple(units),
        complete=Complete(**ALL_THERE),  # type: ignore[arg-type]
    )
    tags = {**at.tags, **{load.id: Tag("E", "before") for load in further}}
    return replace(blanked.context, at=replace(at, tags=tags), assumptions=frozenset())
