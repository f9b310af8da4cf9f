"""Sources that meet behind transfer equipment without the utility: only those that are kept from each other may."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Source, Transfer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.sources.rules.transfer.sides import interactive_behind, sources_of
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

ID = "transfer.parallel"
IDS = (ID,)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """One for each piece of transfer equipment behind which sources can meet."""
    for transfer in facts.at.house.transfers:
        alone = [each for each in sources_of(facts, transfer) if not _nested(facts, transfer, each)]
        follow = list(interactive_behind(facts, transfer))
        if len(alone) + len(follow) > 1 and alone:
            yield from _check(facts, transfer, alone, follow)


def _nested(facts: SourceFacts, transfer: Transfer, source: Source) -> bool:
    """Whether other transfer equipment ahead of this one chooses that source or another."""
    ahead = [facts.transfers[each] for each in transfer.alternate if each in facts.transfers]
    return any(source in sources_of(facts, each) and each.excludes is True for each in ahead)


def _check(facts: SourceFacts, transfer: Transfer, alone: list[Source], follow: list[Source]) -> Iterator[Check]:
    """Two that cannot run beside another fail; one leads, and each other is kept off by a way that is on file."""
    stubborn = [each for each in alone if each.interactive is False or each.kind in ("generator", "inlet")]
    leader = (*stubborn, *alone)[0]
    beside = [each for each in (*alone, *follow) if each not in stubborn and each is not leader]
    missing: tuple[Missing, ...] = tuple(m for each in beside for m in facts.missing(each, "interactive", "inhibit"))
    outcome = Outcome.FAILS if len(stubborn) > 1 else Outcome.CANNOT_TELL if missing else Outcome.MEETS
    names = tuple(facts.name_of(each) for each in (stubborn if outcome is Outcome.FAILS else (*alone, *follow)))
    yield from tell(ID, transfer.id, outcome, facts.reach_of(transfer, *alone, *follow), outcome.name.lower(),
                    facts.name_of(transfer), cites=(facts.cite("transfer_equipment"),), severity=Severity.DANGER,
                    hazard=True, missing=missing, sources=names)  # fmt: skip
