"""Transfer equipment is rated for the overcurrent devices ahead of it."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Transfer
from deadfront.job.thing import Thing
from deadfront.msg import said
from deadfront.quantities import UNKNOWN
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.sources.rules.transfer.net import SERVICE
from deadfront.sources.rules.transfer.sides import sources_of
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, at_most
from deadfront.worksheet.step import Step

ID = "transfer.rating"
IDS = (ID,)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """One for each piece of transfer equipment that is no interlock: that one is as its breakers."""
    for transfer in facts.at.house.transfers:
        if transfer.kind != "interlock":
            yield from _check(facts, transfer)


def _check(facts: SourceFacts, transfer: Transfer) -> Iterator[Check]:
    ahead = build.largest(f"{transfer.id}/ahead", said("transfer.step.ahead"), list(_ahead(facts, transfer)), unit="A")
    rating = facts.fact(f"{transfer.id}/rating", said("transfer.step.rating"), transfer, "rating_a")
    outcome = at_most(ahead.value, rating.value)
    missing = tuple({m.path: m for m in (*ahead.all_missing(), *rating.all_missing())}.values())
    if outcome is Outcome.MEETS and missing:
        outcome = Outcome.CANNOT_TELL
    yield from tell(ID, transfer.id, outcome, facts.reach_of(transfer), outcome.name.lower(), facts.name_of(transfer),
                    cites=(facts.cite("transfer_equipment"),), missing=missing, step=ahead, hazard=True,
                    ahead=ahead.value, rating=rating.value)  # fmt: skip


def _ahead(facts: SourceFacts, transfer: Transfer) -> Iterator[Step]:
    """The overcurrent devices ahead of both sides, as far as there are any; an open range where one is not known."""
    head = f"{transfer.id}/ahead"
    yield _normal(facts, transfer, f"{head}/normal")
    for each in transfer.alternate:
        switch = facts.switches.get(each)
        if each in facts.breakers:
            yield facts.fact(f"{head}/{each}", said("transfer.step.alternate"), facts.breakers[each], "rating_a")
        elif switch is not None and switch.fuse_a is not None:
            yield facts.fact(f"{head}/{each}", said("transfer.step.alternate"), switch, "fuse_a")
    for source in sources_of(facts, transfer):
        if source.kind in ("generator", "inlet") and not set(transfer.alternate) & set(facts.breakers):
            yield facts.fact(f"{head}/{source.id}", said("transfer.step.alternate"), source, "output_breaker_a")


def _normal(facts: SourceFacts, transfer: Transfer, ident: str) -> Step:
    """The device ahead of the normal side: a breaker, fuses, or the service disconnect, past what has neither."""
    at, seen = transfer.normal, set[str]()
    last: tuple[Thing, str] = (transfer, "normal")
    while at is not None and at not in seen:
        seen.add(at)
        switch, other = facts.switches.get(at), facts.transfers.get(at)
        if at == SERVICE:
            return facts.fact(ident, said("transfer.step.service"), None, "disconnect.rating_a")
        if at in facts.breakers:
            return facts.fact(ident, said("transfer.step.normal"), facts.breakers[at], "rating_a")
        if switch is not None and switch.fuse_a is not None:
            return facts.fact(ident, said("transfer.step.normal"), switch, "fuse_a")
        if switch is not None:
            at, last = switch.fed_by, (switch, "fed_by")
        elif other is not None:
            at, last = other.normal, (other, "normal")
        else:
            source = facts.sources[at]
            return facts.fact(ident, said("transfer.step.normal"), source, "output_breaker_a")
    lacks = facts.lack(*last)
    return build.fact(ident, said("transfer.step.normal"), UNKNOWN, "A", lacks.path, missing=lacks)
