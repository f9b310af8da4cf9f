"""Transfer equipment is rated for the overcurrent devices ahead of it."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Transfer
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
    """The overcurrent devices ahead of both sides, as far as they are to be known."""
    head = f"{transfer.id}/ahead"
    if transfer.normal == SERVICE and not transfer.service_equipment:
        yield facts.fact(f"{head}/service", said("transfer.step.service"), None, "disconnect.rating_a")
    elif (breaker := facts.breakers.get(transfer.normal or "")) is not None:
        yield facts.fact(f"{head}/normal", said("transfer.step.normal"), breaker, "rating_a")
    elif (switch := facts.switches.get(transfer.normal or "")) is not None and switch.fuse_a is not None:
        yield facts.fact(f"{head}/normal", said("transfer.step.normal"), switch, "fuse_a")
    elif transfer.normal is None:
        yield build.fact(f"{head}/normal", said("transfer.step.normal"), UNKNOWN, "A",
                         facts.at.path(transfer, "normal"), missing=facts.lack(transfer, "normal"))  # fmt: skip
    for each in transfer.alternate:
        if each in facts.breakers:
            yield facts.fact(f"{head}/{each}", said("transfer.step.alternate"), facts.breakers[each], "rating_a")
    for source in sources_of(facts, transfer):
        if source.kind in ("generator", "inlet") and not set(transfer.alternate) & set(facts.breakers):
            yield facts.fact(f"{head}/{source.id}", said("transfer.step.alternate"), source, "output_breaker_a")
