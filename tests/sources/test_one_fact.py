"""One fact not known never makes a correction out of what meets: it is asked for."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator
from typing import Any

import pytest

from deadfront.assess.run import assess
from deadfront.codebook import open_book
from deadfront.job.model import Job
from deadfront.worksheet.check import Outcome
from tests.sources.full import HOUSE, part

KINDS = ("sources", "transfers", "switches", "energy_management")
NAMES = ("id", "kind", "name")
# Left out, these leave figures that count in full: no setting is claimed, no device is there to be listed.
CLAIMS = {"control_limit_a"}


def plain(job: dict[str, Any]) -> None:
    """The house as it stands."""


def on_interlock(job: dict[str, Any]) -> None:
    """An inlet on a breaker held with the main."""
    add = job["work"][0]["add"]
    add["sources"].append({"id": "s-9in", "kind": "inlet", "joins": "breaker", "breaker": "b-9in", "output_a": 30,
                           "neutral_bonded": False})  # fmt: skip
    add["breakers"].append({"id": "b-9in", "panel": "p-1ma", "spaces": [5, 7], "rating_a": 30, "poles": 2})
    add["transfers"].append({"id": "t-9in", "kind": "interlock", "held_apart": ["b-0mn", "b-9in"], "excludes": True,
                             "listed": True})  # fmt: skip


def on_feeder(job: dict[str, Any]) -> None:
    """The battery on the feeder of the garage, a device on the load side of its joint."""
    source = part(job, "s-3ba")
    del source["breaker"]
    source.update(joins="feeder", feeder_of="p-2ga", at_far_end=False, load_side_overcurrent_a=100, tap_ft=6)


def ahead_of_all(job: dict[str, Any]) -> None:
    """A service-rated switch ahead of the main panel, where neutral and ground are joined."""
    part(job, "t-1au").update(normal="service", service_equipment=True, neutral_joined="yes", rating_a=200)
    part(job, "p-1ma")["fed_by"] = "t-1au"


def outcomes(job: dict[str, Any]) -> dict[tuple[str, str], Outcome]:
    told = assess(Job.model_validate(job), open_book("2023"))
    return {(c.id, c.thing): c.outcome for c in told.checks
            if c.id.startswith(("source.", "transfer.")) or c.id == "protection.kept_apart"}  # fmt: skip


def facts_of_work(job: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every fact of every source, switch and system that the work adds, and of the array as found."""
    rooms = [job["before"], *(step.get("add", {}) for step in job["work"])]
    for thing in (each for room in rooms for kind in KINDS for each in room.get(kind, [])):
        yield from ((thing["id"], name) for name in thing if name not in (*NAMES, *CLAIMS))


@pytest.mark.parametrize("change", [plain, on_interlock, on_feeder, ahead_of_all])
def test_a_fact_taken_away_makes_no_correction(change: Any) -> None:
    job = tomllib.loads(HOUSE.read_text(encoding="utf-8"))
    change(job)
    known = outcomes(job)
    facts = [*facts_of_work(job)]
    if change is not plain:  # what the change is about
        about = {"s-9in", "t-9in"} if change is on_interlock else {"s-3ba"} if change is on_feeder else {"t-1au"}
        facts = [each for each in facts if each[0] in about]
    assert len(facts) > 5
    for ident, name in facts:
        other = copy.deepcopy(job)
        del part(other, ident)[name]
        for key, outcome in outcomes(other).items():
            if outcome is Outcome.FAILS:
                assert known.get(key) is Outcome.FAILS, (ident, name, key)


def test_a_bus_stays_open_while_a_source_may_join_there_too() -> None:
    """The array without its breaker on file: it may load any bus that the battery loads."""
    job = tomllib.loads(HOUSE.read_text(encoding="utf-8"))
    assert outcomes(job)["source.bus", "p-1ma"] is Outcome.MEETS
    del part(job, "s-1pv")["breaker"]
    assert outcomes(job)["source.bus", "p-1ma"] is Outcome.CANNOT_TELL


def test_an_inlet_whose_breaker_is_not_on_file_is_asked_for() -> None:
    job = tomllib.loads(HOUSE.read_text(encoding="utf-8"))
    on_interlock(job)
    del part(job, "s-9in")["breaker"]
    told = outcomes(job)
    assert told["transfer.none", "s-9in"] is Outcome.CANNOT_TELL
    assert told["source.conductors", "s-9in"] is Outcome.CANNOT_TELL


def test_service_equipment_that_is_not_looked_at_is_asked_for() -> None:
    job = tomllib.loads(HOUSE.read_text(encoding="utf-8"))
    ahead_of_all(job)
    assert outcomes(job)["transfer.neutral", "s-2ge"] is Outcome.MEETS
    del part(job, "t-1au")["service_equipment"]
    assert outcomes(job)["transfer.neutral", "s-2ge"] is Outcome.CANNOT_TELL
