"""What stands on either side of transfer equipment: sources ahead of it, panels behind it."""

from __future__ import annotations

from deadfront.job.panel_things import Panel
from deadfront.job.source_things import Source, Transfer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.transfer.wiring import SERVICE, feeding, standby


def panels_behind(facts: SourceFacts, transfer: Transfer) -> tuple[Panel, ...]:
    """Every panel that transfer equipment feeds, those fed from these too; of an interlock, its own panel first."""
    own = {panel.id for each in transfer.held_apart if (panel := facts.panel_of(facts.breakers.get(each)))}
    held = own if transfer.kind == "interlock" else set()
    return tuple(each for each in facts.panels.values() if each.id in held or _passes(facts, each, transfer.id, held))


def _passes(facts: SourceFacts, panel: Panel, transfer: str, held: set[str]) -> bool:
    """Whether the way from a panel to the service passes transfer equipment, or a panel with its interlock."""
    at, seen = panel.fed_by, set()
    while at is not None and at != SERVICE and at not in seen:
        seen.add(at)
        if at == transfer:
            return True
        if at in facts.breakers:
            above = facts.panel_of(facts.breakers[at])
            if above is not None and above.id in held:
                return True
            at = above.fed_by if above else None
        elif at in facts.switches:
            at = facts.switches[at].fed_by
        else:
            at = facts.transfers[at].normal if at in facts.transfers else None
    return False


def first_panels(facts: SourceFacts, transfer: Transfer) -> tuple[Panel, ...]:
    """Panels that transfer equipment feeds with no other panel between."""
    behind = panels_behind(facts, transfer)
    if transfer.kind == "interlock":
        return tuple(each for each in behind if any(facts.panel_of(facts.breakers.get(b)) is each
                                                    for b in transfer.held_apart))  # fmt: skip
    return tuple(each for each in behind if _ahead(facts, each) == transfer.id)


def _ahead(facts: SourceFacts, panel: Panel) -> str | None:
    """What feeds a panel, through the switches between."""
    at, seen = panel.fed_by, set()
    while at in facts.switches and at not in seen:
        seen.add(at)
        at = facts.switches[at].fed_by if at is not None else None
    return at


def whole_house(facts: SourceFacts, transfer: Transfer) -> bool:
    """Whether every panel of the house stands behind transfer equipment."""
    return bool(facts.panels) and len(panels_behind(facts, transfer)) == len(facts.panels)


def sources_of(facts: SourceFacts, transfer: Transfer) -> tuple[Source, ...]:
    """Standby sources that transfer equipment puts on its load; of an isolation device, those behind it too."""
    ahead = feeding(facts, transfer)
    behind = {each.id for each in panels_behind(facts, transfer)} if transfer.kind == "isolation device" else set()
    return tuple(each for each in standby(facts) if each.id in ahead or (_home(facts, each) in behind and each.breaker))


def interactive_behind(facts: SourceFacts, transfer: Transfer) -> tuple[Source, ...]:
    """Sources on the load side that run only beside another: they would feed into what the alternate side gives."""
    behind = {each.id for each in panels_behind(facts, transfer)}
    own = {each.id for each in sources_of(facts, transfer)}
    return tuple(each for each in facts.at.house.sources if each.id not in own and _home(facts, each) in behind)


def _home(facts: SourceFacts, source: Source) -> str | None:
    """The panel on whose bus or feeder a source ends."""
    if source.joins == "feeder":
        return source.feeder_of
    panel = facts.panel_of(facts.breakers.get(source.breaker or ""))
    return panel.id if panel else None
