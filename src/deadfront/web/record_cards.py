"""Tests as cards to type into: readings in order, who and with what filled in, the verdict."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property

from markupsafe import Markup

from deadfront.commissioning.rules.registry import modules
from deadfront.commissioning.rules.test_kind import TestKind
from deadfront.documents.html import caution_html, verdict_html
from deadfront.documents.numbers import unit_style
from deadfront.job.record_things import Instrument
from deadfront.msg import Msg, said
from deadfront.results.commissioning import ReadingAnswer, TestAnswer
from deadfront.web.desk import AtJob, NewIds
from deadfront.web.entry.places import things_of
from deadfront.web.fields import called_so
from deadfront.web.record_pieces import EntryField, Said, TestCard, Tool
from deadfront.web.render import safe
from deadfront.web.shell import help_pages
from deadfront.worksheet.check import Outcome

OUTCOMES = {Outcome.MEETS: "meets", Outcome.FAILS: "fails", Outcome.CANNOT_TELL: "tell", Outcome.NOT_APPLICABLE: "na"}
RANGED = ("ohm", "Mohm")
LEVELS = {"danger": ("live_work", "line_side_live", "neutral", "neutral_lifted", "backfeed", "several_sources"),
          "warning": ("prove_tester", "screen_is_no_test", "directory", "backup", "tripped_once")}  # fmt: skip
"""Cautions on injury, by their signal word; the others are notices."""


class Cards:
    """Makes the cards of a page.

    Args:
        at: The job.
    """

    def __init__(self, at: AtJob) -> None:
        self.at, self.say = at, at.catalog
        self.fresh = NewIds(at)
        self.found = at.answered.assessment.commissioning
        self.kinds: dict[str, TestKind] = {each.kind.key: each.kind for each in modules()}
        self.photos = set(at.photos)

    @cached_property
    def instruments(self) -> tuple[Instrument, ...]:
        """Every instrument, in the order entered."""
        return tuple(each.thing for each in things_of(self.at.job, "instruments") if isinstance(each.thing, Instrument))

    @cached_property
    def in_hand(self) -> dict[str, str]:
        """The instrument of each kind that was used last, else the first there is."""
        found: dict[str, str] = {each.kind: each.id for each in reversed(self.instruments)}
        kinds = {each.id: each.kind for each in self.instruments}
        for answer in sorted((each for each in self.found.tests if each.record), key=_when):
            found |= {kinds[each]: each for each in answer.instruments if each in kinds}
        tools = [each.tool for each in self.found.torques if each.tool in kinds]
        return found | {kinds[each]: each for each in tools}

    @cached_property
    def last_who(self) -> str:
        """Whoever is at the page, else who tested last."""
        named = [each.who for each in sorted((e for e in self.found.tests if e.record), key=_when) if each.who]
        return self.at.who or (named[-1] if named else "")

    def named(self, each: Instrument) -> str:
        """What an instrument is called."""
        name = called_so(self.say, "instruments", each)
        return f"{name} ({each.serial})" if each.serial and each.serial not in name else name

    def tools(self, kinds: Iterable[str]) -> Iterator[Tool]:
        """The instruments in hand, of these kinds."""
        for kind in dict.fromkeys(kinds):
            options = tuple((each.id, self.named(each)) for each in self.instruments if each.kind == kind)
            words = self.say.key(f"commission.tool.{kind.replace(' ', '_')}")
            yield Tool(kind, words, (("", self.say.key("web.records.none_yet")), *options), self.in_hand.get(kind, ""))

    def card(self, answer: TestAnswer, *, more: bool = False) -> TestCard:
        """One test of one thing."""
        kind, say = self.kinds[answer.test], self.say
        there = bool(answer.record) and not more
        anchor = anchor_of(answer.test, answer.thing, answer.stage) + ("-more" if more else "")
        blank = answer if there else None
        fields = tuple(self._reading(each, there=there) for each in answer.readings)
        return TestCard(
            "records", answer.record if there else self.fresh("rec"), anchor,
            (("test", answer.test), ("thing", answer.thing), ("stage", answer.stage)),
            say.key(f"commission.test.{answer.test}"), say.say(answer.name),
            say.key(f"commission.method.{answer.test}"),
            self._cautions(answer), self._first(answer), fields, tuple(self._who(kind, blank)),
            said_of(self.at, answer) if not more else Said("tell", safe(""), ""),
            f"/jobs/{self.at.id}/photos/{answer.photo}" if there and answer.photo in self.photos else "",
            kind.photo or answer.stage == "as found", self._again(answer) if there else "", more,
            f"/help/commission.{answer.test}" if f"commission.{answer.test}" in help_pages() else "",
            ",".join(each.replace(" ", "_") for each in kind.tools), there,
        )  # fmt: skip

    def _again(self, answer: TestAnswer) -> str:
        page = "install" if answer.test in INSTALLED else "commission"
        place = anchor_of(answer.test, answer.thing, answer.stage)
        if answer.outcome is Outcome.NOT_APPLICABLE:
            return ""
        return f"/jobs/{self.at.id}/{page}?again={place}#{place}-more"

    def _cautions(self, answer: TestAnswer) -> Markup:
        """One box for each signal word, the worst first."""
        told: dict[str, list[str]] = {}
        for each in answer.cautions:
            level = next((name for name, keys in LEVELS.items() if each in keys), "notice")
            told.setdefault(level, []).append(self.say.key(f"commission.caution.{each}"))
        return safe("".join(caution_html(level, " ".join(told[level]), self.say)
                            for level in (*LEVELS, "notice") if level in told))  # fmt: skip

    def _first(self, answer: TestAnswer) -> tuple[str, ...]:
        """Tests that come before it and are not done well."""
        well = (Outcome.MEETS, Outcome.NOT_APPLICABLE)
        waits = [test for test in answer.before
                 if any(each.outcome not in well for each in self.found.of(test))]  # fmt: skip
        return tuple(self.say.key(f"commission.test.{each}") for each in waits) if answer.stage == "as left" else ()

    def _reading(self, reading: ReadingAnswer, *, there: bool) -> EntryField:
        say, unit = self.say, reading.unit
        label = say.key(f"commission.reading.{reading.key}")
        options: tuple[tuple[str, str], ...] = ()
        if reading.kind == "yes":
            options = tuple((each, say.key(f"commission.choice.{each}")) for each in ("yes", "no"))
        elif reading.kind == "choice":
            options = tuple((each, say.key(f"commission.choice.{each.replace(' ', '_')}")) for each in reading.choices)
        kind = reading.kind
        if kind == "number":
            kind = "negative" if unit == "dBm" else "repeats" if reading.key.endswith(("_idle", "_loaded")) else kind
        told = unit_style(unit).say if unit else ""
        return EntryField(
            f"readings.{reading.key}", f"{label} [{told}]" if told else label, reading.typed if there else "", kind,
            options, unit in RANGED, say.say(reading.trouble) if there and reading.trouble else "", not reading.needed,
        )  # fmt: skip

    def _who(self, kind: TestKind, answer: TestAnswer | None) -> Iterator[EntryField]:
        say = self.say
        if kind.tools:
            fits = [each for each in self.instruments if each.kind in kind.tools]
            taken = answer.instruments[0] if answer and answer.instruments else ""
            hand = next((self.in_hand[each] for each in kind.tools if each in self.in_hand), "")
            options = (("", say.key("web.records.none_yet")), *((each.id, self.named(each)) for each in fits))
            yield EntryField("instruments", say.key("web.fact.records.instruments"), taken if answer else hand,
                             "choice" if len(options) < 3 else "list", options, reading=False)  # fmt: skip
        yield EntryField("who", say.key("web.fact.records.who"), answer.who if answer else self.last_who, "text",
                         reading=False)  # fmt: skip
        day = answer.on if answer else self.at.web.settings.today()
        yield EntryField("on", say.key("web.fact.records.on"), day.isoformat() if day else "", "day", reading=False)
        yield EntryField("time", say.key("web.fact.records.time"), answer.time if answer else "", "time",
                         reading=False)  # fmt: skip
        yield EntryField("not_applicable", say.key("web.fact.records.not_applicable"), answer.reason if answer else "",
                         "long", reading=False)  # fmt: skip


INSTALLED = ("as_found", "settings")
"""Tests that stand on the page Install: what is looked at and written down, not measured."""


def _when(answer: TestAnswer) -> tuple[str, str]:
    return answer.on.isoformat() if answer.on else "", answer.time


def anchor_of(test: str, thing: str, stage: str) -> str:
    """The place of a test on its page."""
    return f"{test}.{thing or 'none'}.{'left' if stage == 'as left' else 'found'}"


def said_of(at: AtJob, answer: TestAnswer) -> Said:
    """What a test comes to, in words."""
    say = at.catalog
    notes = [say.say(each) for each in answer.notes]
    notes += [say.say(each.trouble) for each in answer.readings if each.trouble]
    if answer.remedy is not None:
        notes.insert(0, say.say(answer.remedy))
    return Said(OUTCOMES[answer.outcome], safe(verdict_html(answer.outcome, say.say(answer.say))),
                say.say(answer.limit) if answer.limit is not None else "", tuple(notes))  # fmt: skip


def told(at: AtJob, question: str, outcome: Outcome, answer: Msg) -> Markup:
    """The question of a page and its answer."""
    head = at.catalog.key(question)
    return safe(f"<h1>{head}</h1>") + safe('<p class="ans">') + safe(
        verdict_html(outcome, at.catalog.say(answer))) + safe("</p>")  # fmt: skip


__all__ = ["INSTALLED", "Cards", "anchor_of", "said", "said_of", "told"]
