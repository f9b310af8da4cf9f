"""Two things that feed one alternate side with nothing between: what the utility feeds is tied to what it does not."""

from __future__ import annotations

from itertools import combinations

from deadfront.job.source_things import Transfer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.transfer.wiring import SERVICE, ahead_of


def tied_at_alternate(facts: SourceFacts, transfer: Transfer) -> tuple[str, ...]:
    """Ids of what feeds the alternate side by ways of their own, none ahead of another; nothing where one way does."""
    if transfer.kind == "interlock":
        return ()
    named = tuple(dict.fromkeys(transfer.alternate))
    ends = tuple(each for each in named
                 if not any(each in ahead_of(facts, (other,)) for other in named if other != each))  # fmt: skip
    ends = ends or named[:1]  # what goes round in a circle is no way of its own
    if all(_held(facts, pair) for pair in combinations(ends, 2)):
        return ()
    return ends


def _held(facts: SourceFacts, pair: tuple[str, str]) -> bool:
    """Whether an interlock lets only one of two be closed."""
    return any(each.kind == "interlock" and each.excludes is True and each.listed is not False
               and set(pair) <= set(each.held_apart) for each in facts.at.house.transfers)  # fmt: skip


def by_utility(facts: SourceFacts, ident: str | None, seen: frozenset[str] = frozenset()) -> bool | None:
    """Whether the utility can feed something, in any position of what stands ahead of it; None where not recorded."""
    if ident == SERVICE:
        return True
    if ident is None or ident in seen:
        return None
    seen = seen | {ident}
    if ident in facts.sources:
        return False
    if ident in facts.switches:
        return by_utility(facts, facts.switches[ident].fed_by, seen)
    if ident in facts.breakers:
        panel = facts.panel_of(facts.breakers[ident])
        return None if panel is None else by_utility(facts, facts.fed_by(panel), seen)
    if ident in facts.transfers:
        sides = (facts.transfers[ident].normal, *facts.transfers[ident].alternate)
        told = [by_utility(facts, each, seen) for each in sides]
        return True if True in told else None if None in told else False
    return None
