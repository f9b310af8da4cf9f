"""Current of every breaker at every named time: from the runs of its circuits, by percent, or as entered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal

from deadfront.job.house import HouseAt
from deadfront.job.model import PanelLoads
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.msg import Msg, said
from deadfront.quantities import ZERO, Interval, point
from deadfront.results.circuits import Run
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

BASIS_PERCENT = Decimal(80)
"""A circuit with no load on file is counted at this much of its breaker: a named basis, no fact."""
BASIS = "panel_at_80_percent"
ALL_ON = PanelLoads(name="all on")


@dataclass(frozen=True, slots=True)
class On:
    """What a breaker feeds, and the working of its current in every scenario.

    Args:
        circuits: Branch circuits on it.
        feeds: Panels it feeds.
        steps: Its current in every scenario, on each leg it uses [A]; a range where it is not fully known.
        by_basis: No load of it is on file; the steps are the basis.
    """

    circuits: tuple[Circuit, ...] = ()
    feeds: tuple[Panel, ...] = ()
    steps: tuple[Step, ...] = ()
    by_basis: bool = False


@dataclass(frozen=True)
class Sources:
    """What currents are made of: the house at a step, its runs, the named times."""

    at: HouseAt
    runs: Mapping[str, Run]
    scenarios: tuple[PanelLoads, ...]
    kinds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def name_of(self, breaker: Breaker, circuits: Sequence[Circuit], feeds: Sequence[Panel]) -> Msg:
        """What a breaker is called: what it feeds, else its own name, else what it is and where."""
        names = tuple(each.name for each in (*circuits, *feeds) if each.name)
        if names:
            return said("thing.named", name=" / ".join(names))
        if breaker.name:
            return said("thing.named", name=breaker.name)
        if breaker.spaces:
            spaces = tuple(f"{space}{breaker.half or ''}" for space in breaker.spaces)
            if breaker.rating_a is None:
                return said("thing.breaker_in", spaces=spaces)
            return said("thing.breaker", rating=breaker.rating_a, spaces=spaces)
        return said("thing.by_id", id=breaker.id)


def sources_of(at: HouseAt, runs: Sequence[Run], scenarios: Sequence[PanelLoads]) -> Sources:
    """Gathered once for all panels of a house."""
    kinds: dict[str, tuple[str, ...]] = {}
    for load in at.house.loads:
        if load.circuit is not None:
            kinds[load.circuit] = (*kinds.get(load.circuit, ()), load.kind)
    return Sources(at, {run.of: run for run in runs}, tuple(scenarios) or (ALL_ON,), kinds)


def on_breaker(sources: Sources, breaker: Breaker, circuits: Sequence[Circuit], feeds: Sequence[Panel]) -> On:
    """What is on a breaker, with its current in every scenario."""
    spare = not circuits and not feeds and breaker.role == "branch" and sources.at.house.complete.circuits == "yes"
    if spare or breaker.role in ("main", "source"):
        nothing = build.fact(f"panel/{breaker.id}", sources.name_of(breaker, circuits, feeds), ZERO, "A", "")
        return On(tuple(circuits), tuple(feeds), (nothing,) * len(sources.scenarios))
    runs = [sources.runs.get(each.id) for each in (*circuits, *feeds)]
    by_basis = not runs or any(run is None or run.load is None for run in runs)
    steps = tuple(_step(sources, breaker, circuits, feeds, index) for index in range(len(sources.scenarios)))
    return On(tuple(circuits), tuple(feeds), steps, by_basis)


def _step(sources: Sources, breaker: Breaker, circuits: Sequence[Circuit], feeds: Sequence[Panel], index: int) -> Step:
    """Current of one breaker in one scenario [A]."""
    name, ident = sources.name_of(breaker, circuits, feeds), f"panel/{index}/{breaker.id}"
    if not circuits and not feeds:
        return _unknown(sources, breaker, ident, name, breaker.id)
    fed: list[Circuit | Panel] = [*circuits, *feeds]
    parts = [_part(sources, breaker, each, index) for each in fed]
    if len(parts) == 1:
        return parts[0]
    if breaker.poles == 2:
        return build.largest(ident, name, parts, unit="A")
    return build.total(ident, name, parts, unit="A")


def _part(sources: Sources, breaker: Breaker, thing: Circuit | Panel, index: int) -> Step:
    """Current of one circuit or feeder in one scenario [A]."""
    scenario, ident = sources.scenarios[index], f"panel/{index}/{thing.id}"
    name = said("thing.named", name=thing.name) if thing.name else sources.name_of(breaker, (), ())
    typed = scenario.currents_a.get(thing.id)
    if typed is not None:
        return build.fact(ident, name, typed, "A", "choices.panel_loads")
    if scenario.others == "off":
        return build.fact(ident, name, ZERO, "A", "choices.panel_loads")
    run = sources.runs.get(thing.id)
    if run is None or run.load is None:
        return _unknown(sources, breaker, ident, name, thing.id)
    percents = [scenario.percent[kind] for kind in sources.kinds.get(thing.id, ()) if kind in scenario.percent]
    whole = len(percents) < len(sources.kinds.get(thing.id, ()))
    if not percents or (whole and max(percents) <= 100):
        return run.load
    return build.percent_of(ident, name, run.load, max(percents), unit="A")


def _unknown(sources: Sources, breaker: Breaker, ident: str, name: Msg, of: str) -> Step:
    """Anything up to the rating of the breaker; what to find out is the load."""
    tag = sources.at.tags.get(of)
    scope = tag.step if tag is not None and tag.letter == "N" else "before"
    missing = Missing(f"{scope}/{of}.load_va", said("todo.panel.load_va", thing=name), said("todo.how.panel.load_va"))
    high = breaker.rating_a
    return build.fact(ident, name, Interval(ZERO, high), "A", f"{scope}/{of}.load_va", missing=missing,
                      assumed=(BASIS,))  # fmt: skip


def tenths(step: Step, breaker: Breaker) -> int:
    """A current as whole tenths: the upper end of a range; 80 percent of the breaker where nothing is known."""
    value = step.value
    if value.low == ZERO and BASIS in step.all_assumed():
        value = point((breaker.rating_a or Decimal(20)) * BASIS_PERCENT / 100)
    high = value.low if value.high is None else value.high
    return int((high * 10).to_integral_value(rounding=ROUND_HALF_UP))
