"""The survey as a page: what is still to find out, the service, and the lists that are typed."""

from __future__ import annotations

from typing import Any

from deadfront.documents.catalog import Catalog
from deadfront.documents.html import caution_html
from deadfront.job.things import Meter
from deadfront.web.contexts import SurveyPage
from deadfront.web.desk import AtJob, NewIds
from deadfront.web.entry.circuits import number_text
from deadfront.web.entry.facts import CONDUCTORS, SOCKET, UTILITY, anchored, shape_of
from deadfront.web.entry.places import things_of
from deadfront.web.pieces import Field, ToDo
from deadfront.web.render import safe
from deadfront.web.shell import shell_of
from deadfront.web.tables import ANCHORS, circuit_choices, kind_words, table_of

TABLES = ("units", "panels", "circuits", "loads")
YES_NO = ("", "yes", "no")
NEW_STEP = "w-new"
LIKE = {"A": "20 A", "VA": "4.5 kW", "V": "240", "ft": "38 ft", "ft2": "1,840 sq ft", "kA": "10 kA"}


def survey_page(at: AtJob) -> SurveyPage:
    """Everything the survey shows."""
    ids = NewIds(at)
    todo = todo_of(at)
    caution = safe(caution_html("danger", at.catalog.key("sheet.todo.live"), at.catalog))
    return SurveyPage(
        shell_of(at.opened, at.answered, at.catalog, "survey"),
        answer_of(at),
        todo,
        service_fields(at),
        wanted_service(at),
        tuple(table_of(key, at, ids) for key in TABLES),
        tuple(block.text for block in at.opened.kept),
        tuple(kind_words(at.catalog).values()),
        circuit_choices(at.job),
        caution,
    )


def answer_of(at: AtJob) -> str:
    """How many facts are missing, in one sentence."""
    missing = len(at.answered.assessment.to_find)
    return at.catalog.key("web.survey.answer", count=missing) if missing else at.catalog.key("web.survey.all_in")


def todo_of(at: AtJob) -> tuple[ToDo, ...]:
    """What is still to find out, each with the field that ends it."""
    placed = anchors_of(at)
    return tuple(
        ToDo(
            at.catalog.say(item.missing.what),
            at.catalog.say(item.missing.how),
            len(item.answers),
            f"#{item.missing.path}" if item.missing.path in placed else "",
            None if item.missing.path in placed else loose_field(at, item.missing.path),
        )
        for item in at.answered.assessment.to_find
    )


def anchors_of(at: AtJob) -> set[str]:
    """Facts that have a field in the tables or the service block."""
    out = {field.path for field in service_fields(at)} | {f"before/complete.{key}" for key in TABLES}
    columns = {"units": ("area", "small", "laundry"), "panels": ("bus",), "loads": ("nameplate", "circuit", "volts")}
    for key, names in columns.items():
        for line in things_of(at.job, key):
            out |= {f"{line.scope}/{line.thing.id}.{ANCHORS[name]}" for name in names}
    return out


def loose_field(at: AtJob, path: str) -> Field | None:
    """A field for a fact that no table has."""
    if not anchored(path):
        return None
    shape, options = shape_of(at.job, path)
    label = at.catalog.key("web.field.this")
    if shape == "choice":
        return Field(path, label, "", (("", ""), *((o, word(at.catalog, o)) for o in options)))
    if shape == "yes_no":
        return Field(path, label, "", yes_no(at.catalog))
    return Field(path, label, "", (), LIKE.get(options[0], "") if options else "")


def word(catalog: Catalog, option: str) -> str:
    """An allowed value in words."""
    key = f"web.option.{option.lower().replace(' ', '_').replace('/', '_')}"
    return catalog.key(key) if catalog.has(key) else option


def yes_no(catalog: Catalog) -> tuple[tuple[str, str], ...]:
    """Yes, no, or not known."""
    return tuple((name, catalog.key(f"web.known.{name or 'unknown'}")) for name in YES_NO)


def _flag(value: bool | None) -> str:
    return "" if value is None else "yes" if value else "no"


def service_fields(at: AtJob) -> tuple[Field, ...]:
    """The facts of the job and its service, each with its path."""
    service, head, say = at.job.before.service, at.job.job, at.catalog.key

    def field(path: str, value: str, options: tuple[tuple[str, str], ...] = (), like: str = "") -> Field:
        name = path.removeprefix("before/").replace(".", "_").replace("/", "_")
        return Field(path, say(f"web.field.{name}"), value, options, like)

    def choice(path: str, value: str) -> Field:
        return field(path, value, (("", ""), *((o, word(at.catalog, o)) for o in shape_of(at.job, path)[1])))

    conductors, utility = service.conductors, service.utility
    metal = {"copper": "Cu", "aluminum": "Al"}.get(conductors.metal or "", "")
    limit = "none" if utility.limit == "none" else number_text(utility.limit_a, "A")
    fields = [
        field("job.existing", _flag(head.existing), yes_no(at.catalog)),
        choice("before/service.system", service.system or ""),
        field("before/service.disconnect.rating_a", number_text(service.disconnect.rating_a, "A"), (), "100 A"),
        field(CONDUCTORS, f"{conductors.size or ''} {metal}".strip(), (), "4/0 Al"),
        field("before/service.conductors.needs_correction", _flag(conductors.needs_correction), yes_no(at.catalog)),
        choice("before/service.conductors.terminals_c", str(conductors.terminals_c or "")),
        *_sockets(at),
        field(UTILITY, limit, (), say("web.like.utility")),
        field("before/service.utility.fault_current_ka", number_text(utility.fault_current_ka, "kA"), (), "10 kA"),
        field("before/service.disconnect.sccr_ka", number_text(service.disconnect.sccr_ka, "kA"), (), "10 kA"),
    ]
    if conductors.size and not conductors.metal:
        fields.insert(4, choice("before/service.conductors.metal", ""))
    return tuple(fields)


def wanted_service(at: AtJob) -> tuple[Field, ...]:
    """The service as the work leaves it; "" where the work does not change it."""
    step = next((step for step in at.job.work if "service" in step.set), None)
    ident = step.id if step else at.job.work[0].id if at.job.work else NEW_STEP
    now: dict[str, Any] = step.set["service"] if step else {}
    conductors = now.get("conductors", {})
    metal = {"copper": "Cu", "aluminum": "Al"}.get(conductors.get("metal", ""), "")
    values = {
        "disconnect.rating_a": (number_text(now.get("disconnect", {}).get("rating_a"), "A"), "200 A"),
        "conductors.size": (f"{conductors.get('size', '')} {metal}".strip(), "4/0 Al"),
        "disconnect.sccr_ka": (number_text(now.get("disconnect", {}).get("sccr_ka"), "kA"), "22 kA"),
    }
    return tuple(
        Field(f"{ident}/service.{name}", at.catalog.key(f"web.field.service_{name.replace('.', '_')}"), value, (), like)
        for name, (value, like) in values.items()
    )


def _sockets(at: AtJob) -> list[Field]:
    label = at.catalog.key("web.field.socket")
    meters = [line for line in things_of(at.job, "meters") if isinstance(line.thing, Meter)]
    return [
        Field(f"{line.scope}/{line.thing.id}.socket_a", label, number_text(line.thing.socket_a, "A"), (), "200 A")
        for line in meters
        if isinstance(line.thing, Meter) and line.thing.purpose == "utility"
    ] or [Field(SOCKET, label, "", (), "200 A")]
