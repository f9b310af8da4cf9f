"""Current of the neutral, and what a lost neutral does to the voltages of both legs."""

from __future__ import annotations

from cmath import exp, pi
from collections.abc import Sequence
from math import acos, hypot, sqrt

SYSTEMS = {"120/240 1ph 3w": (0.0, pi), "208Y/120 1ph 3w": (0.0, -2 * pi / 3),
           "208Y/120 3ph 4w": (0.0, -2 * pi / 3, 2 * pi / 3)}  # fmt: skip


def neutral_current(system: str, currents_a: Sequence[float], power_factors: Sequence[float] = ()) -> float:
    """Current of the neutral from the loads between each leg and neutral [A]: the phasor sum of the legs.

    I_N = | sum of I_k at (leg angle - phi_k) |. Loads between legs do not count.

    Args:
        system: "120/240 1ph 3w", "208Y/120 1ph 3w" or "208Y/120 3ph 4w".
        currents_a: Current of the leg-to-neutral load of each leg [A].
        power_factors: Lagging power factor of each; none: unity.
    Example:
        >>> f"{neutral_current('120/240 1ph 3w', (40, 30), (1, 0.8)):.1f}"
        '24.1'
    """
    angles = SYSTEMS[system]
    factors = power_factors or (1.0,) * len(currents_a)
    turned = zip(currents_a, angles, factors, strict=True)
    return abs(sum((amperes * exp(1j * (angle - acos(pf))) for amperes, angle, pf in turned), 0j))


def triplen_neutral_current(triplen_a: Sequence[float]) -> float:
    """Current of the neutral of a balanced wye from harmonics of orders 3, 9, 15 ... of one phase [A]: they add.

    I_N = 3 sqrt(I3^2 + I9^2 + ...).

    Source:
        G. M. Masters, Renewable and Efficient Electric Power Systems, example 2.13.
    Example:
        >>> f"{triplen_neutral_current((50, 8)):.1f}"
        '151.9'
    """
    return 3 * hypot(*triplen_a)


def open_neutral_volts(
    load_1_ohm: complex, load_2_ohm: complex, volts: float = 240.0, neutral_ohm: complex | None = None
) -> tuple[float, float]:
    """Voltages of the two legs' loads with the neutral lost or bad [V]: the lighter load takes the higher voltage.

    Node equation at the neutral point: V_nn = (V/2)(Y1 - Y2)/(Y1 + Y2 + 1/Z_n), V1 = V/2 - V_nn, V2 = V/2 + V_nn.

    Args:
        load_1_ohm, load_2_ohm: Impedance of all loads on L1 and on L2.
        volts: Between the legs [V].
        neutral_ohm: Impedance that is left of the neutral; None: it is open.
    Example:
        >>> [f"{each:.1f}" for each in open_neutral_volts(11.2941, 144)]
        ['17.5', '222.5']
    """
    y1, y2 = 1 / load_1_ohm, 1 / load_2_ohm
    shift = volts / 2 * (y1 - y2) / (y1 + y2 + (0 if neutral_ohm is None else 1 / neutral_ohm))
    return abs(volts / 2 - shift), abs(volts / 2 + shift)


def effective_current(parts_a: Sequence[float]) -> float:
    """Effective value of a current from its fundamental and harmonics [A]: root of the sum of squares."""
    return sqrt(sum(each * each for each in parts_a))
