"""What is typed on Install and Commission: read from the form, saved, answered with the parts that changed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from deadfront.app import record_entry, record_fields
from deadfront.app.record_entry import Saved, Sent
from deadfront.commissioning.rules.answer import STEP, judged
from deadfront.commissioning.rules.facts import Facts
from deadfront.errors import NotAllowed
from deadfront.job.house import Tag, house_at
from deadfront.job.record_things import Record
from deadfront.msg import Msg, said
from deadfront.results.circuits import CircuitsResult
from deadfront.web.commission_page import commission_page
from deadfront.web.ct_walk import walk_said
from deadfront.web.desk import AtJob
from deadfront.web.install_page import install_page
from deadfront.web.record_cards import said_of
from deadfront.web.record_contexts import CommissionPage, InstallPage, SaidPart
from deadfront.web.render import ENV, given
from deadfront.web.views.typed import Form, field_of

FIELD, WAS, KEY = "f.", "was.", "key."
PAGES = ("commission", "install")
LONGEST_SENT = 400_000


def sent_of(form: Form) -> list[Sent]:
    """The fields of a form: those of a queue as JSON, or those of one card.

    Raises:
        NotAllowed: the queue is none.
    """
    if "sent" in form:
        return [_one(each) for each in _listed(form["sent"])]
    key = {name.removeprefix(KEY): value for name, value in form.items() if name.startswith(KEY)}
    again = field_of(form, "again") == "yes"
    made = []
    for name, value in form.items():
        if not name.startswith(FIELD):
            continue
        name = name.removeprefix(FIELD)
        was = form.get(WAS + name, "")
        if value.strip() != was.strip() or field_of(form, "fresh") == "yes" and value.strip():
            made.append(Sent(field_of(form, "of"), field_of(form, "id"), key, name, value, (was,), False, again))
    return made


def _listed(text: str) -> list[Mapping[str, Any]]:
    try:
        found = json.loads(text) if len(text) <= LONGEST_SENT else None
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, list) or not all(isinstance(each, dict) for each in found):
        raise NotAllowed("app.records.queue")
    return found


def _one(each: Mapping[str, Any]) -> Sent:
    def text(name: str) -> str:
        value = each.get(name, "")
        return value[:1000] if isinstance(value, str) else ""

    key, was = each.get("key"), each.get("was")
    return Sent(
        text("of"), text("id"),
        {str(name)[:40]: str(value)[:100] for name, value in key.items()} if isinstance(key, dict) else {},
        text("name"), text("value"), tuple(str(w)[:1000] for w in was[:100]) if isinstance(was, list) else ("",),
        each.get("soft") is True, each.get("again") is True,
    )  # fmt: skip


def save(at: AtJob, form: Form) -> Saved:
    """Save what was typed.

    Raises:
        NotAllowed: it is nothing that may be saved.
    """
    return record_entry.save(at.web.desk, at.id, sent_of(form), at.who)


def answer(at: AtJob, saved: Saved, where: str, anchors: tuple[str, ...]) -> dict[str, Any]:
    """What a page is told after a save: what became of each field, and the parts that are new."""
    say = at.catalog

    def named(sent: Sent) -> dict[str, str]:
        return {"of": sent.of, "id": sent.id, "name": sent.name, "value": sent.value}

    return {
        "revision": saved.revision, "ids": dict(saved.ids),
        "clashes": [{**named(sent), "theirs": theirs} for sent, theirs in saved.clashes],
        "refused": [{**named(sent), "say": say.say(msg)} for sent, msg in saved.refused],
        "parts": dict(parts(at, where, anchors)),
    }  # fmt: skip


def parts(at: AtJob, where: str, anchors: tuple[str, ...]) -> list[tuple[str, str]]:
    """The parts of a page that a save may touch, by their place: the line, the route, the sequence, verdicts."""
    context: InstallPage | CommissionPage = install_page(at) if where == "install" else commission_page(at)
    template = ENV.get_template("record_parts.html").make_module(
        {**given(context), "w": at.catalog.key, "language": at.catalog.language})  # fmt: skip
    names = ["line", "route", "slips", "record_answer", *(["sequence"] if where != "install" else [])]
    found = [(name.replace("_", "-"), str(getattr(template, f"part_{name}")())) for name in names]
    if isinstance(context, InstallPage):
        groups = (context.found, *context.torques, context.left)
    else:
        groups = (*context.groups, context.corrections)
    verdict = ENV.get_template("record_said.html")
    for group in groups:
        for card in group.cards:
            if not anchors or card.anchor in anchors or card.id in anchors:
                html = verdict.render(said=card.said, w=at.catalog.key)
                found.append((f"said-{card.anchor}", html))
        found.append((f"open-{group.key}", str(group.open) if group.open else ""))
    return found


def judge(at: AtJob, form: Form) -> SaidPart:
    """The verdict of a test as it is typed, nothing saved.

    Raises:
        NotFound: no such test.
    """
    typed = {name.removeprefix(FIELD): value.strip() for name, value in form.items() if name.startswith(FIELD)}
    fields: dict[str, Any] = {}
    readings: dict[str, str] = {}
    for name, value in typed.items():
        text, _, wrong = record_fields.cleaned(at.job, "records", field_of(form, "key.test"), name, value)
        if wrong is None and text and name.startswith(record_fields.READINGS):
            readings[name.removeprefix(record_fields.READINGS)] = text
        elif wrong is None and text:
            fields[name] = text.split(",") if name == "instruments" else text
    thing = field_of(form, "key.thing")
    record = Record(id=_ID, test=field_of(form, "key.test") or "none", thing=thing or None, readings=readings,
                    photo="photo" if field_of(form, "photo") == "yes" else None, **fields)  # fmt: skip
    house = house_at(at.job)
    house = replace(house, tags={**house.tags, _ID: Tag("N", house.step)})
    facts = Facts(at.answered.assessment.book, house, CircuitsResult())
    return SaidPart(said_of(at, judged(facts, record, field_of(form, "key.stage") or "as left")))


_ID = "rec-typed"


def judge_walk(at: AtJob, form: Form) -> dict[str, str]:
    """The verdict of every line of the walk as it is typed, nothing saved.

    Raises:
        NotAllowed: what was sent is no list of lines.
    """
    records = []
    for number, each in enumerate(_listed(field_of(form, "lines"))[:MOST_LINES]):
        readings = each.get("readings")
        known = readings if isinstance(readings, dict) else {}
        read = {str(name): str(value).strip()[:80] for name, value in known.items()
                if str(name) in WALKED and str(value).strip()}  # fmt: skip
        thing = str(each.get("thing", ""))
        if record_fields.is_id(thing, "ch"):
            records.append(Record(id=f"rec-typed{number:03d}", test=STEP, thing=thing, readings=read))
    return {place: ENV.get_template("record_said.html").render(said=said_, w=at.catalog.key)
            for place, said_ in walk_said(at, records).items()}  # fmt: skip


MOST_LINES = 500
WALKED = ("watts", "off", "on", "meanwhile", "circuit", "beside", "leg", "clamp_a")


def clash_said(at: AtJob, saved: Saved) -> Msg:
    """A field that someone else changed meanwhile, in words."""
    sent, theirs = saved.clashes[0]
    return said("app.records.clash", mine=sent.value, theirs=theirs)
