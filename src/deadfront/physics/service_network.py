"""A service as a network of nodes: transformer, then lengths of three conductors; split phase or two legs of a wye."""

from __future__ import annotations

from cmath import exp, pi
from dataclasses import dataclass

from deadfront.physics.nodal import Network
from deadfront.physics.transformers import interlaced_matrix, primary_impedance, winding_impedance

SPLIT_PHASE_V = 120.0


@dataclass(frozen=True, slots=True)
class Length:
    """One length of conductors from a place to the next.

    Args:
        line: Place at its line side, such as "transformer".
        load: Place at its load side.
        leg: Impedance of one ungrounded conductor over the length [ohm].
        neutral: Impedance of the neutral [ohm]; None: it is open.
    """

    line: str
    load: str
    leg: complex
    neutral: complex | None


def split_phase(
    kva: float, impedance_percent: float, x_over_r: float, *, primary_mva: float | None = None, taps_v: float = 120.0
) -> Network:
    """A transformer of 120/240 V, its legs at "transformer.L1" and ".L2", its neutral the reference."""
    net = Network("transformer.N")
    full = winding_impedance(kva, 2 * SPLIT_PHASE_V, impedance_percent, x_over_r)
    ports = [("transformer.L1", "transformer.N"), ("transformer.N", "transformer.L2")]
    matrix = interlaced_matrix(full, primary_impedance(2 * SPLIT_PHASE_V, primary_mva))
    net.coupled(ports, matrix, [complex(taps_v), complex(taps_v)])
    return net


def wye(
    kva: float, impedance_percent: float, x_over_r: float, *, primary_mva: float | None = None, legs: int = 2
) -> Network:
    """A transformer of 208Y/120 V, its legs at "transformer.L1" to ".L3"; zero sequence as positive sequence."""
    net = Network("transformer.N")
    line_v = SPLIT_PHASE_V * 3**0.5
    ohm = winding_impedance(kva, line_v, impedance_percent, x_over_r) + primary_impedance(line_v, primary_mva)
    for leg in range(legs):
        volts = SPLIT_PHASE_V * exp(-2j * pi * leg / 3)
        net.coupled([(f"transformer.L{leg + 1}", "transformer.N")], [[ohm]], [volts])
    return net


def add_length(net: Network, length: Length, legs: int = 2) -> None:
    """Add one length of conductors to a network."""
    for leg in range(1, legs + 1):
        net.impedance(f"{length.line}.L{leg}", f"{length.load}.L{leg}", length.leg)
    if length.neutral is not None:
        net.impedance(f"{length.line}.N", f"{length.load}.N", length.neutral)
