"""What transfer equipment puts on a standby source, and what that source gives, in amperes."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.job.source_things import Source, Transfer
from deadfront.msg import said
from deadfront.quantities import UNKNOWN
from deadfront.results.transfer import CapacityAnswer
from deadfront.sources.rules.amounts import all_of, control_holds, output_of
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.transfer.sides import first_panels, panels_behind, sources_of, whole_house
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

ONE_LEG_MOST_V = Decimal(130)
BY_HAND = ("manual switch", "interlock")


def capacity_answers(facts: SourceFacts) -> tuple[CapacityAnswer, ...]:
    """One answer for each piece of transfer equipment with a standby source."""
    return facts.once(_answers)


def _answers(facts: SourceFacts) -> tuple[CapacityAnswer, ...]:
    return tuple(_answer(facts, each) for each in facts.at.house.transfers if sources_of(facts, each))


def contradicts(transfer: Transfer) -> bool:
    """Whether a switch that transfers by itself is said to have its load put on by hand."""
    return transfer.kind == "automatic switch" and transfer.load_connected == "by hand"


def _answer(facts: SourceFacts, transfer: Transfer) -> CapacityAnswer:
    name, given = facts.name_of(transfer), _given(facts, transfer)
    connected = transfer.load_connected or ("by hand" if transfer.kind in BY_HAND else None)
    if connected is None or contradicts(transfer):
        lacks = (facts.lack(transfer, "load_connected"),)
        return CapacityAnswer(transfer.id, name, "", _full(facts, transfer), given, Outcome.CANNOT_TELL, lacks)
    if connected == "by hand":
        return CapacityAnswer(transfer.id, name, "hand", _full(facts, transfer), given, Outcome.NOT_APPLICABLE)
    params = facts.book.rule("standby_capacity").params
    if transfer.managed_by in facts.systems:
        return _managed(facts, transfer, given, listed=bool(params["listed"]))
    limited = [each for each in sources_of(facts, transfer) if each.control_limit_a is not None]
    if params["control"] and limited and len(limited) == len(sources_of(facts, transfer)):
        told = [control_holds(facts, each) for each in limited]
        if all_of(each.truth for each in told) is not False:
            open_ = tuple(m for each in told for m in each.lacking if each.truth is None)
            return _judged(transfer, facts, "control", _control(facts, transfer, limited), given, open_)
    return _judged(transfer, facts, "full", _full(facts, transfer), given)


def _judged(
    transfer: Transfer, facts: SourceFacts, by: str, asked: Step, given: Step, more: tuple[Missing, ...] = ()
) -> CapacityAnswer:
    outcome = at_most(asked.value, given.value)
    if more and outcome is not Outcome.FAILS:
        outcome = Outcome.CANNOT_TELL
    lacks = {each.path: each for each in (*more, *asked.all_missing(), *given.all_missing())}
    missing = tuple(lacks.values()) if outcome is Outcome.CANNOT_TELL else ()
    if outcome is Outcome.CANNOT_TELL and not missing:  # the loads are known, but not how many run at one time
        what = said("todo.sources.less_load", thing=facts.name_of(transfer))
        missing = (Missing(facts.at.path(transfer, "managed_by"), what, said("todo.how.sources.less_load")),)
    return CapacityAnswer(transfer.id, facts.name_of(transfer), by, asked, given, outcome, missing)  # type: ignore[arg-type]


def _managed(facts: SourceFacts, transfer: Transfer, given: Step, *, listed: bool) -> CapacityAnswer:
    """The limit of the system that manages the load, if the facts let it count."""
    system = facts.systems[transfer.managed_by or ""]
    asked = facts.fact(f"{transfer.id}/set_point", "capacity.set_point", system, "set_point_a")
    wanted = ("listed", "lost_signal") if listed else ("lost_signal",)
    told = _judged(transfer, facts, "managed", asked, given, facts.missing(system, *wanted))
    barred = system.lost_signal == "no limit" or (listed and system.listed is False)
    return _judged(transfer, facts, "full", _full(facts, transfer), given) if barred else told


def _full(facts: SourceFacts, transfer: Transfer) -> Step:
    """All the load behind transfer equipment, in amperes of its source: one of 120 V feeds both legs from one."""
    full = _by_legs(facts, transfer)
    sources = sources_of(facts, transfer)
    if not sources or any(each.volts is None or each.volts > ONE_LEG_MOST_V for each in sources):
        return full
    legs = build.given(f"{transfer.id}/legs", said("capacity.legs"), Decimal(2), "", None)
    return build.product(f"{transfer.id}/both", said("capacity.both_legs"), (legs, full), unit="A")


def _by_legs(facts: SourceFacts, transfer: Transfer) -> Step:
    """All the load behind transfer equipment, on each of two legs: that of the house, or of its feeders."""
    head = f"{transfer.id}/full"
    relied = facts.load.method(facts.load.relied)
    if whole_house(facts, transfer):
        if relied is not None and relied.rounded is not None:
            return relied.rounded
        return _unknown(
            head, Missing("choices.rely_on", said("todo.sources.rely_on"), said("todo.how.sources.rely_on"))
        )
    parts = []
    for panel in first_panels(facts, transfer):
        run = facts.feeders.get(panel.id)
        load = run.load if run is not None else None
        parts.append(load if load is not None else _unknown(f"{head}/{panel.id}", facts.lack(panel, "feeder_load_a")))
    if not parts:
        what = said("todo.sources.feeds", thing=facts.name_of(transfer))
        return _unknown(head, Missing("before/complete.panels", what, said("todo.how.sources.feeds")))
    return parts[0] if len(parts) == 1 else build.total(head, said("capacity.full"), parts, unit="A")


def _control(facts: SourceFacts, transfer: Transfer, limited: list[Source]) -> Step:
    """The larger of the settings of the power control systems and the largest single load behind."""
    head = f"{transfer.id}/control"
    cite = facts.cite("standby_capacity")
    settings = [facts.fact(f"{head}/{s.id}", said("capacity.setting"), s, "control_limit_a") for s in limited]
    behind = {each.id for each in panels_behind(facts, transfer)}
    loads = list(_single_loads(facts, behind))
    setting = settings[0] if len(settings) == 1 else build.total(f"{head}/settings", said("capacity.setting"), settings,
                                                                 unit="A", cite=cite)  # fmt: skip
    single = build.largest(f"{head}/single", said("capacity.single"), loads, unit="A")
    return build.largest(head, said("capacity.control"), [setting, single], unit="A", cite=cite)


def _single_loads(facts: SourceFacts, panels: set[str]) -> Iterator[Step]:
    circuits = {each.id: each for each in facts.at.house.circuits}
    for run in facts.circuits.runs:
        if run.kind == "circuit" and run.of in circuits:
            panel = facts.panel_of(facts.breakers.get(run.breaker))
            if panel is not None and panel.id in panels:
                yield run.load or _unknown(f"single/{run.of}", facts.lack(circuits[run.of], "load_va"))


def _given(facts: SourceFacts, transfer: Transfer) -> Step:
    """What the standby sources of transfer equipment give together."""
    parts = [output_of(facts, each) for each in sources_of(facts, transfer)]
    if len(parts) == 1:
        return parts[0]
    return build.total(f"{transfer.id}/given", said("capacity.given"), parts, unit="A")


def _unknown(ident: str, lacks: Missing) -> Step:
    return build.fact(ident, said("capacity.unknown"), UNKNOWN, "A", lacks.path, missing=lacks)
