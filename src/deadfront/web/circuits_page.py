"""The circuits as a page: the answer, the schedule, fault currents drawn to scale, grounding, hazards, every list."""

from __future__ import annotations

from collections.abc import Iterator

from markupsafe import Markup

from deadfront.codebook.data_files import data
from deadfront.documents.circuit_sheets.common import of_kind
from deadfront.documents.circuit_sheets.fault_ruler import fault_pictures
from deadfront.documents.circuit_sheets.grounding import grounding_table
from deadfront.documents.circuit_sheets.schedule import HEADS, schedule_answer
from deadfront.documents.html import block_html, caution_html, verdict_html
from deadfront.job.found_things import Hazard
from deadfront.job.things import COLLECTIONS, Thing
from deadfront.msg import said
from deadfront.web.circuit_contexts import CircuitsPage
from deadfront.web.circuit_pieces import HazardLine, ThingLine, ThingList
from deadfront.web.desk import AtJob
from deadfront.web.entry.places import Standing, things_of
from deadfront.web.entry.shapes import field_shape
from deadfront.web.fields import Options, called_so, value_text, word
from deadfront.web.pieces import Field
from deadfront.web.render import safe
from deadfront.web.run_pieces import run_tables
from deadfront.web.shell import shell_of
from deadfront.web.tables import kind_words, works_of
from deadfront.worksheet.check import Outcome, Severity
from deadfront.worksheet.sheet import Answer

TOLD = {
    "panels": ("bus_a", "place"), "breakers": ("rating_a", "panel"), "circuits": ("cable.size", "place"),
    "outlets": ("kind", "room", "circuit"), "electrodes": ("kind", "length_ft"), "structures": ("supply",),
    "raceways": ("kind", "trade_size"), "boxes": ("volume_in3", "standard"), "openings": ("panel", "state", "passes"),
    "gear": ("kind", "panel"), "hazards": ("thing",), "meters": ("purpose", "socket_a"), "loads": ("circuit",),
    "sources": ("kind", "output_w"), "units": ("floor_area_ft2",), "transfers": ("kind", "rating_a"),
    "switches": ("place", "rating_a"), "signals": ("purpose",), "channels": ("input", "measures", "leg"),
    "instruments": ("kind", "serial", "calibrated_on"), "corrections": ("section", "done"),
}  # fmt: skip
"""What a line of a list tells of a thing."""
KIND = {"signals": "purpose"}
"""The field that says what a thing is, by its list; of every other list: its kind."""
ORDER = (
    "hazards", "electrodes", "panels", "breakers", "circuits", "outlets", "openings", "raceways", "boxes", "structures",
    "gear", "channels", "meters", "loads", "units",
)  # fmt: skip


def circuits_page(at: AtJob) -> CircuitsPage:
    """Everything the circuits page shows."""
    say, found = at.catalog, at.answered.assessment
    return CircuitsPage(
        shell_of(at, "circuits"),
        answer_of(at),
        tuple(run_tables(at)),
        say.key("sheet.circuits.key"),
        site_told(at),
        faults_of(at),
        safe(block_html(grounding_table(found.at, found.circuits), say)) if found.circuits.grounding else safe(""),
        tuple(hazards_of(at)),
        tuple(list_of(at, key) for key in ORDER),
        safe(caution_html("notice", say.key("sheet.circuits.directory"), say)),
    )


def answer_of(at: AtJob) -> Markup:
    """The question and its answer; where there is no circuit yet, that."""
    result = at.answered.assessment.circuits
    block = schedule_answer(result, of_kind(result.checks, *HEADS))
    if all(run.kind == "service" for run in result.runs):
        block = Answer(block.question, said("web.circuits.none"), Outcome.CANNOT_TELL)
    return safe(block_html(block, at.catalog))


def site_told(at: AtJob) -> str:
    """How many questions of the site list are open."""
    asked = at.answered.assessment.circuits.questions
    count = sum(1 for q in asked if q.outcome is Outcome.CANNOT_TELL)
    return at.catalog.key("sheet.site.answer.open" if count else "sheet.site.answer.done", count=count or len(asked))


def faults_of(at: AtJob) -> Markup:
    """The pictures of fault currents; what they wait for where the source is not known."""
    found = at.answered.assessment
    drawn = [block_html(picture, at.catalog) for _, picture in fault_pictures(found.at, found.circuits, at.catalog)]
    return safe("\n".join(drawn))


def hazards_of(at: AtJob) -> Iterator[HazardLine]:
    """Every hazard found, with how it stands."""
    checks = at.answered.assessment.checks
    names = set(at.photos)
    for line in things_of(at.job, "hazards"):
        hazard = line.thing
        assert isinstance(hazard, Hazard)
        own = [c.outcome for c in checks if c.thing == hazard.id and c.severity is not Severity.NOTE]
        outcome = next((o for o in (Outcome.FAILS, Outcome.CANNOT_TELL) if o in own), Outcome.MEETS)
        where = thing_named(at, hazard.thing or "")
        photo = f"/jobs/{at.id}/photos/{hazard.photo}" if hazard.photo in names else ""
        yield HazardLine(
            f"/jobs/{at.id}/things/{hazard.id}", called_so(at.catalog, "hazards", hazard), where,
            hazard.evidence or "", safe(verdict_html(outcome, at.catalog.outcome(outcome))), photo,
        )  # fmt: skip


def thing_named(at: AtJob, ident: str) -> str:
    """What a thing is called by its id; the service and the house by their words."""
    if ident in ("service", "house"):
        return at.catalog.key("web.option.service" if ident == "service" else "web.option.whole_house")
    for collection in COLLECTIONS:
        for line in things_of(at.job, collection):
            if line.thing.id == ident:
                return called_so(at.catalog, collection, line.thing)
    return ""


def list_of(at: AtJob, key: str) -> ThingList:
    """A list of things, each with the way to its page, and what one more may be."""
    lines = tuple(thing_line(at, key, line) for line in things_of(at.job, key))
    value = getattr(at.job.before.complete, key)
    options = tuple((each, at.catalog.key(f"web.known.{each}")) for each in ("yes", "no", "unknown"))
    complete = Field(f"before/complete.{key}", at.catalog.key("web.list.complete"), value, options)
    return ThingList(key, at.catalog.key(f"web.list.{key}"), lines, kinds_for(at, key), works_of(at), complete)


def thing_line(at: AtJob, key: str, line: Standing) -> ThingLine:
    """A thing of a list in a line."""
    told = (word_of(at, f"{line.scope}/{line.thing.id}.{name}", line.thing) for name in TOLD.get(key, ()))
    href = f"/jobs/{at.id}/things/{line.thing.id}"
    parts = [each for each in told if each]
    name = called_so(at.catalog, key, line.thing)
    return ThingLine(href, name if name != line.thing.id else (parts or [name])[0], line.work,
                     ", ".join(part for part in parts if part != name))  # fmt: skip


def word_of(at: AtJob, path: str, thing: Thing) -> str:
    """A fact in words, "" where it is not known."""
    name = path.rpartition(".")[2]
    value = value_text(at, path)
    if name in ("thing", "circuit", "panel", "measures"):
        return thing_named(at, value)
    return word(at.catalog, value) if name in ("kind", "room", "supply", "state", "passes", "purpose") else value


def kinds_for(at: AtJob, key: str) -> Options:
    """The kinds that a new thing must be one of; none where it needs none."""
    model, name = COLLECTIONS[key], KIND.get(key, "kind")
    info = model.model_fields.get(name)
    if info is None or not info.is_required():
        return ()
    if key == "loads":
        return tuple(kind_words(at.catalog).items())
    if key == "hazards":
        return tuple((kind, at.catalog.key(f"hazard.{kind}.name")) for kind in data().hazards)
    return tuple((kind, word(at.catalog, kind)) for kind in field_shape(model, (name,))[1])
