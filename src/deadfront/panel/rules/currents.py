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
SINGLE = 150
"""Volts up to which something works from leg to neutral."""
ALL_ON = PanelLoads(name="all on")


@dataclass(frozen=True, slots=True)
class On:
    """What a breaker feeds, and the working of its current in every scenario.

    Args:
        circuits: Branch circuits on it.
        feeds: Panels it feeds.
        steps: Its current in every scenario: of one pole to neutral, of two poles between its legs [A]; a range where
            it is not fully known.
        by_basis: No load of it is on file; the steps are the basis.
        poles: Of two poles: what goes to neutral from the upper and from the lower one in every scenario [A].
        either: Which of both is on which pole is not known.
        ask: What ends that.
        factors: Power factor of what goes to neutral from the upper and the lower pole; None: not on file.
    """

    circuits: tuple[Circuit, ...] = ()
    feeds: tuple[Panel, ...] = ()
    steps: tuple[Step, ...] = ()
    by_basis: bool = False
    poles: tuple[tuple[Step, Step], ...] = ()
    either: bool = False
    ask: tuple[Missing, ...] = ()
    factors: tuple[Decimal | None, ...] = (None, None)


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


def is_source(at: HouseAt, breaker: Breaker) -> bool:
    """Whether a source comes in by a breaker: so entered, named by a source, or held as such and feeding nothing."""
    house = at.house
    named = any(each.breaker == breaker.id for each in house.sources)
    feeds = any(each.breaker == breaker.id for each in house.circuits)
    feeds = feeds or any(each.fed_by == breaker.id for each in house.panels)
    return breaker.role == "source" or named or (held(breaker) and not feeds)


def held(breaker: Breaker) -> bool:
    """Held in place by an interlock, or fastened as one that is fed from its load side."""
    return bool(breaker.kept_apart) or bool(breaker.held_down)


def on_breaker(sources: Sources, breaker: Breaker, circuits: Sequence[Circuit], feeds: Sequence[Panel]) -> On:
    """What is on a breaker, with its current in every scenario."""
    spare = not circuits and not feeds and breaker.role == "branch" and sources.at.house.complete.circuits == "yes"
    comes_in = breaker.role in ("main", "source") or (is_source(sources.at, breaker) and not circuits and not feeds)
    if spare or comes_in:
        nothing = build.fact(f"panel/{breaker.id}", sources.name_of(breaker, circuits, feeds), ZERO, "A", "")
        return On(tuple(circuits), tuple(feeds), (nothing,) * len(sources.scenarios))
    poles = poles_of(breaker)
    if poles == 2 and (split := Split(sources, breaker, circuits, feeds)).parted:
        return split.on()
    steps = tuple(_step(sources, breaker, circuits, feeds, index) for index in range(len(sources.scenarios)))
    factors = (None if feeds else factor_of(sources.at, circuits), None)
    return On(tuple(circuits), tuple(feeds), steps, _by_basis(steps), factors=factors)


def factor_of(at: HouseAt, circuits: Sequence[Circuit]) -> Decimal | None:
    """The power factor of all loads of circuits, where every one of them is listed with the same; None: not known."""
    there = {each.id for each in circuits}
    found = {each.power_factor for each in at.house.loads if each.circuit in there}
    listed = all(any(each.circuit == circuit.id for each in at.house.loads) for circuit in circuits)
    if len(found) != 1 or not listed or any(each.load_va for each in circuits):
        return None
    return next(iter(found))


def _by_basis(steps: Sequence[Step]) -> bool:
    return any(BASIS in step.all_assumed() for step in steps)


def poles_of(breaker: Breaker) -> int:
    """Poles of a breaker: as entered, else by the spaces it takes."""
    return breaker.poles or (2 if len(breaker.spaces) >= 2 else 1)


def _step(sources: Sources, breaker: Breaker, circuits: Sequence[Circuit], feeds: Sequence[Panel], index: int) -> Step:
    """Current of one breaker in one scenario [A]."""
    name, ident = sources.name_of(breaker, circuits, feeds), f"panel/{index}/{breaker.id}"
    if not circuits and not feeds:
        return _unknown(sources, breaker, ident, name, breaker.id)
    fed: list[Circuit | Panel] = [*circuits, *feeds]
    parts = [_part(sources, breaker, each, index) for each in fed]
    return parts[0] if len(parts) == 1 else build.total(ident, name, parts, unit="A")


class Split:
    """A breaker of two poles that feeds something from leg to neutral: two circuits of one neutral, or of 120 V.

    What nobody traced may be just that, as much on one pole as on the other or on one alone.
    """

    def __init__(self, sources: Sources, breaker: Breaker, circuits: Sequence[Circuit], feeds: Sequence[Panel]) -> None:
        self.sources, self.breaker, self.circuits, self.feeds = sources, breaker, circuits, feeds
        self.unsure = [each for each in circuits if self._to_neutral(each) is None]
        self.single = [each for each in circuits if self._to_neutral(each)]
        self.between = [each for each in circuits if self._to_neutral(each) is False]
        self.untraced = not circuits and not feeds
        self.parted = bool(self.unsure or self.single or self.untraced)

    def _to_neutral(self, circuit: Circuit) -> bool | None:
        """Whether a circuit goes from leg to neutral; one alone without volts of its loads goes between the legs."""
        house, run = self.sources.at.house, self.sources.runs.get(circuit.id)
        volts = [each.volts for each in house.loads if each.circuit == circuit.id and each.volts]
        volts += [each.volts for each in house.outlets if each.circuit == circuit.id and each.volts]
        if circuit.on_pole is not None or (run is not None and run.volts is not None and run.volts.value.low <= SINGLE):
            return True
        if volts:
            return max(volts) <= SINGLE
        return False if len(self.circuits) == 1 else None

    def on(self) -> On:
        """What is on it, pole by pole."""
        count = range(len(self.sources.scenarios))
        between = tuple(self._sum("between", [*self.between, *self.feeds], index) for index in count)
        poles = tuple(self._poles(index) for index in count)
        both = [step for pair in poles for step in pair]
        told = [each for each in self.single if each.on_pole]
        either = not self.untraced and not self.unsure and len(told) < len(self.single) and not self._settled()
        ask = tuple(self._ask(each) for each in (*self.single, *self.unsure) if each.on_pole is None)
        return On(tuple(self.circuits), tuple(self.feeds), between, _by_basis((*between, *both)), poles, either,
                  ask if either or self.unsure else (), self._factors())  # fmt: skip

    def _factors(self) -> tuple[Decimal | None, Decimal | None]:
        """Power factor of what is on each pole, where that is known."""
        if self.untraced or self.unsure or len(self.single) > 2:
            return None, None
        upper, lower = self._sides()
        return factor_of(self.sources.at, upper), factor_of(self.sources.at, lower)

    def _sides(self) -> tuple[list[Circuit], list[Circuit]]:
        """The circuits of each pole; those of which nobody said it go where there is none yet."""
        upper = [each for each in self.single if each.on_pole == "upper"]
        lower = [each for each in self.single if each.on_pole == "lower"]
        for each in self.single:
            if each.on_pole is None:
                (lower if upper else upper).append(each)
        return upper, lower

    def _settled(self) -> bool:
        """Two circuits, and the pole of one is told: the other has the other pole."""
        return len(self.single) == 2 and any(each.on_pole for each in self.single)

    def _ask(self, circuit: Circuit) -> Missing:
        name = said("thing.named", name=circuit.name) if circuit.name else said("thing.by_id", id=circuit.id)
        return Missing(self.sources.at.path(circuit, "on_pole"), said("todo.panel.on_pole", thing=name),
                       said("todo.how.panel.on_pole"))  # fmt: skip

    def _poles(self, index: int) -> tuple[Step, Step]:
        """What goes from each pole to neutral [A]."""
        if self.untraced:
            ident = f"panel/{index}/{self.breaker.id}"
            name = self.sources.name_of(self.breaker, (), ())
            return tuple(_unknown(self.sources, self.breaker, f"{ident}/{pole}", name, self.breaker.id)
                         for pole in ("upper", "lower"))  # type: ignore[return-value]  # fmt: skip
        open_ = [each for each in self.single if each.on_pole is None]
        if self.unsure or len(self.single) > 2 or (len(open_) == 1 and len(self.single) == 2 and not self._settled()):
            return self._anyhow(index)
        upper, lower = self._sides()
        return self._sum("upper", upper, index), self._sum("lower", lower, index)

    def _anyhow(self, index: int) -> tuple[Step, Step]:
        """Nobody knows what is on which pole: on each as little as is told of it, and at most all that may be."""
        made = []
        for pole in ("upper", "lower"):
            sure = [each for each in self.single if each.on_pole == pole]
            may = [each for each in self.single if each.on_pole is None]
            low = self._sum(f"{pole}/sure", sure, index)
            whole = [_part(self.sources, self.breaker, each, index) for each in (*sure, *may)]
            whole += [self._on_one_leg(each, index) for each in self.unsure]
            ident, name = f"panel/{index}/{self.breaker.id}/{pole}", self._name()
            high = build.total(f"{ident}/all", name, whole, unit="A")
            made.append(build.between_cases(ident, name, low, high, unit="A",
                                            missing=[self._ask(each) for each in (*may, *self.unsure)]))  # fmt: skip
        return made[0], made[1]

    def _on_one_leg(self, circuit: Circuit, index: int) -> Step:
        """What a circuit draws if it goes from one leg to neutral: its current was worked for both legs [A]."""
        part = _part(self.sources, self.breaker, circuit, index)
        split = str(self.sources.at.house.service.system).startswith("120/240")
        percent = Decimal(200) if split else Decimal(208) / 120 * 100
        return build.percent_of(f"{part.id}/one_leg", part.name, part, percent, unit="A")

    def _name(self) -> Msg:
        return self.sources.name_of(self.breaker, self.circuits, self.feeds)

    def _sum(self, word: str, fed: Sequence[Circuit | Panel], index: int) -> Step:
        parts = [_part(self.sources, self.breaker, each, index) for each in fed]
        if len(parts) == 1:
            return parts[0]
        return build.total(f"panel/{index}/{self.breaker.id}/{word}", self._name(), parts, unit="A")


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
