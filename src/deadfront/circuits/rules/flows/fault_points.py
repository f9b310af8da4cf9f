"""Available fault current at the transformer, the service and every panel, leg to leg and leg to neutral, in Steps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.flows.segments import Segment, SegmentCase, of_cable, of_conductors, segment, summed
from deadfront.circuits.rules.flows.source import (
    PRIMARY_WITHOUT_LIMIT,
    End,
    Loop,
    SourceCase,
    behind,
    constant,
    letter_current,
    source_case,
    volts,
)
from deadfront.codebook.book import Codebook
from deadfront.job.panel_things import Panel
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN
from deadfront.results.circuits import FaultPoint
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

INVERTER_FAULT = "inverter_fault"


@dataclass(frozen=True, slots=True)
class Inverter:
    """A source that works in parallel with the utility and adds to a fault; its output where that is known [A]."""

    id: str
    name: Msg
    path: str
    output_a: Decimal | None


@dataclass(frozen=True, slots=True)
class PointCase:
    """One place and the lengths of conductors between the source and it.

    Args:
        inverters: Sources that add to the fault.
        given: The letter gives the current at this very place.
        ahead: The place is nearer the source than the one the letter speaks of.
    """

    of: str
    name: Msg
    source: SourceCase
    path: tuple[SegmentCase, ...]
    given: bool = False
    ahead: bool = False
    inverters: tuple[Inverter, ...] = ()


def fault_points(facts: Facts) -> tuple[FaultPoint, ...]:
    """Fault currents from the transformer to every panel the service reaches; none while nothing is known of it."""
    inverters = tuple(_inverters(facts))
    points = [_point(facts.book, replace(case, inverters=inverters)) for case in point_cases(facts)]
    against = facts.once(letter_against)
    if against is None:
        return tuple(points)
    worked = {c.of: _point(facts.book, replace(c, inverters=inverters)) for c in point_cases(facts, by_letter=False)}
    return tuple(_with_worked(each, worked[each.of], against) for each in points)


class Against(NamedTuple):
    """The utility's letter and what its transformer gives at the same place, leg to leg.

    Args:
        letter: The letter's current [A].
        worked: The current of the transformer at the weak end of its tolerance [A].
        outcome: MEETS where the letter is no lower, FAILS where it is.
        strong: The nameplate alone gives at least the letter, so that the transformer's own row stands by it.
    """

    letter: Step
    worked: Step
    outcome: Outcome
    strong: bool


def letter_against(facts: Facts) -> Against | None:
    """The letter against the facts of the transformer; None where only one of them is on file."""
    service = facts.at.house.service
    if service.system is None:
        return None
    source = source_case(facts.book, service.system, service.utility)
    if not (source.by_letter and source.without_letter().known):
        return None
    cases = {each.of: each for each in point_cases(facts, by_letter=False)}
    letter, worked = letter_current(source, "line_to_line"), _weak(facts.book, cases[source.letter_at])
    nameplate = _point(facts.book, cases["transformer"]).line_to_line
    strong = nameplate is not None and at_most(letter.value, nameplate.value) is Outcome.MEETS
    return Against(letter, worked, at_most(worked.value, letter.value), strong)


@lru_cache(maxsize=256)
def _weak(book: Codebook, case: PointCase) -> Step:
    """Leg to leg at the high end of the transformer's impedance."""
    return _current(case, tuple(segment(book, each) for each in case.path), "line_to_line", "high")


def _with_worked(point: FaultPoint, worked: FaultPoint, against: Against) -> FaultPoint:
    """The larger of letter and transformer where they disagree; the nameplate at the transformer itself."""
    if point.largest is None:
        return worked if against.strong else point
    if against.outcome is not Outcome.FAILS or worked.largest is None:
        return point
    other = replace(worked.largest, id=f"fault/{point.of}/by_transformer")
    larger = build.largest(f"fault/{point.of}/larger", "flow.larger_of_both", (point.largest, other), unit="A")
    return replace(point, largest=larger)


def _inverters(facts: Facts) -> Iterator[Inverter]:
    """Sources that feed a fault beside the utility; a generator or an inlet is never in parallel with it."""
    for source in facts.at.house.sources:
        if source.kind not in ("solar", "battery", "vehicle"):
            continue
        output = source.output_a
        if output is None and source.output_w is not None and source.volts is not None:
            output = source.output_w / source.volts
        yield Inverter(source.id, facts.name_of(source, "thing.by_id"), facts.at.path(source, "output_a"), output)


def point_cases(facts: Facts, by_letter: bool = True) -> Iterator[PointCase]:
    """Every place a fault current is worked for, by the utility's letter or by its transformer alone."""
    service = facts.at.house.service
    if service.system is None:
        return
    source = source_case(facts.book, service.system, service.utility)
    source = source if by_letter else source.without_letter()
    if not source.known:
        return
    by_letter_at_service = source.by_letter and source.letter_at == "service"
    drop = of_conductors("drop", "before/service.drop", said("flow.drop"), service.drop)
    conductors = of_conductors("service", "before/service.conductors", said("flow.service"), service.conductors)
    here = source.by_letter and not by_letter_at_service
    yield PointCase("transformer", said("flow.at_transformer"), source, (), given=here, ahead=by_letter_at_service)
    to_service = () if by_letter_at_service else (drop, conductors)
    if not by_letter_at_service:
        yield PointCase("service point", said("flow.at_service_point"), source, (drop,))
    yield PointCase("service", said("flow.at_service"), source, to_service, given=by_letter_at_service)
    for panel in facts.at.house.panels:
        chain = facts.graph.feeds.get(panel.id)
        if chain:
            feeders = tuple(case for each in chain for case in feeder_cases(facts, facts.panels[each]))
            yield PointCase(panel.id, facts.name_of(panel, "thing.by_id"), source, (*to_service, *feeders))


def feeder_cases(facts: Facts, panel: Panel) -> tuple[SegmentCase, ...]:
    """The conductors between a panel and what feeds it; none where it stands at the service disconnect itself."""
    at_service = panel.fed_by in (None, "service")
    outside = facts.at.house.service.outside
    if at_service and outside.present != "yes" and panel.feeder.size is None and panel.feeder.length_ft is None:
        return ()
    if at_service and outside.marked in ("meter disconnect", "not service equipment") and panel.feeder.size is None:
        return ()
    what = said("flow.feeder", thing=facts.name_of(panel, "thing.by_id"))
    raceway = facts.raceways.get(panel.feeder.raceway or "")
    kind = raceway.kind if raceway is not None else None
    return (of_cable(f"feeder/{panel.id}", facts.at.path(panel, "feeder"), what, panel.feeder, kind),)


@lru_cache(maxsize=1024)
def _point(book: Codebook, case: PointCase) -> FaultPoint:
    """The four figures of one place."""
    path = tuple(segment(book, each) for each in case.path)
    if case.ahead:
        return FaultPoint(case.of, case.name, *(_ahead(case, loop) for loop in LOOPS))
    nominal = _pair(case, path, "nominal")
    if case.source.by_letter:
        strong = weak = nominal
    else:
        strong, weak = _pair(case, path, "low"), _pair(case, path, "high")
    three = _three_phase(case, strong)
    largest = build.largest(f"fault/{case.of}/largest", "flow.largest_fault", (*strong, *three), unit="A")
    if case.inverters:
        added = [_added(case, each) for each in case.inverters]
        largest = build.total(f"fault/{case.of}/with_sources", "flow.with_sources", (largest, *added), unit="A")
    smallest = build.least(f"fault/{case.of}/smallest", "flow.smallest_fault", weak, unit="A")
    if case.source.primary_mva is None and not case.source.by_letter:
        smallest = replace(smallest, assumed=(PRIMARY_WITHOUT_LIMIT,))
    return FaultPoint(case.of, case.name, *nominal, largest, smallest)


def _added(case: PointCase, inverter: Inverter) -> Step:
    """What an inverter adds to a fault: a little more than its output, added without regard to phase."""
    name, ident = said("flow.source_output", thing=inverter.name), f"fault/source/{inverter.id}"
    share = case.source.book.value("inverter_fault_percent")
    if inverter.output_a is None:
        missing = Missing(inverter.path, said("todo.circuits.output_a", thing=inverter.name),
                          said("todo.how.circuits.output_a"))  # fmt: skip
        return build.fact(ident, name, UNKNOWN, "A", inverter.path, missing=missing)
    output = build.fact(f"{ident}/output", name, inverter.output_a, "A", inverter.path)
    into = build.percent_of(ident, said("flow.source_fault", thing=inverter.name), output, share.number, unit="A")
    return replace(into, assumed=(INVERTER_FAULT,))


LOOPS: tuple[Loop, Loop] = ("line_to_line", "line_to_neutral")


def _pair(case: PointCase, path: tuple[Segment, ...], end: End) -> tuple[Step, Step]:
    first, second = (_current(case, path, loop, end) for loop in LOOPS)
    return first, second


def _ahead(case: PointCase, loop: Loop) -> Step:
    """Nearer the source than the letter: at least what the letter gives, without an upper end."""
    ident = f"fault/{case.of}/{loop}"
    return build.between_cases(ident, f"flow.{loop}", letter_current(case.source, loop), None, unit="A")


def _current(case: PointCase, path: tuple[Segment, ...], loop: Loop, end: End) -> Step:
    """Current of one kind of fault: volts over the impedance of source and conductors, leg and leg or leg and neutral.

    Where the split of the source into resistance and reactance is not known, the largest current is that of the way
    that adds least to the conductors, the smallest that of magnitudes added.
    """
    ident, name = f"fault/{case.of}/{end}/{loop}", f"flow.{loop}"
    if case.given:
        return letter_current(case.source, loop)
    source = behind(case.source, loop, end)
    if not path and len(source.ways) > 1 and case.source.primary_mva is None:
        return build.quotient(ident, name, volts(case.source, loop), source.whole)
    r, x = _conductors(ident, path, loop, "r"), _conductors(ident, path, loop, "x")
    driven = volts(case.source, loop)
    currents = [_by_way(f"{ident}/{n}", name, driven, way, r, x) for n, way in enumerate(source.ways)]
    if len(currents) == 1:
        return currents[0]
    high = build.largest(f"{ident}/high", "flow.way_largest", currents, unit="A")
    length = build.hypotenuse(f"{ident}/conductors", "flow.conductors_whole", (*r, *x))
    whole = build.total(f"{ident}/whole", "flow.loop_added", (source.whole, length), unit="ohm")
    low = build.quotient(f"{ident}/low", "flow.way_smallest", driven, whole)
    return build.between_cases(ident, name, low, high, unit="A")


def _conductors(ident: str, path: tuple[Segment, ...], loop: Loop, part: str) -> tuple[Step, ...]:
    """Resistance or reactance of all conductors of the loop, one Step; none at the transformer itself."""
    if not path:
        return ()
    legs = [each.leg_r if part == "r" else each.leg_x for each in path]
    if loop == "line_to_line":
        one = summed(f"{ident}/legs_{part}", f"flow.legs_{part}", legs)
        return (build.product(f"{ident}/loop_{part}", f"flow.loop_{part}", (constant("fault/two", "flow.two", 2), one),
                              unit="ohm"),)  # fmt: skip
    returns = [each.neutral_r if part == "r" else each.neutral_x for each in path]
    return (summed(f"{ident}/loop_{part}", f"flow.loop_{part}", (*legs, *returns)),)


def _by_way(
    ident: str, name: str, driven: Step, way: tuple[Step, Step], r: tuple[Step, ...], x: tuple[Step, ...]
) -> Step:
    all_r = summed(f"{ident}/r", "flow.all_r", (way[0], *r)) if r else way[0]
    all_x = summed(f"{ident}/x", "flow.all_x", (way[1], *x)) if x else way[1]
    whole = build.hypotenuse(f"{ident}/z", "flow.all_z", (all_r, all_x))
    return build.quotient(ident, name, driven, whole)


def _three_phase(case: PointCase, strong: tuple[Step, Step]) -> tuple[Step, ...]:
    """Current of a fault of all three phases, for a service that has three: 2 over the square root of 3."""
    if case.source.system != "208Y/120 3ph 4w":
        return ()
    two = constant("fault/two", "flow.two", 2)
    root = constant("fault/root_of_three", "flow.root_of_three", Decimal(3).sqrt())
    twice = build.product(f"fault/{case.of}/twice", "flow.line_to_line", (two, strong[0]), unit="A", inline=True)
    return (build.quotient(f"fault/{case.of}/three_phase", "flow.three_phase", twice, root),)
