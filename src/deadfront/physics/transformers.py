"""The utility's transformer as impedances: full winding, half windings, three phases; and the primary behind it."""

from __future__ import annotations

from math import hypot

from deadfront.physics.linear import Matrix

HALF_R, HALF_X = 1.5, 1.2
_SHARES = ((0.5, 0.8), (1.0, 0.4))


def winding_impedance(kva: float, volts: float, impedance_percent: float, x_over_r: float) -> complex:
    """Impedance of a transformer seen at a voltage [ohm]: Z% of V^2/S, split by the ratio of reactance to resistance.

    Z = (Z%/100) V^2 / (1000 kVA);  R = Z / sqrt(1 + k^2);  X = k R.

    Args:
        kva: Rating [kVA].
        volts: Voltage it is seen at: 240 for the full winding; line to line for three phases.
        impedance_percent: Nameplate [%].
        x_over_r: Reactance over resistance, k.
    Source:
        IEEE Std 242.
    Example:
        >>> f"{240 / abs(winding_impedance(50, 240, 1.6, 1.5)):.0f}"
        '13021'
    """
    ohm = impedance_percent / 100 * volts * volts / (1000 * kva)
    r = ohm / hypot(1, x_over_r)
    return complex(r, r * x_over_r)


def half_winding_impedance(full_winding: complex) -> complex:
    """Impedance from one leg to neutral at the terminals [ohm]: 1.5 R and 1.2 X on the base of 120 V.

    Args:
        full_winding: Seen at 240 V [ohm].
    Source:
        IEEE Std 242; a textbook example (3.1).
    Example:
        >>> f"{half_winding_impedance(0.00522 + 0.00937j):.5f}"
        '0.00196+0.00281j'
    """
    return complex(HALF_R * full_winding.real / 4, HALF_X * full_winding.imag / 4)


def primary_impedance(volts: float, fault_mva: float | None) -> complex:
    """Impedance of the utility's primary, seen at a voltage [ohm]: reactance V^2/S, none where no limit is given."""
    return 0j if fault_mva is None else complex(0, volts * volts / (fault_mva * 1e6))


def interlaced_matrix(full_winding: complex, primary: complex = 0j) -> Matrix:
    """The two half windings as one matrix of impedances [ohm], ports L1 to N and N to L2.

    Z0 = 0.5 R + j 0.8 X is in the way of both, Z1 = Z2 = R + j 0.4 X of one each, all on the base of 120 V. From leg to
    leg this gives R + jX at 240 V, from leg to neutral 1.5 R + j 1.2 X at 120 V.

    Args:
        full_winding: Seen at 240 V [ohm].
        primary: The primary behind it, seen at 240 V [ohm].
    Source:
        Interlaced split of half windings (Kersting, IEEE Trans. Ind. Appl. 2009), values from memory.
    """
    base = full_winding / 4
    (r0, x0), (r1, x1) = _SHARES
    both = complex(r0 * base.real, x0 * base.imag) + primary / 4
    one = complex(r1 * base.real, x1 * base.imag)
    return [[both + one, both], [both, both + one]]
