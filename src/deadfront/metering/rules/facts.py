"""What every metering rule is handed: the book, the house, what circuits found; and what a channel's conductor is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from deadfront.codebook.book import Codebook
from deadfront.job.by_id import ById
from deadfront.job.found_things import Gear
from deadfront.job.house import HouseAt
from deadfront.job.load_things import Load
from deadfront.job.metering_things import Channel
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.job.source_things import Source
from deadfront.job.thing import Thing
from deadfront.metering.rules.feeding import SERVICE, Feed, feed_of, hots
from deadfront.msg import Msg, said
from deadfront.results.circuits import CircuitsResult, Run
from deadfront.topology.rows import leg_of_space
from deadfront.worksheet.check import Reach
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing

__all__ = ["SERVICE", "Facts"]


@dataclass(frozen=True)
class Facts(ById):
    """One house at one step with its channels.

    Args:
        book: The code in force.
        at: The house at the step.
        circuits: What the circuits stage answered on the same house.
    """

    book: Codebook
    at: HouseAt
    circuits: CircuitsResult

    def cite(self, subject: str) -> Cite:
        """Where a rule or a value stands in this edition."""
        return self.book.value(subject).cite if subject in self._values else self.book.rule(subject).cite

    @cached_property
    def _values(self) -> frozenset[str]:
        return frozenset(name for kind, name in self.book.names() if kind == "value")

    # --- the house --------------------------------------------------------------------------------------------------
    @property
    def channels(self) -> tuple[Channel, ...]:
        """Every channel."""
        return self.at.house.channels

    @cached_property
    def gear(self) -> Mapping[str, Gear]:
        """Gear by id."""
        return {each.id: each for each in self.at.house.gear}

    @cached_property
    def circuits_by_id(self) -> Mapping[str, Circuit]:
        """Circuits by id."""
        return {each.id: each for each in self.at.house.circuits}

    @cached_property
    def sources(self) -> Mapping[str, Source]:
        """Sources by id."""
        return {each.id: each for each in self.at.house.sources}

    @cached_property
    def runs(self) -> Mapping[str, Run]:
        """Runs of conductors by the id of what they supply."""
        return {each.of: each for each in self.circuits.runs}

    def loads_on(self, circuit: str) -> tuple[Load, ...]:
        """Loads on a circuit."""
        return tuple(each for each in self.at.house.loads if each.circuit == circuit)

    @property
    def legs(self) -> tuple[str, ...]:
        """The legs of the service; two where the system is not known."""
        return ("L1", "L2", "L3") if self.at.house.service.system == "208Y/120 3ph 4w" else ("L1", "L2")

    # --- what a channel sits on -------------------------------------------------------------------------------------
    def measured(self, channel: Channel) -> Thing | None:
        """The circuit, panel or source whose conductor is in its window; None for the service or not known."""
        ident = channel.measures or ""
        return self.circuits_by_id.get(ident) or self.panels.get(ident) or self.sources.get(ident)

    def role(self, channel: Channel) -> str:
        """What it is counted as: as entered, else by what it measures; "" where neither is known."""
        if channel.role or channel.measures is None:
            return channel.role or ""
        thing = self.measured(channel)
        if channel.measures == SERVICE:
            return "mains"
        kinds = ((Circuit, "load"), (Panel, "feeder"), (Source, "source"))
        return next((role for kind, role in kinds if isinstance(thing, kind)), "")

    def feed(self, channel: Channel) -> Feed:
        """What its conductor comes from."""
        return Feed(service=True) if channel.measures == SERVICE else feed_of(self.at, self.measured(channel))

    def breaker_of(self, channel: Channel) -> Breaker | None:
        """The breaker that its conductor comes from; None for the service or not known."""
        return self.feed(channel).breaker

    def legs_of(self, breaker: Breaker | None) -> tuple[str, ...]:
        """Legs that a breaker stands on; nothing where its spaces or its panel are not known."""
        if breaker is None or not breaker.spaces:
            return ()
        panel = self.panels.get(breaker.panel or "")
        if panel is None and breaker.panel is None and len(self.panels) == 1:
            panel = next(iter(self.panels.values()))
        if panel is None:
            return ()
        system = self.at.house.service.system
        found = (leg_of_space(panel, space, system) for space in breaker.spaces)
        return tuple(dict.fromkeys(f"L{leg + 1}" if isinstance(leg, int) else leg for leg in found))

    def poles(self, channel: Channel) -> int | None:
        """Hot conductors of what it measures: all legs for the service, two for a feeder, else by the breaker."""
        if channel.measures == SERVICE:
            return len(self.legs)
        return hots(self.at, self.measured(channel), self.feed(channel))

    def no_poles(self, channel: Channel) -> tuple[Missing, ...]:
        """What would tell how many hot conductors it has."""
        feed, thing = self.feed(channel), self.measured(channel)
        if thing is None:
            return self.missing(channel, "measures")
        if feed.breaker is not None:
            return self.missing(feed.breaker, "poles")
        return self.asked(feed) + (self.missing(thing, "volts") if isinstance(thing, Source) else ())

    def asked(self, feed: Feed) -> tuple[Missing, ...]:
        """What would tell where a conductor comes from."""
        return () if feed.asks is None else (self.ask(*feed.asks),)

    def beside(self, channel: Channel) -> tuple[Channel, ...]:
        """All channels of the same gear on conductors of the same thing, itself among them."""
        if channel.measures is None:
            return (channel,)
        return tuple(each for each in self.channels
                     if each.measures == channel.measures and each.gear == channel.gear)  # fmt: skip

    # --- words, reach, missing --------------------------------------------------------------------------------------
    def reach_of(self, *things: Thing | None) -> Reach:
        """What the work does with things that belong together."""
        letters = [self.at.tag(each.id) for each in things if each is not None]
        if "N" in letters:
            return Reach.NEW
        changed = any(each is not None and each.id in self.at.changed for each in things)
        return Reach.REPLACED if changed or "RL" in letters else Reach.EXISTING

    def name_of(self, thing: Thing) -> Msg:
        """What a thing is called: its own name; of a channel, else its input; else its id."""
        if thing.name:
            return said("thing.named", name=thing.name)
        if isinstance(thing, Channel):
            key = "metering.channel_at" if thing.input else "metering.channel_id"
            return said(key, input=thing.input, id=thing.id)
        return said("thing.by_id", id=thing.id)

    def conductor(self, channel: Channel) -> Msg:
        """Whose conductor it sits on."""
        if channel.measures == SERVICE:
            return said("metering.service")
        thing = self.measured(channel)
        if thing is None:
            return said("metering.not_known")
        return self.name_of(thing)

    def missing(self, thing: Thing, *fields: str) -> tuple[Missing, ...]:
        """Those of a thing's fields that are not known, each with how to get it."""
        return tuple(self._lacking(thing, fields))

    def ask(self, thing: Thing, field: str) -> Missing:
        """A fact of a thing, asked for, with how to get it."""
        key = field.rpartition(".")[2]
        what = said(f"todo.metering.{key}", thing=self.name_of(thing))
        return Missing(self.at.path(thing, field), what, said(f"todo.how.metering.{key}"))

    def no_system(self) -> tuple[Missing, ...]:
        """The voltage system, where it is not known."""
        if self.at.house.service.system is not None:
            return ()
        return (Missing("before.service/system", said("todo.metering.system"), said("todo.how.metering.system")),)

    def _lacking(self, thing: Thing, fields: tuple[str, ...]) -> Iterator[Missing]:
        for field in fields:
            value: object = thing
            for part in field.split("."):
                value = getattr(value, part, None)
            if value in (None, (), "unknown"):
                yield self.ask(thing, field)
