"""The isolation page: a zone chosen, its plan as a list to tick with a thumb; ticks wait while the line is down."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from deadfront.documents.html import block_html, caution_html
from deadfront.documents.isolation_sheets.plan_sheet import answer_of, locks_of, several_sources, stored_of
from deadfront.errors import NotFound
from deadfront.isolation.rules.answer import OF_SERVICE, plan_of
from deadfront.isolation.rules.names import Names
from deadfront.job.house import things
from deadfront.job.model import WorkStep
from deadfront.msg import said
from deadfront.results.isolation import Action, IsolationPlan
from deadfront.topology.house_network import network_of
from deadfront.web.desk import AtJob
from deadfront.web.entry.typed import BadEntry
from deadfront.web.isolation_contexts import IsolationPage, TickLine, TickPart, ZoneLink
from deadfront.web.render import safe
from deadfront.web.shell import circuit_href, shell_of
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Answer

PARTS = ("find", "inhibit", "drop", "open", "wait", "lock", "try", "prove")
CHOICES = ("panels", "transfers", "switches", "sources", "meters", "breakers", "circuits")
WHEN = re.compile(r"\d{4}-\d\d-\d\d \d\d:\d\d\Z")
MOST_CHANGES = 600


def isolation_page(at: AtJob, marked: str) -> IsolationPage:
    """Everything the isolation page shows.

    Args:
        marked: Id of a work step or of a thing, or "service", "outside", "drop"; "": the first step of the work.

    Raises:
        NotFound: there is no such step or thing.
    """
    plans, say = at.answered.assessment.isolation.plans, at.catalog
    plan = _chosen(at, marked)
    here = "" if plan is None else plan.zone
    zones = tuple(
        ZoneLink(each.zone, f"/jobs/{at.id}/isolation?zone={each.zone}", say.say(each.name), each.zone == here)
        for each in plans
    )
    several = "several" if plan is not None and several_sources(plan) else "one"
    shell, caution = (
        shell_of(at, "isolation"),
        safe(caution_html("danger", say.key(f"isolation.caution.{several}"), say)),
    )
    if plan is None:
        none = Answer(said("sheet.isolation.question"), said("web.isolation.none"), Outcome.NOT_APPLICABLE)
        return IsolationPage(shell, safe(block_html(none, say)), caution, zones, tuple(_choices(at)), "", (), (), (),
                             safe(""), (), False, "")  # fmt: skip
    step = _step(at, plan.zone)
    done = step.ticks if step is not None else {}
    tables = safe("").join(safe(block_html(block, say)) for block in (*locks_of(plan), *stored_of(plan)))
    return IsolationPage(
        shell, safe(block_html(answer_of(plan), say)), caution, zones, tuple(_choices(at)), plan.zone,
        tuple(say.say(each) for each in plan.notes),
        tuple((say.say(m.what), say.say(m.how), circuit_href(at.id, m.path)) for m in plan.missing),
        tuple(_parts(at, plan, done)), tables, tuple(say.say(each) for each in plan.temporary), step is not None,
        f"/jobs/{at.id}/sheets/isolation" if step is not None else "",
    )  # fmt: skip


def _chosen(at: AtJob, marked: str) -> IsolationPlan | None:
    result = at.answered.assessment.isolation
    if not marked:
        return result.plans[0] if result.plans else None
    if any(step.id == marked for step in at.job.work):
        return result.plan(marked)
    try:
        return plan_of(at.answered.assessment.at, marked)
    except NotFound as error:
        raise NotFound("web.not_found") from error


def _step(at: AtJob, ident: str) -> WorkStep | None:
    return next((step for step in at.job.work if step.id == ident), None)


def _choices(at: AtJob) -> Iterator[tuple[str, tuple[tuple[str, str], ...]]]:
    """Everything in the house that a zone can be marked by, list by list."""
    house, say = at.answered.assessment.at, at.catalog
    names = Names(house, network_of(house.house))
    yield say.key("web.one.service"), tuple((each, say.say(names.thing(each))) for each in OF_SERVICE)
    for name in CHOICES:
        found = tuple((thing.id, say.say(names.thing(thing.id))) for thing in getattr(house.house, name))
        if found:
            yield say.key(f"web.list.{name}"), found


def _parts(at: AtJob, plan: IsolationPlan, done: Mapping[str, str]) -> Iterator[TickPart]:
    say = at.catalog
    for part in PARTS:
        actions = tuple(action for action in plan.actions if action.part == part)
        if actions:
            yield TickPart(say.key(f"isolation.part.{part}"), "", tuple(_lines(at, actions, done)))
        if part == "prove" and plan.prove:
            points = tuple(
                TickLine(p.id, say.say(said("sheet.isolation.beside" if p.boundary else "sheet.isolation.point",
                                            point=p.name)), ", ".join(say.say(pair) for pair in p.pairs),
                         done.get(p.id, ""))
                for p in plan.prove
            )  # fmt: skip
            yield TickPart(say.key("sheet.isolation.prove"), say.key("sheet.isolation.prove_how"), points)
        if part == "lock" and plan.live:
            lines = tuple(TickLine(f"live/{each.place}", say.say(each.say), "", done.get(f"live/{each.place}", ""))
                          for each in plan.live)  # fmt: skip
            yield TickPart(say.key("sheet.isolation.live"), say.key("web.isolation.guard"), lines)
    if plan.back:
        yield TickPart(say.key("sheet.isolation.back"), "", tuple(_lines(at, plan.back, done)))


def _lines(at: AtJob, actions: Iterable[Action], done: Mapping[str, str]) -> Iterator[TickLine]:
    say = at.catalog
    for each in actions:
        waits = tuple((say.say(m.what), circuit_href(at.id, m.path)) for m in each.waits)
        stop = say.say(each.stop) if each.stop else ""
        yield TickLine(each.id, say.say(each.say), stop, done.get(each.id, ""), waits)


def zone_edits(at: AtJob, form: Mapping[str, str]) -> list[dict[str, Any]]:
    """The edit that makes a thing part of what is dead during a step of the work.

    Raises:
        NotFound: no such step, or no such thing in the house.
    """
    step, thing = _step(at, form.get("step", "")), form.get("thing", "")
    there = thing in OF_SERVICE or thing in {each.id for _, each in things(at.answered.assessment.at.house)}
    if step is None or not there:
        raise NotFound("web.not_found")
    if thing in step.zone:
        return []
    return [{"do": "set", "path": f"{step.id}.zone", "value": [*step.zone, thing]}]


# --- ticks ----------------------------------------------------------------------------------------------------------
def tick_edits(at: AtJob, form: Mapping[str, str]) -> list[dict[str, Any]]:
    """The edit that keeps ticks sent for a work step: those sent as changes, or those of a form as it stands.

    Raises:
        NotFound: no such step, or nothing to tick in it.
        BadEntry: changes that cannot be read.
    """
    step = _step(at, form.get("zone", ""))
    plan = at.answered.assessment.isolation.plan(step.id) if step is not None else None
    if step is None or plan is None:
        raise NotFound("web.not_found")
    known = {line.id for part in _parts(at, plan, {}) for line in part.lines}
    changes = _sent(form["changes"]) if "changes" in form else _of_form(form, known, step.ticks)
    today = at.web.settings.today().isoformat()
    kept = dict(step.ticks)
    for ident, (on, when) in changes.items():
        if not on:
            kept.pop(ident, None)
        elif ident in known:
            stamp = when if WHEN.match(when) else today
            kept[ident] = f"{stamp}, {at.who}" if at.who else stamp
    if kept == step.ticks:
        return []
    return [{"do": "set", "path": f"{step.id}.ticks", "value": kept or None}]


def _sent(text: str) -> dict[str, tuple[bool, str]]:
    """Changes as a page sends them: by line whether it is ticked, and when."""
    try:
        found = json.loads(text)
        changes = {str(ident): (on, when) for ident, (on, when) in found.items()}
    except (ValueError, TypeError, AttributeError) as error:
        raise BadEntry("changes", "web.isolation.unreadable") from error
    fits = all(isinstance(on, bool) and isinstance(when, str) for on, when in changes.values())
    if not fits or len(changes) > MOST_CHANGES:
        raise BadEntry("changes", "web.isolation.unreadable")
    return changes


def _of_form(form: Mapping[str, str], known: set[str], ticked: Mapping[str, str]) -> dict[str, tuple[bool, str]]:
    """What a plain form changes: boxes ticked or not, against what stands on file."""
    on = {ident for ident in known if f"tick:{ident}" in form}
    return {ident: (ident in on, "") for ident in known if (ident in on) != (ident in ticked)}
