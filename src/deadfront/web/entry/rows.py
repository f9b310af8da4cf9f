"""Lines of the smaller lists: dwelling units and panels."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from deadfront.job.model import Job
from deadfront.job.things import Panel, Source, Thing, Unit
from deadfront.web.entry import typed as t
from deadfront.web.entry.circuits import number_text
from deadfront.web.entry.places import EditData, added, changed, found

UNIT_COLUMNS = ("name", "area", "small", "laundry", "count")
PANEL_COLUMNS = ("name", "bus", "spaces", "main_at", "fed_by")
SOURCES = ("solar", "battery", "generator", "vehicle", "inlet")
MAIN_AT = {"top": "top", "bottom": "bottom", "center": "center", "none": "none"}


def unit_fields(row: Mapping[str, str]) -> dict[str, Any]:
    """Fields of a dwelling unit."""
    return {
        "name": t.text_of("name", row.get("name", "")),
        "floor_area_ft2": t.quantity("area", row.get("area", ""), "ft2"),
        "small_appliance_circuits": t.count("small", row.get("small", ""), 0, 1000),
        "laundry_circuits": t.count("laundry", row.get("laundry", ""), 0, 1000),
        "count": t.count("count", row.get("count", ""), 1, 500) or 1,
    }


def panel_fields(row: Mapping[str, str]) -> dict[str, Any]:
    """Fields of a panel; fed by the service, or by the breaker whose id is given."""
    fed = t.clean(row.get("fed_by", ""))
    return {
        "name": t.text_of("name", row.get("name", "")),
        "bus_a": t.quantity("bus", row.get("bus", ""), "A"),
        "spaces": t.count("spaces", row.get("spaces", ""), 1, 84),
        "main_at": t.one_of("main_at", row.get("main_at", ""), MAIN_AT),
        "fed_by": fed or None,
    }


def source_fields(row: Mapping[str, str]) -> dict[str, Any]:
    """Fields of a source of power: its output in watts or in amperes, as its label says.

    Raises:
        BadEntry: no kind, or a column that is not understood.
    """
    plate = t.nameplate("output", row.get("output", ""))
    if plate["hp"] or plate["minimum_circuit_ampacity_a"]:
        raise t.BadEntry("output", "entry.output", found=t.clean(row.get("output", ""))[:60])
    watts = plate["nameplate_w"] if plate["nameplate_w"] is not None else plate["nameplate_va"]
    fields = {
        "kind": t.one_of("kind", row.get("kind", ""), {name: name for name in SOURCES}),
        "name": t.text_of("name", row.get("name", "")),
        "output_w": watts,
        "output_a": plate["nameplate_a"],
        "volts": t.quantity("volts", row.get("volts", ""), "V"),
    }
    if fields["kind"] is None and any(value is not None for value in fields.values()):
        raise t.BadEntry("kind", "entry.what_source")
    return fields


def thing_edits(job: Job, collection: str, ident: str, fields: Mapping[str, Any], scope: str) -> list[EditData]:
    """The edits that bring a unit or a panel to the fields typed; empty where nothing changed."""
    old = found(job, collection, ident)
    if old:
        return changed(old, fields)
    said = {name: value for name, value in fields.items() if name != "count" or value != 1}
    if not any(value is not None for value in said.values()):
        return []
    return [added(scope, collection, ident, said)]


def thing_values(thing: Thing) -> dict[str, str]:
    """The columns of a line as they stand."""
    if isinstance(thing, Unit):
        return {
            "name": thing.name or "", "area": number_text(thing.floor_area_ft2, "sq ft"),
            "small": number_text(thing.small_appliance_circuits), "laundry": number_text(thing.laundry_circuits),
            "count": number_text(thing.count),
        }  # fmt: skip
    if isinstance(thing, Source):
        output = number_text(thing.output_w, "W") or number_text(thing.output_a, "A")
        volts = number_text(thing.volts, "V")
        return {"kind": thing.kind, "name": thing.name or "", "output": output, "volts": volts}
    assert isinstance(thing, Panel)
    return {
        "name": thing.name or "", "bus": number_text(thing.bus_a, "A"), "spaces": number_text(thing.spaces),
        "main_at": thing.main_at or "", "fed_by": thing.fed_by or "",
    }  # fmt: skip
