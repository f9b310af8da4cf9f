"""Small houses for the site list, hazards and enclosures."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from deadfront.circuits.rules.facts import Facts
from deadfront.codebook import open_book
from deadfront.job.house import house_at
from deadfront.job.model import Code, Head, Job, WorkStep
from deadfront.job.things import House
from deadfront.results.loads import LoadResult
from deadfront.worksheet.check import Check

NO_LOAD: LoadResult = None  # type: ignore[assignment]  # none of these rules looks at the load
PLAIN: dict[str, Any] = {
    "complete": {"units": "yes", "sources": "yes"},
    "panels": [{"id": "p-m1", "name": "Main panel", "fed_by": "service", "mounting": "surface"}],
    "units": [{"id": "u-01"}],
    "breakers": [{"id": f"b-{n:02}", "panel": "p-m1", "spaces": [n], "rating_a": 20, "poles": 1} for n in range(1, 21)],
    "circuits": [
        {"id": f"c-{n:02}", "breaker": f"b-{n:02}", "cable": {"type": "NM-B", "metal": "copper", "size": "12"}}
        for n in range(1, 21)
    ],
}
CHARGER = {
    "id": "w-01", "say": "Charger",
    "add": {
        "breakers": [{"id": "b-ev", "panel": "p-m1", "spaces": [22, 24], "rating_a": 40, "poles": 2}],
        "circuits": [{"id": "c-ev", "name": "EV charger", "breaker": "b-ev", "cable": {"type": "NM-B"}}],
    },
}  # fmt: skip


def facts(before: dict[str, Any], *work: dict[str, Any], edition: str = "2023", **changed: Any) -> Facts:
    """The facts of a house after some work; `changed` lays other collections over it."""
    head = Head(name="14 Hollow Creek Rd", code=Code(edition=edition))  # type: ignore[arg-type]
    house = House.model_validate({**before, **changed})
    steps = tuple(WorkStep.model_validate(step) for step in work)
    return Facts(open_book(edition), house_at(Job(job=head, before=house, work=steps)), NO_LOAD)


def one(checks: Iterable[Check], ident: str, thing: str) -> Check:
    """The one check of that id on that thing."""
    (found,) = [each for each in checks if (each.id, each.thing) == (ident, thing)]
    return found
