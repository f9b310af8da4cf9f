"""Feeders and taps that a source loads: at the far end, along the way, and the conductors from the joint."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.results.sources import BusAnswer, OptionAnswer, Way
from deadfront.sources.rules.amounts import Told, counted
from deadfront.sources.rules.buses import upstream
from deadfront.sources.rules.conductors import source_ampacity, wires_ampacity
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.options import Tried, best, held, known_ways, larger_bus
from deadfront.sources.rules.paths import Entry, Joint, entries, feed_of, joints
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.step import Step

FULL = Decimal(100)


def feeder_answers(facts: SourceFacts) -> Iterator[BusAnswer]:
    """The feeder of every panel that a source loads, and the tap of every source that joins on a feeder.

    What runs from the service to a panel counts as its feeder where a source joins on it.
    """
    for panel in facts.at.house.panels:
        mine = tuple(each for each in entries(facts).get(panel.id, ()) if each.joint.parallel is not False)
        joined = any(each.joint.way == "feeder" and each.joint.panel is panel for each in mine)
        if mine and (joined or feed_of(facts, panel).via is not None):
            yield _feeder(facts, panel, mine)
    for joint in joints(facts):
        if joint.way == "feeder" and joint.panel is not None:
            yield _tap(facts, joint, joint.panel)


def feeder_ampacity(facts: SourceFacts, panel: Panel) -> Step:
    """What the conductors of a feeder may carry [A], as the circuits stage reckons them."""
    run = facts.feeders.get(panel.id)
    if run is not None and run.ampacity is not None:
        return run.ampacity
    return wires_ampacity(facts, panel, "feeder", panel.feeder)


def _feeder(facts: SourceFacts, panel: Panel, mine: tuple[Entry, ...]) -> BusAnswer:
    ident = f"feeder/{panel.id}"
    limit, main = feeder_ampacity(facts, panel), upstream(facts, panel, ident)
    along = tuple(each.joint for each in mine if each.via is None and each.joint.source.at_far_end is not True)
    current = build.total(f"{ident}/sources", "source.all_counted",
                          [counted(facts, each.joint, False) for each in mine], unit="A")  # fmt: skip
    carried = _least(f"{ident}/carried", "source.feeder_carries", [limit, *backfed(facts, panel, ident)])
    if not along:
        options = [_far_end(facts, ident, current, carried)]
    else:
        options = [*_along(facts, ident, along, main, limit, carried, current)]
    return BusAnswer(panel.id, "feeder", said("source.feeder_of", name=facts.name_of(panel)),
                     tuple(each.joint.source.id for each in mine), best(options), tuple(options), main, current,
                     facts.reach_of(panel, *(each.joint.source for each in mine)))  # fmt: skip


def _far_end(facts: SourceFacts, ident: str, current: Step, limit: Step) -> OptionAnswer:
    """At the end away from its supply a source adds nothing to what the feeder carries from there."""
    return held(Tried("far_end", ident, current, limit, (facts.cite("feeder_source"),)),
                known_ways(larger_bus(f"{ident}/far", current, FULL)))  # fmt: skip


def backfed(facts: SourceFacts, panel: Panel, ident: str) -> list[Step]:
    """The overcurrent devices of a feeder, which carry what its sources give back [A]."""
    found: list[Step] = []
    for each in feed_of(facts, panel).devices:
        if isinstance(each, Breaker):
            found.append(facts.fact(f"{ident}/backfed/{each.id}", "source.feeder_device", each, "rating_a"))
        elif each.fuse_a is not None:
            found.append(facts.fact(f"{ident}/backfed/{each.id}", "source.fuse", each, "fuse_a"))
    return found


def _least(ident: str, name: str, steps: Sequence[Step]) -> Step:
    return steps[0] if len(steps) == 1 else build.least(ident, name, steps, unit="A")


def _along(
    facts: SourceFacts, ident: str, along: tuple[Joint, ...], main: Step, limit: Step, carried: Step, current: Step,
) -> Iterator[OptionAnswer]:  # fmt: skip
    """Joints along the way: under every option the feeder and its device also carry what the sources give back."""
    cites = (facts.cite("feeder_source"),)
    back = at_most(current.value, carried.value)
    used = build.total(f"{ident}/with", "source.with_main", (main, current), unit="A")
    sums = held(Tried("feeder_ampacity", ident, used, limit, cites), known_ways(larger_bus(ident, used, FULL)))
    unknown = [facts.lack(each.source, "at_far_end") for each in along if each.source.at_far_end is None]
    devices = [facts.fact(f"{ident}/load_side/{each.source.id}", "source.load_side", each.source,
                          "load_side_overcurrent_a") for each in along]  # fmt: skip
    device = (
        devices[0] if len(devices) == 1 else build.largest(f"{ident}/load_side", "source.load_side", devices, unit="A")
    )
    most = said("source.way_device", most=limit.value.high or Decimal(0))
    behind = held(Tried("load_side_device", ident, device, limit, cites), known_ways(Way("device", most, limit)))
    far = _far_end(facts, ident, current, carried)
    yield from (_worse(sums, far), _worse(behind, far)) if back is not Outcome.MEETS else (sums, behind)
    if unknown and all(each.source.at_far_end is None for each in along):
        place = Told(None, tuple(unknown))
        yield held(Tried("far_end", ident, current, carried, cites, False, place, said("source.why.far_end_open")))


def _worse(option: OptionAnswer, back: OptionAnswer) -> OptionAnswer:
    """An option, with the figures of what the sources give back where these decide."""
    order = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS)
    if order.index(option.outcome) < order.index(back.outcome):
        return option
    missing = {each.path: each for each in (*option.missing, *back.missing)}
    return replace(option, outcome=back.outcome, used=back.used, limit=back.limit, over=back.over, spare=back.spare,
                   missing=tuple(missing.values()) if back.outcome is Outcome.CANNOT_TELL else (), ways=back.ways,
                   why=said("source.why.back"))  # fmt: skip


def _tap(facts: SourceFacts, joint: Joint, panel: Panel) -> BusAnswer:
    """Conductors from the joint on a feeder to the first device of the source."""
    source, ident = joint.source, f"tap/{joint.source.id}"
    amount = counted(facts, joint, False)
    total = build.total(f"{ident}/sum", "source.with_main", (upstream(facts, panel, ident), amount), unit="A")
    options = tuple(_taps(facts, source, ident, total, amount))
    return BusAnswer(source.id, "tap", said("source.tap_of", name=facts.name_of(source)), (source.id,), best(options),
                     options, None, amount, facts.reach_of(source))  # fmt: skip


def _taps(facts: SourceFacts, source: Source, ident: str, total: Step, amount: Step) -> Iterator[OptionAnswer]:
    limit = source_ampacity(facts, source)
    for key in ("tap_short", "tap_long"):
        length = facts.number(f"{key}_ft")
        cites = (facts.cite("feeder_source_tap"), facts.book.value(f"{key}_ft").cite)
        if key == "tap_short":
            entry = facts.book.value("tap_short_percent")
            share = build.percent_of(
                f"{ident}/{key}", "source.tap_share", total, entry.number, unit="A", cite=entry.cite
            )
        else:
            part = facts.given(f"{ident}/{key}/part", "tap_long_part")
            share = build.quotient(f"{ident}/{key}", "source.tap_share", total, part)
        used = build.largest(f"{ident}/{key}/least", "source.tap_least", (share, amount), unit="A")
        long = None if source.tap_ft is None else source.tap_ft <= length
        condition = Told(long, facts.missing(source, "tap_ft"))
        why = said("source.why.tap_open" if long is None else "source.why.tap_far", length=length)
        yield held(Tried(key, ident, used, limit, cites, False, condition, why),
                   known_ways(larger_bus(f"{ident}/{key}", used, FULL)))  # fmt: skip
