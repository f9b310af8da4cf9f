"""The panels of a house answered at once: each layout judged, the legs in every scenario, leave as found or not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from deadfront.codebook.book import Codebook
from deadfront.job.house import HouseAt
from deadfront.job.model import PanelLoads
from deadfront.job.panel_things import Panel
from deadfront.panel.rules.balance import balances, limit_step
from deadfront.panel.rules.case import Laid, case_of, panel_name
from deadfront.panel.rules.checks import checks_of
from deadfront.panel.rules.currents import sources_of
from deadfront.panel.rules.judge import judge
from deadfront.quantities import Interval, highest
from deadfront.results.circuits import Run
from deadfront.results.panel import Balance, PanelCase, PanelResult
from deadfront.worksheet.check import Outcome, at_most


def panels_answer(
    book: Codebook, at: HouseAt, runs: Sequence[Run], scenarios: Sequence[PanelLoads] = ()
) -> tuple[PanelResult, ...]:
    """Every panel of a house as it stands at a step, in the order of the house."""
    sources = sources_of(at, runs, scenarios)
    return tuple(_answer(book, at, case_of(sources, panel), panel) for panel in at.house.panels)


def _answer(book: Codebook, at: HouseAt, laid: Laid, panel: Panel) -> PanelResult:
    if laid.case is None:
        return PanelResult(panel.id, panel_name(panel), None, laid.troubles, laid.missing)
    case, found = laid.case, laid.case.found()
    violations, legs, limit = judge(case, found), balances(case, found, laid.on), limit_step(case)
    apart = worst(legs)
    leave = None
    if limit is not None and at.house.complete.breakers == "yes":
        outcome = at_most(apart, limit.value)
        leave = None if outcome is Outcome.CANNOT_TELL else outcome is Outcome.MEETS
    free = free_spaces(case)
    result = PanelResult(panel.id, case.name, case, (), (), violations, legs, limit, apart, leave, free)
    return replace(result, checks=tuple(checks_of(book, at, result)))


def worst(legs: Sequence[Balance]) -> Interval:
    """Largest difference of two legs over all scenarios [A]."""
    return highest([each.apart.value for each in legs])


def free_spaces(case: PanelCase) -> tuple[int, ...]:
    """Spaces that no breaker takes, not even half, and that are kept for nothing."""
    taken = {space for place in case.found().values() for space in place.spaces}
    return tuple(space for space in range(1, case.spaces + 1) if space not in taken and space not in case.reserved)
