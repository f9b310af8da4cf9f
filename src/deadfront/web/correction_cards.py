"""Items of an inspector's notice as cards: what it asks, then what was done about it."""

from __future__ import annotations

from markupsafe import Markup

from deadfront.documents.html import verdict_html
from deadfront.job.record_things import Correction
from deadfront.results.commissioning import CorrectionAnswer
from deadfront.web.circuits_page import thing_named
from deadfront.web.desk import AtJob
from deadfront.web.entry.places import things_of
from deadfront.web.record_cards import OUTCOMES, Cards
from deadfront.web.record_pieces import EntryField, Group, Said, TestCard
from deadfront.web.render import safe
from deadfront.worksheet.check import Outcome

ASKED = ("given_on", "section", "asks", "thing")
ANSWERED = ("done", "who", "on")
KINDS = {"given_on": "day", "on": "day", "asks": "long", "done": "long"}


def correction_group(at: AtJob, cards: Cards) -> Group:
    """Every item, and a blank one to enter the next."""
    answers = {each.id: each for each in cards.found.corrections}
    items = [each.thing for each in things_of(at.job, "corrections") if isinstance(each.thing, Correction)]
    listed = tuple(_card(at, cards, each, answers.get(each.id)) for each in items)
    open_ = sum(each.outcome is not Outcome.MEETS for each in answers.values())
    return Group("corrections", at.catalog.key("web.list.corrections"), (*listed, _card(at, cards, None, None)), open_)


def _card(at: AtJob, cards: Cards, item: Correction | None, answer: CorrectionAnswer | None) -> TestCard:
    say = at.catalog
    ident = item.id if item else cards.fresh("cor")
    title = (item.section if item and item.section else say.key("web.one.corrections")) if item else \
        say.key("web.correction.new")  # fmt: skip
    names = (*ASKED, *(ANSWERED if item else ()))
    fields = tuple(_field(at, cards, name, item) for name in names)
    photo = f"/jobs/{at.id}/photos/{item.photo}" if item and item.photo in cards.photos else ""
    return TestCard(
        "corrections", ident, f"thing-{ident}" if item else "correction-new", (), title,
        item.asks or "" if item else "", say.key("web.correction.how"), safe(""), (), fields, (),
        said_of_item(at, answer), photo, item is not None, there=item is not None,
    )  # fmt: skip


def said_of_item(at: AtJob, answer: CorrectionAnswer | None) -> Said:
    """How an item stands."""
    if answer is None:
        return Said("tell", Markup(""), "")
    words = safe(verdict_html(answer.outcome, at.catalog.say(answer.say)))
    return Said(OUTCOMES[answer.outcome], words, "", tuple(at.catalog.say(each.what) for each in answer.missing))


def _field(at: AtJob, cards: Cards, name: str, item: Correction | None) -> EntryField:
    say, value = at.catalog, getattr(item, name) if item else None
    options: tuple[tuple[str, str], ...] = ()
    kind = KINDS.get(name, "text")
    if name == "thing":
        kind, options = "list", things_to_name(at)
    text = str(value) if value is not None else ""
    if item is None and name == "given_on":
        text = at.web.settings.today().isoformat()
    return EntryField(name, say.key(f"web.fact.corrections.{name}"), text, kind, options, optional=name == "section")


def things_to_name(at: AtJob) -> tuple[tuple[str, str], ...]:
    """What an item may be about: service, house, panels, breakers, circuits, loads, sources."""
    say = at.catalog
    found = [("", say.key("web.records.none_yet")), ("service", say.key("commission.of.service")),
             ("house", say.key("commission.of.house"))]  # fmt: skip
    for collection in ("panels", "circuits", "breakers", "loads", "sources"):
        found += [(each.thing.id, thing_named(at, each.thing.id)) for each in things_of(at.job, collection)]
    return tuple(found)
