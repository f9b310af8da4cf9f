"""The path of each source toward the utility: how it joins, which buses it loads, and through which breaker."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple

from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.source_things import Source, Switch, Transfer
from deadfront.sources.rules.facts import SourceFacts

JoinsBy = Literal["breaker", "supply side", "feeder", "transfer"]


@dataclass(frozen=True, slots=True)
class Feed:
    """What feeds a panel: devices on the way, and where the way ends.

    Args:
        devices: Breaker and fused disconnects between the panel and where its feed comes from.
        transfers: Transfer equipment on the way, by its normal side.
        panel: Panel it comes from; None where it is the service, or not known.
        via: Breaker of that panel.
        known: False where what feeds it is not recorded.
    """

    devices: tuple[Breaker | Switch, ...] = ()
    transfers: tuple[Transfer, ...] = ()
    panel: Panel | None = None
    via: Breaker | None = None
    known: bool = True


@dataclass(frozen=True, slots=True)
class Joint:
    """How one source joins.

    Args:
        way: By what it joins; None where it is not recorded.
        panel: Panel on whose bus it ends, or on whose feeder.
        breaker: Breaker it ends on.
        transfer: Transfer equipment that keeps it from the utility, or whose alternate side it feeds.
        parallel: Whether it runs together with the utility; None where that is not known.
        unguarded: Known to have nothing that keeps it from the utility, though it must not run together with it; its
            currents are reckoned as they will be once that is mended.
    """

    source: Source
    way: JoinsBy | None
    panel: Panel | None = None
    breaker: Breaker | None = None
    transfer: Transfer | None = None
    parallel: bool | None = True
    unguarded: bool = False


class Entry(NamedTuple):
    """A source as it loads one bus: through a breaker on it, or ahead of the bus, on what feeds it."""

    joint: Joint
    via: Breaker | None


def feed_of(facts: SourceFacts, panel: Panel) -> Feed:
    """What feeds a panel in its normal state; a panel alone in the house is fed by the service."""
    at: str | None = panel.fed_by
    if at is None and len(facts.panels) == 1:
        at = "service"
    devices: list[Breaker | Switch] = []
    transfers: list[Transfer] = []
    seen: set[str] = set()
    while at is not None and at != "service" and at not in seen:
        seen.add(at)
        if at in facts.breakers:
            via = facts.breakers[at]
            return Feed((*devices, via), tuple(transfers), facts.panel_of(via), via)
        if at in facts.switches:
            devices.append(facts.switches[at])
            at = facts.switches[at].fed_by
        elif at in facts.transfers:
            transfers.append(facts.transfers[at])
            at = facts.transfers[at].normal
        else:
            break
    return Feed(tuple(devices), tuple(transfers), known=at == "service")


def joints(facts: SourceFacts) -> tuple[Joint, ...]:
    """Every source of the house as it joins."""
    return facts.once(_joints)


def _joints(facts: SourceFacts) -> tuple[Joint, ...]:
    return tuple(_joint(facts, each) for each in facts.at.house.sources)


def _joint(facts: SourceFacts, source: Source) -> Joint:
    breaker = facts.breakers.get(source.breaker or "")
    transfer = _transfer_of(facts, source)
    way: JoinsBy | None = source.joins
    if way is None and transfer is not None and transfer.kind != "interlock":
        way = "transfer"
    if way is None and breaker is not None:
        way = "breaker"
    panel = facts.panel_of(breaker) if way == "breaker" else None
    if way == "feeder":
        panel = facts.panels.get(source.feeder_of or "")
    parallel = _parallel(source, way, breaker, transfer)
    unguarded = parallel is None and _unguarded(facts, source, breaker, transfer)
    return Joint(source, way, panel, breaker, transfer, False if unguarded else parallel, unguarded)


def _transfer_of(facts: SourceFacts, source: Source) -> Transfer | None:
    """Transfer equipment that names the source, its breaker or one of its disconnects."""
    mine = {source.id, *source.disconnects} | ({source.breaker} if source.breaker else set())
    for each in facts.at.house.transfers:
        if mine & set(each.alternate) or (source.breaker and source.breaker in each.held_apart):
            return each
    return None


def _parallel(source: Source, way: JoinsBy | None, breaker: Breaker | None, transfer: Transfer | None) -> bool | None:
    """Whether a source runs together with the utility; what is not known is no pass."""
    if way == "transfer" or transfer is not None:
        if transfer is not None and transfer.kind == "isolation device":
            return source.interactive
        if transfer is not None and transfer.excludes is False and source.interactive:
            return True
        return False if transfer is not None and transfer.excludes else None
    if source.interactive or source.kind in ("solar", "battery", "vehicle"):
        return True
    if breaker is not None and breaker.kept_apart:
        return False
    return None


def _unguarded(facts: SourceFacts, source: Source, breaker: Breaker | None, transfer: Transfer | None) -> bool:
    """Whether it is known that nothing keeps a source apart, one that is not known to run with the utility."""
    if source.interactive:
        return False
    if transfer is not None:
        return transfer.kind != "isolation device" and transfer.excludes is False
    if breaker is None or source.kind not in ("generator", "inlet"):
        return False
    vague = any(each.kind == "interlock" and not each.held_apart for each in facts.at.house.transfers)
    none = facts.at.house.complete.transfers == "yes" and not vague
    return breaker.kept_apart is False or (breaker.kept_apart is None and none)


def unplaced(facts: SourceFacts) -> tuple[Source, ...]:
    """Sources that may run with the utility and of which it is not on file where they join: on any bus, perhaps."""
    return tuple(each.source for each in joints(facts) if each.panel is None and each.parallel is not False
                 and each.transfer is None and each.way in (None, "breaker", "feeder"))  # fmt: skip


def entries(facts: SourceFacts) -> dict[str, tuple[Entry, ...]]:
    """Every source that loads the bus of a panel, by panel id, those of the panel itself and those fed from it."""
    return facts.once(_entries)


def _entries(facts: SourceFacts) -> dict[str, tuple[Entry, ...]]:
    found: dict[str, list[Entry]] = {}
    for joint in joints(facts):
        for panel, entry in _loaded(facts, joint):
            found.setdefault(panel.id, []).append(entry)
    return {panel: tuple(each) for panel, each in found.items()}


def _loaded(facts: SourceFacts, joint: Joint) -> Iterator[tuple[Panel, Entry]]:
    """The buses one source loads, from where it joins up to the service."""
    if joint.way == "transfer" and joint.transfer is not None:
        below = [p for p in facts.panels.values() if joint.transfer in feed_of(facts, p).transfers]
        for panel in below:
            yield panel, Entry(joint, None)
        if joint.parallel is not False:
            yield from _above(facts, joint, _normal_of(facts, joint.transfer))
    elif joint.panel is not None:
        yield joint.panel, Entry(joint, joint.breaker if joint.way == "breaker" else None)
        if joint.parallel is not False:
            yield from _above(facts, joint, feed_of(facts, joint.panel))


def _normal_of(facts: SourceFacts, transfer: Transfer) -> Feed:
    """What feeds the normal side of transfer equipment."""
    return feed_of(facts, Panel(id="p-00", fed_by=transfer.id))


def _above(facts: SourceFacts, joint: Joint, feed: Feed) -> Iterator[tuple[Panel, Entry]]:
    seen: set[str] = set()
    while feed.panel is not None and feed.panel.id not in seen:
        seen.add(feed.panel.id)
        yield feed.panel, Entry(joint, feed.via)
        feed = feed_of(facts, feed.panel)
