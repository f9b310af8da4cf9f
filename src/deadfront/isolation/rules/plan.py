"""The plan of one zone: what parts it from every feed, who must isolate where no lock does, what stays live."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from deadfront.isolation.rules.checker import Verdict, verdict
from deadfront.isolation.rules.cut import beyond_locks, certain, fewest_locks, hoped
from deadfront.isolation.rules.exact import fewest_trusting, is_worked_out
from deadfront.isolation.rules.names import Names
from deadfront.isolation.rules.procedure import Laid, actions, neutrals_in_doubt, stored_in, temporary
from deadfront.isolation.rules.proving import prove_points
from deadfront.isolation.rules.returning import way_back
from deadfront.isolation.rules.zone import Zone
from deadfront.job.source_things import Transfer
from deadfront.msg import Msg, said
from deadfront.results.isolation import Answer, IsolationPlan, Lock, StillLive
from deadfront.topology.network import Device, Feed, Network
from deadfront.topology.states import live
from deadfront.worksheet.missing import Missing

Part = Callable[[Device], bool]


@dataclass(frozen=True, slots=True)
class Cut:
    """What was found for a zone before it is put in words.

    Args:
        targets: Places that the locks make dead.
        locks: Ids of devices; None where a first look found none that work.
        stuck: Feeds that no lock here parts from the work itself.
        trusting: Ids of the smaller set that trusts transfer equipment.
        looked: What the checker found.
        instead: As few locks that would do as well, nearest to the work or to the feeds, whichever those here are not.
    """

    targets: tuple[str, ...]
    locks: tuple[str, ...] | None
    stuck: tuple[Feed, ...]
    trusting: tuple[str, ...] | None
    looked: Verdict
    instead: tuple[str, ...] = ()


def cut_of(names: Names, zone: Zone) -> Cut:
    """The locks of a zone: all of the work itself, and of its enclosures whatever a lock can make dead.

    Work on circuits alone takes the locks nearest to it, so that one outlet does not take the house down, unless a
    neutral of it may be another's too. All else takes those nearest to the feeds, so that least stays live.
    """
    network = names.network
    stuck = tuple(feed for feed in network.feeds if _reaches_past_locks(network, feed, zone.core))
    off = {feed.id for feed in stuck}
    beyond = beyond_locks(network, certain, off)
    targets = tuple(place for place in zone.places if place not in beyond)
    far = fewest_locks(network, targets, certain, off)
    near = fewest_locks(network, targets, certain, off, near_work=True)
    small = all(place.startswith("end/") for place in zone.core)
    small = small and not any(neutrals_in_doubt(names, zone, near or (), off))
    locks, other = (near, far) if small else (far, near)
    locks = _with_own(network, zone, stuck, locks)
    trusting = fewest_trusting(network, targets, off, locks or ()) if is_worked_out(network) else None
    looked = verdict(network, locks or (), targets, feeds_off=off)
    instead = other if other and set(other) != set(locks or ()) else ()
    instead = instead if verdict(network, instead, targets, feeds_off=off).holds else ()
    return Cut(targets, locks if looked.holds else None, stuck, trusting, looked, instead)


def _with_own(
    network: Network, zone: Zone, stuck: tuple[Feed, ...], locks: tuple[str, ...] | None
) -> tuple[str, ...] | None:
    """The locks, and where others isolate a feed too: whatever a lock here parts from it is parted by one as well."""
    if locks is None or not stuck:
        return locks
    beyond = beyond_locks(network)
    own = fewest_locks(network, [place for place in zone.core if place not in beyond]) or ()
    return tuple(each.id for each in network.devices if each.id in {*locks, *own})


def _reaches_past_locks(network: Network, feed: Feed, core: Iterable[str]) -> bool:
    others = {each.id for each in network.feeds if each.id != feed.id}
    return bool(beyond_locks(network, certain, others) & set(core))


def plan_for(
    names: Names, zone: Zone, ident: str, name: Msg, new_sources: Iterable[str] = (), after: Names | None = None
) -> IsolationPlan:
    """How a zone is made dead, as a plan against the recorded drawing.

    Conservative: every throw of transfer equipment counts as closed, what is not known to take a lock takes none, and
    what is not on file counts as live. The set is checked again by a checker of its own before it is shown.

    Args:
        names: Words of the network, with the house it was drawn from.
        zone: Where the work is.
        ident: Id of the plan: the work step, or the thing marked.
        name: What the zone is called.
        new_sources: Ids of sources that this work puts in: they stay locked off until the end.
        after: The house that the work leaves, for the way back to power; left out: the same house.
    """
    network = names.network
    if not zone.places:
        return IsolationPlan(ident, name, zone.things, "unknown", said("isolation.say.not_drawn", zone=name))
    if not set(zone.core) & live(network):
        say = said("isolation.say.nothing", zone=name)
        return IsolationPlan(ident, name, zone.things, "nothing", say, notes=_unknowns(names, zone))
    cut = cut_of(names, zone)
    answer = _answer(cut)
    laid = _laid(names, zone, cut, tuple(new_sources), after or names)
    doubts = _doubts(names)
    missing = (
        *doubts,
        *_sides_not_known(after or names, zone),
        *_locks_not_looked_at(names, zone, cut),
        *_unknown_facts(names, zone),
    )
    trusting = cut.trusting if cut.locks and cut.trusting and len(cut.trusting) < len(cut.locks) else None
    return IsolationPlan(
        ident, name, zone.things, answer, _say(names, name, cut, answer), laid.locks,
        tuple(_other(names, feed) for feed in cut.stuck), trusting, laid.live, stored_in(laid), actions(laid),
        prove_points(laid), temporary(laid), way_back(laid),
        (*_notes(names, zone, cut, trusting), *_unknowns(names, zone)),
        tuple(dict.fromkeys(missing)), cut.looked.states, tuple(cut.targets), doubts,
    )  # fmt: skip


def _answer(cut: Cut) -> Answer:
    if cut.locks is None or any(feed.kind == "unknown" for feed in cut.stuck):
        return "unknown"
    return "others" if cut.stuck else "locks"


def _laid(names: Names, zone: Zone, cut: Cut, new_sources: tuple[str, ...], after: Names) -> Laid:
    network, ids = names.network, cut.locks or ()
    locks = tuple(_lock(names, network.device[each], cut) for each in sorted(ids, key=_of_service))
    shown = _still_live(names, zone, ids, cut)
    return Laid(names, zone, cut.targets, locks, cut.stuck, shown, new_sources, after)


def _of_service(device: str) -> bool:
    """Devices of own sources come before those of the utility, so that no source picks up what the main drops."""
    return device in ("disconnect", "outside")


def _lock(names: Names, device: Device, cut: Cut) -> Lock:
    switch = names.things.get(device.thing)
    blades = getattr(switch, "blades_visible", None) is True
    trusting = cut.trusting is None or device.id in cut.trusting
    where = _where(names, device, getattr(switch, "place", None))
    return Lock(device.id, device.thing or "service", names.device(device), where, blades, device.automatic, trusting)


def _where(names: Names, device: Device, place: str | None) -> Msg:
    """Where a device is: at the place on file, outdoors, in an enclosure of its own, or in another."""
    if device.enclosure == "outside":
        return said("isolation.where.outside")
    if device.enclosure not in (device.thing, "service"):
        return said("isolation.where.in", thing=names.enclosure(device.enclosure))
    return said("isolation.where.at", place=place) if place else said("isolation.where.itself")


def _still_live(names: Names, zone: Zone, locks: tuple[str, ...], cut: Cut) -> tuple[StillLive, ...]:
    """What stays live: in the zone's own enclosures, on the feed's side of each lock, inside sources."""
    network, off = names.network, {feed.id for feed in cut.stuck}
    by_feed = {
        feed: live(network, locks, feeds_off={each.id for each in network.feeds if each.id != feed.id})
        for feed in network.feeds if feed.id not in off
    }  # fmt: skip
    places = [place for place in zone.places if any(place in reach for reach in by_feed.values())]
    found = [_live(names, "zone", place, by_feed) for place in places]
    for each in locks:
        device = network.device[each]
        ends = [end for end in (device.a, device.b) if end not in places and any(end in r for r in by_feed.values())]
        found += [_live(names, "lock", end, by_feed) for end in ends]
    seen = {each.place for each in found}
    for feed in network.feeds:
        if feed.kind in ("solar", "battery", "vehicle") and feed.place not in seen:
            found.append(StillLive(feed.place, said(f"isolation.live.{feed.kind}", thing=names.feed(feed))))
    return tuple({each.place: each for each in found}.values())


OF_OUTSIDE = frozenset({"outside/line", "outside/load"})


def _live(names: Names, kind: str, place: str, by_feed: dict[Feed, frozenset[str]]) -> StillLive:
    by = tuple(names.feed(feed) for feed, reach in by_feed.items() if place in reach)
    where = names.network.enclosure_of.get(place, "")
    if kind == "zone" and (place.split("/")[1:2] == [where] or place in OF_OUTSIDE):  # the place names it already
        return StillLive(place, said("isolation.live.zone_named", place=names.place(place), by=by), by)
    say = said(f"isolation.live.{kind}", place=names.place(place), where=names.enclosure(where), by=by)
    return StillLive(place, say, by)


def _say(names: Names, name: Msg, cut: Cut, answer: Answer) -> Msg:
    if answer == "locks":
        return said("isolation.say.locks", zone=name, count=len(cut.locks or ()), states=cut.looked.states)
    by = tuple(names.feed(feed) for feed in cut.stuck)
    if answer == "others" and set(by) == {name}:
        return said("isolation.say.itself", zone=name)
    if answer == "others":
        return said("isolation.say.others", zone=name, by=by)
    return said("isolation.say.unknown", zone=name, by=by) if by else said("isolation.say.not_passed", zone=name)


def _other(names: Names, feed: Feed) -> Msg:
    return said(f"isolation.other.{feed.kind}", thing=names.feed(feed))


def _locks_not_looked_at(names: Names, zone: Zone, cut: Cut) -> tuple[Missing, ...]:
    """Locks that, if they were there, would isolate what none does now, or do it with fewer."""
    network = names.network
    if cut.stuck:
        wished = fewest_locks(network, zone.core, hoped)
    else:
        wished = fewest_locks(network, cut.targets, hoped)
        if wished is not None and cut.locks is not None and len(wished) >= len(cut.locks):
            return ()
    devices = (network.device[each] for each in wished or ())
    return tuple(names.lock_missing(each) for each in devices if each.lockable is None)


_FIELDS = {
    "panel": "fed_by", "island": "fed_by", "breaker": "panel", "branch": "panel", "circuit": "breaker",
    "switch": "fed_by", "transfer": "normal", "source": "joins", "outside": "outside.marked", "meter": "purpose",
    "leads": "control_feeds", "unfed": "alternate", "loop": "fed_by", "signal": "powered_by",
}  # fmt: skip


def _unknown_facts(names: Names, zone: Zone) -> tuple[Missing, ...]:
    """The facts whose absence made the drawing doubtful for a zone."""
    return tuple(fact for each in _unknowns_of(names, zone) if (fact := _unknown_fact(names, *each)) is not None)


def _sides_not_known(names: Names, zone: Zone) -> Iterator[Missing]:
    """Transfer equipment of the zone on the service conductors, nobody knows on which side of the disconnect."""
    for each in names.at.house.transfers:
        on_service = each.id in zone.things and each.normal == "service" and each.kind != "meter-mounted"
        if on_service and each.service_equipment is None:
            yield names.missing(each.id, "service_equipment")


def _unknowns_of(names: Names, zone: Zone) -> tuple[tuple[str, str], ...]:
    """What is not recorded and touches a zone: wires that end elsewhere do not."""
    network = names.network
    near = {tuple(feed.id.split("/")[:0:-1]) for feed in network.feeds
            if feed.kind == "unknown" and feed.place in zone.places}  # fmt: skip
    return tuple(each for each in network.unknowns if each in network.doubts or each in near)


def _unknown_fact(names: Names, what: str, ident: str) -> Missing | None:
    thing, field = names.things.get(ident), _FIELDS.get(what)
    if what == "loop" and isinstance(thing, Transfer):
        field = "normal"
    if what == "alternate":  # named at an alternate side, and not there: the fact stands in the transfer equipment
        of = next((each for each in names.at.house.transfers if ident in each.alternate), None)
        return None if of is None else names.missing(of.id, "alternate")
    return None if field is None else names.missing(ident, field)


def _doubts(names: Names) -> tuple[Missing, ...]:
    """Facts of the drawing that keep any plan from being told: a feed may come in where they are not on file."""
    return tuple(fact for each in names.network.doubts if (fact := _unknown_fact(names, *each)) is not None)


def _unknowns(names: Names, zone: Zone) -> tuple[Msg, ...]:
    return tuple(
        said(f"isolation.doubt.{what}", thing=names.thing(ident)) for what, ident in _unknowns_of(names, zone)
    )  # fmt: skip


def _notes(names: Names, zone: Zone, cut: Cut, trusting: tuple[str, ...] | None) -> tuple[Msg, ...]:
    notes = []
    for each in names.network.devices:
        if each.kind == "tie" and each.id.startswith("neutral/") and {each.a, each.b} & set(zone.core):
            both = tuple(names.thing(end.partition("/")[2]) for end in (each.a, each.b))
            notes.append(said("isolation.note.shared_neutral", things=both))
    if trusting is not None:
        device = names.network.device
        more = tuple(names.device(device[each]) for each in cut.locks or () if each not in trusting)
        notes.append(said("isolation.note.trusting", count=len(trusting), more=more))
    if not is_worked_out(names.network):
        notes.append(said("isolation.note.trusting_not_worked_out"))
    if cut.locks and cut.instead and all(place.startswith("end/") for place in zone.core):
        notes.append(_instead(names, zone, cut))
    for group in names.network.groups:
        if group.excludes is None:
            notes.append(said("isolation.note.excludes_unknown", thing=names.thing(group.id)))
    return tuple(notes)


def _instead(names: Names, zone: Zone, cut: Cut) -> Msg:
    """The other choice for work on a circuit: nearer to it, or farther."""
    near = fewest_locks(names.network, cut.targets, certain, {f.id for f in cut.stuck}, near_work=True)
    things = tuple(names.device(names.network.device[each]) for each in cut.instead)
    if set(near or ()) != set(cut.instead):
        return said("isolation.note.farther", things=things)
    in_doubt = any(neutrals_in_doubt(names, zone, cut.instead, {f.id for f in cut.stuck}))
    return said("isolation.note.nearer_once_known" if in_doubt else "isolation.note.nearer", things=things)
