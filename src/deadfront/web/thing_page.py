"""Everything that may be known of one thing: what a line of a list has no column for, and where it comes from."""

from __future__ import annotations

from deadfront.codebook.kinds import load_kinds
from deadfront.errors import NotFound
from deadfront.job.things import COLLECTIONS, Circuit, Load
from deadfront.web.called import called
from deadfront.web.contexts import ThingPage
from deadfront.web.desk import AtJob
from deadfront.web.entry.places import Standing, found, things_of
from deadfront.web.fields import field_at, label_of
from deadfront.web.parts_of_survey import several_units
from deadfront.web.pieces import Field
from deadfront.web.shell import shell_of
from deadfront.web.tables import kind_words

LOAD = (
    "name", "quantity", "unit", "nameplate_w", "nameplate_va", "nameplate_a", "volts", "hp", "motor", "neutral",
    "fastened", "managed_by", "note",
)  # fmt: skip
BY_GROUP = {
    "heat_pump": ("minimum_circuit_ampacity_a", "supplemental_w", "together"),
    "cooling": ("minimum_circuit_ampacity_a",),
    "heat": ("separate_units", "continuous_rated"),
    "evse": ("setting_a", "setting_restricted"),
}
OTHERS = {
    "units": ("name", "floor_area_ft2", "small_appliance_circuits", "laundry_circuits", "note"),
    "panels": ("name", "place", "bus_a", "spaces", "circuits_max", "note"),
    "circuits": ("name", "place", "note"),
    "breakers": ("name", "rating_a", "role", "controllable", "note"),
    "recordings": (
        "name",
        "measures",
        "heavier_leg",
        "taken",
        "occupied",
        "season_load_va",
        "power_factor",
        "note",
    ),
    "sources": ("name", "kind", "output_w", "output_a", "volts", "breaker", "note"),
}
"""Facts of a thing, by its collection; what the work or another fact decides is left to the lists."""


def thing_page(at: AtJob, ident: str) -> ThingPage:
    """Every fact of a thing, each with its field and its origin; of a circuit, those of its breaker too.

    Raises:
        NotFound: no such thing, or none that has a page.
    """
    collection, line = _line(at, ident)
    fields = _fields(at, collection, line)
    if isinstance(line.thing, Circuit) and line.thing.breaker:
        breaker = found(at.job, "breakers", line.thing.breaker)
        fields += _fields(at, "breakers", breaker) if breaker else ()
    kind = kind_words(at.catalog).get(line.thing.kind, "") if isinstance(line.thing, Load) else ""
    name = line.thing.name or kind or called(f"{line.scope}/{ident}", at.job, at.catalog)
    return ThingPage(shell_of(at, "thing"), name, ident, fields)


def _line(at: AtJob, ident: str) -> tuple[str, Standing]:
    for collection in COLLECTIONS:
        line = found(at.job, collection, ident)
        if line is not None and (collection == "loads" or collection in OTHERS):
            return collection, line
    raise NotFound("web.not_found")


def _fields(at: AtJob, collection: str, line: Standing) -> tuple[Field, ...]:
    names = OTHERS[collection] if collection != "loads" else _of_load(at, line.thing)
    return tuple(
        field_at(at, f"{line.scope}/{line.thing.id}.{name}", label_of(at.catalog, collection, name),
                 origin=name not in ("name", "note", "unit", "managed_by", "quantity"))
        for name in names
    )  # fmt: skip


def _of_load(at: AtJob, load: object) -> tuple[str, ...]:
    """Facts of a load: those of its kind, its unit where there are several, its system where there is one."""
    assert isinstance(load, Load)
    known = load_kinds().get(load.kind)
    names = (*LOAD, *BY_GROUP.get(known.group if known else "other", ()))
    left_out = {"unit"} if load.unit is None and not several_units(at) else set()
    if load.managed_by is None and not any(things_of(at.job, "energy_management")):
        left_out.add("managed_by")
    return tuple(name for name in names if name not in left_out)
