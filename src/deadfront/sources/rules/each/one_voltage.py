"""A source of 120 V alone on a panel of two legs: no 240 V load, and no circuit that shares a neutral."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.job.panel_things import Circuit, Panel
from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.sources.rules.transfer.sides import panels_behind, sources_of
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

ID = "source.one_voltage"
IDS = (ID,)
ONE_LEG_MOST_V = Decimal(130)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every source behind which transfer equipment puts a panel."""
    fed: dict[str, dict[str, Panel]] = {}
    for transfer in facts.at.house.transfers:
        for source in sources_of(facts, transfer):
            behind = {each.id: each for each in panels_behind(facts, transfer)}
            fed[source.id] = fed.get(source.id, {}) | behind
    for ident, panels in fed.items():
        source = facts.sources[ident]
        if panels and (source.volts is None or source.volts <= ONE_LEG_MOST_V):
            yield from _check(facts, source, tuple(panels.values()))


def _check(facts: SourceFacts, source: Source, panels: tuple[Panel, ...]) -> Iterator[Check]:
    on = {each.id for each in panels}
    circuits = [each for each in facts.at.house.circuits if _panel(facts, each) in on]
    shared = [each for each in circuits if each.shares_neutral_with is not None]
    pairs = [each for each in facts.at.house.breakers
             if each.poles == 2 and each.role == "branch" and _home(facts, each.id) in on]  # fmt: skip
    outcome, how, missing = _judge(facts, source, bool(shared), bool(pairs))
    reach = facts.reach_of(source, *panels, *circuits)
    names = tuple(facts.name_of(each) for each in (*shared, *pairs))
    yield from tell(ID, source.id, outcome, reach, how, facts.name_of(source), severity=Severity.DANGER,
                    hazard=bool(shared), cites=(facts.cite("one_voltage_supply"),), missing=missing,
                    circuits=names)  # fmt: skip


def _judge(
    facts: SourceFacts, source: Source, shared: bool, pairs: bool
) -> tuple[Outcome, str, tuple[Missing, ...]]:  # fmt: skip
    listed = facts.at.house.complete
    if source.volts is None:
        if not shared and not pairs and listed.circuits == "yes":
            return Outcome.MEETS, "none", ()
        return Outcome.CANNOT_TELL, "cannot_tell", (facts.lack(source, "volts"),)
    if shared:
        return Outcome.FAILS, "shared", ()
    if pairs:
        return Outcome.FAILS, "pairs", ()
    if listed.circuits == "yes":
        return Outcome.MEETS, "meets", ()
    what, how = said("todo.sources.all_circuits"), said("todo.how.sources.all_circuits")
    return Outcome.CANNOT_TELL, "open", (Missing("before/complete.circuits", what, how),)


def _panel(facts: SourceFacts, circuit: Circuit) -> str | None:
    return _home(facts, circuit.breaker or "")


def _home(facts: SourceFacts, breaker: str) -> str | None:
    panel = facts.panel_of(facts.breakers.get(breaker))
    return panel.id if panel is not None else None
