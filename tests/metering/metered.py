"""Small houses with metering channels: a job as a dict, assessed; every finding said in words."""

from __future__ import annotations

from typing import Any

from deadfront.assess.run import Assessment, assess
from deadfront.codebook import open_book
from deadfront.documents.catalog import Catalog
from deadfront.job.model import Job
from deadfront.worksheet.check import Check

PANEL = {"id": "p-aa1", "name": "Main panel", "fed_by": "service", "spaces": 40, "numbering": "odd left"}
BREAKERS = [
    {"id": "b-rr1", "panel": "p-aa1", "spaces": [1, 3], "rating_a": 50, "poles": 2},
    {"id": "b-wh1", "panel": "p-aa1", "spaces": [5, 7], "rating_a": 30, "poles": 2},
    {"id": "b-kk1", "panel": "p-aa1", "spaces": [2], "rating_a": 20, "poles": 1},
    {"id": "b-kk2", "panel": "p-aa1", "spaces": [4], "rating_a": 20, "poles": 1},
]
CIRCUITS = [
    {"id": "c-rr1", "name": "Range", "breaker": "b-rr1", "cable": {"conductors": 3}},
    {"id": "c-wh1", "name": "Water heater", "breaker": "b-wh1", "cable": {"conductors": 2}},
    {"id": "c-kk1", "name": "Kitchen counter", "breaker": "b-kk1", "cable": {"conductors": 2}},
    {"id": "c-kk2", "name": "Hall lights", "breaker": "b-kk2", "cable": {"conductors": 2}},
]
GEAR = {"id": "g-mm1", "name": "Meter in the panel", "kind": "metering", "panel": "p-aa1"}
GOOD = {
    "id": "ch-aa1", "gear": "g-mm1", "input": "3", "measures": "c-kk1", "leg": "L1", "voltage_leg": "L1",
    "window": "one hot", "conductor_in": "0.2", "opening_in": "0.4", "rating_a": 50, "output": "voltage",
    "primary_a": 50, "secondary_mv": 333, "built_in_burden": True, "accuracy_percent": 1, "accurate_from_percent": 1,
    "arrow_points_to": "source", "arrow_fitted_to": "source", "set_primary_a": 50, "doubled": "none",
}  # fmt: skip
CATALOGS = tuple(Catalog(language, strict=True) for language in ("en", "es"))


def job(channels: list[dict[str, Any]], *, system: str = "120/240 1ph 3w", new: bool = True, **before: Any) -> Job:
    """A house with a range, a water heater and two circuits, and these channels as new work or as found."""
    found: dict[str, Any] = {
        "service": {"system": system, "disconnect": {"rating_a": 200}}, "panels": [PANEL], "breakers": BREAKERS,
        "circuits": CIRCUITS, "gear": [GEAR], **before,
    }  # fmt: skip
    if not new:
        found["channels"] = channels
    step = {"id": "w-aa1", "say": "Meter", "add": {"channels": channels} if new else {}}
    head = {"format": 1, "name": "Test", "code": {"edition": "2023"}}
    return Job.model_validate({"job": head, "before": found, "work": [step]})


def assessed(*channels: dict[str, Any], **house: Any) -> Assessment:
    """Such a house assessed after the work; every finding has its words in both languages."""
    made = job(list(channels), **house)
    found = assess(made, open_book(made.job.code.edition))
    for check in found.metering.checks:
        for catalog in CATALOGS:
            text = catalog.say(check.say)
            parts = [text, catalog.say(check.remedy) if check.remedy else "."]
            parts += [word for each in check.missing for word in (catalog.say(each.what), catalog.say(each.how))]
            if check.step is not None:
                parts += [catalog.say(step.name) for step in check.step.walk()]
            assert all(parts) and not any("{" in part for part in parts), parts
    return found


def checks_of(ident: str, *channels: dict[str, Any], **house: Any) -> list[Check]:
    """Checks of one id on the first channel given."""
    found = assessed(*channels, **house)
    return [c for c in found.metering.checks if c.id == ident and c.thing in (channels[0]["id"], GEAR["id"])]


def one(ident: str, channel: dict[str, Any], *others: dict[str, Any], **house: Any) -> Check:
    """The check of one id on a channel, which is the good one with some facts changed."""
    changed = {key: value for key, value in (GOOD | channel).items() if value is not None}
    (check,) = checks_of(ident, changed, *others, **house)
    return check


def english(check: Check) -> str:
    """A finding in English."""
    return CATALOGS[0].say(check.say)
