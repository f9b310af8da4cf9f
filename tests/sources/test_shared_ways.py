"""Several sources through one device, joints on feeders with what they give back, settings ahead of the service."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.worksheet.check import Outcome
from tests.sources.full import check_of, judged, part, said_of
from tests.sources.made import SOLAR, SYSTEM, answer, bus_of, option, panel, value


def shared(device_a: int, output_a: float = 24) -> Any:
    """The battery on the breaker and behind the disconnect of the array."""

    def change(job: dict[str, Any]) -> None:
        part(job, "s-3ba").update(breaker="b-1pv", disconnects=["x-1pv"], output_a=output_a, output_w=output_a * 240)
        part(job, "b-1pv").update(rating_a=device_a)

    return change


@pytest.mark.parametrize(("device_a", "outcome"), [(40, "FAILS shared_fails"), (60, "FAILS shared_fails"),
                                                  (70, "MEETS shared_meets")])  # fmt: skip
def test_a_common_breaker_carries_the_sum(device_a: int, outcome: str) -> None:
    """Hand: 1.25 x (32 + 24) = 70."""
    result = judged(shared(device_a))
    for source in ("s-1pv", "s-3ba"):
        assert said_of(result, "source.device", source) == outcome
        assert float(check_of(result, "source.device", source).say.params["least"].low) == 70


@pytest.mark.parametrize(("feeder_a", "outcome"), [(50, Outcome.FAILS), (60, Outcome.FAILS), (70, Outcome.MEETS)])
def test_the_breaker_of_a_combiner_carries_the_sum(feeder_a: int, outcome: Outcome) -> None:
    """Hand: 1.25 x (32 + 24) = 70 on the breaker that feeds the combiner; its conductors carry 85 A at 75 C."""
    house = panel(225, 200, 32, device_a=40)
    house["panels"].append({"id": "p-co", "fed_by": "b-co", "bus_a": 125, "spaces": 8, "main_at": "none",
                            "lugs_at": "top", "feeder": {"type": "THWN-2", "size": "4", "metal": "copper",
                                                         "terminals_c": 75}})  # fmt: skip
    house["breakers"][1].update(panel="p-co", spaces=[1, 3])
    house["breakers"] += [
        {"id": "b-co", "panel": "p-aa", "spaces": [18, 20], "poles": 2, "rating_a": feeder_a, "role": "feeder"},
        {"id": "b-s2", "panel": "p-co", "spaces": [2, 4], "poles": 2, "rating_a": 30, "role": "source"},
    ]
    house["sources"].append({**SOLAR, "id": "s-02", "breaker": "b-s2", "output_a": 24})
    found = bus_of(answer(house), "p-co", "feeder")
    assert found.outcome is outcome and value(found.options[0].used) == 70


# --- joints on a feeder ---------------------------------------------------------------------------------------------
def joined(size: str = "4", device_a: float | None = 60, load_side_a: float | None = 60, **bus: Any) -> dict[str, Any]:
    """Solar of 56 A on the feeder of a second panel."""
    house = panel(400, 200, 56)
    source = {"joins": "feeder", "feeder_of": "p-bb", "breaker": None, "at_far_end": False}
    house["sources"][0].update(source)
    if load_side_a:
        house["sources"][0]["load_side_overcurrent_a"] = load_side_a
    del house["breakers"][1], house["sources"][0]["breaker"]
    house["panels"].append({"id": "p-bb", "fed_by": "b-bb", "bus_a": 125, "spaces": 8, "main_at": "none",
                            "lugs_at": "top", "feeder": {"type": "THWN-2", "size": size, "metal": "copper",
                                                         "terminals_c": 75}, **bus})  # fmt: skip
    house["breakers"].append({"id": "b-bb", "panel": "p-aa", "spaces": [18, 20], "poles": 2, "role": "feeder",
                              "rating_a": device_a})  # fmt: skip
    return house


@pytest.mark.parametrize(
    ("size", "device_a", "outcome"),
    [
        ("6", 60, Outcome.FAILS),  # 65 A of conductors, 70 A given back
        ("4", 60, Outcome.FAILS),  # 85 A of conductors, but a breaker of 60 A
        ("4", 80, Outcome.MEETS),
    ],
)
def test_a_device_on_the_load_side_leaves_the_way_back(size: str, device_a: float, outcome: Outcome) -> None:
    """Hand: 1.25 x 56 = 70 flow back through feeder and breaker (the rule's own first sentence)."""
    found = bus_of(answer(joined(size, device_a)), "p-bb", "feeder")
    assert option(found, "load_side_device").outcome is outcome
    assert found.outcome is outcome


def test_the_bus_behind_a_load_side_device_sees_no_more_than_it_lets_through() -> None:
    """Hand: 60 from the utility and 70 from the array meet ahead of a device of 60 A: the bus of 125 A sees 60."""
    assert value(bus_of(answer(joined("4", 80)), "p-bb").main) == 60
    open_main = bus_of(answer(joined("4", 80, None)), "p-bb").main
    assert open_main is not None and (open_main.value.low, open_main.value.high) == (0, 150), "no device on file"
    assert bus_of(answer(joined("4", 80)), "p-bb").outcome is Outcome.MEETS
    assert bus_of(answer(joined("4", 80, None)), "p-bb").outcome is Outcome.CANNOT_TELL
    assert bus_of(answer(joined("4", 80, 150)), "p-bb").outcome is Outcome.FAILS


# --- a setting ahead of the service ---------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("system", "outcome"),
    [(SYSTEM, Outcome.MEETS), ({**SYSTEM, "listed": False}, Outcome.FAILS), ({"id": "e-01"}, Outcome.CANNOT_TELL),
     (None, Outcome.CANNOT_TELL)],
)  # fmt: skip
def test_a_setting_ahead_of_the_service_counts_only_under_its_conditions(system: Any, outcome: Outcome) -> None:
    """Hand: 190 A against the 135 A of 2/0 aluminum at 75 C; a setting of 120 A would fit."""
    house = panel(output_a=190, source={"joins": "supply side", "breaker": None, "control_limit_a": 120})
    house["service"]["conductors"] = {"size": "2/0", "metal": "aluminum", "terminals_c": 75, "needs_correction": False}
    if system is not None:
        house["sources"][0]["managed_by"] = "e-01"
        house["energy_management"] = [system]
    found = bus_of(answer(house), "service", "service")
    assert option(found, "supply_side").outcome is Outcome.FAILS
    assert option(found, "supply_side", True).outcome is outcome and found.outcome is outcome
