"""The same service solved by OpenDSS: transformer with interlaced half windings, lengths with a neutral of their own.

Nothing here is shared with the program: impedances come in as plain numbers and leave as text for OpenDSS.
"""

from __future__ import annotations

from dataclasses import dataclass

from dss import DSS

STIFF_MVA = 1e9
MODEL = {"power": 1, "impedance": 2, "current": 5}


@dataclass(frozen=True)
class Load:
    """A load at a place: between legs 1 and 2 ("12") or a leg and neutral ("1N", "2N"); rated volts; what it keeps."""

    place: int
    between: str
    kw: float
    kvar: float
    volts: float
    kind: str


@dataclass(frozen=True)
class Service:
    """A transformer and the lengths of conductors after it, in ohms; `wye`: two legs of 208Y/120 V, `ohm` its phase."""

    kva: float
    r_percent: float
    x_percent: float
    primary_mva: float | None
    lengths: tuple[tuple[complex, complex], ...]
    loads: tuple[Load, ...] = ()
    wye: bool = False


@dataclass(frozen=True)
class Solved:
    """What OpenDSS found: volts across legs and neutral by place, amperes of L1, L2 and neutral by length."""

    volts: tuple[tuple[complex, complex, complex], ...]
    amperes: tuple[tuple[complex, complex, complex], ...]


class Solver:
    """One service in OpenDSS; the transformer is place 0, then one place after each length."""

    def __init__(self, service: Service) -> None:
        self.service = service
        self.say = DSS.Text
        self.circuit = DSS.ActiveCircuit
        self._build()

    def _run(self, text: str) -> None:
        self.say.Command = text

    def _build(self) -> None:
        s = self.service
        self._run("Clear")
        if s.wye:
            base = 0.208**2 * 1000 / s.kva
            r, x = s.r_percent / 100 * base, s.x_percent / 100 * base
            kv = 0.12 * 3**0.5
            self._run(
                f"New Circuit.home basekv={kv!r} pu=1 phases=3 bus1=p0.1.2.4 bus2=p0.3.3.3 "
                f"R1={r!r} X1={x!r} R0={r!r} X0={x!r}"
            )
        else:
            x1 = 7.2**2 / (s.primary_mva or STIFF_MVA)
            self._run(f"New Circuit.home basekv=7.2 pu=1 phases=1 bus1=src.1 R1=1e-12 X1={x1!r} R0=1e-12 X0={x1!r}")
            r, x = s.r_percent, s.x_percent
            self._run(
                f"New Transformer.t phases=1 windings=3 xhl={1.2 * x!r} xht={1.2 * x!r} xlt={0.8 * x!r} "
                f"%noloadloss=0 %imag=0 ppm_antifloat=0 wdg=1 bus=src.1.0 kv=7.2 kva={s.kva!r} %r={0.5 * r!r} "
                f"wdg=2 bus=p0.1.3 kv=0.12 kva={s.kva!r} %r={r!r} wdg=3 bus=p0.3.2 kv=0.12 kva={s.kva!r} %r={r!r}"
            )
        self._run("New Reactor.earth phases=1 bus1=p0.3 bus2=p0.0 R=5 X=0")
        for at, (leg, neutral) in enumerate(s.lengths):
            self._run(
                f"New Line.l{at} phases=3 bus1=p{at}.1.2.3 bus2=p{at + 1}.1.2.3 length=1 units=none "
                f"rmatrix=({leg.real!r} | 0 {leg.real!r} | 0 0 {neutral.real!r}) "
                f"xmatrix=({leg.imag!r} | 0 {leg.imag!r} | 0 0 {neutral.imag!r}) cmatrix=(0 | 0 0 | 0 0 0)"
            )
        for number, load in enumerate(s.loads):
            nodes = load.between.replace("N", "3")
            self._run(
                f"New Load.d{number} phases=1 bus1=p{load.place}.{nodes[0]}.{nodes[1]} kv={load.volts / 1000!r} "
                f"kw={load.kw!r} kvar={load.kvar!r} model={MODEL[load.kind]} vminpu=0.01 vmaxpu=9"
            )
        self._run("Set voltagebases=[12.47 0.208] tolerance=1e-10 maxiterations=500")
        self._run("CalcVoltageBases")

    def _solve(self) -> None:
        self._run("Solve")
        assert self.circuit.Solution.Converged

    def loaded(self) -> Solved:
        """Volts and amperes with the loads on."""
        self._solve()
        places = len(self.service.lengths) + 1
        volts = []
        for at in range(places):
            self.circuit.SetActiveBus(f"p{at}")
            flat = self.circuit.ActiveBus.Voltages
            nodes = list(self.circuit.ActiveBus.Nodes)
            by_node = {node: complex(flat[2 * k], flat[2 * k + 1]) for k, node in enumerate(nodes)}
            one, two, neutral = by_node[1], by_node[2], by_node[3]
            volts.append((one - neutral, two - neutral, one - two))
        amperes = []
        for at in range(places - 1):
            self.circuit.SetActiveElement(f"Line.l{at}")
            flat = self.circuit.ActiveCktElement.Currents
            amperes.append(tuple(complex(flat[2 * k], flat[2 * k + 1]) for k in range(3)))
        return Solved(tuple(volts), tuple(amperes))  # type: ignore[arg-type]

    def fault(self, place: int, nodes: str) -> float:
        """Current of a bolted fault at a place with every load off [A]; nodes "12" or "13"."""
        for number in range(len(self.service.loads)):
            self._run(f"Edit Load.d{number} enabled=no")
        name = f"f{place}{nodes}"
        self._run(f"New Fault.{name} phases=1 bus1=p{place}.{nodes[0]} bus2=p{place}.{nodes[1]} R=1e-9")
        self._solve()
        self.circuit.SetActiveElement(f"Fault.{name}")
        flat = self.circuit.ActiveCktElement.Currents
        self._run(f"Edit Fault.{name} enabled=no")
        return abs(complex(flat[0], flat[1]))
