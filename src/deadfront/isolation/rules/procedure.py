"""The procedure of a plan in its order: find, inhibit, drop load, open, wait, lock, try, prove."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from deadfront.isolation.rules.cut import certain
from deadfront.isolation.rules.names import Names
from deadfront.isolation.rules.zone import Zone
from deadfront.job.found_things import Gear
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Circuit
from deadfront.job.source_things import Source, Transfer
from deadfront.msg import Msg, said
from deadfront.results.isolation import Action, Lock, Part, StillLive, Stored
from deadfront.topology.network import Feed
from deadfront.topology.states import joined_with, live
from deadfront.worksheet import build

_NEEDED = ("sump_pump", "well_pump", "sewage_ejector", "refrigerator", "freezer", "medical", "stair_lift")


@dataclass(frozen=True, slots=True)
class Laid:
    """A plan as far as it is laid out.

    Args:
        names: Words and network.
        zone: Where the work is.
        targets: Places that are to be dead.
        locks: What is opened and locked.
        stuck: Feeds that others must isolate.
        live: What stays live.
        new_sources: Sources that this work puts in.
        after: The house that the work leaves.
    """

    names: Names
    zone: Zone
    targets: tuple[str, ...]
    locks: tuple[Lock, ...]
    stuck: tuple[Feed, ...]
    live: tuple[StillLive, ...]
    new_sources: tuple[str, ...]
    after: Names

    @property
    def feeds(self) -> tuple[Feed, ...]:
        """Everything that feeds in, but for what is only not known."""
        return tuple(feed for feed in self.names.network.feeds if feed.kind != "unknown")


def actions(laid: Laid) -> tuple[Action, ...]:
    """The procedure, in the order that must be kept: what starts by itself is inhibited before anything is opened."""
    return (
        *_find(laid), *_inhibit(laid), Action("drop", "drop", said("isolation.do.drop")), *_open(laid), *_wait(laid),
        *_lock(laid), *_try(laid), *_prove(),
    )  # fmt: skip


def _find(laid: Laid) -> Iterator[Action]:
    for feed in laid.feeds:
        yield Action(f"find/{feed.id}", "find", said("isolation.do.find", feed=laid.names.feed(feed)))
    ids, off = [each.device for each in laid.locks], {each.id for each in laid.stuck}
    for each in neutrals_in_doubt(laid.names, laid.zone, ids, off):
        missing = (laid.names.missing(each, "neutral_alone"),)
        yield Action(f"find/neutral/{each}", "find", said("isolation.do.find_neutral", thing=laid.names.thing(each)),
                     said("isolation.stop.find_neutral"), missing)  # fmt: skip
    yield Action("find/others", "find", said("isolation.do.find_others"), said("isolation.stop.find_others"))


def neutrals_in_doubt(names: Names, zone: Zone, locks: Collection[str], off: Collection[str]) -> Iterator[str]:
    """Circuits of the zone on one pole whose neutral may be another's too, while another circuit stays live."""
    house, now = names.at.house, live(names.network, locks, feeds_off=off)
    shared = {each.shares_neutral_with for each in house.circuits}
    for circuit in house.circuits:
        breaker = names.things.get(circuit.breaker or "")
        known = circuit.neutral_alone is not None or circuit.shares_neutral_with or circuit.id in shared
        if f"end/{circuit.id}" not in zone.core or known or getattr(breaker, "poles", None) == 2:
            continue
        if any(f"end/{each.id}" in now for each in house.circuits if each.id != circuit.id):
            yield circuit.id


def _inhibit(laid: Laid) -> Iterator[Action]:
    names = laid.names
    for feed in laid.feeds:
        thing = names.things.get(feed.id)
        if feed.automatic and isinstance(thing, Source):
            yield _inhibited(names, thing, names.feed(feed), "source")
    for group in names.network.groups:
        thing = names.things.get(group.id)
        if group.automatic and isinstance(thing, Transfer):
            yield _inhibited(names, thing, names.thing(group.id), "transfer")
    remote = [names.device(each) for each in names.network.devices if each.automatic and each.kind == "breaker"]
    remote += [names.thing(each.id) for each in names.at.house.gear if _acts(each)]
    if remote:
        yield Action("inhibit/remote", "inhibit", said("isolation.do.inhibit_remote", things=tuple(remote)))


def _acts(gear: Gear) -> bool:
    """Whether gear opens or closes circuits by itself or by command."""
    return gear.remote_opening is True or gear.kind in ("controllable breakers", "controller")


def _inhibited(names: Names, thing: Source | Transfer, name: Msg, kind: str) -> Action:
    ident = f"inhibit/{thing.id}"
    if thing.inhibit:
        return Action(ident, "inhibit", said(f"isolation.do.inhibit_{kind}", thing=name, how=thing.inhibit))
    say = said(f"isolation.do.inhibit_{kind}_unknown", thing=name)
    return Action(ident, "inhibit", say, said("isolation.stop.inhibit"), (names.missing(thing.id, "inhibit", name),))


def _open(laid: Laid) -> Iterator[Action]:
    """What others isolate comes first, to be arranged; then the devices of sources, that of the utility last."""
    for feed in laid.stuck:
        say = said(f"isolation.do.others_{feed.kind}", thing=laid.names.feed(feed))
        yield Action(f"others/{feed.id}", "open", say, said("isolation.stop.others"))
    for lock in laid.locks:
        key = "cord" if laid.names.network.device[lock.device].kind == "cord" else "blades" if lock.blades else "plain"
        say = said(f"isolation.do.open_{key}", thing=lock.name, where=lock.where)
        yield Action(f"open/{lock.device}", "open", say)
    if _several_mains(laid):
        count = laid.names.at.house.service.disconnects or 1
        yield Action("open/mains", "open", said("isolation.do.open_all", count=count))


def _several_mains(laid: Laid) -> bool:
    """Whether the service disconnect of the plan is several handles: every one of them is opened and locked."""
    several = (laid.names.at.house.service.disconnects or 1) > 1
    return several and any(lock.device == "disconnect" for lock in laid.locks)


def stored_in(laid: Laid) -> tuple[Stored, ...]:
    """Equipment that holds a charge and is not parted from the zone by a lock: it is waited for."""
    return tuple(_stored(laid.names, feed) for feed in laid.feeds if feed.holds_energy and _near(laid, feed))


def _near(laid: Laid, feed: Feed) -> bool:
    """Whether the charge of a source, on either side of its inverter, reaches the zone past every lock."""
    ends = [place for place in (feed.place, f"source/{feed.id}") if place in laid.names.network.ends]
    reach = joined_with(laid.names.network, ends, [each.device for each in laid.locks])
    return bool(reach & set(laid.zone.places))


def _stored(names: Names, feed: Feed) -> Stored:
    source = names.things.get(feed.id)
    seconds = source.shutdown_s if isinstance(source, Source) else None
    if seconds is None or source is None:
        return Stored(feed.id, names.feed(feed))
    path = names.at.path(source, "shutdown_s")
    name = said("isolation.wait_of", thing=names.feed(feed))
    return Stored(feed.id, names.feed(feed), build.fact(f"isolation/{feed.id}/wait", name, seconds, "s", path))


def _wait(laid: Laid) -> Iterator[Action]:
    for each in stored_in(laid):
        ident = f"wait/{each.thing}"
        if each.wait is None:
            missing = (laid.names.missing(each.thing, "shutdown_s", each.name),)
            say = said("isolation.do.wait_unknown", thing=each.name)
            yield Action(ident, "wait", say, said("isolation.stop.wait"), missing)
        else:
            yield Action(ident, "wait", said("isolation.do.wait", thing=each.name, time=each.wait.value.low))


def _lock(laid: Laid) -> Iterator[Action]:
    for lock in laid.locks:
        cord = laid.names.network.device[lock.device].kind == "cord"
        yield Action(f"lock/{lock.device}", "lock", said(f"isolation.do.{'keep' if cord else 'lock'}", thing=lock.name))
    if _several_mains(laid):
        count = laid.names.at.house.service.disconnects or 1
        yield Action("lock/mains", "lock", said("isolation.do.lock_all", count=count))
    for ident in laid.new_sources:
        key = "new_source" if _takes_a_lock(laid, ident) else "new_source_no_lock"
        yield Action(f"lock/new/{ident}", "lock", said(f"isolation.do.{key}", thing=laid.names.thing(ident)))


def _takes_a_lock(laid: Laid, ident: str) -> bool:
    """Whether a disconnect or the breaker of a source that this work puts in is known to take a lock."""
    source = laid.after.things.get(ident)
    if not isinstance(source, Source):
        return False
    devices = (laid.after.network.device.get(each) for each in (*source.disconnects, source.breaker or ""))
    return any(device is not None and certain(device) for device in devices)


def _try(laid: Laid) -> Iterator[Action]:
    yield Action("try", "try", said("isolation.do.try"), said("isolation.stop.try"))


def _prove() -> Iterator[Action]:
    for key in ("prover_before", "test", "prover_after", "ground"):
        part: Part = "prove"
        stop = said(f"isolation.stop.{key}") if key in ("prover_before", "test", "prover_after") else None
        yield Action(f"prove/{key}", part, said(f"isolation.do.{key}"), stop)


def temporary(laid: Laid) -> tuple[Msg, ...]:
    """What may need power meanwhile, and how it is given without a way back into the house."""
    own = {feed.id for feed in laid.names.network.feeds if feed.kind != "utility"} | {each.id for each in laid.stuck}
    supplied = live(laid.names.network, [each.device for each in laid.locks], feeds_off=own)
    off = [each for each in laid.names.at.house.circuits if f"end/{each.id}" not in supplied]
    needed = [each for each in off if _is_needed(laid, each)]
    found = []
    if needed:
        found.append(said("isolation.temporary.needed", things=tuple(laid.names.thing(each.id) for each in needed)))
    if off:
        found += [said("isolation.temporary.people"), said("isolation.temporary.cords"), said("isolation.temporary.co")]
    return tuple(found)


def _is_needed(laid: Laid, circuit: Circuit) -> bool:
    loads = [each for each in laid.names.things.values() if isinstance(each, Load) and each.circuit == circuit.id]
    return "smoke alarms" in circuit.outlet_kinds or any(each.kind in _NEEDED for each in loads)
