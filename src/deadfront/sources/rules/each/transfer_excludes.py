"""Normal and standby source never meet: transfer equipment and interlocks that exclude, and sources without either."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.interlocks import handles_together
from deadfront.job.source_things import Source, Transfer
from deadfront.msg import said
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.transfer.net import SERVICE
from deadfront.sources.rules.transfer.sides import panels_behind, sources_of
from deadfront.sources.rules.transfer.wiring import neutral_net, standby
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

EXCLUDES, NONE = "transfer.excludes", "transfer.none"
IDS = (EXCLUDES, NONE)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Old or new: a line worker can die of it."""
    for transfer in facts.at.house.transfers:
        yield _excludes(facts, transfer)
    for source in standby(facts):
        if not any(source in sources_of(facts, each) for each in facts.at.house.transfers):
            yield from _without(facts, source)


def _excludes(facts: SourceFacts, transfer: Transfer) -> Check:
    outcome, how, missing = _judged(facts, transfer)
    cure = said(f"remedy.{EXCLUDES}.{how}") if outcome is Outcome.FAILS else None
    return Check(EXCLUDES, transfer.id, outcome, Severity.DANGER,
                 said(f"check.{EXCLUDES}.{how}", name=facts.name_of(transfer)), facts.reach_of(transfer), None, missing,
                 (facts.cite("transfer_equipment"),), cure)  # fmt: skip


def _judged(facts: SourceFacts, transfer: Transfer) -> tuple[Outcome, str, tuple[Missing, ...]]:
    engines = [each for each in sources_of(facts, transfer) if each.kind in ("generator", "inlet")]
    if transfer.kind == "isolation device" and not engines:
        return _isolation_device(facts, transfer)
    if transfer.excludes is False:
        return Outcome.FAILS, "fails", ()
    if transfer.listed is False:
        return Outcome.FAILS, "unlisted", ()
    if transfer.kind == "interlock" and transfer.held_apart:
        if not _holds_main(facts, transfer):
            return Outcome.FAILS, "main_free", ()
        if _free_breakers(facts, transfer):
            return Outcome.FAILS, "source_free", ()
        reached = handles_together(facts.at.house, transfer)
        if reached.truth is False:
            return Outcome.FAILS, "handles_apart", ()
        if reached.truth is None and reached.thing is not None:
            lacks = (facts.lack(reached.thing, reached.field), *facts.missing(transfer, "excludes"))
            return Outcome.CANNOT_TELL, "cannot_tell", lacks
    fields = ("excludes", "held_apart") if transfer.kind == "interlock" else ("excludes",)
    missing = facts.missing(transfer, *fields)
    return (Outcome.CANNOT_TELL, "cannot_tell", missing) if missing else (Outcome.MEETS, "meets", ())


def _isolation_device(facts: SourceFacts, transfer: Transfer) -> tuple[Outcome, str, tuple[Missing, ...]]:
    """What lets its sources run with the utility and parts them when it is lost: that is its listing."""
    told = {True: Outcome.MEETS, False: Outcome.FAILS, None: Outcome.CANNOT_TELL}[transfer.listed]
    return told, f"isolation_{told.name.lower()}", facts.missing(transfer, "listed")


def _holds_main(facts: SourceFacts, transfer: Transfer) -> bool:
    held = [facts.breakers[each] for each in transfer.held_apart if each in facts.breakers]
    return SERVICE in transfer.held_apart or any(each.role == "main" for each in held)


def _free_breakers(facts: SourceFacts, transfer: Transfer) -> bool:
    """A generator or inlet in the same panel whose breaker the interlock leaves free, or none held at all."""
    behind = {each.id for each in panels_behind(facts, transfer)}
    mine = [each for each in facts.at.house.sources if each.kind in ("generator", "inlet") and each.breaker]
    homes = {each.breaker: facts.panel_of(facts.breakers.get(each.breaker or "")) for each in mine}
    here = [breaker for breaker, panel in homes.items() if panel is not None and panel.id in behind]
    others = [each for each in transfer.held_apart if each in facts.breakers and facts.breakers[each].role != "main"]
    return any(each not in transfer.held_apart for each in here) or not others


def _without(facts: SourceFacts, source: Source) -> Iterator[Check]:
    """A source that can supply alone and stands behind no transfer equipment."""
    if source.kind in ("generator", "inlet") and source.breaker and source.joins in (None, "breaker"):
        return  # held against the interlock of its breaker in the circuits stage
    cease = False if source.kind in ("generator", "inlet") else source.interactive
    outcome = Outcome.CANNOT_TELL if cease is None else Outcome.MEETS if cease else Outcome.FAILS
    if source.joins in (None, "breaker") and source.breaker is None:
        outcome = Outcome.CANNOT_TELL
    if source.joins == "transfer" and not neutral_net(facts).uses[source.id]:
        outcome = Outcome.CANNOT_TELL
    how = outcome.name.lower()
    where = ("joins", *(("breaker",) if source.joins == "breaker" else ())) if source.breaker is None else ()
    lacking = facts.missing(source, *where, "interactive")
    if source.joins == "transfer":
        lacking = (Missing("before/complete.transfers", said("todo.complete.transfers"), said("todo.how.walk")),)
    yield Check(NONE, source.id, outcome, Severity.DANGER, said(f"check.{NONE}.{how}", name=facts.name_of(source)),
                facts.reach_of(source), None, lacking if outcome is Outcome.CANNOT_TELL else (),
                (facts.cite("transfer_equipment"),),
                said(f"remedy.{NONE}.fails") if outcome is Outcome.FAILS else None)  # fmt: skip
