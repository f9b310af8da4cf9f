"""The nodal solver against OpenDSS on 300 random services, and figures measured once with both."""

from __future__ import annotations

import random

import pytest

from deadfront.errors import NoSolution
from deadfront.physics.faults import line_to_line_current, line_to_neutral_current
from deadfront.physics.transformers import winding_impedance
from tests.oracle.opendss import Load, Service, Solver
from tests.oracle.random_services import gaps, own_answer, random_service

COUNT = 300
CLOSE = 1e-4


def test_three_hundred_random_services() -> None:
    """Independent: OpenDSS; relative gap of faults, volts, drops and neutral current at most 1e-4."""
    dice = random.Random(20260101)
    widest: dict[str, float] = {}
    loaded = 0
    for _ in range(COUNT):
        service = random_service(dice)
        loaded += any(load.kind != "impedance" for load in service.loads)
        for name, gap in gaps(service).items():
            widest[name] = max(widest.get(name, 0.0), gap)
    assert loaded > COUNT // 2, "too few cases with loads that are not plain impedances"
    assert all(gap <= CLOSE for gap in widest.values()), widest


def test_figures_of_a_25_kva_transformer_measured_with_both() -> None:
    """Independent: 25 kVA, 1.2 % R, 1.7 % X: 5005.93 A leg to leg and 7657.66 A leg to neutral in closed form; with
    a source of 1e6 MVA OpenDSS gives 5005.86 and 7657.33 A."""
    full = winding_impedance(25, 240, (1.2**2 + 1.7**2) ** 0.5, 1.7 / 1.2)
    assert line_to_line_current(full) == pytest.approx(5005.93, abs=0.005)
    assert line_to_neutral_current(full) == pytest.approx(7657.66, abs=0.005)
    solver = Solver(Service(25, 1.2, 1.7, 1e6, ((0.01 + 0.01j, 0.01 + 0.01j),)))
    assert solver.fault(0, "12") == pytest.approx(5005.86, rel=2e-5)
    assert solver.fault(0, "13") == pytest.approx(7657.33, rel=5e-5)


def test_a_load_that_no_voltage_carries_is_refused() -> None:
    """Hand: 40 kW of constant power behind 0.6 ohm of loop; at most V^2 / 4R = 6 kW can be drawn, 4 kW can."""
    for kw, carried in ((40, False), (6.2, False), (4, True)):
        service = Service(167, 1.2, 1.7, None, ((0.3 + 0j, 0.3 + 0j),), (Load(1, "1N", kw, 0, 120, "power"),))
        if carried:
            assert 60 < abs(own_answer(service).volts[-1][0]) < 120
        else:
            with pytest.raises(NoSolution):
                own_answer(service)
