"""Voltage drop of one branch circuit, kept by all that it hangs on: a circuit met before is not worked again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from deadfront.circuits.rules.flows.drop_steps import BREAKER_80, Amperes, DropCase, Factor, Flow, drop_percent
from deadfront.circuits.rules.flows.segments import SegmentCase, lacking, of_cable
from deadfront.codebook.book import Codebook
from deadfront.job.panel_things import Cable, RacewayKind
from deadfront.msg import Msg, said
from deadfront.quantities import Interval, point
from deadfront.results.circuits import Drop
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

UNITY = Factor(Decimal(1), Decimal(1), True)


@dataclass(frozen=True, eq=False)
class Ahead:
    """Lengths from the transformer to a panel with the load on each; made once (`ahead_of`), told apart by identity.

    Args:
        factor: Power factor of the load on them.
    """

    lengths: tuple[tuple[SegmentCase, Amperes], ...]
    factor: Factor


NOTHING = Ahead((), UNITY)


@lru_cache(maxsize=512)
def ahead_of(lengths: tuple[tuple[SegmentCase, Amperes], ...], factor: Factor) -> Ahead:
    """The lengths ahead of a panel, the same object for the same lengths."""
    return Ahead(lengths, factor)


class CircuitCase(NamedTuple):
    """What the drop of a branch circuit hangs on.

    Args:
        path: Where the facts of its cable stand in the job.
        load: Its load, where it is known [A].
        rating_a: Rating of its breaker, the basis where the load is not known.
        to_neutral: From leg to neutral.
        lines: Code value of the volts between legs.
        ahead: Every length from the transformer to its panel with the load on it.
    """

    book: Codebook
    of: str
    path: str
    name: Msg
    cable: Cable
    raceway: RacewayKind | None
    load: Step | None
    rating_a: Decimal | None
    to_neutral: bool
    lines: str
    factor: Factor
    two_of_wye: bool
    ahead: Ahead


@lru_cache(maxsize=4096)
def circuit_drop(case: CircuitCase) -> Drop:
    """Along one circuit, and from the transformer to its end."""
    own_a = _load(case)
    length = of_cable(f"circuit/{case.of}", case.path, said("flow.circuit", thing=case.name), case.cable, case.raceway)
    volts = "nominal_volts_120" if case.to_neutral else case.lines
    own = Flow(length, own_a, own_a if case.to_neutral else None, case.factor)
    here = drop_percent(DropCase(case.book, f"drop/{case.of}/here", volts, (own,)))
    if not case.ahead.lengths:
        return Drop(case.of, here)
    flows = [Flow(ahead, load, _back(case, own_a, load), case.ahead.factor) for ahead, load in case.ahead.lengths]
    return Drop(case.of, here, whole_drop(case.book, case.of, here, volts, (*flows, own)))


def _load(case: CircuitCase) -> Amperes:
    """Its load; 80 % of its breaker where that is not known."""
    if case.load is None:
        return basis(case.book, case.rating_a or Decimal(0))
    missing = () if case.load.value.exact else case.load.all_missing()
    return Amperes(said("flow.circuit_load"), case.load.value, missing, case.load.all_assumed())


def basis(book: Codebook, rating_a: Decimal) -> Amperes:
    """80 % of a breaker's rating: the named basis where the load is not known."""
    share = book.value("voltage_drop_basis_percent").number / 100
    return Amperes(said("flow.basis", rating=rating_a), point(rating_a * share), assumed=(BREAKER_80,))


def _back(case: CircuitCase, own: Amperes, leg: Amperes) -> Amperes | None:
    """Current of the neutral ahead of the circuit; None for a circuit that does not use it."""
    if not case.to_neutral or not case.two_of_wye:
        return own if case.to_neutral else None
    high = None if own.value.high is None or leg.value.high is None else max(own.value.high, leg.value.high)
    low = min(own.value.low, leg.value.low)
    return Amperes(said("flow.neutral_of_wye"), Interval(low, high), (*own.missing, *leg.missing),
                   (*own.assumed, *leg.assumed))  # fmt: skip


def whole_drop(book: Codebook, of: str, here: Step, volts: str, flows: tuple[Flow, ...]) -> Step:
    """From the transformer on; at least what is lost on the run itself where something ahead is not known."""
    lacks = [missing for flow in flows for missing in _lacks(flow)]
    if lacks:
        return build.between_cases(f"drop/{of}/all", "flow.drop_all", here, None, unit="%",
                                   missing=tuple(dict.fromkeys(lacks)))  # fmt: skip
    step = drop_percent(DropCase(book, f"drop/{of}/all", volts, flows))
    return replace(step, name=said("flow.drop_all"))


def _lacks(flow: Flow) -> Iterator[Missing]:
    """Facts without which a length has no upper bound on what it loses."""
    case = flow.length
    for field, known in (("length_ft", case.length_ft), ("size", case.size)):
        if not known:
            yield lacking(case, field)
    if flow.neutral is not None and not case.neutral_as_leg and case.neutral_size is None:
        yield lacking(case, "neutral_size")
    if flow.leg.value.high is None:
        yield from flow.leg.missing
