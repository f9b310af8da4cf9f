"""Voltage lost along a path of conductors, by phasors, in Steps: parts along the voltage and parts across it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from deadfront.circuits.rules.flows.segments import Segment, SegmentCase, segment
from deadfront.codebook.book import Codebook
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, Interval
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

POWER_FACTOR_80 = "power_factor_80"
BREAKER_80 = "drop_at_80_percent"


@dataclass(frozen=True, slots=True)
class Amperes:
    """A current that flows along a length: its figure, what it waits for, what it stands on.

    Args:
        name: What current it is.
        path: Where it stands in the job, where it stands there.
    """

    name: Msg
    value: Interval
    missing: tuple[Missing, ...] = ()
    assumed: tuple[str, ...] = ()
    path: str = ""

    def step(self, ident: str) -> Step:
        """The current as a leaf; its own working stands on the sheet of loads."""
        found = build.fact(ident, self.name, self.value, "A", self.path, assumed=self.assumed)
        return Step(found.id, found.name, found.op, found.value, "A", missing=self.missing, assumed=self.assumed,
                    path=self.path)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Factor:
    """Power factor of a current: least and greatest; below 1 lagging.

    Args:
        known: False where it was taken from 0.8 to 1, the basis where nothing is known.
    """

    low: Decimal
    high: Decimal
    known: bool


@dataclass(frozen=True, slots=True)
class Flow:
    """A length and what flows on it: on each leg, and on the neutral where the path goes over it."""

    length: SegmentCase
    leg: Amperes
    neutral: Amperes | None
    factor: Factor


@dataclass(frozen=True, slots=True)
class DropCase:
    """Voltage drop over one path for a circuit, feeder or service.

    Args:
        ident: "drop/c-7qd/here", "drop/c-7qd/all".
        volts: Nominal, between the two ends that supply it [V].
        volts_value: Name of the code value that gives them.
        flows: The lengths, nearest the source first.
    """

    book: Codebook
    ident: str
    volts_value: str
    flows: tuple[Flow, ...]


@lru_cache(maxsize=8192)
def drop_percent(case: DropCase) -> Step:
    """Voltage lost along a path in percent of the nominal volts [%].

    The part along the voltage is the sum of I (R cos(phi) + X sin(phi)), the part across it the sum of
    I (X cos(phi) - R sin(phi)); what is left is the square root of (V - along)^2 + across^2. Not known where a length,
    a size or a current on the way has no upper end.
    """
    ident, entry = case.ident, case.book.value(case.volts_value)
    along: list[Step] = []
    lead: list[Step] = []
    lag: list[Step] = []
    for flow in case.flows:
        for name, parts in zip(("along", "lead", "lag"), (along, lead, lag), strict=True):
            parts += _terms(f"{ident}/{flow.length.ident}/{name}", segment(case.book, flow.length), flow, name)
    volts = build.given(f"{ident}/volts", "flow.volts", entry.number, "V", entry.cite)
    lost_along = build.total(f"{ident}/along", "flow.drop_along", along, unit="V")
    if lost_along.value.high is None:
        unknown = build.fact(ident, "flow.drop_percent", UNKNOWN, "%", "", assumed=lost_along.all_assumed())
        return replace(unknown, missing=lost_along.all_missing())
    across = build.apart(f"{ident}/across", "flow.drop_across", build.total(f"{ident}/lead", "flow.drop_lead", lead,
                         unit="V"), build.total(f"{ident}/lag", "flow.drop_lag", lag, unit="V"))  # fmt: skip
    straight = build.minus(f"{ident}/straight", "flow.volts_straight", volts, lost_along, unit="V")
    left = build.hypotenuse(f"{ident}/left", "flow.volts_left", (straight, across), unit="V")
    lost = build.minus(f"{ident}/lost", "flow.volts_lost", volts, left, unit="V")
    share = build.quotient(f"{ident}/share", "flow.drop_share", lost, volts, unit="", inline=True)
    hundred = build.given("flow/hundred", "flow.hundred_percent", 100, "%", None)
    return build.product(ident, said("flow.drop_percent"), (share, hundred), unit="%")


def _terms(ident: str, length: Segment, flow: Flow, part: str) -> list[Step]:
    """Volts that one length loses in one direction: current times resistance or reactance times cosine or sine.

    `along` is I R cos and I X sin, `lead` is I X cos, `lag` is I R sin.
    """
    cosine, sine = _angle(flow.length.ident, flow.factor)
    over_neutral = flow.neutral is not None
    ways: list[tuple[Step, Step, Sequence[Step]]] = []
    for which, amperes in (("leg", flow.leg), ("neutral", flow.neutral)):
        if amperes is None:
            continue
        r = length.leg_r if which == "leg" else length.neutral_r
        x = length.leg_x if which == "leg" else length.neutral_x
        current = amperes.step(f"{flow.length.ident}/{which}_a")
        both = () if over_neutral else (build.given("flow/both", "flow.both_legs", 2, "", None),)
        if part == "along":
            ways += [(r, cosine, (current, *both)), (x, sine, (current, *both))]
        else:
            ways += [(x, cosine, (current, *both))] if part == "lead" else [(r, sine, (current, *both))]
    return [
        build.product(f"{ident}/{n}", said("flow.volts_of", thing=flow.length.what), (*rest, ohm, turn), unit="V")
        for n, (ohm, turn, rest) in enumerate(ways)
        if turn.value.high != 0
    ]


@lru_cache(maxsize=256)
def _angle(ident: str, factor: Factor) -> tuple[Step, Step]:
    """Cosine and sine of the angle by which the current lags."""
    assumed = () if factor.known else (POWER_FACTOR_80,)
    cosine = build.fact(f"{ident}/power_factor", "flow.power_factor", Interval(factor.low, factor.high), "", "",
                        assumed=assumed, inline=True)  # fmt: skip
    one = build.given("flow/one", "flow.one", 1, "", None)
    return cosine, build.triangle_leg(f"{ident}/sine", "flow.sine", one, cosine, inline=True)
