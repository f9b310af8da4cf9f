"""Everything that may be known of one load: what a line of the list has no column for."""

from __future__ import annotations

from deadfront.codebook.kinds import load_kinds
from deadfront.errors import NotFound
from deadfront.job.things import Load
from deadfront.web.contexts import ThingPage
from deadfront.web.desk import AtJob
from deadfront.web.entry.circuits import number_text
from deadfront.web.entry.facts import shape_of
from deadfront.web.entry.places import found, things_of
from deadfront.web.pieces import Field
from deadfront.web.shell import shell_of
from deadfront.web.survey_page import LIKE, word, yes_no
from deadfront.web.tables import kind_words

ALWAYS = (
    "name",
    "quantity",
    "unit",
    "nameplate_w",
    "nameplate_va",
    "nameplate_a",
    "volts",
    "hp",
    "motor",
    "neutral",
    "fastened",
    "note",
)
BY_GROUP = {
    "heat_pump": ("minimum_circuit_ampacity_a", "supplemental_w", "together"),
    "cooling": ("minimum_circuit_ampacity_a",),
    "heat": ("separate_units", "continuous_rated"),
    "evse": ("setting_a", "setting_restricted", "managed_by"),
}


def thing_page(at: AtJob, ident: str) -> ThingPage:
    """Every fact of a load, each with its field.

    Raises:
        NotFound: no such load.
    """
    line = found(at.job, "loads", ident)
    if line is None or not isinstance(line.thing, Load):
        raise NotFound("web.not_found")
    group = _group(line.thing.kind)
    names = (*ALWAYS, *BY_GROUP.get(group, ()))
    fields = tuple(_field(at, f"{line.scope}/{ident}.{name}", name, getattr(line.thing, name)) for name in names)
    called = line.thing.name or kind_words(at.catalog).get(line.thing.kind, line.thing.kind)
    return ThingPage(shell_of(at.opened, at.answered, at.catalog, "thing"), called, ident, fields)


def _group(kind: str) -> str:
    known = load_kinds().get(kind)
    return known.group if known else "other"


def _field(at: AtJob, path: str, name: str, value: object) -> Field:
    label = at.catalog.key(f"web.field.load.{name}")
    if name in ("unit", "managed_by"):
        collection = "units" if name == "unit" else "energy_management"
        listed = tuple((each.thing.id, each.thing.name or each.thing.id) for each in things_of(at.job, collection))
        return Field(path, label, str(value or ""), (("", ""), *listed))
    shape, options = shape_of(at.job, path)
    if shape == "yes_no":
        return Field(path, label, "" if value is None else "yes" if value else "no", yes_no(at.catalog))
    if shape == "choice":
        return Field(path, label, str(value or ""), (("", ""), *((o, word(at.catalog, o)) for o in options)))
    like = LIKE.get(options[0], "") if options else ""
    return Field(path, label, number_text(value), (), like)
