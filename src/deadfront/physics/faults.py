"""Fault currents in closed form by complex impedance, and by the point-to-point method for comparison.

The point-to-point method adds magnitudes where complex impedances ought to be added. It gives a little too little
current, which is the unsafe side for an interrupting rating: no answer of this program rests on it.
"""

from __future__ import annotations

from math import sqrt

from deadfront.physics.transformers import half_winding_impedance


def line_to_line_current(full_winding: complex, leg: complex = 0j, primary: complex = 0j, volts: float = 240) -> float:
    """Fault current from leg to leg of a split-phase service [A]: V / |Z_s + Z_T + 2 Z_leg|.

    Args:
        full_winding: Transformer seen at 240 V [ohm].
        leg: One ungrounded conductor from the transformer to the fault [ohm].
        primary: The utility's primary seen at 240 V [ohm].
    Source:
        IEEE Std 242.
    """
    return volts / abs(primary + full_winding + 2 * leg)


def line_to_neutral_current(
    full_winding: complex, leg: complex = 0j, neutral: complex = 0j, primary: complex = 0j, volts: float = 120
) -> float:
    """Fault current from leg to neutral of a split-phase service [A]: V / |Z_s/4 + Z_half + Z_leg + Z_neutral|."""
    return volts / abs(primary / 4 + half_winding_impedance(full_winding) + leg + neutral)


def three_phase_current(volts: float, ohm: complex) -> float:
    """Fault current of three phases [A]: V / (sqrt(3) |Z|), V between lines, Z of one phase.

    Example:
        >>> f"{three_phase_current(230, 0.001564 + 0.004691j):.0f}"
        '26854'
    """
    return volts / (sqrt(3) * abs(ohm))


def terminal_current(kva: float, volts: float, impedance_percent: float, phases: int = 1) -> float:
    """Fault current at a transformer's terminals with a primary that has no limit [A]: full load over per-unit Z.

    Example:
        >>> f"{terminal_current(500, 480, 5.75, 3):.0f}"
        '10459'
    """
    return 1000 * kva / (volts * (sqrt(3) if phases == 3 else 1)) * 100 / impedance_percent


def point_to_point_current(
    current_a: float, volts: float, length_ft: float, constant: float, sets: int = 1, phases: int = 1
) -> float:
    """Fault current at the far end of a run by the point-to-point method [A]; for comparison, see the module.

    f = 2 L I / (C n V), sqrt(3) in place of 2 for three phases; I / (1 + f).

    Args:
        current_a: At the near end [A]: leg to leg with 240 V, leg to neutral with 120 V, never mixed.
        constant: C = 1000 / |Z per 1000 ft| of one conductor.
    """
    f = (sqrt(3) if phases == 3 else 2) * length_ft * current_a / (constant * sets * volts)
    return current_a / (1 + f)


def conductor_constant(ohm_per_kft: complex) -> float:
    """The C of the point-to-point method from Table 9 [1/ohm-ft].

    Example:
        >>> f"{conductor_constant(0.10 + 0.041j):.0f}"
        '9253'
    """
    return 1000 / abs(ohm_per_kft)
