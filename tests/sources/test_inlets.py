"""An inlet between a portable set and a panel: its breaker fits the inlet and the conductors."""

from __future__ import annotations

from typing import Any

import pytest

from tests.sources.full import added, judged, said_of

WIRE = {"type": "THWN-2", "metal": "copper", "conductors": 3, "terminals_c": 75, "runs": ["wall"], "ground": "wire"}


def inlet(breaker_a: int | None, rating_a: int | None, size: str | None, **source: Any) -> Any:
    """An inlet on a breaker of the main panel, all of it new."""

    def change(job: dict[str, Any]) -> None:
        made = {"id": "s-9in", "name": "Inlet", "kind": "inlet", "breaker": "b-9in", "neutral_bonded": False, **source}
        cable = {"cable": WIRE | ({"size": size} if size else {})}
        added(job, 0, "sources", made | cable | ({"output_a": rating_a} if rating_a else {}))
        own = {"id": "b-9in", "panel": "p-1ma", "spaces": [5, 7], "poles": 2, "role": "source"}
        added(job, 0, "breakers", own | ({"rating_a": breaker_a} if breaker_a else {}))

    return change


@pytest.mark.parametrize(
    ("breaker_a", "rating_a", "size", "device", "conductors"),
    [
        (30, 30, "10", "MEETS inlet_meets", "MEETS guarded"),
        (60, 50, "6", "FAILS inlet_fails", "MEETS guarded"),
        (60, 60, "10", "MEETS inlet_meets", "FAILS inlet_unprotected"),  # 240.4(D): 30 A for size 10 copper
        (60, None, "6", "CANNOT_TELL inlet_cannot_tell", "MEETS guarded"),
        (None, 30, "10", "CANNOT_TELL inlet_cannot_tell", "CANNOT_TELL cannot_tell"),
        (30, 30, None, "MEETS inlet_meets", "CANNOT_TELL cannot_tell"),
    ],
)
def test_the_device_fits_inlet_and_conductors(
    breaker_a: int | None, rating_a: int | None, size: str | None, device: str, conductors: str
) -> None:
    told = judged(inlet(breaker_a, rating_a, size))
    assert said_of(told, "source.device", "s-9in") == device
    assert said_of(told, "source.conductors", "s-9in") == conductors


@pytest.mark.parametrize(("rating_a", "outcome"), [(30, "MEETS guarded"), (50, "FAILS inlet_unprotected")])
def test_an_inlet_on_transfer_equipment_has_the_device_that_its_plug_allows(rating_a: int, outcome: str) -> None:
    """Hand: 30 A is the most for size 10 copper; a plug of 50 A comes from a set with a breaker of 50 A."""

    def change(job: dict[str, Any]) -> None:
        inlet(None, rating_a, "10", joins="transfer")(job)
        del job["work"][0]["add"]["sources"][-1]["breaker"]
        next(each for each in job["work"][0]["add"]["transfers"])["alternate"] = ["s-9in"]

    told = judged(change)
    assert said_of(told, "source.conductors", "s-9in") == outcome and said_of(told, "source.device", "s-9in") == ""
