"""A house as nature has it: phasor volts, phasor currents, windows; written apart from the rules it tries.

Every load is an admittance's worth of complex power at the volts it stands on; the current of each conductor, of each
neutral and of the service follow by adding. A channel shows scale x turned x V x conj(sum of what is in its window).
"""

from __future__ import annotations

import cmath
import math
import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from deadfront.msg import said
from deadfront.results.proof import Conductor, LoadStep, ProofChannel, ProofPlan, Reading

SPLIT = {"L1": 120 + 0j, "L2": -120 + 0j}
WYE = {"L1": 120 + 0j, "L2": cmath.rect(120, math.radians(-120)), "L3": cmath.rect(120, math.radians(120))}
CIRCUITS: Mapping[str, tuple[str, ...]] = {
    "c-k1": ("L1",), "c-h2": ("L2",), "c-rg": ("L1", "L2"), "c-wh": ("L1", "L2"), "c-m1": ("L1",), "c-m2": ("L2",),
    "c-g1": ("L1",), "c-g2": ("L2",),
}  # fmt: skip
"""Circuits with their legs; c-m1 and c-m2 share a neutral."""
PARTNERS = {"c-m1": "c-m2", "c-m2": "c-m1"}
Member = tuple[str, str, int]
"""Something in a window: a circuit, "L1", "L2", "L3" or "N", and which way it passes: 1 or -1. A circuit may be
"service"."""


@dataclass
class Fitted:
    """How a channel truly is: what passes through it, turned or not, its voltage, its scale; doubled: watts only."""

    window: list[Member]
    turned: int = 1
    voltage: str = "L1"
    scale: float = 1.0
    doubled: bool = False


@dataclass
class Nature:
    """A house with what is drawn on each leg of each circuit [VA, complex]."""

    volts: Mapping[str, complex] = field(default_factory=lambda: SPLIT)
    drawn: dict[tuple[str, str], complex] = field(default_factory=dict)
    between: dict[str, float] = field(default_factory=dict)

    def current(self, circuit: str, leg: str) -> complex:
        """The current out of a hot, or in a neutral, away from the panel."""
        if circuit == "service":
            return sum((self.current(each, leg) for each, legs in CIRCUITS.items() if leg in legs), 0j)
        if leg == "N":
            own = [circuit, *([PARTNERS[circuit]] if circuit in PARTNERS else [])]
            return -sum((self.alone(each, each_leg) for each in own for each_leg in CIRCUITS[each]), 0j)
        return self.alone(circuit, leg) + self._across(circuit, leg)

    def alone(self, circuit: str, leg: str) -> complex:
        """Of what stands between that leg and neutral."""
        return (self.drawn.get((circuit, leg), 0j) / self.volts[leg]).conjugate()

    def _across(self, circuit: str, leg: str) -> complex:
        """Of a resistance between both legs: watts over volts, along the volts between them."""
        watts = self.between.get(circuit, 0.0)
        if not watts:
            return 0j
        first, second = CIRCUITS[circuit]
        volts = self.volts[first] - self.volts[second]
        current = watts / abs(volts) ** 2 * volts
        return current if leg == first else -current

    def power(self, fitted: Fitted) -> complex:
        """What a channel shows [VA]."""
        current = sum((way * self.current(circuit, leg) for circuit, leg, way in fitted.window), 0j)
        times = fitted.scale * (2 if fitted.doubled else 1) * fitted.turned
        return times * self.volts[fitted.voltage] * current.conjugate()

    def amperes(self, fitted: Fitted) -> float:
        """Amperes a channel shows: scaled, never doubled with the watts."""
        current = sum((way * self.current(circuit, leg) for circuit, leg, way in fitted.window), 0j)
        return abs(fitted.scale * current)


def plan_of(channels: Iterable[ProofChannel], *, wye: bool = False) -> ProofPlan:
    """The plan of this house."""
    paths: dict[Conductor, tuple[Conductor, ...]] = {}
    legs = WYE if wye else SPLIT
    for leg in legs:
        paths[Conductor("service", leg)] = (Conductor("service", leg),)
    for circuit, its in CIRCUITS.items():
        for leg in its:
            paths[Conductor(circuit, leg)] = (Conductor(circuit, leg), Conductor("service", leg))
    names = {each: said("thing.named", name=each) for each in (*CIRCUITS, "service")}
    return ProofPlan(tuple(channels), paths, names, wye, PARTNERS)


def planned(ident: str, of: str, leg: str, **more: object) -> ProofChannel:
    """A channel of the plan."""
    role = "mains" if of == "service" else "load"
    return ProofChannel(ident, said("thing.named", name=ident), Conductor(of, leg), leg, role=role, **more)  # type: ignore[arg-type]


@dataclass
class Walk:
    """A walk through the house: heaters switched on one after another, every channel read before and after.

    Args:
        watts: Of each step, by circuit.
        noise_w: Standard deviation of every reading; 0: whole watts.
        off: How far the true watts of a heater are off its nameplate, at most.
        var: Whether var is read.
        amperes: Whether a clamp meter is on.
    """

    watts: Mapping[str, float]
    volts: Mapping[str, complex] = field(default_factory=lambda: SPLIT)
    noise_w: float = 0.0
    off: float = 0.0
    var: bool = False
    amperes: bool = False
    seed: int = 1

    def taken(self, fitted: Mapping[str, Fitted], background: Mapping[tuple[str, str], complex] | None = None
              ) -> list[LoadStep]:  # fmt: skip
        """The steps as an electrician types them."""
        chance = random.Random(self.seed)
        return [self._step(circuit, watts, fitted, background or {}, chance) for circuit, watts in self.watts.items()]

    def _step(
        self, circuit: str, watts: float, fitted: Mapping[str, Fitted], background: Mapping[tuple[str, str], complex],
        chance: random.Random,
    ) -> LoadStep:  # fmt: skip
        before, after = Nature(self.volts, dict(background)), Nature(self.volts, dict(background))
        legs, true = CIRCUITS[circuit], watts * (1 + self.off * chance.uniform(-1, 1))
        if len(legs) == 1:
            after.drawn[circuit, legs[0]] = after.drawn.get((circuit, legs[0]), 0j) + true
        else:
            after.between[circuit] = true
        clamp = abs(after.alone(circuit, legs[0]) + after._across(circuit, legs[0]))
        readings = tuple(self._reading(ident, each, before, after, chance) for ident, each in fitted.items())
        return LoadStep(
            circuit, legs, Decimal(str(round(watts))), readings,
            clamp_a=_typed(clamp, 1) if self.amperes else None,
            noise_w=Decimal(str(self.noise_w)) if self.noise_w else None,
        )  # fmt: skip

    def _reading(self, ident: str, fitted: Fitted, before: Nature, after: Nature, chance: random.Random) -> Reading:
        def seen(value: float) -> Decimal:
            return _typed(value + (chance.gauss(0, self.noise_w) if self.noise_w else 0), 0)

        one, two = before.power(fitted), after.power(fitted)
        more = (seen(one.imag), seen(two.imag)) if self.var else (None, None)
        shown = (_typed(before.amperes(fitted), 1), _typed(after.amperes(fitted), 1)) if self.amperes else (None, None)
        return Reading(ident, seen(one.real), seen(two.real), *more, *shown)


def _typed(value: float, digits: int) -> Decimal:
    return Decimal(f"{value:.{digits}f}")


def whole(values: Sequence[complex]) -> tuple[tuple[int, int], ...]:
    """Powers as whole watts and var, to tell which readings are alike."""
    return tuple((round(each.real), round(each.imag)) for each in values)
