"""Sources that meet behind transfer equipment without the utility: only those that are kept from each other may."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Source, Transfer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.sources.rules.transfer.capacity import BY_HAND
from deadfront.sources.rules.transfer.sides import interactive_behind, sources_of
from deadfront.sources.rules.transfer.tied import by_utility, tied_at_alternate
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

ID = "transfer.parallel"
IDS = (ID,)
ENGINES = ("generator", "inlet")


def checks(facts: SourceFacts) -> Iterator[Check]:
    """One for each piece of transfer equipment behind which sources can meet."""
    for transfer in facts.at.house.transfers:
        tied = tied_at_alternate(facts, transfer)
        fed = [by_utility(facts, each) for each in tied]
        if len(tied) > 1 and (True in fed or None in fed):
            yield from _tied(facts, transfer, tied, fed)
            continue
        alone = [each for each in sources_of(facts, transfer) if not _nested(facts, transfer, each)]
        follow = list(interactive_behind(facts, transfer))
        if len(alone) + len(follow) > 1 and alone:
            yield from _check(facts, transfer, alone, follow)


def _tied(facts: SourceFacts, transfer: Transfer, tied: tuple[str, ...], fed: list[bool | None]) -> Iterator[Check]:
    """The utility on the alternate side together with something else: closed onto each other with nothing between."""
    things = {**facts.sources, **facts.breakers, **facts.switches, **facts.transfers}
    outcome = Outcome.FAILS if True in fed else Outcome.CANNOT_TELL
    fields = {**dict.fromkeys(facts.switches, "fed_by"), **dict.fromkeys(facts.breakers, "panel")}
    missing = tuple(facts.lack(things[each], fields.get(each, "normal"))
                    for each, by in zip(tied, fed, strict=True) if by is None and each in things)  # fmt: skip
    found = [things[each] for each in tied if each in things]
    yield from tell(ID, transfer.id, outcome, facts.reach_of(transfer, *found), f"tied_{outcome.name.lower()}",
                    facts.name_of(transfer), cites=(facts.cite("transfer_equipment"),), severity=Severity.DANGER,
                    hazard=True, missing=missing, remedy="tied",
                    sources=tuple(facts.name_of(each) for each in found))  # fmt: skip


def _nested(facts: SourceFacts, transfer: Transfer, source: Source) -> bool:
    """Whether other transfer equipment ahead of this one chooses that source or another."""
    ahead = [facts.transfers[each] for each in transfer.alternate if each in facts.transfers]
    return any(source in sources_of(facts, each) and each.excludes is True for each in ahead)


def _check(facts: SourceFacts, transfer: Transfer, alone: list[Source], follow: list[Source]) -> Iterator[Check]:
    """Two that cannot run beside another fail; one leads, and each other is kept off by a way that is on file."""
    stubborn = [each for each in alone if each.interactive is False or each.kind in ENGINES]
    leader = (*stubborn, *alone)[0]
    beside = [each for each in (*alone, *follow) if each not in stubborn and each is not leader]
    wanted = ("interactive", "kept_off") if _by_itself(transfer, leader) else ("interactive", "inhibit")
    missing: tuple[Missing, ...] = tuple(m for each in beside for m in facts.missing(each, *wanted))
    free = [each for each in beside if wanted[1] == "kept_off" and each.kept_off is False]
    outcome = Outcome.FAILS if len(stubborn) > 1 or free else Outcome.CANNOT_TELL if missing else Outcome.MEETS
    told = stubborn if len(stubborn) > 1 else [leader, *free] if free else [*alone, *follow]
    how = "beside" if len(stubborn) < 2 and free else outcome.name.lower()
    yield from tell(ID, transfer.id, outcome, facts.reach_of(transfer, *alone, *follow), how,
                    facts.name_of(transfer), cites=(facts.cite("transfer_equipment"),), severity=Severity.DANGER,
                    hazard=True, missing=missing, sources=tuple(facts.name_of(each) for each in told))  # fmt: skip


def _by_itself(transfer: Transfer, leader: Source) -> bool:
    """Whether an engine can come on with nobody there: then only what acts by itself keeps another source off it."""
    by_hand = transfer.load_connected == "by hand" or (transfer.load_connected is None and transfer.kind in BY_HAND)
    return leader.kind in ENGINES and (leader.automatic is True or transfer.kind == "automatic switch" or not by_hand)
