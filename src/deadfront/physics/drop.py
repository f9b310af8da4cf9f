"""Voltage drop along conductors by four forms: exact phasors, effective impedance, direct current, the constant K."""

from __future__ import annotations

from math import sqrt

K_OHM_CMIL_FT = {"copper": 12.9, "aluminum": 21.2}
PER_OHM_C = {"copper": 0.00323, "aluminum": 0.00330}


def phasor_drop(volts: float, current_a: float, power_factor: float, ohm: complex) -> float:
    """Voltage lost between source and load, both as magnitudes [V]: |V| - |V - I Z|.

    Args:
        volts: At the source [V].
        current_a: Magnitude of the current [A].
        power_factor: Lagging, of the current against the source voltage.
        ohm: Impedance of the whole loop: both conductors [ohm].
    Example:
        >>> f"{phasor_drop(240, 48, 0.85, 0.2 * (0.49 + 0.051j)):.2f}"
        '4.25'
    """
    current = current_a * complex(power_factor, -sqrt(1 - power_factor * power_factor))
    return abs(volts) - abs(volts - current * ohm)


def effective_impedance(ohm: complex, power_factor: float) -> float:
    """The part of an impedance that counts for the drop at a power factor [ohm]: R cos(phi) + X sin(phi).

    Source:
        Chapter 9, Table 9, note on effective impedance.
    Example:
        >>> f"{effective_impedance(0.49 + 0.051j, 0.85):.2f}"
        '0.44'
    """
    return ohm.real * power_factor + ohm.imag * sqrt(1 - power_factor * power_factor)


def line_drop(current_a: float, length_ft: float, ohm_per_kft: float, phases: int = 1) -> float:
    """Voltage lost along a run by effective impedance or direct-current resistance [V].

    2 L I Z / 1000 for two conductors, sqrt(3) L I Z / 1000 between the lines of three phases.

    Args:
        length_ft: One way [ft].
        ohm_per_kft: Of one conductor [ohm/kft]: per 1000 feet, never per kilometer.
    Example:
        >>> f"{line_drop(4, 100, 4.99):.2f}"
        '3.99'
    """
    return (sqrt(3) if phases == 3 else 2) * length_ft * current_a * ohm_per_kft / 1000


def drop_by_constant(current_a: float, length_ft: float, area_cmil: float, constant: float = 12.9) -> float:
    """Voltage lost along two conductors by the constant of the metal [V]: 2 K I L / cmil.

    Args:
        constant: Ohm-circular-mils per foot: 12.9 for copper, 21.2 for aluminum, at 75 C.
    Example:
        >>> f"{drop_by_constant(24, 160, 10380):.2f}"
        '9.54'
    """
    return 2 * constant * current_a * length_ft / area_cmil


def resistance_at(ohm_at_75c: float, metal: str, conductor_c: float) -> float:
    """Resistance at another temperature of the conductor [ohm]: R (1 + a (t - 75)).

    Source:
        Chapter 9, Table 8, notes; coefficients from memory.
    """
    return ohm_at_75c * (1 + PER_OHM_C[metal] * (conductor_c - 75))
