"""The torque log as lines to type into: every thing of the work with its terminals, the target, what clicked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from markupsafe import Markup

from deadfront.app.record_fields import choices_of, texts
from deadfront.documents.html import verdict_html
from deadfront.job.record_things import Torque
from deadfront.results.commissioning import TorqueAnswer
from deadfront.web.desk import AtJob
from deadfront.web.entry.places import things_of
from deadfront.web.fields import word
from deadfront.web.record_cards import OUTCOMES, Cards
from deadfront.web.record_pieces import EntryField, Group, Said, TestCard
from deadfront.web.render import safe
from deadfront.worksheet.check import Outcome

TERMINALS = {
    "breaker1": ("load", "neutral", "ground"), "breaker2": ("load_l1", "load_l2", "ground"),
    "breaker3": ("load_l1", "load_l2", "neutral", "ground"), "panel": ("line_l1", "line_l2", "neutral", "ground"),
    "service": ("line_l1", "line_l2", "neutral", "ground"), "other": (),
}  # fmt: skip
"""Terminals that a thing usually has; breaker3: of two poles, its cable with a neutral."""
UNMARKED = ("nothing_marked", "size", "screw", "socket_in")
"""What stands for a marking where there is none."""


def torque_groups(at: AtJob, cards: Cards) -> tuple[Group, ...]:
    """One group a thing: its entries, then the terminals it usually has, then a blank line."""
    answers: dict[str, list[TorqueAnswer]] = {}
    for each in cards.found.torques:
        answers.setdefault(each.thing, []).append(each)
    entries = {each.thing.id: each.thing for each in things_of(at.job, "torques") if isinstance(each.thing, Torque)}
    return tuple(_group(at, cards, thing, found, entries) for thing, found in answers.items())


def _group(at: AtJob, cards: Cards, thing: str, found: list[TorqueAnswer], entries: dict[str, Torque]) -> Group:
    shown = [_card(at, cards, thing, entries[each.id].terminal or "", each, entries[each.id]) for each in found
             if each.id in entries]  # fmt: skip
    taken = {card.title.casefold() for card in shown}
    usual = [each for each in _usual(at, thing) if each.casefold() not in taken]
    blank = [_card(at, cards, thing, each, None, None) for each in (*usual, "")]
    shown += [replace(each, anchor=f"terminal-{thing}-{number}") for number, each in enumerate(blank, start=1)]
    return Group(f"torque-{thing or 'none'}", at.catalog.say(found[0].name), tuple(shown),
                 sum(each.outcome is Outcome.CANNOT_TELL for each in found),
                 wrong=sum(each.outcome is Outcome.FAILS for each in found))  # fmt: skip


def _usual(at: AtJob, ident: str) -> Iterator[str]:
    """Terminals that such a thing usually has."""
    house = at.answered.assessment.at.house
    kind = "service" if ident == "service" else "panel" if any(each.id == ident for each in house.panels) else "other"
    for breaker in house.breakers:
        if breaker.id == ident:
            wires = [each.cable.conductors or 0 for each in house.circuits if each.breaker == ident]
            kind = "breaker1" if (breaker.poles or 1) == 1 else "breaker3" if max(wires, default=0) > 2 else "breaker2"  # noqa: PLR2004
    yield from (at.catalog.key(f"web.torque.terminal.{each}") for each in TERMINALS[kind])


def _card(
    at: AtJob, cards: Cards, thing: str, terminal: str, answer: TorqueAnswer | None, entry: Torque | None
) -> TestCard:  # fmt: skip
    ident = entry.id if entry else cards.fresh("tq")
    key = (("thing", thing), *((("terminal", terminal),) if terminal else ()))
    fields = tuple(_fields(at, cards, terminal, entry))
    photo = f"/jobs/{at.id}/photos/{entry.photo}" if entry and entry.photo in cards.photos else ""
    return TestCard(
        "torques", ident, f"thing-{ident}", key, terminal or at.catalog.key("web.torque.one_more"), "", "", safe(""),
        (), fields, tuple(_who(at, cards, entry)), said_of_entry(at, answer), photo, entry is not None,
        more=not terminal, tools="torque_tool", there=entry is not None,
    )  # fmt: skip


def _fields(at: AtJob, cards: Cards, terminal: str, entry: Torque | None) -> Iterator[EntryField]:
    def label(name: str) -> str:
        return at.catalog.key(f"web.fact.torques.{name}")

    unit = at.catalog.key("web.torque.unit")
    if not terminal:
        yield EntryField("terminal", label("terminal"), "", "text")
    yield EntryField("marked_lbf_in", f"{label('marked_lbf_in')} [{unit}]", _text(entry, "marked_lbf_in"), "number")
    none = ("", at.catalog.key("web.records.none_yet"))
    for name in (each for each in UNMARKED if each in Torque.model_fields):
        allowed = choices_of("torques", name)
        words = tuple((each, each if name in ("size", "socket_in") else word(at.catalog, each)) for each in allowed)
        kind = {"size": "size", "nothing_marked": "yes"}.get(name, "list")
        yield EntryField(name, label(name), _text(entry, name), kind, words if kind != "list" else (none, *words),
                         optional=True)  # fmt: skip
    yield EntryField("applied_lbf_in", f"{label('applied_lbf_in')} [{unit}]", _text(entry, "applied_lbf_in"), "number")


def _text(entry: Torque | None, name: str) -> str:
    return texts(entry).get(name, "") if entry else ""


def _who(at: AtJob, cards: Cards, entry: Torque | None) -> Iterator[EntryField]:
    say = at.catalog
    tools = [each for each in cards.instruments if each.kind == "torque tool"]
    options = (("", say.key("web.records.none_yet")), *((each.id, cards.named(each)) for each in tools))
    taken = (entry.tool or "") if entry else cards.in_hand.get("torque tool", "")
    yield EntryField("tool", say.key("web.fact.torques.tool"), taken, "list", options, reading=False)
    who = (entry.who or "") if entry else cards.last_who
    yield EntryField("who", say.key("web.fact.torques.who"), who, "text", reading=False)
    day = entry.on if entry else at.web.settings.today()
    yield EntryField("on", say.key("web.fact.torques.on"), day.isoformat() if day else "", "day", reading=False)


def said_of_entry(at: AtJob, answer: TorqueAnswer | None) -> Said:
    """What a terminal comes to, its target first."""
    if answer is None:
        return Said("tell", Markup(""), "")
    say = at.catalog
    notes = tuple(say.say(each) for each in answer.notes)
    target = ""
    if answer.target is not None:
        wanted = say.quantity(answer.target.value, "lbf-in")
        target = say.key("web.torque.target", target=wanted, by=say.say(answer.target.name))
    waits = tuple(say.say(each.what) for each in answer.missing)
    return Said(OUTCOMES[answer.outcome], safe(verdict_html(answer.outcome, say.say(answer.say))), target,
                (*waits, *notes))  # fmt: skip
