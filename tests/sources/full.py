"""The full house of tests/houses, as found and as the work leaves it, with facts changed, to the checks on sources."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from deadfront.assess.run import Assessment, assess
from deadfront.codebook import open_book
from deadfront.documents.catalog import Catalog
from deadfront.job.model import Job
from deadfront.worksheet.check import Check, Outcome

HOUSE = Path(__file__).parent.parent / "houses" / "full_house.toml"


def part(job: dict[str, Any], ident: str) -> dict[str, Any]:
    """The thing of that id, as found or as a step adds it."""
    rooms = [job["before"], *(step.get("add", {}) for step in job["work"])]
    found = [each for room in rooms for things in room.values() if isinstance(things, list) for each in things]
    return next(each for each in found if each.get("id") == ident)


def added(job: dict[str, Any], step: int, collection: str, *things: dict[str, Any]) -> None:
    """Things that a step adds besides its own."""
    job["work"][step].setdefault("add", {}).setdefault(collection, []).extend(things)


def judged(change: Callable[[dict[str, Any]], object] | None = None, edition: str = "2023") -> Assessment:
    """The house assessed after a change to its file; every check on sources said in both languages."""
    job = tomllib.loads(HOUSE.read_text(encoding="utf-8"))
    job["job"]["code"] = {"edition": edition}
    if change is not None:
        change(job)
    told = assess(Job.model_validate(job), open_book(edition))
    catalogs = [Catalog(language, strict=True) for language in ("en", "es")]
    for check in told.sources.checks:
        words = [check.say, *filter(None, [check.remedy]), *(m.what for m in check.missing)]
        words += [m.how for m in check.missing]
        for catalog in catalogs:
            assert all("[" not in catalog.say(each) for each in words) and not catalog.lacking, catalog.lacking
        assert (check.outcome is Outcome.CANNOT_TELL) == bool(check.missing), check
        assert check.outcome is not Outcome.FAILS or check.remedy is not None, check
    return told


def check_of(told: Assessment, ident: str, thing: str) -> Check:
    """The one check of that id on that thing."""
    (check,) = [each for each in told.checks if (each.id, each.thing) == (ident, thing)]
    return check


def said_of(told: Assessment, ident: str, thing: str) -> str:
    """Its outcome and the ending of its words; "" where there is none."""
    found = [each for each in told.checks if (each.id, each.thing) == (ident, thing)]
    return f"{found[0].outcome.name} {found[0].say.key.rpartition('.')[2]}" if found else ""
