"""Everything that may be known of one thing: its facts and where they come from, its checks, its working."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.app.record_fields import readings_of
from deadfront.codebook.kinds import load_kinds
from deadfront.documents.html import caution_html
from deadfront.errors import NotFound
from deadfront.job.model import Head
from deadfront.job.record_things import Record
from deadfront.job.things import COLLECTIONS, PAPER, Circuit, Load, Model, Service, Thing
from deadfront.web.called import called
from deadfront.web.circuit_contexts import ThingPage
from deadfront.web.circuit_pieces import ThingLine
from deadfront.web.circuits_page import thing_line
from deadfront.web.desk import AtJob
from deadfront.web.entry.places import Standing, found, things_of
from deadfront.web.entry.shapes import leaves
from deadfront.web.fields import called_so, field_at, label_of
from deadfront.web.parts_of_survey import several_units
from deadfront.web.pieces import Field
from deadfront.web.render import safe
from deadfront.web.run_pieces import checks_of, run_of, run_tables, worked_html
from deadfront.web.shell import home_of, shell_of

LOAD = (
    "name", "quantity", "unit", "nameplate_w", "nameplate_va", "nameplate_a", "volts", "hp", "motor", "neutral",
    "fastened", "managed_by", "note",
)  # fmt: skip
BY_GROUP = {
    "heat_pump": ("minimum_circuit_ampacity_a", "maximum_overcurrent_a", "supplemental_w", "together"),
    "cooling": ("minimum_circuit_ampacity_a", "maximum_overcurrent_a"),
    "heat": ("separate_units", "continuous_rated"),
    "evse": ("setting_a", "setting_restricted", "cord_and_plug", "charging_disconnect"),
}
FIRST = {
    "units": ("name", "floor_area_ft2", "small_appliance_circuits", "laundry_circuits", "note"),
    "panels": ("name", "place", "location", "bus_a", "spaces", "circuits_max", "note"),
    "circuits": (
        "name", "place", "cable.type", "cable.size", "cable.metal", "cable.conductors", "cable.length_ft", "cable.runs",
        "cable.terminals_c", "cable.bundled", "cable.ground", "purpose", "outlet_kinds", "rooms", "note",
    ),
    "breakers": ("name", "rating_a", "poles", "protection", "role", "controllable", "note"),
    "recordings": (
        "name", "measures", "heavier_leg", "taken", "occupied", "season_load_va", "power_factor", "note",
    ),
    "channels": (
        "name", "gear", "input", "measures", "leg", "window", "output", "shorting", "rating_a", "primary_a",
        "secondary_mv", "secondary_ma", "set_primary_a", "arrow_points_to", "arrow_fitted_to", "voltage_leg", "doubled",
        "note",
    ),
    "sources": ("name", "kind", "output_w", "output_a", "volts", "breaker", "note"),
    "service": (
        "system", "disconnect.rating_a", "disconnect.sccr_ka", "conductors.size", "conductors.metal",
        "conductors.length_ft", "utility.limit", "utility.fault_current_ka", "grounding.conductor_size",
        "grounding.conductor_metal", "grounding.bonding_jumper", "smoke_alarms", "surge",
    ),
    "job": ("name", "place", "permit", "permit_on"),
}  # fmt: skip
"""Facts of a thing that come first, by its list; the rest is folded away. Of a list not named here: all of them."""
ALONE = {"recordings"}
"""Lists whose other facts are no one's to type."""
PLAIN = ("name", "note", "unit", "managed_by", "quantity")
BELONGS = {"circuits": (("loads", "circuit"), ("outlets", "circuit"), ("boxes", "circuit")),
           "panels": (("openings", "panel"), ("gear", "panel"))}  # fmt: skip
CAUTIONS = {
    "channels": (
        ("danger", "sheet.metering.never_open"), ("warning", "sheet.metering.isolate"),
        ("warning", "sheet.metering.zero"), ("notice", "sheet.metering.not_revenue"),
    ),
}  # fmt: skip
"""What can hurt about the things of a list: level and words."""
SPECIAL: dict[str, tuple[type[Model], str]] = {"service": (Service, "before/service"), "job": (Head, "job")}


def thing_page(at: AtJob, ident: str) -> ThingPage:
    """Every fact of a thing, each with its field; of a circuit, those of its breaker too.

    Raises:
        NotFound: no such thing.
    """
    collection, line = ("", None) if ident in SPECIAL else _line(at, ident)
    facts, further = _facts(at, ident, collection, line)
    run = run_of(at, ident)
    brief = next((each for table in run_tables(at) for each in table.lines if run and each.of == run.of), None)
    about = [ident, run.breaker if run else "", *(each.id for each in _belonging(at, collection, ident))]
    back = f"/jobs/{at.id}/{home_of(collection)}#list-{collection}" if line else f"/jobs/{at.id}/circuits"
    if collection in ("units", "loads", "recordings"):
        back = f"/jobs/{at.id}/survey#thing-{ident}"
    struck = "" if line is None or collection in ALONE else "N" if line.scope != "before" else line.work
    say = at.catalog.key
    what = say(f"web.one.{collection or ident}")
    return ThingPage(
        shell_of(at, "thing"), _called(at, ident, collection, line), ident, what,
        back, struck, brief.stands + f" {brief.brief}" if brief else safe(""), facts, further,
        tuple(_parts(at, collection, ident)), checks_of(at, filter(None, about)), worked_html(at, run),
        _photo(at, line),
        tuple(safe(caution_html(level, say(key), at.catalog)) for level, key in CAUTIONS.get(collection, ())),
    )  # fmt: skip


def _line(at: AtJob, ident: str) -> tuple[str, Standing]:
    for collection in COLLECTIONS:
        line = found(at.job, collection, ident)
        if line is not None:
            return collection, line
    raise NotFound("web.not_found")


def _called(at: AtJob, ident: str, collection: str, line: Standing | None) -> str:
    if line is None:
        return at.catalog.key("web.scope.service" if ident == "service" else "web.scope.job")
    name = called_so(at.catalog, collection, line.thing)
    if collection in PAPER and name == ident:
        return called(f"{line.scope}/{ident}", at.job, at.catalog)
    return name if name != ident else thing_line(at, collection, line).name if collection in FIRST else name


def _facts(
    at: AtJob, ident: str, collection: str, line: Standing | None
) -> tuple[tuple[Field, ...], tuple[Field, ...]]:
    """The facts that come first, and all the others."""
    if line is None:
        model, scope = SPECIAL[ident]
        return _split(at, ident, scope, model, FIRST[ident])
    model, scope = COLLECTIONS[collection], f"{line.scope}/{ident}"
    if isinstance(line.thing, Record):
        return tuple(_field(at, collection, scope, name) for name in _of_record(line.thing)), ()
    first = _of_load(at, line.thing) if collection == "loads" else FIRST.get(collection, leaves(model))
    facts, further = _split(at, collection, scope, model, first)
    if isinstance(line.thing, Circuit) and line.thing.breaker:
        held = found(at.job, "breakers", line.thing.breaker)
        if held:
            own = _split(at, "breakers", f"{held.scope}/{held.thing.id}", COLLECTIONS["breakers"], FIRST["breakers"])
            facts, further = facts + own[0], further + own[1]
    return facts, further


def _split(
    at: AtJob, collection: str, scope: str, model: type[Model], first: tuple[str, ...]
) -> tuple[tuple[Field, ...], tuple[Field, ...]]:
    """Facts of a thing: those that come first or that an answer waits for with their origins; the rest."""
    waited = {item.missing.path for item in at.answered.assessment.to_find}
    more = [name for name in leaves(model) if name not in first and collection not in ALONE]
    more = [name for name in more if name not in _left_out(at, collection, scope)]
    asked = [name for name in more if f"{scope}.{name}" in waited]
    sourced = scope != "job" and collection not in PAPER  # a record is its own origin
    shown = tuple(_field(at, collection, scope, name, origin=sourced and name not in PLAIN)
                  for name in (*first, *asked))  # fmt: skip
    return shown, tuple(_field(at, collection, scope, name) for name in more if name not in asked)


def _field(at: AtJob, collection: str, scope: str, name: str, *, origin: bool = False) -> Field:
    return field_at(at, f"{scope}.{name}", label_of(at.catalog, collection, name), origin=origin)


def _left_out(at: AtJob, collection: str, scope: str) -> set[str]:
    """Facts decided elsewhere: the kind of a load by its line, the edition and name of the file by the job."""
    if collection == "job":
        return {"format", "code.name"}
    if collection != "loads":
        return set()
    line = found(at.job, "loads", scope.partition("/")[2])
    return {"unit", "managed_by"} - set(_of_load(at, line.thing)) if line else set()


def _of_record(record: Record) -> tuple[str, ...]:
    """Facts of a record: one line a reading, then with what, by whom, when."""
    asked = dict.fromkeys((*readings_of(record.test), *record.readings))
    return (*(f"readings.{key}" for key in asked), "instruments", "who", "on", "time", "not_applicable", "note")


def _of_load(at: AtJob, load: Thing) -> tuple[str, ...]:
    """Facts of a load: those of its kind, its unit where there are several, its system where there is one."""
    assert isinstance(load, Load)
    known = load_kinds().get(load.kind)
    names = (*LOAD, *BY_GROUP.get(known.group if known else "other", ()))
    left_out = {"unit"} if load.unit is None and not several_units(at) else set()
    if load.managed_by is None and not any(things_of(at.job, "energy_management")):
        left_out.add("managed_by")
    return tuple(name for name in names if name not in left_out)


def _belonging(at: AtJob, collection: str, ident: str) -> Iterator[Thing]:
    for name, field in BELONGS.get(collection, ()):
        yield from (line.thing for line in things_of(at.job, name) if getattr(line.thing, field, None) == ident)


def _parts(at: AtJob, collection: str, ident: str) -> Iterator[ThingLine]:
    """What belongs to a thing, each with the way to its own page."""
    for name, field in BELONGS.get(collection, ()):
        for line in things_of(at.job, name):
            if getattr(line.thing, field, None) == ident:
                yield thing_line(at, name, line)


def _photo(at: AtJob, line: Standing | None) -> str | None:
    """Where the photo of a thing shows, "" where it has none, None for what takes none."""
    if line is None or "photo" not in type(line.thing).model_fields:
        return None
    name = getattr(line.thing, "photo", None)
    return f"/jobs/{at.id}/photos/{name}" if name in at.photos else ""
