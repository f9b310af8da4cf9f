"""The neutral of a house as recorded: which place is connected with which, where it may be joined to ground.

Breakers, switches and interlocks open ungrounded conductors only; what opens the neutral is transfer equipment that is
said to switch it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from deadfront.job.panel_things import Panel
from deadfront.job.source_things import Source, Transfer
from deadfront.job.thing import Known
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.transfer.net import SERVICE, UNKNOWN, Join, NeutralLink, NeutralNet

ALWAYS_STANDBY = ("generator", "inlet")
TRUTH: dict[Known, bool | None] = {"yes": True, "no": False, "unknown": None}


def standby(facts: SourceFacts) -> tuple[Source, ...]:
    """Sources that supply without the utility: what runs only together with it has no neutral of its own."""
    return tuple(each for each in facts.at.house.sources if supplies_alone(each) is not False)


def supplies_alone(source: Source) -> bool | None:
    """Whether a source can supply without the utility; None where that is not known."""
    if source.kind in ALWAYS_STANDBY:
        return True
    if source.grid_forming is None and source.kind == "solar":
        return False
    return source.grid_forming


def neutral_net(facts: SourceFacts) -> NeutralNet:
    """The neutral of a house as a network."""
    return facts.once(_net)


def _net(facts: SourceFacts) -> NeutralNet:
    house = facts.at.house
    uses = {each.id: frozenset(t.id for t in house.transfers if each.id in feeding(facts, t))
            for each in standby(facts)}  # fmt: skip
    return NeutralNet(
        tuple(_links(facts, uses)), tuple(_joins(facts)), {t.id: switched(t) for t in house.transfers}, uses
    )


def switched(transfer: Transfer) -> bool | None:
    """Whether transfer equipment switches the neutral; an interlock of breakers of two poles does not."""
    return False if transfer.neutral_switched is None and transfer.kind == "interlock" else transfer.neutral_switched


def feeding(facts: SourceFacts, transfer: Transfer) -> frozenset[str]:
    """Ids of all that stands ahead of the alternate side of transfer equipment, sources among them."""
    held = (each for each in transfer.held_apart if _of_source(facts, each))
    return ahead_of(facts, (*transfer.alternate, *held), buses=transfer.kind != "interlock")


def ahead_of(facts: SourceFacts, idents: Iterable[str], *, buses: bool = True) -> frozenset[str]:
    """These things and all that stands ahead of them; past the bus of a breaker only where asked for."""
    wait, seen = list(idents), set[str]()
    while wait:
        ident = wait.pop()
        if ident in seen or ident == SERVICE:
            continue
        seen.add(ident)
        if ident in facts.switches:
            wait += [facts.switches[ident].fed_by or SERVICE]
        elif ident in facts.transfers:
            wait += [*facts.transfers[ident].alternate, facts.transfers[ident].normal or SERVICE]
        elif ident in facts.breakers and buses:
            panel = facts.panel_of(facts.breakers[ident])
            wait += [panel.fed_by or SERVICE] if panel else []
        wait += [each.id for each in facts.at.house.sources if each.breaker == ident or ident in each.disconnects]
    return frozenset(seen)


def _of_source(facts: SourceFacts, ident: str) -> bool:
    return any(each.breaker == ident for each in facts.at.house.sources)


def place_of(facts: SourceFacts, ident: str | None, lacking: str) -> str:
    """The place at the load side of what feeds something; one that begins with "?" where it is not recorded."""
    if ident == SERVICE:
        return SERVICE
    if ident is not None and ident in facts.breakers:
        panel = facts.panel_of(facts.breakers[ident])
        return f"bus/{panel.id}" if panel else f"{UNKNOWN}{ident}.panel"
    kinds = (("switch", facts.switches), ("transfer", facts.transfers), ("source", facts.sources))
    for kind, things in kinds:
        if ident in things:
            return f"source/{ident}" if kind == "source" else f"{kind}/{ident}/load"
    return f"{UNKNOWN}{lacking}"


def rings(facts: SourceFacts) -> frozenset[str]:
    """Ids of panels, switches and transfer equipment recorded as fed, in the end, from themselves."""
    return facts.once(_all_rings)


def _all_rings(facts: SourceFacts) -> frozenset[str]:
    return frozenset(each for each in (*facts.panels, *facts.switches, *facts.transfers) if _rings(facts, each))


def _rings(facts: SourceFacts, ident: str) -> bool:
    at, seen = _feeder(facts, ident), set[str]()
    while at is not None and at not in seen:
        if at == ident:
            return True
        seen.add(at)
        at = _feeder(facts, at)
    return False


def _feeder(facts: SourceFacts, ident: str) -> str | None:
    """What feeds a thing, of transfer equipment its normal side."""
    if ident in facts.panels:
        return facts.fed_by(facts.panels[ident])
    if ident in facts.breakers:
        panel = facts.panel_of(facts.breakers[ident])
        return panel.id if panel is not None else None
    if ident in facts.switches:
        return facts.switches[ident].fed_by
    return facts.transfers[ident].normal if ident in facts.transfers else None


def _links(facts: SourceFacts, uses: dict[str, frozenset[str]]) -> Iterator[NeutralLink]:
    for panel in facts.at.house.panels:
        fed = None if panel.id in rings(facts) else facts.fed_by(panel)
        yield NeutralLink(f"bus/{panel.id}", place_of(facts, fed, f"{panel.id}.fed_by"))
    for switch in facts.at.house.switches:
        if switch.fed_by:
            fed = None if switch.id in rings(facts) else switch.fed_by
            yield NeutralLink(f"switch/{switch.id}/load", place_of(facts, fed, f"{switch.id}.fed_by"))
    for transfer in facts.at.house.transfers:
        yield from _throws(facts, transfer)
    for source in standby(facts):
        yield from _of(facts, source, bool(uses[source.id]))


def _throws(facts: SourceFacts, transfer: Transfer) -> Iterator[NeutralLink]:
    head = f"transfer/{transfer.id}"
    yield NeutralLink(f"{head}/load", f"{head}/normal", transfer.id, "normal")
    yield NeutralLink(f"{head}/load", f"{head}/alternate", transfer.id, "alternate")
    if transfer.kind == "interlock":
        held = [each for each in (*transfer.held_apart, *transfer.alternate) if each in facts.breakers]
        places = dict.fromkeys(place_of(facts, each, "") for each in held)
        for place in places or {f"{UNKNOWN}{transfer.id}.held_apart": None}:
            yield NeutralLink(place, f"{head}/load")
        for each in transfer.alternate:
            if each not in facts.breakers:
                yield NeutralLink(f"{head}/alternate", place_of(facts, each, f"{transfer.id}.alternate"))
        return
    normal = None if transfer.id in rings(facts) else transfer.normal
    yield NeutralLink(f"{head}/normal", place_of(facts, normal, f"{transfer.id}.normal"))
    for each in transfer.alternate:
        yield NeutralLink(f"{head}/alternate", place_of(facts, each, f"{transfer.id}.alternate"))


def _of(facts: SourceFacts, source: Source, through: bool) -> Iterator[NeutralLink]:
    """What the neutral of a source ends on, besides the transfer equipment that names it."""
    here, named = f"source/{source.id}", [each for each in source.disconnects if each in facts.switches]
    own = [each for each in named if facts.switches[each].fed_by in (None, source.id)]
    yield from (NeutralLink(here, f"switch/{each}/load") for each in own)
    if named and not own and not any(source.id in each.alternate for each in facts.at.house.transfers):
        yield NeutralLink(here, f"{UNKNOWN}{named[0]}.fed_by")
    if source.breaker and source.joins not in ("supply side", "feeder"):
        yield NeutralLink(here, place_of(facts, source.breaker, f"{source.id}.breaker"))
    elif source.joins == "supply side":
        yield NeutralLink(here, SERVICE)
    elif source.joins == "feeder":
        panel = f"bus/{source.feeder_of}" if source.feeder_of in facts.panels else f"{UNKNOWN}{source.id}.feeder_of"
        yield NeutralLink(here, panel)
    elif not through and not any(each.normal == source.id for each in facts.at.house.transfers):
        yield NeutralLink(here, f"{UNKNOWN}{source.id}.joins")


def _joins(facts: SourceFacts) -> Iterator[Join]:
    service = facts.at.house.service
    yield Join(SERVICE, SERVICE, TRUTH[service.grounding.bonding_jumper], "service")
    if service.outside.present == "yes":
        yield Join(SERVICE, SERVICE, TRUTH[service.outside.neutral_joined], "service")
    for panel in facts.at.house.panels:
        there = TRUTH[panel.neutral_joined]
        at_service = panel.service_equipment == "yes" or _at_service(facts, panel)
        of = SERVICE if at_service else panel.id
        yield Join(f"bus/{panel.id}", of, there, "service" if at_service else "panel")
    for transfer in facts.at.house.transfers:
        yield from _in_transfer(transfer)
    for source in standby(facts):
        yield Join(f"source/{source.id}", source.id, source.neutral_bonded, "standby")


def _at_service(facts: SourceFacts, panel: Panel) -> bool:
    return panel.fed_by == SERVICE or (panel.fed_by is None and len(facts.panels) == 1)


def _in_transfer(transfer: Transfer) -> Iterator[Join]:
    """Where transfer equipment joins neutral and ground: on the side said, or anywhere where that is not said."""
    head, there = f"transfer/{transfer.id}", TRUTH[transfer.neutral_joined]
    if transfer.service_equipment and transfer.normal == SERVICE:
        yield Join(f"{head}/normal", SERVICE, there, "service")
        return
    if there is False or transfer.kind == "interlock":
        return  # an interlock has no neutral in it
    if transfer.service_equipment is None and transfer.normal == SERVICE:
        there = None  # the join of the service, if that ends here, else one too many
    one = "load" if switched(transfer) is False else (transfer.neutral_joined_at or "").removesuffix(" side")
    for side in (one,) if one else ("normal", "load", "alternate"):
        yield Join(f"{head}/{side}", transfer.id, there if one else None, "standby")
