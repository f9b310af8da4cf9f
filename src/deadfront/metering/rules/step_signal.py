"""Load steps as signals: what each conductor carried, what each channel showed, how sure that is."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from deadfront.results.proof import Conductor, LoadStep, ProofPlan, Reading

ROUNDING = 1 / math.sqrt(12)
"""Standard deviation of a rounded reading, in units of its last digit."""
SIGMAS = 5.0
"""A step is of use from so many standard deviations of a difference of two readings."""
NOTHING = 0.05
"""Below this part of a step a channel is taken to show nothing: sagging volts move other loads by less."""
USUAL_PERCENT, CLAMPED_PERCENT = Decimal(10), Decimal(5)
"""How far the watts of a known load may be off: by nameplate, by clamp meter and volts."""
CLAMP_SHARE = 0.25
"""How far the amperes of a clamp may be off watts over volts: low volts, the heater itself, the clamp."""
LEG_V, PAIR_V = 120.0, {False: (240.0,), True: (208.0,), None: (240.0, 208.0)}
ANGLES = {"L1": 0.0, "L2": -120.0, "L3": 120.0}


def phasor(leg: str, *, wye: bool) -> complex:
    """The voltage of a leg as a direction: L2 stands against L1 in split phase, 120 degrees behind it in a wye."""
    if not wye:
        return -1 + 0j if leg == "L2" else 1 + 0j
    return cmath.rect(1, math.radians(ANGLES[leg]))


@dataclass(frozen=True, slots=True)
class Stepped:
    """One step.

    Args:
        true: What each conductor carried of it [VA, complex: watts and var].
        size: Its watts on one leg.
        shown: What each channel showed of it; var is zero where it was not read.
        noise: Standard deviation of that, by channel.
        share: How far its watts may be off.
        with_var: Channels whose var was read.
        clamped: A clamp meter saw it flow; not where its amperes cannot be that load.
        amperes: Shown amperes over those of the clamp, by channel, where both were read and little else flowed.
    """

    true: Mapping[Conductor, complex]
    size: float
    shown: Mapping[str, complex]
    noise: Mapping[str, float]
    share: float
    with_var: frozenset[str]
    clamped: bool
    amperes: Mapping[str, float]


def amperes_of(step: LoadStep, *, wye: bool | None) -> tuple[float, ...]:
    """Amperes that the watts of a resistive load come to; two where it is not known what stands between the legs."""
    volts = PAIR_V[wye] if len(step.legs) > 1 else (LEG_V,)
    return tuple(abs(float(step.watts)) / each for each in volts)


def clamp_fits(step: LoadStep, *, wye: bool | None) -> bool:
    """Whether what a clamp meter showed can be the load that is told; True without a clamp."""
    if step.clamp_a is None:
        return True
    shown, digit = abs(float(step.clamp_a)), _last_digit(step.clamp_a)
    return any(abs(shown - each) <= CLAMP_SHARE * each + digit for each in amperes_of(step, wye=wye))


def stepped(plan: ProofPlan, step: LoadStep) -> Stepped:
    """A step as typed, turned into signals."""
    true: dict[Conductor, complex] = {}
    for conductor, power in _powers(step, wye=bool(plan.wye)):
        for each in plan.paths.get(conductor, (conductor,)):
            true[each] = true.get(each, 0j) + power
    shown = {each.channel: _difference(each) for each in step.readings}
    noise = {each.channel: _noise(step, each) for each in step.readings}
    fits = clamp_fits(step, wye=plan.wye)
    usual = CLAMPED_PERCENT if step.clamp_a is not None and fits else USUAL_PERCENT
    share = float(step.percent if step.percent is not None else usual) / 100
    with_var = frozenset(each.channel for each in step.readings if each.before_var is not None is not each.after_var)
    size = abs(float(step.watts)) / max(len(step.legs), 1)
    amperes = dict(_amperes(step)) if fits else {}
    return Stepped(true, size, shown, noise, share, with_var, step.clamp_a is not None and fits, amperes)


def _powers(step: LoadStep, *, wye: bool) -> Iterator[tuple[Conductor, complex]]:
    """What each leg of a resistive load carries: half of it on each of two; in a wye with var of opposite signs."""
    watts = float(step.watts)
    if len(step.legs) == 1:
        yield Conductor(step.circuit, step.legs[0]), complex(watts)
        return
    first, second = (phasor(leg, wye=wye) for leg in step.legs[:2])
    across = first - second
    current = watts / abs(across) * (across / abs(across))
    yield Conductor(step.circuit, step.legs[0]), first * current.conjugate()
    yield Conductor(step.circuit, step.legs[1]), second * (-current).conjugate()


def _difference(reading: Reading) -> complex:
    watts = float(reading.after_w - reading.before_w)
    if reading.before_var is None or reading.after_var is None:
        return complex(watts)
    return complex(watts, float(reading.after_var - reading.before_var))


def _noise(step: LoadStep, reading: Reading) -> float:
    """Of a difference of two readings: as typed, and never less than their last digit allows."""
    digits = max(_last_digit(reading.before_w), _last_digit(reading.after_w)) * ROUNDING
    return math.sqrt(2) * max(float(step.noise_w or 0), digits)


def _last_digit(value: Decimal) -> float:
    exponent = value.as_tuple().exponent
    return float(10.0**exponent) if isinstance(exponent, int) else 1.0


def _amperes(step: LoadStep) -> Iterator[tuple[str, float]]:
    """Shown over true amperes; only where next to nothing flowed before, for currents out of phase do not subtract."""
    for each in step.readings:
        if not step.clamp_a or each.before_a is None or each.after_a is None:
            continue
        if abs(each.before_a) <= Decimal("0.03") * abs(each.after_a):
            yield each.channel, float(abs(each.after_a) / abs(step.clamp_a))


def of_use(steps: Sequence[Stepped]) -> list[Stepped]:
    """The steps that moved something: one that no channel shows, and no clamp meter saw, proves nothing."""
    return [each for each in steps if each.clamped or any(shows(each, channel) for channel in each.shown)]


def large_enough(step: Stepped, channel: str) -> bool:
    """Whether a step stands out of the noise of a channel."""
    return step.size >= SIGMAS * step.noise[channel]


def shows(step: Stepped, channel: str) -> bool:
    """Whether a channel shows a step at all."""
    least = max(SIGMAS / 2 * step.noise[channel], NOTHING * step.size)
    return abs(step.shown[channel]) > least
