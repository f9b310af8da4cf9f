"""Current transformers: ratio and phase error from exciting current and burden, what these do to watts."""

from __future__ import annotations

from collections.abc import Sequence
from math import acos, atan2, copysign, cos, hypot, sin, sqrt, tan


def actual_ratio(
    turns: float, secondary_a: float, core_loss_a: float, magnetizing_a: float, burden_angle: float = 0.0
) -> float:
    """Primary over secondary current as it truly is: turns, and the part of the exciting current in phase.

    R = n + (I_w cos d + I_m sin d) / I_s.

    Args:
        turns: Turns ratio n.
        secondary_a: Secondary current I_s [A].
        core_loss_a, magnetizing_a: Exciting current, its two parts, on the primary side [A].
        burden_angle: Angle d of secondary winding and burden [rad], positive where the current lags.
    Verified:
        tests/published: CT-01, and CT-02 whose print is wrong.
    Example:
        >>> f"{actual_ratio(200, 5, 0.4, 0.9165):.2f}"
        '200.08'
    """
    return turns + (core_loss_a * cos(burden_angle) + magnetizing_a * sin(burden_angle)) / secondary_a


def ratio_error_percent(nominal: float, actual: float) -> float:
    """How far the current told by the nominal ratio is off the true one [%], negative where it reads low."""
    return 100 * (nominal - actual) / actual


def phase_error(
    turns: float, secondary_a: float, core_loss_a: float, magnetizing_a: float, burden_angle: float = 0.0
) -> float:
    """Angle by which the secondary current, turned round, leads the primary [rad].

    theta = (I_m cos d - I_w sin d) / (n I_s), for small angles. Arguments as in `actual_ratio`.

    Example:
        >>> f"{phase_error(200, 5, 0.4, 0.916515):.6f}"
        '0.000917'
    """
    return (magnetizing_a * cos(burden_angle) - core_loss_a * sin(burden_angle)) / (turns * secondary_a)


def power_error_percent(angle: float, power_factor: float) -> float:
    """How far watts are off by a phase error, for a lagging load whose current is told to lead by that angle [%].

    P'/P = cos(phi - theta) / cos(phi): about theta tan(phi), nothing at unity, much at a poor power factor.

    Args:
        angle: Phase error [rad].
        power_factor: Of the load, above 0, lagging.
    Example:
        >>> [f"{power_error_percent(0.0174533, pf):.1f}" for pf in (0.9, 0.7, 0.5, 0.2)]
        ['0.8', '1.8', '3.0', '8.5']
    """
    phi = acos(power_factor)
    return 100 * (cos(phi - angle) / power_factor - 1)


def angle_by_heater(watts: float, reactive_var: float) -> float:
    """Phase error told by a known resistive load: its var should be zero [rad]."""
    return atan2(reactive_var, watts)


def wye_doubling_error_percent(power_factor: float) -> float:
    """How far one doubled leg of a load between two legs of a wye is off [%]: tan(phi) / sqrt(3), above or below."""
    return 100 * tan(acos(power_factor)) / sqrt(3)


def split_doubling_error_percent(volts_1: float, volts_2: float) -> float:
    """How far one doubled leg of a load without neutral is off in split phase [%]: (V1 - V2) / (V1 + V2)."""
    return 100 * (volts_1 - volts_2) / (volts_1 + volts_2)


def burden_va(secondary_a: float, loop_ohm: float, input_ohm: float) -> float:
    """What leads, out and back, and input put on a current output [VA]."""
    return secondary_a**2 * (loop_ohm + input_ohm)


def registration_percent(shown: Sequence[float], true: Sequence[float]) -> float:
    """What a meter of several elements shows of what is true, all elements added [%]."""
    return 100 * sum(shown) / sum(true)


def two_element_reversed_percent(power_factor: float) -> float:
    """What a two-element meter of a three-wire balanced load shows with one CT turned round [%]: tan(phi) / sqrt(3)."""
    phi = acos(power_factor)
    elements = (cos(phi - 0.5235987755982988), cos(phi + 0.5235987755982988))
    return registration_percent((elements[0], -elements[1]), elements)


def true_energy(registered: float, accuracy_percent: float) -> float:
    """Energy that passed a meter of known accuracy: what it registered, over its accuracy."""
    return registered * 100 / accuracy_percent


def sampled_power(volts: Sequence[float], amperes: Sequence[float]) -> tuple[float, float, float]:
    """Watts, volt-amperes and power factor from samples over whole cycles: mean of products, product of rms.

    Raises:
        ValueError: no samples, or not as many of one as of the other.
    Source:
        IEEE 1459, in our own words.
    """
    if not volts or len(volts) != len(amperes):
        raise ValueError("samples of volts and amperes must be as many, and some")  # words-ok
    count = len(volts)
    watts = sum(v * i for v, i in zip(volts, amperes, strict=True)) / count
    apparent = hypot(*volts) * hypot(*amperes) / count
    factor = copysign(abs(watts) / apparent, watts) if apparent else 0.0
    return watts, apparent, factor
