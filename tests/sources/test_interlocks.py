"""An interlock joins two handles of one enclosure; an engine on a breaker that nothing holds is a danger."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.worksheet.check import Severity
from tests.sources.full import added, check_of, judged, part, said_of

INLET = {"id": "s-9in", "name": "Inlet", "kind": "inlet", "breaker": "b-9in", "output_a": 30, "neutral_bonded": False}


def inlet(
    held: list[str], *, panel: str = "p-1ma", main: bool = True, main_at: str | None = "top", **breaker: Any
) -> Any:  # fmt: skip
    """An inlet on a breaker, with an interlock that holds these; none where nothing is held."""

    def change(job: dict[str, Any]) -> None:
        added(job, 0, "sources", dict(INLET))
        own = {"id": "b-9in", "panel": panel, "spaces": [5, 7], "rating_a": 30, "poles": 2, "role": "source"}
        added(job, 0, "breakers", own | breaker)
        if held:
            lock = {"id": "t-9in", "kind": "interlock", "held_apart": held, "excludes": True, "listed": True}
            added(job, 0, "transfers", lock)
        if not main:
            job["before"]["breakers"] = [each for each in job["before"]["breakers"] if each["id"] != "b-0mn"]
        part(job, "p-1ma")["main_at"] = main_at
        if main_at is None:
            del part(job, "p-1ma")["main_at"]

    return change


@pytest.mark.parametrize(
    ("change", "interlock", "breaker"),
    [
        (inlet(["b-0mn", "b-9in"]), "MEETS meets", "MEETS meets"),
        (inlet(["service", "b-9in"]), "MEETS meets", "MEETS meets"),
        (inlet(["service", "b-9in"], main=False), "MEETS meets", "MEETS meets"),  # its main is there, not listed
        (inlet(["service", "b-9in"], main=False, main_at="none"), "FAILS handles_apart", "FAILS fails"),
        (inlet(["service", "b-9in"], main=False, main_at=None), "CANNOT_TELL cannot_tell", "CANNOT_TELL cannot_tell"),
        (inlet(["service", "b-9in"], panel="p-2ga"), "FAILS handles_apart", "FAILS fails"),
        (inlet(["b-0mn", "b-9in"], panel="p-2ga"), "FAILS handles_apart", "FAILS fails"),
        (inlet(["b-0mn", "b-9in"], panel="p-2ga", kept_apart=True), "FAILS handles_apart", "FAILS fails"),
        (inlet(["b-9in", "b-1pv"]), "FAILS main_free", "FAILS fails"),
        (inlet([]), "", "FAILS fails"),  # all transfer equipment is listed
        (inlet([], kept_apart=True), "", "MEETS meets"),
    ],
)
def test_handles_of_one_enclosure(change: Any, interlock: str, breaker: str) -> None:
    told = judged(change)
    assert said_of(told, "transfer.excludes", "t-9in") == interlock
    assert said_of(told, "protection.kept_apart", "b-9in") == breaker
    assert check_of(told, "protection.kept_apart", "b-9in").severity is Severity.DANGER


def test_while_transfer_equipment_may_be_unlisted_it_is_asked_for() -> None:
    def change(job: dict[str, Any]) -> None:
        inlet([])(job)
        job["before"]["complete"]["transfers"] = "unknown"

    assert said_of(judged(change), "protection.kept_apart", "b-9in") == "CANNOT_TELL cannot_tell"


def test_an_interlock_that_is_not_listed_keeps_nothing_apart() -> None:
    def change(job: dict[str, Any]) -> None:
        inlet(["b-0mn", "b-9in"])(job)
        part(job, "t-9in")["listed"] = False

    told = judged(change)
    assert said_of(told, "transfer.excludes", "t-9in") == "FAILS unlisted"
    assert said_of(told, "protection.kept_apart", "b-9in") == "FAILS fails"
