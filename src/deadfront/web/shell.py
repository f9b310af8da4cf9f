"""What stands on every page of a job: the line, the route, the slips."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from importlib import resources
from itertools import islice
from typing import TYPE_CHECKING

from deadfront.documents.catalog import Catalog
from deadfront.documents.findings import finding_text
from deadfront.documents.html import verdict_html
from deadfront.documents.load_sheet import final_step
from deadfront.documents.panel_sheets.standing import layout_stands, wrong_of
from deadfront.documents.source_sheets.sheet import open_parts
from deadfront.msg import Msg
from deadfront.web.entry.facts import anchored
from deadfront.web.pieces import Line, Shell, Slip, Stage
from deadfront.web.render import safe
from deadfront.worksheet.check import Check, Outcome, Reach, Severity

if TYPE_CHECKING:
    from deadfront.app.answers import Answered
    from deadfront.app.library import OpenJob
    from deadfront.web.desk import AtJob

STAGES = ("survey", "load", "circuits", "panel", "sources", "isolation", "install", "commission", "packet", "after")
PAGES = ("survey", "load", "circuits", "panel", "sources", "isolation", "install", "commission", "packet")
SOURCE_LISTS = ("sources", "transfers", "switches", "signals")
"""Lists that stand on the page of the sources."""
RECORD_LISTS = {"instruments": "commission", "records": "commission", "corrections": "commission", "torques": "install"}
"""Lists that stand on the pages of the records."""
RECORD_PAGES = {"cor": "commission", "tq": "install"}
"""Pages that entries stand on, by the letters of their ids."""
INSTALLED = ("as_found", "settings", "torque")
"""Tests that stand on the page Install."""
MAX_SLIPS = 12
MAX_MORE = 2
MAX_TOGETHER = 4


def home_of(collection: str) -> str:
    """The page that a list stands on."""
    return "sources" if collection in SOURCE_LISTS else RECORD_LISTS.get(collection, "circuits")


@cache
def help_pages() -> frozenset[str]:
    """Checks that have a help page."""
    folder = resources.files("deadfront").joinpath("help")
    if not folder.is_dir():
        return frozenset()
    return frozenset(file.name.removesuffix(".md") for file in folder.iterdir() if file.name.endswith(".md"))


def field_href(job_id: str, path: str) -> str:
    """Where the field of a fact stands, of those that the survey asks for."""
    if ".seen." in path:
        return f"/jobs/{job_id}/site#ask-{anchored(path)}"
    if path and "/" not in path and "." not in path:  # a thing, not a fact of it
        return f"/jobs/{job_id}/survey#thing-{path}"
    return f"/jobs/{job_id}/survey#{anchored(path)}" if anchored(path) else f"/jobs/{job_id}/load#choices"


def circuit_href(job_id: str, path: str) -> str:
    """Where a fact or a thing of the circuits stage stands: on the page of its thing."""
    place = anchored(path)
    if ".seen." in place or not place:
        return field_href(job_id, path)
    if "/" not in place and "." not in place:
        kind = place.partition("-")[0]
        if kind in RECORD_PAGES:
            return f"/jobs/{job_id}/{RECORD_PAGES[kind]}#thing-{place}"
        return f"/jobs/{job_id}/things/{place}"
    thing = place.partition("/")[2].partition(".")[0] or place.partition(".")[0]
    if thing == "complete":
        name = place.rpartition(".")[2]
        return f"/jobs/{job_id}/{home_of(name)}#list-{name}"
    return f"/jobs/{job_id}/things/{thing}#{place}"


def record_href(job_id: str, check: Check) -> str:
    """Where a test that found something wrong, or an item of a notice, is typed."""
    test = check.id.partition(".")[2]
    page = "install" if test in INSTALLED else "commission"
    if test == "torque":
        return f"/jobs/{job_id}/install#group-torque-{check.thing}"
    if check.id.startswith("correction."):
        return f"/jobs/{job_id}/commission#thing-{check.thing}"
    stage = "left" if check.reach is Reach.NEW else "found"
    return f"/jobs/{job_id}/{page}#{test}.{check.thing}.{stage}"


def line_of(job_id: str, answered: Answered, catalog: Catalog) -> Line:
    """The line on top of every page; never empty."""
    standing = answered.standing
    parts = []
    if standing.to_correct:
        parts.append(catalog.key("web.line.to_correct", count=standing.to_correct))
    if standing.to_find:
        parts.append(catalog.key("web.line.to_find", count=standing.to_find))
    counts = ", ".join(parts) or catalog.key("web.line.nothing")
    place = standing.path if "/" in standing.path or not standing.path else ""
    thing = standing.path and not place
    href = circuit_href(job_id, standing.path) if thing and "-" in standing.path else field_href(job_id, standing.path)
    href = f"/jobs/{job_id}/packet#sign" if standing.signable else href
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


def circuits_in_short(answered: Answered, catalog: Catalog) -> str:
    """The circuits answer in a few words: how many findings are to correct, else to find out."""
    found = answered.assessment
    told = [c.outcome for c in found.circuits.checks if c.severity is not Severity.NOTE]
    if all(run.kind == "service" for run in found.circuits.runs):
        return catalog.key("web.short.circuits.none")
    for key, outcome in (("fails", Outcome.FAILS), ("tell", Outcome.CANNOT_TELL)):
        if outcome in told:
            return catalog.key(f"web.short.circuits.{key}", count=told.count(outcome))
    return catalog.key("web.short.circuits.meets")


def panel_in_short(answered: Answered, catalog: Catalog) -> str:
    """The panel answer in a few words: what is wrong, else whether the legs are even."""
    panels = answered.assessment.panels
    wrong = sum(len(wrong_of(each.violations)) for each in panels)
    if wrong:
        return catalog.key("web.short.panel.wrong", count=wrong)
    if not panels or any(each.case is None for each in panels):
        return catalog.key("web.short.panel.open" if panels else "web.short.panel.none")
    if any(layout_stands(each) is Outcome.CANNOT_TELL for each in panels):
        return catalog.key("web.short.panel.waiting")
    even = (
        "uneven"
        if any(p.leave is False for p in panels)
        else "tell"
        if any(p.leave is None for p in panels)
        else "even"
    )
    return catalog.key(f"web.short.panel.{even}")


def sources_in_short(answered: Answered, catalog: Catalog) -> str:
    """The sources answer in a few words."""
    found = answered.assessment.sources
    told = [c.outcome for c in found.checks if c.severity is not Severity.NOTE]
    for key, outcome in (("fails", Outcome.FAILS), ("tell", Outcome.CANNOT_TELL)):
        if outcome in told:
            return catalog.key(f"web.short.sources.{key}", count=told.count(outcome))
    key = "not_looked" if found.missing else "meets" if told else "none"
    left = open_parts(found)
    return catalog.key(f"web.short.sources.{'open' if left else key}", count=left)


def isolation_in_short(answered: Answered, catalog: Catalog) -> str:
    """The isolation answer in a few words: what cannot be told, else what others do first, else planned."""
    plans = answered.assessment.isolation.plans
    others = [plan for plan in plans if plan.answer == "others" and not plan.missing and not plan.waits]
    tell = [plan for plan in plans if plan.outcome is Outcome.CANNOT_TELL and plan not in others]
    if tell:
        return catalog.key("web.short.isolation.tell", count=len(tell))
    if others:
        return catalog.key("web.short.isolation.others", count=len(others))
    return catalog.key("web.short.isolation.planned" if plans else "web.short.isolation.none")


def install_in_short(answered: Answered, catalog: Catalog) -> str:
    """The torque log and what was written down in a few words: what is wrong, else what is open."""
    found = answered.assessment.commissioning
    told = [each.outcome for each in found.torques]
    told += [each.outcome for each in (*found.of("settings"), *found.of("as_found", stage="as found"))]
    return _records_in_short(told, "install", catalog)


def commission_in_short(answered: Answered, catalog: Catalog) -> str:
    """The tests in a few words: what is wrong, else what is open."""
    tests = [each for each in answered.assessment.commissioning.tests if each.test not in INSTALLED]
    wrong = [each.outcome for each in tests if each.outcome is Outcome.FAILS and each.severity is not Severity.NOTE]
    left = [each.outcome for each in tests if each.stage == "as left" and each.outcome is not Outcome.FAILS]
    return _records_in_short([*wrong, *left], "commission", catalog)


def _records_in_short(told: Sequence[Outcome], page: str, catalog: Catalog) -> str:
    for key, outcome in (("wrong", Outcome.FAILS), ("open", Outcome.CANNOT_TELL)):
        if outcome in told:
            return catalog.key(f"web.short.{page}.{key}", count=told.count(outcome))
    return catalog.key(f"web.short.{page}.{'done' if told else 'none'}")


def route_of(job_id: str, answered: Answered, catalog: Catalog, here: str) -> tuple[Stage, ...]:
    """The stages, each with its answer in a few words."""
    standing = answered.standing
    found = len(answered.assessment.to_find)
    short = {
        "survey": catalog.key("web.short.survey", count=found) if found else catalog.key("web.short.all_in"),
        "load": load_in_short(answered, catalog),
        "circuits": circuits_in_short(answered, catalog),
        "panel": panel_in_short(answered, catalog),
        "sources": sources_in_short(answered, catalog),
        "isolation": isolation_in_short(answered, catalog),
        "install": install_in_short(answered, catalog),
        "commission": commission_in_short(answered, catalog),
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
    where = field_href if check.id.startswith("load.") else circuit_href
    href = where(job_id, path) if path else ""
    if check.id.startswith(("commission.", "correction.")) and check.id != "commission.record":
        href = record_href(job_id, check)
    lead = safe(verdict_html(check.outcome, text.lead))
    more = text.more[:MAX_MORE]
    if len(text.more) > MAX_MORE:
        more = (*more, catalog.key("web.slip.more", count=len(text.more) - MAX_MORE))
    more = (*more, text.section) if text.section else more
    return Slip(kind, lead, text.say, more, href, f"/help/{check.id}" if check.id in help_pages() else "")


def slips_of(job_id: str, findings: Sequence[Check], page: str, catalog: Catalog) -> Iterator[Slip]:
    """The findings as slips: those of the page's stage first; what waits for facts, one slip for each place.

    The open questions of the site list are one slip together.
    """

    def later(check: Check) -> bool:
        ours = not check.id.startswith("load.")
        return check.outcome is Outcome.CANNOT_TELL and ours != (
            page in ("circuits", "site", "thing", "panel", "sources")
        )

    waits: dict[str, list[Check]] = {}
    for check in findings:
        if not check.id.startswith("load.") and check.outcome is Outcome.CANNOT_TELL:
            waits.setdefault("site" if check.id.startswith("site.") else check.thing, []).append(check)
    for check in sorted(findings, key=later):
        place = "site" if check.id.startswith("site.") else check.thing
        together = waits.get(place, []) if check.outcome is Outcome.CANNOT_TELL else []
        if check not in together:
            yield slip_of(job_id, check, catalog)
        elif check is together[0]:
            several = place == "site" or len(together) > 1
            yield _together(job_id, place, together, catalog) if several else slip_of(job_id, check, catalog)


def _together(job_id: str, place: str, checks: list[Check], catalog: Catalog) -> Slip:
    """Several findings about one place that wait for facts, in one slip."""
    kind = "tell" if any(check.severity is not Severity.NOTE for check in checks) else "note"
    lead = safe(verdict_html(Outcome.CANNOT_TELL, catalog.key("severity.find_out")))
    facts = {m.path: catalog.say(m.what) for check in checks for m in check.missing}
    if place == "site":
        say = catalog.key("web.todo.site", count=len(checks))
        return Slip(kind, lead, say, (catalog.key("web.todo.site_how"),), f"/jobs/{job_id}/site", "")
    more = list(facts.values())[:MAX_TOGETHER]
    if len(facts) > MAX_TOGETHER:
        more.append(catalog.key("web.slip.more", count=len(facts) - MAX_TOGETHER))
    href = circuit_href(job_id, next(iter(facts), place))
    return Slip(kind, lead, catalog.say(checks[0].say), tuple(more), href, f"/help/{checks[0].id}")


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
    around = live[place - 1] if place else jobs, live[place + 1] if place + 1 < len(live) else jobs
    if page in ("site", "thing"):
        around = live[PAGES.index("circuits")], live[PAGES.index("panel")]
    return Shell(
        opened.id, head.name, " · ".join(part for part in parts if part), opened.revision,
        line_of(opened.id, answered, catalog), route,
        (*wrong_in_file(opened, catalog), *islice(slips_of(opened.id, findings, page, catalog), MAX_SLIPS)), page,
        at.who, *around,
    )  # fmt: skip
