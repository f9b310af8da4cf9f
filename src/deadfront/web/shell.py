"""What stands on every page of a job: the line, the route, the slips."""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from deadfront.app.library import OpenJob
from deadfront.documents.catalog import Catalog
from deadfront.documents.findings import finding_text
from deadfront.documents.html import verdict_html
from deadfront.documents.load_sheet import final_step
from deadfront.msg import Msg
from deadfront.web.entry.facts import anchored
from deadfront.web.pieces import Line, Shell, Slip, Stage
from deadfront.web.render import safe
from deadfront.worksheet.check import Check, Outcome, Severity

if TYPE_CHECKING:
    from deadfront.app.answers import Answered
    from deadfront.web.desk import AtJob

STAGES = ("survey", "load", "circuits", "panel", "sources", "isolation", "install", "commission", "packet", "after")
PAGES = ("survey", "load", "packet")
MAX_SLIPS = 12
MAX_MORE = 2


@cache
def help_pages() -> frozenset[str]:
    """Checks that have a help page."""
    folder = resources.files("deadfront").joinpath("help")
    if not folder.is_dir():
        return frozenset()
    return frozenset(file.name.removesuffix(".md") for file in folder.iterdir() if file.name.endswith(".md"))


def field_href(job_id: str, path: str) -> str:
    """Where the field of a fact stands."""
    if path and "/" not in path and "." not in path:  # a thing, not a fact of it
        return f"/jobs/{job_id}/survey#thing-{path}"
    return f"/jobs/{job_id}/survey#{anchored(path)}" if anchored(path) else f"/jobs/{job_id}/load#choices"


def line_of(job_id: str, answered: Answered, catalog: Catalog) -> Line:
    """The line on top of every page; never empty."""
    standing = answered.standing
    parts = []
    if standing.to_correct:
        parts.append(catalog.key("web.line.to_correct", count=standing.to_correct))
    if standing.to_find:
        parts.append(catalog.key("web.line.to_find", count=standing.to_find))
    counts = ", ".join(parts) or catalog.key("web.line.nothing")
    href = f"/jobs/{job_id}/packet#sign" if standing.signable else field_href(job_id, standing.path)
    button = "web.line.sign" if standing.signable else "web.line.enter" if standing.path else "web.line.choose"
    return Line(counts, catalog.say(standing.next), href, catalog.key(button), standing.signable)


def load_in_short(answered: Answered, catalog: Catalog) -> str:
    """The load answer in five words: "94 to 99 of 100 A"."""
    load = answered.assessment.load
    relied = load.method(load.relied)
    if relied is None or relied.amperes is None:
        return catalog.key("web.short.no_method")
    value, limit = final_step(relied).value, load.limit.told
    told = catalog.value(limit, "A") if isinstance(limit, Msg) else catalog.quantity(limit, "A")
    return catalog.key("web.short.load", load=catalog.range(value, "A"), limit=told)


def route_of(job_id: str, answered: Answered, catalog: Catalog, here: str) -> tuple[Stage, ...]:
    """The stages, each with its answer in a few words."""
    standing = answered.standing
    found = len(answered.assessment.to_find)
    short = {
        "survey": catalog.key("web.short.survey", count=found) if found else catalog.key("web.short.all_in"),
        "load": load_in_short(answered, catalog),
        "packet": catalog.key("web.short.signable" if standing.signable else "web.short.draft"),
    }
    return tuple(
        Stage(
            catalog.key(f"web.stage.{name}"),
            short.get(name) or catalog.key("web.stage.later"),
            f"/jobs/{job_id}/{name}" if name in PAGES else "",
            name == here,
        )
        for name in STAGES
    )


def slip_of(job_id: str, check: Check, catalog: Catalog) -> Slip:
    """A finding as a slip that leads to the field that ends it."""
    text = finding_text(check, catalog)
    path = check.missing[0].path if check.missing else check.thing
    kind = "fails" if check.outcome is Outcome.FAILS else "tell"
    kind = "note" if check.severity is Severity.NOTE else kind
    href = field_href(job_id, path) if path else ""
    lead = safe(verdict_html(check.outcome, text.lead))
    more = text.more[:MAX_MORE]
    if len(text.more) > MAX_MORE:
        more = (*more, catalog.key("web.slip.more", count=len(text.more) - MAX_MORE))
    more = (*more, text.section) if text.section else more
    return Slip(kind, lead, text.say, more, href, f"/help/{check.id}" if check.id in help_pages() else "")


def wrong_in_file(opened: OpenJob, catalog: Catalog) -> tuple[Slip, ...]:
    """What in the job file could not be taken as written; blocks set aside are shown on the survey."""
    lead = safe(verdict_html(Outcome.FAILS, catalog.key("web.slip.file")))
    href = f"/jobs/{opened.id}/survey#kept"
    return tuple(
        Slip("fails", lead, catalog.say(problem.located), (), href if problem.set_aside else "", "")
        for problem in opened.problems[:MAX_SLIPS]
    )


def shell_of(at: AtJob, page: str) -> Shell:
    """Everything around the sheet of a job."""
    opened, answered, catalog = at.opened, at.answered, at.catalog
    head = opened.job.job
    parts = [head.place, catalog.key("head.edition", edition=head.code.edition)]
    parts.append(catalog.key("head.revision", revision=str(opened.revision)))
    findings = [check for check in answered.assessment.checks if check.is_finding]
    route = route_of(opened.id, answered, catalog, page)
    live = [stage for stage in route if stage.href]
    jobs = Stage(catalog.key("web.jobs.title"), "", "/")
    place = next((n for n, stage in enumerate(live) if stage.here), len(live) - 1)
    return Shell(
        opened.id, head.name, " · ".join(part for part in parts if part), opened.revision,
        line_of(opened.id, answered, catalog), route,
        (*wrong_in_file(opened, catalog), *(slip_of(opened.id, each, catalog) for each in findings[:MAX_SLIPS])), page,
        at.who, live[place - 1] if place else jobs, live[place + 1] if place + 1 < len(live) else jobs,
    )  # fmt: skip
