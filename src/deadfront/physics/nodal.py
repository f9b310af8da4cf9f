"""Voltages at every place of a small network by node equations: sources, conductors, loads, faults, an open neutral.

A node is a text such as "panel.L1"; the reference node is at zero volts. All voltages and currents are rms phasors.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from deadfront.errors import NoSolution
from deadfront.physics.linear import Factored, Matrix, factored, inverse

LoadKind = Literal["impedance", "current", "power"]
_CLOSE_V = 1e-9
_MOST_ROUNDS = 200


@dataclass(frozen=True, slots=True)
class NodeLoad:
    """A load between two nodes: what it draws at its rated volts, and what it keeps when the volts change.

    Args:
        a, b: Nodes it hangs between.
        va: Complex power at rated volts, reactive part positive for a motor [VA].
        volts: Rated [V].
        kind: Keeps its impedance, its current (at its power factor) or its power.
    """

    a: str
    b: str
    va: complex
    volts: float
    kind: LoadKind = "impedance"


@dataclass(slots=True)
class Network:
    """A network being put together; `solved` and `fault_current` ask it.

    Args:
        reference: The node at zero volts, such as "transformer.N".
    """

    reference: str
    nodes: dict[str, int] = field(default_factory=dict)
    entries: dict[tuple[int, int], complex] = field(default_factory=dict)
    injected: dict[int, complex] = field(default_factory=dict)
    loads: list[NodeLoad] = field(default_factory=list)

    def _at(self, node: str) -> int:
        return -1 if node == self.reference else self.nodes.setdefault(node, len(self.nodes))

    def _add(self, row: int, column: int, admittance: complex) -> None:
        if row >= 0 and column >= 0:
            self.entries[row, column] = self.entries.get((row, column), 0j) + admittance

    def impedance(self, a: str, b: str, ohm: complex) -> None:
        """Join two nodes by an impedance [ohm], which may not be zero."""
        self.coupled([(a, b)], [[ohm]])

    def coupled(self, ports: Sequence[tuple[str, str]], ohm: Matrix, source_volts: Sequence[complex] = ()) -> None:
        """Join pairs of nodes by impedances that act on each other, with a source in each where given.

        From a to b each port is its source less what its own and the others' currents drop in the impedances:
        v = source - Z i, the currents flowing out at a.

        Args:
            ports: Pairs (a, b).
            ohm: Square matrix Z [ohm].
            source_volts: One voltage for each port [V]; none: no sources.
        """
        admittance = inverse(ohm)
        pairs = [(self._at(a), self._at(b)) for a, b in ports]
        for row, (a, b) in zip(admittance, pairs, strict=True):
            for y, (c, d) in zip(row, pairs, strict=True):
                for place, sign in ((a, y), (b, -y)):
                    self._add(place, c, sign)
                    self._add(place, d, -sign)
            drive = sum((y * v for y, v in zip(row, source_volts, strict=False)), 0j)
            self._inject(a, drive)
            self._inject(b, -drive)

    def _inject(self, at: int, amperes: complex) -> None:
        if at >= 0:
            self.injected[at] = self.injected.get(at, 0j) + amperes

    def load(self, a: str, b: str, va: complex, volts: float, kind: LoadKind = "impedance") -> None:
        """Hang a load between two nodes; see NodeLoad."""
        if va and kind == "impedance":
            self.impedance(a, b, volts * volts / va.conjugate())
        elif va:
            self._at(a), self._at(b)
            self.loads.append(NodeLoad(a, b, va, volts, kind))

    def _ready(self) -> Factored:
        size = len(self.nodes)
        return factored([[self.entries.get((row, column), 0j) for column in range(size)] for row in range(size)])

    def solved(self) -> dict[str, complex]:
        """Voltage of every node against the reference [V].

        Loads of constant current or power are found by repeating: currents from the last voltages, voltages anew.

        Raises:
            NoSolution: a node hangs in the air, or a load of constant power asks for more than the network can give.
        """
        ready = self._ready()
        fixed = [self.injected.get(at, 0j) for at in range(len(self.nodes))]
        volts = ready.solve(fixed)
        for _ in range(_MOST_ROUNDS if self.loads else 0):
            right = list(fixed)
            for load in self.loads:
                a, b = self._at(load.a), self._at(load.b)
                amperes = _drawn(load, _volts(volts, a) - _volts(volts, b))
                for at, sign in ((a, -amperes), (b, amperes)):
                    if at >= 0:
                        right[at] += sign
            last, volts = volts, ready.solve(right)
            if max(abs(new - old) for new, old in zip(volts, last, strict=True)) < _CLOSE_V:
                break
        else:
            if self.loads:
                raise NoSolution("physics.no_voltage_carries_it", rounds=_MOST_ROUNDS)
        return {self.reference: 0j, **{name: volts[at] for name, at in self.nodes.items()}}

    def impedance_between(self, a: str, b: str) -> complex:
        """Impedance seen between two nodes with every source taken as a short [ohm].

        Loads of constant current or power do not count; one of constant impedance does.
        """
        right = [0j] * len(self.nodes)
        for node, amperes in ((a, 1 + 0j), (b, -1 + 0j)):
            if (at := self._at(node)) >= 0:
                right[at] += amperes
        volts = self._ready().solve(right)
        return _volts(volts, self._at(a)) - _volts(volts, self._at(b))

    def fault_current(self, a: str, b: str) -> float:
        """Current of a bolted fault between two nodes [A]: the voltage there before, over the impedance seen there."""
        before = self.solved()
        return abs((before[a] - before[b]) / self.impedance_between(a, b))


def _volts(volts: Sequence[complex], at: int) -> complex:
    return volts[at] if at >= 0 else 0j


def _drawn(load: NodeLoad, volts: complex) -> complex:
    """The current a load of constant current or power draws at a voltage [A]."""
    if not volts:
        raise NoSolution("physics.no_voltage_carries_it", rounds=0)
    if load.kind == "power":
        return (load.va / volts).conjugate()
    return (load.va / load.volts).conjugate() * volts / abs(volts)


def branch_current(volts: Mapping[str, complex], a: str, b: str, ohm: complex) -> complex:
    """Current from one node to another through an impedance without source or coupling [A]."""
    return (volts[a] - volts[b]) / ohm
