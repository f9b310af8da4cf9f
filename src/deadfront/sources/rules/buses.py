"""Every bus that a source loads, under every option of the edition in force."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import NamedTuple

from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.source_things import Switch
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN
from deadfront.results.sources import BusAnswer, OptionAnswer, Way
from deadfront.sources.rules.amounts import Told, all_of, apart_by, control_holds, counted, has_setting
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.options import (
    SO,
    Tried,
    best,
    held,
    known_ways,
    larger_bus,
    lower_setting,
    not_here,
    smaller_main,
    smaller_output,
)
from deadfront.sources.rules.paths import Entry, entries, feed_of
from deadfront.sources.rules.position import fed_at, one_end, opposite
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, Reach
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

FULL = Decimal(100)


class Bus(NamedTuple):
    """One bus with what comes in on it.

    Args:
        on: Sources that come in by a breaker of their own on it, or by the breaker of a feeder.
        limit: Rating of the bus [A].
        main: Overcurrent device on the side of the utility, with what joins ahead of the bus [A].
    """

    panel: Panel
    on: tuple[Entry, ...]
    all: tuple[Entry, ...]
    limit: Step
    main: Step
    id: str


def bus_answers(facts: SourceFacts) -> Iterator[BusAnswer]:
    """Every panel that a source loads: with the utility, and on a source of its own."""
    for panel in facts.at.house.panels:
        mine = entries(facts).get(panel.id, ())
        together = tuple(each for each in mine if each.joint.parallel is not False)
        alone = tuple(each for each in mine if each.joint.parallel is False)
        if together:
            told = _together(facts, panel, together, alone)
            yield told if any(each.joint.parallel for each in together) else _perhaps(facts, told, together)
        for entry in alone:
            yield _alone(facts, panel, entry)


def _perhaps(facts: SourceFacts, answer: BusAnswer, mine: Sequence[Entry]) -> BusAnswer:
    """A bus whose sources may all be kept from the utility: then nothing of it is asked, so that none of it fails."""
    if answer.outcome is not Outcome.FAILS:
        return answer
    lacks = tuple({m.path: m for m in (apart_by(facts, each.joint) for each in mine)}.values())
    options = tuple(replace(each, outcome=Outcome.CANNOT_TELL, missing=lacks) if each.outcome is Outcome.FAILS else each
                    for each in answer.options)  # fmt: skip
    return replace(answer, outcome=Outcome.CANNOT_TELL, options=options)


def _together(facts: SourceFacts, panel: Panel, mine: tuple[Entry, ...], alone: tuple[Entry, ...]) -> BusAnswer:
    plain = _bus(facts, panel, mine, alone, controlled=False)
    current = _current(facts, plain, controlled=False)
    options = [*_options(facts, plain, current, SO, controlled=False)]
    if any(has_setting(facts, each.joint.source) for each in mine):
        set_ = _bus(facts, panel, mine, alone, controlled=True)
        options += _options(facts, set_, _current(facts, set_, controlled=True), _holds(facts, mine), controlled=True)
    order = (Outcome.MEETS, Outcome.CANNOT_TELL, Outcome.FAILS, Outcome.NOT_APPLICABLE)
    options.sort(key=lambda each: order.index(each.outcome))
    return BusAnswer(
        panel.id, "bus", facts.name_of(panel), tuple(each.joint.source.id for each in mine), best(options),
        tuple(options), plain.main, current, _reach(facts, panel, mine),
    )  # fmt: skip


def _reach(facts: SourceFacts, panel: Panel, mine: Sequence[Entry]) -> Reach:
    sources = [each.joint.source for each in mine]
    return facts.reach_of(panel, *sources, *facts.in_panel(panel))


def _bus(
    facts: SourceFacts, panel: Panel, mine: tuple[Entry, ...], alone: tuple[Entry, ...], controlled: bool
) -> Bus:  # fmt: skip
    """A bus in whatever state brings the most: a standby source may take the place of the utility beside the others."""
    ident = f"bus/{panel.id}{'/controlled' if controlled else ''}"
    ahead = tuple(each for each in mine if each.via is None)
    limit = facts.fact(f"{ident}/rating", "source.bus_rating", panel, "bus_a")
    main = main_of(facts, panel, [(each, counted(facts, each.joint, controlled)) for each in ahead], ident)
    if alone:
        instead = [_alone_device(facts, panel, each, f"{ident}/instead/{each.joint.source.id}") for each in alone]
        main = build.largest(f"{ident}/any", "source.any_state", (main, *instead), unit="A")
    return Bus(panel, tuple(each for each in mine if each.via is not None), mine, limit, main, ident)


def main_of(facts: SourceFacts, panel: Panel, ahead: Sequence[tuple[Entry, Step]], ident: str) -> Step:
    """What may come from the utility's side onto a bus [A]: the smallest device in a row, and what joins behind it."""
    own = [facts.fact(f"{ident}/main/{each.id}", "source.main_device", each, "rating_a")
           for each in facts.in_panel(panel) if each.role == "main"]  # fmt: skip
    before = upstream(facts, panel, ident)
    if ahead:
        before = build.total(f"{ident}/ahead", "source.ahead", (before, *(step for _, step in ahead)), unit="A")
        fits = panel.bus_a is not None and before.value.high is not None and before.value.high <= panel.bus_a
        devices = tuple(_behind(facts, ahead, ident, asked=not fits))
        before = build.least(f"{ident}/joined", "source.main", (before, *devices), unit="A")
    return build.least(f"{ident}/main", "source.main", (*own, before), unit="A") if own else before


def _behind(
    facts: SourceFacts, ahead: Sequence[tuple[Entry, Step]], ident: str, *, asked: bool
) -> Iterator[Step]:  # fmt: skip
    """What a device on the load side of a joint lets through, with whatever else may join behind it [A].

    Args:
        asked: A device that is not on file decides: then what it lets through is not known.
    """
    for entry, _ in ahead:
        source = entry.joint.source
        asked_here = asked and not source.at_far_end
        if entry.joint.way != "feeder" or (source.load_side_overcurrent_a is None and not asked_here):
            continue
        device = facts.fact(f"{ident}/behind/{source.id}", "source.load_side", source, "load_side_overcurrent_a")
        others = [step for other, step in ahead if other is not entry]
        yield (
            build.total(f"{ident}/behind/{source.id}/all", "source.ahead", (device, *others), unit="A")
            if others
            else device
        )


def upstream(facts: SourceFacts, panel: Panel, ident: str) -> Step:
    """The smallest overcurrent device on what feeds a panel [A]."""
    feed = feed_of(facts, panel)
    found = [step for each in feed.devices if (step := _device(facts, ident, each)) is not None]
    if feed.panel is None and feed.known:
        found.append(facts.fact(f"{ident}/service", "source.service_device", None, "disconnect.rating_a"))
        outside = facts.at.house.service.outside
        if outside.present == "yes" and outside.overcurrent and outside.rating_a is not None:
            found.append(facts.fact(f"{ident}/outside", "source.outside_device", None, "outside.rating_a"))
    if not found:
        found.append(build.fact(f"{ident}/feed", "source.feed_unknown", UNKNOWN, "A", facts.at.path(panel, "fed_by"),
                                missing=facts.lack(panel, "fed_by")))  # fmt: skip
    return found[0] if len(found) == 1 else build.least(f"{ident}/upstream", "source.main", found, unit="A")


def _device(facts: SourceFacts, ident: str, device: Breaker | Switch) -> Step | None:
    if isinstance(device, Breaker):
        return facts.fact(f"{ident}/feeder/{device.id}", "source.feeder_device", device, "rating_a")
    if device.fuse_a is None:
        return None
    return facts.fact(f"{ident}/fuse/{device.id}", "source.fuse", device, "fuse_a")


def _current(facts: SourceFacts, bus: Bus, controlled: bool) -> Step:
    parts = tuple(counted(facts, each.joint, controlled) for each in bus.on)
    return build.total(f"{bus.id}/sources", "source.all_counted", parts, unit="A")


def _holds(facts: SourceFacts, mine: tuple[Entry, ...]) -> Told:
    told = [control_holds(facts, each.joint.source) for each in mine if has_setting(facts, each.joint.source)]
    return Told(all_of(each.truth for each in told), tuple(m for each in told for m in each.lacking))


def _options(facts: SourceFacts, bus: Bus, current: Step, holds: Told, controlled: bool) -> Iterator[OptionAnswer]:
    used = build.total(f"{bus.id}/all", "source.with_main", (bus.main, current), unit="A")
    yield _sum(facts, bus, used, current, holds, controlled)
    yield _opposite(facts, bus, used, current, holds, controlled)
    yield _center(facts, bus, used, current, holds, controlled)
    if not controlled:
        yield _breakers(facts, bus)


def _ways(
    facts: SourceFacts, bus: Bus, key: str, limit: Step, current: Step, used: Step, percent: Decimal
) -> tuple[Way, ...]:
    ident = f"{bus.id}/{key}"
    return known_ways(
        smaller_main(facts, ident, limit, current), lower_setting(facts, ident, limit, bus.main),
        smaller_output(facts, ident, limit, bus.main), larger_bus(ident, used, percent),
    )  # fmt: skip


def _sum(facts: SourceFacts, bus: Bus, used: Step, current: Step, holds: Told, controlled: bool) -> OptionAnswer:
    tried = Tried("sum", bus.id, used, bus.limit, (facts.cite("bus_sum"),), controlled, holds, _why(holds))
    return held(tried, _ways(facts, bus, "sum", bus.limit, current, used, FULL))


def _why(holds: Told) -> Msg | None:
    return None if holds.truth is True else said(f"source.why.control_{'open' if holds.truth is None else 'not'}")


def _raised(facts: SourceFacts, bus: Bus, value: str) -> Step:
    entry = facts.book.value(value)
    return build.percent_of(f"{bus.id}/{value}", "source.share_of_bus", bus.limit, entry.number, unit="A",
                            cite=entry.cite)  # fmt: skip


def _placed(facts: SourceFacts, bus: Bus, judge: Callable[[SourceFacts, Panel, list[Breaker | None]], Told]) -> Told:
    """Where the breakers stand; not known where one that may be kept from the utility alone stands wrong."""
    place = judge(facts, bus.panel, [each.via for each in bus.on])
    perhaps = [each.joint for each in bus.on if each.joint.parallel is None]
    if place.truth is not False or not perhaps:
        return place
    sure = judge(facts, bus.panel, [each.via for each in bus.on if each.joint.parallel])
    if sure.truth is False:
        return sure
    return Told(None, (*sure.lacking, *(apart_by(facts, each) for each in perhaps)))


def _opposite(facts: SourceFacts, bus: Bus, used: Step, current: Step, holds: Told, controlled: bool) -> OptionAnswer:
    cites = (facts.cite("bus_opposite_end"),)
    if fed_at(bus.panel) == "center":
        return not_here("opposite_end", said("source.why.center"), cites)
    if not bus.on:
        return not_here("opposite_end", said("source.why.ahead"), cites)
    limit = _raised(facts, bus, "bus_opposite_end_percent")
    place = _placed(facts, bus, opposite)
    both = Told(all_of((place.truth, holds.truth)), (*place.lacking, *holds.lacking))
    why = _why(holds) if place.truth is True else said(f"source.why.place_{'open' if place.truth is None else 'not'}")
    tried = Tried("opposite_end", bus.id, used, limit, cites, controlled, both, why)
    ways = _ways(facts, bus, "opposite_end", limit, current, used, facts.number("bus_opposite_end_percent"))
    if place.truth is False:
        move = Way("move", said("source.way_move"))
        fits = used.value.high is not None and used.value.high <= limit.value.low
        ways = (move,) if fits else (move, *ways)
    elif used.value.high is not None and used.value.high <= limit.value.low:
        ways = ()
    return held(tried, ways)


def _center(facts: SourceFacts, bus: Bus, used: Step, current: Step, holds: Told, controlled: bool) -> OptionAnswer:
    if not facts.book.has("bus_center_fed"):
        return not_here("center_fed", said("source.why.edition", edition=facts.book.edition))
    if (by := facts.book.barred("bus_center_fed")) is not None:
        return not_here("center_fed", said("source.why.barred", by=by), (facts.cite("bus_center_fed"),))
    cites = (facts.cite("bus_center_fed"),)
    if fed_at(bus.panel) not in ("center", None):
        return not_here("center_fed", said("source.why.not_center"), cites)
    if not bus.on:
        return not_here("center_fed", said("source.why.ahead"), cites)
    limit = _raised(facts, bus, "bus_center_fed_percent")
    place = _placed(facts, bus, one_end)
    both = Told(all_of((place.truth, holds.truth)), (*place.lacking, *holds.lacking))
    why = _why(holds) if place.truth is True else said(f"source.why.end_{'open' if place.truth is None else 'not'}")
    ways = _ways(facts, bus, "center_fed", limit, current, used, facts.number("bus_center_fed_percent"))
    move = () if place.truth is not False else (Way("move", said("source.way_one_end")),)
    return held(Tried("center_fed", bus.id, used, limit, cites, controlled, both, why), (*move, *ways))


def _breakers(facts: SourceFacts, bus: Bus) -> OptionAnswer:
    """The ratings of all breakers on the bus, of loads and sources alike, without the one that protects it."""
    if not bus.on:
        return not_here("breakers", said("source.why.ahead"), (facts.cite("bus_breaker_sum"),))
    parts = [facts.fact(f"{bus.id}/breaker/{each.id}", facts.name_of(each), each, "rating_a")
             for each in facts.in_panel(bus.panel) if each.role != "main"]  # fmt: skip
    used = build.total(f"{bus.id}/breakers", "source.breakers", parts, unit="A")
    listed = facts.at.house.complete.breakers
    missing = Missing(
        "before/complete.breakers", said("todo.sources.all_breakers"), said("todo.how.sources.all_breakers")
    )
    condition = SO if listed == "yes" else Told(None, (missing,))
    why = said("source.why.breakers_open")
    way = larger_bus(f"{bus.id}/breakers", used, FULL)
    return held(Tried("breakers", bus.id, used, bus.limit, (facts.cite("bus_breaker_sum"),), False, condition, why),
                known_ways(way))  # fmt: skip


def _alone(facts: SourceFacts, panel: Panel, entry: Entry) -> BusAnswer:
    """A bus that a source feeds while the utility is kept away: its device protects the bus."""
    source = entry.joint.source
    ident = f"bus/{panel.id}/alone/{source.id}"
    limit = facts.fact(f"{ident}/rating", "source.bus_rating", panel, "bus_a")
    used = _alone_device(facts, panel, entry, ident)
    option = held(Tried("alone", ident, used, limit, (facts.cite("panel_protection"),)),
                  known_ways(larger_bus(ident, used, FULL)))  # fmt: skip
    return BusAnswer(panel.id, "bus", facts.name_of(panel), (source.id,), option.outcome, (option,), used, None,
                     facts.reach_of(panel, source, entry.via))  # fmt: skip


def _alone_device(facts: SourceFacts, panel: Panel, entry: Entry, ident: str) -> Step:
    """The smallest overcurrent device between a standby source and a bus [A]."""
    source = entry.joint.source
    found = [facts.fact(f"{ident}/{each.id}", "source.main_device", each, "rating_a")
             for each in facts.in_panel(panel) if each.role == "main" and entry.via is None]  # fmt: skip
    if entry.via is not None:
        found.append(facts.fact(f"{ident}/{entry.via.id}", "source.own_device", entry.via, "rating_a"))
    if source.output_breaker_a is not None or not found:
        found.append(facts.fact(f"{ident}/set", "source.set_device", source, "output_breaker_a"))
    return found[0] if len(found) == 1 else build.least(f"{ident}/device", "source.own_device", found, unit="A")
