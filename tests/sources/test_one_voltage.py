"""A source of 120 V alone behind a panel of two legs: what it may not feed, and what is not known."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.documents.catalog import Catalog
from tests.sources.made import answer, panel

SHARED = [{"id": "c-11", "breaker": "b-11", "shares_neutral_with": "c-12"}, {"id": "c-12", "breaker": "b-12"}]
PLAIN = [{"id": "c-11", "breaker": "b-11"}]
TWO_POLE = {"id": "b-13", "panel": "p-bb", "poles": 2, "rating_a": 30, "spaces": [5, 7]}


def house(circuits: list[dict[str, Any]], *breakers: dict[str, Any], volts: float | None = 120, listed: str = "yes",
          new: bool = True) -> Any:  # fmt: skip
    """A portable set behind a manual switch that feeds a panel with these circuits."""
    made = panel()
    single = [{"id": f"b-1{n}", "panel": "p-bb", "poles": 1, "rating_a": 20} for n in (1, 2)]
    made["breakers"] = [*made["breakers"][:1], {"id": "b-fd", "panel": "p-aa", "rating_a": 60}, *single, *breakers]
    made["panels"].append({"id": "p-bb", "fed_by": "t-01", "bus_a": 125})
    made["transfers"] = [{"id": "t-01", "kind": "manual switch", "normal": "b-fd", "alternate": ["s-01"]}]
    made["circuits"] = circuits
    made["complete"]["circuits"] = listed
    source = {"id": "s-01", "kind": "generator", "portable": True} | ({"volts": volts} if volts is not None else {})
    made["sources"] = []
    if not new:
        made["sources"] = [source]
    return answer(made, add={"sources": [source]} if new else None)


def told(result: Any) -> list[str]:
    return [f"{c.outcome.name} {c.say.key.rpartition('.')[2]}" for c in result.checks if c.id == "source.one_voltage"]


@pytest.mark.parametrize(("circuits", "breakers", "facts", "wanted"), [
    (SHARED, (), {}, ["FAILS shared"]),
    (SHARED, (), {"new": False}, ["FAILS shared"]),  # a danger whatever the work leaves alone
    (PLAIN, (TWO_POLE,), {}, ["FAILS pairs"]),
    (PLAIN, (), {}, ["MEETS meets"]),
    (PLAIN, (), {"listed": "unknown"}, ["CANNOT_TELL open"]),
    (SHARED, (), {"volts": None}, ["CANNOT_TELL cannot_tell"]),
    (PLAIN, (), {"volts": None}, ["MEETS none"]),
    (PLAIN, (), {"volts": None, "listed": "unknown"}, ["CANNOT_TELL cannot_tell"]),
    (SHARED, (TWO_POLE,), {"volts": 240}, []),
])  # fmt: skip
def test_what_it_feeds(circuits: Any, breakers: Any, facts: dict[str, Any], wanted: list[str]) -> None:
    result = house(circuits, *breakers, **facts)
    assert told(result) == wanted
    for language in ("en", "es"):
        catalog = Catalog(language, strict=True)
        for check in (each for each in result.checks if each.id == "source.one_voltage"):
            assert catalog.say(check.say) and (check.remedy is None or catalog.say(check.remedy))
            assert all(catalog.say(each.what) and catalog.say(each.how) for each in check.missing)
