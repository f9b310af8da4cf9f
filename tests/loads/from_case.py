"""A case of the second engine as a job of ours: the same house, nothing computed.

`job_of` goes through every check of the job model; `house_of` builds the same House without them, for thousands.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from deadfront.codebook import open_book
from deadfront.job.house import HouseAt, Tag
from deadfront.job.model import Added, Code, Head, Job, WorkStep
from deadfront.job.things import (
    Complete,
    Conductors,
    Disconnect,
    House,
    Load,
    Meter,
    Panel,
    Service,
    Unit,
    Utility,
)
from deadfront.loads.rules.context import Context

SYSTEMS = {"120/240": "120/240 1ph 3w", "208Y/120 1ph": "208Y/120 1ph 3w", "208Y/120 3ph": "208Y/120 3ph 4w"}
KINDS = {"pump": "well_pump"}
READINGS = {
    "noncoincident_motor": "noncoincident_loads",
    "evse_optional": "evse_in_optional",
    "evse_existing": "evse_in_existing",
    "existing_hvac": "existing_hvac",
}
ALL_THERE = dict.fromkeys(Complete.model_fields, "yes")


def load_fields(load: dict[str, Any], ident: str, unit: str | None) -> dict[str, Any]:
    """One load: everything the case says about it, and nothing else."""
    return {
        "id": ident,
        "kind": KINDS.get(load["kind"], load["kind"]),
        "unit": unit,
        "quantity": int(load.get("quantity", 1)),
        "nameplate_va": Decimal(str(load["va"])),
        "volts": Decimal(load["volts"]),
        "hp": load.get("hp"),
        "motor": bool(load.get("motor", False)) or load["kind"] == "air_handler",
        "neutral": bool(load["neutral"]),
        "supplemental_w": Decimal(str(load.get("supplemental_va", 0))) if load["kind"] == "heat_pump" else None,
        "together": bool(load.get("together", False)) if load["kind"] == "heat_pump" else None,
        "separate_units": max(int(load.get("quantity", 1)), int(load.get("separate_units", 1)))
        if load["kind"] == "space_heat"
        else None,
        "continuous_rated": bool(load.get("continuous_rated", False)) or None,
    }


def unit_fields(unit: dict[str, Any], ident: str) -> dict[str, Any]:
    """One dwelling unit entry."""
    return {
        "id": ident,
        "count": unit["count"],
        "floor_area_ft2": Decimal(str(unit["floor_area_ft2"])),
        "small_appliance_circuits": unit["small_appliance_circuits"],
        "laundry_circuits": unit["laundry_circuits"],
        "laundry_shared": unit["laundry_circuits"] == 0 or None,
        "one_feeder": True,
    }


def parts_of(case: dict[str, Any]) -> tuple[list[dict[str, Any]], list[dict[str, Any]], set[str]]:
    """Fields of all units and loads of a case, and the ids of the loads that the work adds."""
    units, loads, new = [], [], set()
    for number, unit in enumerate(case["units"]):
        units.append(unit_fields(unit, f"u-{number:02d}"))
        for index, load in enumerate(unit["loads"]):
            ident = f"l-{number:02d}{index:02d}"
            loads.append(load_fields(load, ident, f"u-{number:02d}"))
            if load.get("new"):
                new.add(ident)
    for index, load in enumerate(case.get("house_loads", [])):
        loads.append(load_fields(load, f"l-h{index:03d}", "house"))
    return units, loads, new


def service_of(case: dict[str, Any]) -> Service:
    """A service of the case's ampacity, whose other parts never are the smallest."""
    rating = Decimal(case.get("service_ampacity_a") or 1200)
    return Service(
        system=SYSTEMS[case["system"]],  # type: ignore[arg-type]
        disconnect=Disconnect(rating_a=rating),
        conductors=Conductors(size="600", metal="copper", sets=3, terminals_c=75, needs_correction=False),
        utility=Utility(limit="none"),
    )


def job_of(case: dict[str, Any]) -> Job:
    """The whole job; what is new stands in a step of the work."""
    units, loads, new = parts_of(case)
    before = House(
        complete=Complete(**ALL_THERE),  # type: ignore[arg-type]
        service=service_of(case),
        meters=(Meter(id="m-01", socket_a=Decimal(1200)),),
        panels=(Panel(id="p-01", fed_by="service", bus_a=Decimal(1200)),),
        units=tuple(Unit(**each) for each in units),
        loads=tuple(Load(**each) for each in loads if each["id"] not in new),
    )
    added = Added(loads=tuple(Load(**each) for each in loads if each["id"] in new))
    work = (WorkStep(id="w-01", say="what is new", add=added),) if new else ()
    head = Head(name="A house", code=Code(edition=case["edition"]), existing=case["existing"])
    return Job(job=head, before=before, work=work)


_SERVICES: dict[tuple[object, object], Service] = {}


def house_of(case: dict[str, Any]) -> HouseAt:
    """The same house as `house_at(job_of(case))`, built without the checks of the job model."""
    units, loads, new = parts_of(case)
    key = (case["system"], case.get("service_ampacity_a"))
    service = _SERVICES.get(key) or _SERVICES.setdefault(key, service_of(case))
    house = House.model_construct(
        complete=_COMPLETE,
        service=service,
        meters=_METERS,
        panels=_PANELS,
        units=tuple(Unit.model_construct(**each) for each in units),
        loads=tuple(Load.model_construct(**each) for each in sorted(loads, key=lambda each: each["id"] in new)),
    )
    things = ("m-01", "p-01", *(each["id"] for each in units), *(each["id"] for each in loads))
    tags = {ident: Tag("N", "w-01") if ident in new else Tag("E", "before") for ident in things}
    return HouseAt(house, "w-01" if new else "before", tags)


_COMPLETE = Complete(**ALL_THERE)  # type: ignore[arg-type]
_METERS = (Meter(id="m-01", socket_a=Decimal(1200)),)
_PANELS = (Panel(id="p-01", fed_by="service", bus_a=Decimal(1200)),)


def readings_of(case: dict[str, Any]) -> dict[str, str]:
    """The readings that the case names."""
    chosen = case.get("choices", {})
    readings = {"optional_several_heats": "largest_one"}  # what the second engine follows
    readings |= {ours: str(chosen[theirs]) for theirs, ours in READINGS.items() if chosen.get(theirs) is not None}
    if chosen.get("cooking_note2_small_units") is not None:
        readings["cooking_demand"] = "note_2_all" if chosen["cooking_note2_small_units"] else "own_columns"
    return readings


def context_of(case: dict[str, Any], at: HouseAt | None = None) -> Context:
    """Everything the rules are handed for a case."""
    return Context(
        open_book(case["edition"]), at or house_of(case), frozenset(), readings_of(case), bool(case["existing"])
    )
