"""Random services for OpenDSS and for the nodal solver alike, and the widest gap between both."""

from __future__ import annotations

import random
from math import hypot

from deadfront.errors import NoSolution
from deadfront.physics.nodal import Network, branch_current
from deadfront.physics.service_network import Length, add_length, split_phase, wye
from tests.oracle.opendss import Load, Service, Solved, Solver

RATINGS = (10, 15, 25, 37.5, 50, 75, 100, 167)
KINDS = ("impedance", "current", "power")


def random_service(dice: random.Random) -> Service:
    """A sound service with one to four lengths and up to eight loads of every kind."""
    while not sound(drawn := _any_service(dice)):
        pass
    return drawn


def _any_service(dice: random.Random) -> Service:
    percent, ratio = dice.uniform(1.2, 4), dice.uniform(0.8, 4)
    r = percent / hypot(1, ratio)
    lengths = []
    for _ in range(dice.randint(1, 4)):
        kft = dice.uniform(0.005, 0.15)
        leg = complex(dice.uniform(0.02, 1.3), dice.uniform(0.035, 0.06)) * kft
        neutral = complex(leg.real * dice.uniform(1, 1.7), leg.imag * dice.uniform(1, 1.1))
        lengths.append((leg, neutral))
    is_wye = dice.random() < 0.3
    loads = []
    for _ in range(dice.randint(1, 8)):
        between = dice.choice(("1N", "2N", "12"))
        kw = dice.uniform(0.1, 2.5)
        loads.append(
            Load(dice.randint(1, len(lengths)), between, kw, kw * dice.uniform(0, 0.75),
                 120 if between != "12" else 120 * 3**0.5 if is_wye else 240, dice.choice(KINDS))
        )  # fmt: skip
    return Service(dice.choice(RATINGS), r, r * ratio, None if is_wye or dice.random() < 0.5 else dice.uniform(5, 500),
                   tuple(lengths), tuple(loads), is_wye)  # fmt: skip


def network(service: Service, *, loaded: bool) -> Network:
    """The same service in the nodal solver."""
    percent, ratio = hypot(service.r_percent, service.x_percent), service.x_percent / service.r_percent
    if service.wye:
        # OpenDSS is given 208 V as the base of the percent, the solver its own 120 times the square root of 3
        net = wye(service.kva, percent * 0.208**2 / (3 * 0.12**2), ratio)
    else:
        net = split_phase(service.kva, percent, ratio, primary_mva=service.primary_mva)
    names = ["transformer", *(f"p{at + 1}" for at in range(len(service.lengths)))]
    for at, (leg, neutral) in enumerate(service.lengths):
        add_length(net, Length(names[at], names[at + 1], leg, neutral))
    for load in service.loads if loaded else ():
        a, b = (f"{names[load.place]}.{'N' if end == 'N' else f'L{end}'}" for end in load.between)
        net.load(a, b, 1000 * complex(load.kw, load.kvar), load.volts, load.kind)  # type: ignore[arg-type]
    return net


def own_answer(service: Service) -> Solved:
    """Volts and amperes by the nodal solver."""
    found = network(service, loaded=True).solved()
    names = ["transformer", *(f"p{at + 1}" for at in range(len(service.lengths)))]
    volts, amperes = [], []
    for name in names:
        one, two, neutral = found[f"{name}.L1"], found[f"{name}.L2"], found[f"{name}.N"]
        volts.append((one - neutral, two - neutral, one - two))
    for (leg, neutral_ohm), (a, b) in zip(service.lengths, zip(names, names[1:], strict=False), strict=True):
        amperes.append(tuple(branch_current(found, f"{a}.{end}", f"{b}.{end}", neutral_ohm if end == "N" else leg)
                             for end in ("L1", "L2", "N")))  # fmt: skip
    return Solved(tuple(volts), tuple(amperes))  # type: ignore[arg-type]


def sound(service: Service) -> bool:
    """A service whose loads leave at least 70 percent of the volts everywhere: beyond, voltage may collapse."""
    try:
        found = own_answer(service)
    except NoSolution:
        return False
    return all(abs(v) >= 0.7 * abs(nominal) for place in found.volts
               for v, nominal in zip(place, found.volts[0], strict=True))  # fmt: skip


def gaps(service: Service) -> dict[str, float]:
    """The widest relative gap between OpenDSS and the nodal solver: faults, volts, drops, amperes of the neutral."""
    solver = Solver(service)
    theirs, ours = solver.loaded(), own_answer(service)
    widest = {"volts": 0.0, "drop": 0.0, "neutral": 0.0, "fault": 0.0}
    for a, b in zip(theirs.volts, ours.volts, strict=True):
        for k in range(3):
            widest["volts"] = max(widest["volts"], abs(abs(a[k]) - abs(b[k])) / abs(a[k]))
    for k in range(3):
        nominal = abs(theirs.volts[0][k])
        drops = [(abs(v[0][k]) - abs(v[-1][k])) / nominal for v in (theirs.volts, ours.volts)]
        widest["drop"] = max(widest["drop"], abs(drops[0] - drops[1]))
    for a, b in zip(theirs.amperes, ours.amperes, strict=True):
        largest = max(abs(each) for each in a)
        widest["neutral"] = max(widest["neutral"], abs(a[2] - b[2]) / max(largest, 1e-6))
    bare = network(service, loaded=False)
    names = ["transformer", *(f"p{at + 1}" for at in range(len(service.lengths)))]
    for place in (0, len(service.lengths)):
        for nodes, ends in (("12", ("L1", "L2")), ("13", ("L1", "N"))):
            own = bare.fault_current(*(f"{names[place]}.{end}" for end in ends))
            widest["fault"] = max(widest["fault"], abs(solver.fault(place, nodes) - own) / own)
    return widest
