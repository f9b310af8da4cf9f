"""What a generator gives: its current, its voltage when a motor starts, and the order in which loads may start."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

FEET_STEP, FEET_PERCENT = 1000.0, 3.5
DEGREES_STEP, DEGREES_PERCENT = 10.0, 1.0


def current_a(power_w: float, volts: float, power_factor: float = 1.0) -> float:
    """Current of a single-phase set [A]: P / (V cos).

    Verified:
        tests/published/circuits_and_sources.json: GEN-04 (48 kW at 240 V is 200 A; the print says 220), GEN-05.
    Example:
        >>> current_a(48000, 240)
        200.0
    """
    return power_w / (volts * power_factor)


def starting_kva(locked_a: float, volts: float) -> float:
    """Apparent power of a motor at the moment it starts [kVA], single-phase: LRA times V.

    Example:
        >>> starting_kva(100, 240)
        24.0
    """
    return locked_a * volts / 1000


def starting_kva_by_letter(hp: float, kva_per_hp: float) -> float:
    """Apparent power of a motor at the moment it starts [kVA], by its code letter."""
    return hp * kva_per_hp


def voltage_dip(
    start_kva: float, rated_kva: float, reactance: float, *, start_power_factor: float = 0.0, preload: complex = 0j
) -> float:
    """How far the voltage drops when a motor starts, as a share of the voltage before.

    With s = S_start / S_rated and X the transient reactance: purely reactive and without load before,
    dip = s X / (1 + s X). A power factor turns the motor's admittance; a load before is in parallel, and the voltage
    with it is what the dip is counted from.

    Args:
        start_kva: Of the motor [kVA].
        rated_kva: Of the set [kVA].
        reactance: X'd per unit (25 % is 0.25).
        start_power_factor: Of the motor as it starts, 0 to 1; 0.3 to 0.5 is common.
        preload: Admittance of what runs already, per unit of the set (P - jQ over its rating).
    Returns:
        Share, 0 to 1.
    Verified:
        tests/published/circuits_and_sources.json: GEN-09 (constructed), 0.2143.
    Example:
        >>> round(voltage_dip(24, 22, 0.25), 4)
        0.2143
    """
    s = start_kva / rated_kva
    motor = complex(s * start_power_factor, -s * sqrt(1 - start_power_factor**2))
    before = _share_left(preload, reactance)
    return 1 - _share_left(preload + motor, reactance) / before


def _share_left(admittance: complex, reactance: float) -> float:
    """Voltage behind a reactance on an admittance, as a share of the source's."""
    return 1 / abs(1 + admittance * complex(0, reactance))


def largest_start_kva(dip: float, rated_kva: float, reactance: float) -> float:
    """Largest reactive start for a chosen dip, nothing running before [kVA]: s = d / ((1 - d) X).

    Example:
        >>> round(largest_start_kva(0.2143, 22, 0.25), 1)
        24.0
    """
    return rated_kva * dip / ((1 - dip) * reactance)


def needed_va(running_va: Sequence[float], starting_va: Sequence[float]) -> float:
    """What a set must give when loads start one after another [VA]: the most of what runs before and the next start.

    Args:
        running_va: Of each load, in the order they start [VA].
        starting_va: Of each as it starts; its running figure where it has no surge [VA].
    Example:
        >>> needed_va([1000, 2000, 500], [1000, 6000, 500])
        7000.0
    """
    most, runs = 0.0, 0.0
    for running, starting in zip(running_va, starting_va, strict=True):
        most = max(most, runs + starting)
        runs += running
    return max(most, runs)


def derated_w(power_w: float, altitude_ft: float, air_f: float, *, base_ft: float = 0.0, base_f: float = 77.0) -> float:
    """What a set gives high up and in the heat [W]: 3.5 % less for each 1000 ft, 1 % for each 10 F.

    Figures from memory, for a first look; the maker's data decide.
    """
    high = max(altitude_ft - base_ft, 0.0) / FEET_STEP * FEET_PERCENT
    hot = max(air_f - base_f, 0.0) / DEGREES_STEP * DEGREES_PERCENT
    return power_w * max(1 - high / 100, 0.0) * max(1 - hot / 100, 0.0)
