"""Volts of a load against the poles of its breaker, by hand: what cannot be is said, what is usual is only asked."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.circuits.rules.each.load_volts import checks
from tests.circuits.runs_made import NM, circuit_facts


def told(load: dict[str, Any], poles: int, conductors: int | None = 2, new: bool = True, **breaker: Any) -> list[str]:
    cable = {**NM, "size": "12"} | ({} if conductors is None else {"conductors": conductors})
    facts = circuit_facts(cable, 20, load, poles=poles, new=new, breaker=breaker)
    return [f"{c.outcome.name} {c.severity.name} {c.say.key.rpartition('.')[2]}" for c in checks(facts)]


HEATER = {"kind": "water_heater", "nameplate_w": 4500}
MICROWAVE = {"kind": "microwave", "nameplate_w": 1500}


@pytest.mark.parametrize("new", [True, False])
def test_marked_volts_that_contradict_the_breaker_are_said_new_or_old(new: bool) -> None:
    assert told({**HEATER, "volts": 240}, 1, new=new) == ["FAILS CORRECT one_pole"]
    assert told({**MICROWAVE, "volts": 120}, 2, new=new) == ["FAILS DANGER two_pole"]


def test_what_goes_together_is_silent() -> None:
    assert told({**HEATER, "volts": 240}, 2) == told({**MICROWAVE, "volts": 120}, 1) == []
    assert told({**HEATER, "volts": 120}, 1) == []  # made for both
    assert told({**MICROWAVE, "volts": 120}, 2, conductors=3) == []  # half of a multiwire circuit
    assert told({**HEATER, "volts": 208}, 2) == []


def test_usual_volts_are_only_asked_and_only_where_the_work_touches() -> None:
    dryer = {"kind": "dryer", "nameplate_w": 5000}
    assert told(dryer, 1) == ["CANNOT_TELL CORRECT one_pole_unknown"] and told(dryer, 1, new=False) == []
    assert told(MICROWAVE, 2) == ["CANNOT_TELL CORRECT two_pole_unknown"] and told(MICROWAVE, 2, new=False) == []
    assert told({**MICROWAVE, "volts": 120}, 2, conductors=None) == ["CANNOT_TELL CORRECT two_pole_unknown"]
    assert told(HEATER, 1) == told({"kind": "other", "nameplate_w": 900}, 2) == []


def test_two_one_pole_breakers_tied_are_two_poles() -> None:
    assert told({**HEATER, "volts": 240}, 1, tied_with="b-02") == []
