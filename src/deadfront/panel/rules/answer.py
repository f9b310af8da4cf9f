"""The panels of a house answered at once: each layout judged, the legs in every scenario, leave as found or not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from deadfront.codebook.book import Codebook
from deadfront.job.house import HouseAt
from deadfront.job.model import PanelLoads
from deadfront.job.panel_things import Panel
from deadfront.panel.rules.balance import balances, limit_step
from deadfront.panel.rules.case import Laid, case_of
from deadfront.panel.rules.checks import checks_of
from deadfront.panel.rules.currents import Sources, sources_of
from deadfront.panel.rules.feeds import panel_name
from deadfront.panel.rules.judge import judge
from deadfront.panel.rules.name_checks import name_checks
from deadfront.panel.rules.open_checks import layout_open, unsure_of_leg
from deadfront.quantities import UNKNOWN, ZERO, Interval, highest, point
from deadfront.results.circuits import Run
from deadfront.results.panel import Balance, PanelCase, PanelResult
from deadfront.worksheet.check import Outcome, at_most


def panels_answer(
    book: Codebook, at: HouseAt, runs: Sequence[Run], scenarios: Sequence[PanelLoads] = ()
) -> tuple[PanelResult, ...]:
    """Every panel of a house as it stands at a step, in the order of the house."""
    sources = sources_of(at, runs, scenarios)
    laid = {panel.id: _laid(sources, panel) for panel in at.house.panels}
    legs = {ident: balances(each.case, each.case.found(), each.on) for ident, each in laid.items() if each.case}
    return tuple(_answer(book, at, laid[each.id], each, legs, laid) for each in at.house.panels)


Legs = Mapping[str, tuple[Balance, ...]]


def _laid(sources: Sources, panel: Panel) -> Laid:
    """A panel as a case; where its numbering is not known and pairs are right by one way only, nothing is proven."""
    laid = case_of(sources, panel)
    if laid.case is None or panel.numbering is not None:
        return laid
    other = case_of(sources, panel.model_copy(update={"numbering": "down"})).case
    if other is None or not (open_ := numbering_matters(laid.case, other)):
        return laid
    return replace(laid, case=replace(laid.case, shape_open=True, numbering_open=open_))


def numbering_matters(usual: PanelCase, other: PanelCase) -> tuple[str, ...]:
    """Breakers that stand right by one way of numbering and wrong by the other.

    A breaker of two poles whose spaces are neighbors by the usual numbering alone shows that the panel has that.
    """
    by_usual, by_other = (judge(case, case.found()) for case in (usual, other))
    seen = {wrong.pieces for wrong in by_other if wrong.kind in SHAPES}
    if seen - {wrong.pieces for wrong in by_usual if wrong.kind in SHAPES}:
        return ()
    pairs = [{(wrong.kind, wrong.pieces) for wrong in each if wrong.kind in PAIRS} for each in (by_usual, by_other)]
    return tuple(sorted({ident for _, pieces in pairs[0] ^ pairs[1] for ident in pieces}))


SHAPES = ("shape", "one_leg")
PAIRS = ("multiwire_leg", "tied_apart", *SHAPES)


def _answer(
    book: Codebook, at: HouseAt, laid: Laid, panel: Panel, all_legs: Legs, all_laid: Mapping[str, Laid]
) -> PanelResult:
    names = tuple(name_checks(book, at, panel))
    if laid.case is None:
        open_ = PanelResult(panel.id, panel_name(panel), None, laid.troubles, laid.missing)
        return replace(open_, checks=(*layout_open(open_), *names))
    case, legs, limit = laid.case, all_legs[panel.id], limit_step(laid.case)
    violations = judge(case, case.found())
    apart = widened(worst(legs), below(panel.id, all_legs, all_laid, frozenset()))
    free = free_spaces(case)
    result = PanelResult(panel.id, case.name, case, (), (), violations, legs, limit, apart, None, free)
    if limit is not None and at.house.complete.breakers == "yes" and not unsure_of_leg(at, result):
        outcome = at_most(apart, limit.value)
        result = replace(result, leave=None if outcome is Outcome.CANNOT_TELL else outcome is Outcome.MEETS)
    return replace(result, checks=(*checks_of(book, at, result), *names))


def worst(legs: Sequence[Balance]) -> Interval:
    """Largest difference of two legs over all scenarios [A]."""
    return highest([each.apart.value for each in legs])


def below(ident: str, legs: Legs, laid: Mapping[str, Laid], above: frozenset[str]) -> Interval:
    """How far the legs of all panels fed from one may differ together [A]; no upper end where one is not known."""
    total = point(ZERO)
    for on in laid[ident].on.values():
        for each in on.feeds:
            if each.id not in above | {ident}:
                own = worst(legs[each.id]) if each.id in legs else UNKNOWN
                total += own + below(each.id, legs, laid, above | {ident})
    return total


def widened(own: Interval, below: Interval) -> Interval:
    """The difference of a panel's legs where those below it add to it or take from it, nobody knows which [A]."""
    if below.high == ZERO:
        return own
    low = ZERO if below.high is None else max(own.low - below.high, ZERO)
    high = None if own.high is None or below.high is None else own.high + below.high
    return Interval(low, high)


def free_spaces(case: PanelCase) -> tuple[int, ...]:
    """Spaces that no breaker takes, not even half, and that are kept for nothing."""
    taken = {space for place in case.found().values() for space in place.spaces}
    return tuple(space for space in range(1, case.spaces + 1) if space not in taken and space not in case.reserved)
