"""Neutral and ground of every standby source in every state of the transfer equipment, with what would tell."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.msg import Msg, said
from deadfront.results.transfer import NeutralAnswer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.transfer.net import (
    SERVICE,
    UNKNOWN,
    Grounded,
    NeutralNet,
    Positions,
    every_state,
    feeds_in,
    grounded,
    moved,
    states,
)
from deadfront.sources.rules.transfer.parts import Parts, parts_of
from deadfront.sources.rules.transfer.wiring import neutral_net, standby, switched
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.missing import Missing

OUTCOMES = {"once": Outcome.MEETS, "floating": Outcome.FAILS, "doubled": Outcome.FAILS, "open": Outcome.CANNOT_TELL}


def neutral_answers(facts: SourceFacts) -> tuple[NeutralAnswer, ...]:
    """One answer for each source in each state in which it can feed, the utility first; none without a source."""
    return facts.once(_every)


def _every(facts: SourceFacts) -> tuple[NeutralAnswer, ...]:
    return tuple(_answers(facts)) if standby(facts) else ()


def _answers(facts: SourceFacts) -> Iterator[NeutralAnswer]:
    net = neutral_net(facts)
    parts = parts_of(net)
    for positions in states(net):
        yield _answer(facts, net, SERVICE, positions, parts)
        for source in standby(facts):
            if feeds_in(net, source.id, positions):
                yield _answer(facts, net, source.id, positions, parts)
    if not every_state(net):
        yield from (_not_looked(facts, net, each) for each in (SERVICE, *(each.id for each in standby(facts))))


def _not_looked(facts: SourceFacts, net: NeutralNet, source: str) -> NeutralAnswer:
    """What is said of the states that were too many to look at."""
    lacks = [facts.lack(facts.transfers[each], "neutral_switched") for each, told in net.switched.items()
             if told is None]  # fmt: skip
    what = said("todo.sources.states", count=len(moved(net)))
    lacks.append(Missing("before/complete.transfers", what, said("todo.how.sources.states")))
    return NeutralAnswer(source, facts.name_of(None if source == SERVICE else facts.sources[source]), (), None, "open",
                         (), Outcome.CANNOT_TELL, tuple(lacks), rest=True)  # fmt: skip


def _answer(facts: SourceFacts, net: NeutralNet, source: str, positions: Positions, parts: Parts) -> NeutralAnswer:
    place = SERVICE if source == SERVICE else f"source/{source}"
    name = facts.name_of(None if source == SERVICE else facts.sources[source])
    found = grounded(net, place, positions, parts)
    if source != SERVICE and found.ground == "once" and facts.sources[source].grid_forming is None:
        found = _may_not_form(facts, source, found)
    missing = tuple(_missing(facts, found)) if found.ground == "open" else ()
    return NeutralAnswer(source, name, positions, found.derived, found.ground, found.joins, OUTCOMES[found.ground],
                         missing)  # fmt: skip


def _may_not_form(facts: SourceFacts, source: str, found: Grounded) -> Grounded:
    """A source grounded as it must be, of which it is not known whether it supplies alone: still no pass."""
    if facts.sources[source].kind in ("generator", "inlet"):
        return found
    return Grounded(found.derived, "open", found.joins, (f"{UNKNOWN}{source}.grid_forming",))


def _missing(facts: SourceFacts, found: Grounded) -> Iterator[Missing]:
    seen: dict[str, Missing] = {}
    for of in found.lacking:
        for each in _lacks(facts, of):
            seen.setdefault(each.path, each)
    yield from seen.values()


def _lacks(facts: SourceFacts, of: str) -> Iterator[Missing]:
    """The facts of one thing that would tell where neutral and ground are joined."""
    if of.startswith(UNKNOWN):
        ident, _, name = of.removeprefix(UNKNOWN).partition(".")
        yield facts.lack(_thing(facts, ident), name)
    elif of == SERVICE:
        yield from facts.missing(None, "grounding.bonding_jumper")
    elif of in facts.transfers:
        transfer = facts.transfers[of]
        if switched(transfer) is None:
            yield facts.lack(transfer, "neutral_switched")
        yield from facts.missing(transfer, "neutral_joined")
        if transfer.neutral_joined != "no" and transfer.normal == SERVICE:
            yield from facts.missing(transfer, "service_equipment")
        if transfer.neutral_joined == "yes" and switched(transfer) is not False:
            yield from facts.missing(transfer, "neutral_joined_at")
    elif of in facts.panels:
        yield from facts.missing(facts.panels[of], "neutral_joined")
    elif of in facts.sources:
        yield from facts.missing(facts.sources[of], "neutral_bonded")


def _thing(facts: SourceFacts, ident: str):  # type: ignore[no-untyped-def]
    kinds = (facts.panels, facts.breakers, facts.switches, facts.transfers, facts.sources)
    return next((things[ident] for things in kinds if ident in things), None)


def place_name(facts: SourceFacts, ident: str) -> Msg:
    """What the place of a join is called."""
    return said("transfer.join.service") if ident == SERVICE else facts.name_of(_thing(facts, ident))
