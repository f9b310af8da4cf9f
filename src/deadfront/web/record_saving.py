"""What is typed on Install and Commission: read from the form, saved, answered with the parts that changed."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
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
from deadfront.results.commissioning import CommissioningResult
from deadfront.web import commission_page, install_page
from deadfront.web.correction_cards import said_of_item
from deadfront.web.ct_walk import walk_said
from deadfront.web.desk import AtJob
from deadfront.web.record_cards import INSTALLED, said_of, told
from deadfront.web.record_contexts import SaidPart
from deadfront.web.record_pieces import Said
from deadfront.web.render import ENV
from deadfront.web.shell import shell_of
from deadfront.web.torque_cards import said_of_entry
from deadfront.web.views.typed import Form, field_of
from deadfront.web.walk_offers import PLACE, offers_part
from deadfront.worksheet.check import Outcome

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
    return record_entry.save(at.web.desk, at.id, sent_of(form), at.who, at.opened)


def places_of(form: Form) -> dict[str, str]:
    """Where the entries sent stand on the page, by their id."""
    try:
        found = json.loads(form.get("places", "{}")[:LONGEST_SENT])
    except (ValueError, RecursionError):
        return {}
    return {str(each): str(place) for each, place in found.items()} if isinstance(found, dict) else {}


def answer(at: AtJob, saved: Saved, where: str, places: Mapping[str, str]) -> dict[str, Any]:
    """What a page is told after a save: what became of each field, and the parts that are new.

    Args:
        places: Where each entry sent stands on the page, by its id.
    """
    say = at.catalog

    def named(sent: Sent) -> dict[str, str]:
        return {"of": sent.of, "id": sent.id, "name": sent.name, "value": sent.value}

    return {
        "revision": saved.revision, "ids": dict(saved.ids),
        "clashes": [{**named(sent), "theirs": theirs} for sent, theirs in saved.clashes],
        "refused": [{**named(sent), "say": say.say(msg)} for sent, msg in saved.refused],
        "parts": dict(parts(at, where, {saved.ids.get(each, each): place for each, place in places.items()})),
    }  # fmt: skip


def parts(at: AtJob, where: str, places: Mapping[str, str]) -> list[tuple[str, str]]:
    """The parts of a page that a save may touch, by their place: the line, the route, the sequence, verdicts.

    No card is made anew: only the verdicts at these places, and how many of each group are open.
    """
    result = at.answered.assessment.commissioning
    install = where == "install"
    question = "web.install.question" if install else "web.commission.question"
    outcome, msg = install_page.standing_in(result) if install else commission_page.standing_in(result)
    given = {"shell": shell_of(at, where), "sequence": () if install else tuple(commission_page.sequence_of(at)),
             "answer": told(at, question, outcome, msg), "w": at.catalog.key,
             "language": at.catalog.language}  # fmt: skip
    template = ENV.get_template("record_parts.html").make_module(given)
    names = ["line", "route", "slips", "record_answer", *([] if install else ["sequence"])]
    found = [(name.replace("_", "-"), str(getattr(template, f"part_{name}")())) for name in names]
    verdict = ENV.get_template("record_said.html")
    for place, said_ in _said(at, result, places):
        found.append((f"said-{place}", verdict.render(said=said_, w=at.catalog.key)))
    if not install and at.answered.assessment.at.house.channels:
        found.append((PLACE, str(offers_part(at))))
    return [*found, *_counts(result, install=install)]


def _said(at: AtJob, result: CommissioningResult, places: Mapping[str, str]) -> Iterator[tuple[str, Said]]:
    """What stands at some places of a page; of a test done again, the one that counts stands where the first stood."""
    for each in result.tests:
        if each.record in places:
            yield places[each.record], said_of(at, each)
    for torque in result.torques:
        if torque.id in places:
            yield places[torque.id], said_of_entry(at, torque)
    for item in result.corrections:
        if item.id in places:
            yield places[item.id], said_of_item(at, item)


def _counts(result: CommissioningResult, *, install: bool) -> Iterator[tuple[str, str]]:
    """How many are open, group by group."""
    count: dict[str, int] = {}
    for each in result.tests:
        stage = "left" if each.stage == "as left" else "found"
        key = each.test if each.test in INSTALLED else f"{each.test}-{stage}"
        if (each.test in INSTALLED) is install:
            count[key] = count.get(key, 0) + each.is_open
    for torque in result.torques if install else ():
        key = f"torque-{torque.thing or 'none'}"
        count[key] = count.get(key, 0) + (torque.outcome is Outcome.CANNOT_TELL)
    if not install:
        count["corrections"] = sum(each.outcome is not Outcome.MEETS for each in result.corrections)
    yield from ((f"open-{key}", str(number) if number else "") for key, number in count.items())


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
    facts = Facts(at.answered.assessment.book, house, at.answered.assessment.circuits)
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
