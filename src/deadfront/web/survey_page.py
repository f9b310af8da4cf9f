"""The survey as a page: what is still to find out, the service, and the lists that are typed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from deadfront.documents.html import caution_html
from deadfront.job.things import Meter
from deadfront.web.contexts import SurveyPage
from deadfront.web.desk import AtJob, NewIds
from deadfront.web.entry.circuits import number_text
from deadfront.web.entry.facts import CONDUCTORS, SOCKET, UTILITY, anchored
from deadfront.web.entry.places import things_of
from deadfront.web.fields import field_at, flag, loose_field, origin_of, yes_no
from deadfront.web.parts_of_survey import steps_of, systems_of, unit_facts
from deadfront.web.pieces import Field, ToDo
from deadfront.web.render import safe
from deadfront.web.shell import shell_of
from deadfront.web.tables import ANCHORS, circuit_choices, kind_words, table_of
from deadfront.worksheet.check import Outcome, Severity

TABLES = ("units", "panels", "circuits", "loads", "sources")
NEW_STEP = "w-new"
FIRST = 4
SERVICE = "before/service"
IN_SERVICE = (
    "system", "disconnect.rating_a", "disconnect.listed_full_load", "conductors.size", "conductors.sets",
    "conductors.needs_correction", "conductors.terminals_c", "utility.limit", "utility.fault_current_ka",
    "disconnect.sccr_ka",
)  # fmt: skip


def survey_page(at: AtJob) -> SurveyPage:
    """Everything the survey shows."""
    ids = NewIds(at)
    todo = todo_of(at)
    caution = safe(caution_html("danger", at.catalog.key("sheet.todo.live"), at.catalog))
    return SurveyPage(
        shell_of(at, "survey"),
        answer_of(at),
        todo[: FIRST + 1],
        todo[FIRST + 1 :],
        service_fields(at),
        further_service(at),
        wanted_service(at),
        unit_facts(at),
        tuple(systems_of(at)),
        steps_of(at),
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
    """What is still to find out, what bars a signature first, each with the field that ends it.

    The questions of the site list have a page of their own; here they are one line.
    """
    placed, barred = anchors_of(at), _barred(at)
    found = sorted(at.answered.assessment.to_find, key=lambda item: item.missing.path not in barred)
    lines = [
        ToDo(
            at.catalog.say(item.missing.what),
            at.catalog.say(item.missing.how),
            len(item.answers),
            f"#{item.missing.path}" if item.missing.path in placed else "",
            None if item.missing.path in placed else _asked_here(at, item.missing.path),
        )
        for item in found
        if ".seen." not in item.missing.path
    ]
    count = sum(1 for each in at.answered.assessment.circuits.questions if each.outcome is Outcome.CANNOT_TELL)
    if count:
        say, how = at.catalog.key("web.todo.site", count=count), at.catalog.key("web.todo.site_how")
        lines.insert(min(FIRST, len(lines)), ToDo(say, how, count, f"/jobs/{at.id}/site", None))
    return tuple(lines)


def _barred(at: AtJob) -> set[str]:
    """Facts that bar a signature as long as they are not known."""
    checks = (c for c in at.answered.assessment.checks if c.is_finding and c.severity is not Severity.NOTE)
    return {m.path for check in checks if check.outcome is Outcome.CANNOT_TELL for m in check.missing}


def anchors_of(at: AtJob) -> set[str]:
    """Facts that have a field in the tables or the blocks of this page."""
    fields = (*service_fields(at), *further_service(at), *unit_facts(at))
    out = {field.path for field in fields} | {f"before/complete.{key}" for key in TABLES}
    out |= {field.path for system in systems_of(at) for field in system.facts}
    columns = {"units": ("area", "small", "laundry"), "panels": ("bus",), "loads": ("nameplate", "circuit", "volts")}
    for key, names in columns.items():
        for line in things_of(at.job, key):
            out |= {f"{line.scope}/{line.thing.id}.{ANCHORS[name]}" for name in names}
    return out


def _asked_here(at: AtJob, path: str) -> Field | None:
    """A field in the list itself, for a fact that stands nowhere else on the page."""
    return loose_field(at, path, at.catalog.key("web.field.this")) if anchored(path) else None


def service_fields(at: AtJob) -> tuple[Field, ...]:
    """The facts of the job and its service, each with its path and where it comes from."""
    service, head = at.job.before.service, at.job.job
    conductors, utility = service.conductors, service.utility
    metal = {"copper": "Cu", "aluminum": "Al"}.get(conductors.metal or "", "")
    limit = "none" if utility.limit == "none" else number_text(utility.limit_a, "A")
    typed = {CONDUCTORS: f"{conductors.size or ''} {metal}".strip(), UTILITY: limit}
    like = {
        CONDUCTORS: "4/0 Al", UTILITY: at.catalog.key("web.like.utility"),
        f"{SERVICE}.disconnect.rating_a": "100 A", f"{SERVICE}.conductors.sets": "1",
    }  # fmt: skip
    out = [Field("job.existing", at.catalog.key("web.field.job_existing"), flag(head.existing), yes_no(at.catalog))]
    for name in IN_SERVICE:
        path = f"{SERVICE}.{name}"
        field = field_at(at, path, service_label(at, name), origin=True)
        out.append(replace(field, value=typed.get(path, field.value), options=() if path in typed else field.options,
                           like=like.get(path, field.like)))  # fmt: skip
        if name == "conductors.terminals_c":
            out += _sockets(at)
    return tuple(out)


def further_service(at: AtJob) -> tuple[Field, ...]:
    """Facts of the service that only follow from others: the metal of a size, the ampacity after correction."""
    conductors = at.job.before.service.conductors
    names = ["conductors.metal"] if conductors.size and not conductors.metal else []
    if conductors.needs_correction or conductors.corrected_ampacity_a is not None:
        names.append("conductors.corrected_ampacity_a")
    return tuple(field_at(at, f"{SERVICE}.{name}", service_label(at, name)) for name in names)


def service_label(at: AtJob, name: str) -> str:
    """What a fact of the service is called."""
    return at.catalog.key(f"web.field.service_{name.replace('.', '_')}")


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
        Field(
            f"{line.scope}/{line.thing.id}.socket_a",
            label,
            number_text(line.thing.socket_a, "A"),
            (),
            "200 A",
            origin_of(at, f"{line.scope}/{line.thing.id}.socket_a"),
        )  # fmt: skip
        for line in meters
        if isinstance(line.thing, Meter) and line.thing.purpose == "utility"
    ] or [Field(SOCKET, label, "", (), "200 A")]
