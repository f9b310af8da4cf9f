"""Small houses for tests of fault current and voltage drop."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from deadfront.circuits.rules.answer import circuits_answer
from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.flows.fault_points import fault_points
from deadfront.codebook import open_book
from deadfront.codebook.book import Codebook
from deadfront.job.house import HouseAt, Tag, things
from deadfront.job.things import House
from deadfront.loads.rules.answer import load_answer
from deadfront.loads.rules.context import Context
from deadfront.results.circuits import CircuitsResult, FaultPoint

LEGS = {"size": "4/0", "metal": "aluminum", "neutral_size": "2/0", "raceway": "pvc"}


def service_house(
    *, transformer: Mapping[str, Any] | None = None, drop_ft: Any = 50, service_ft: Any = 10,
    system: str = "120/240 1ph 3w", utility: Mapping[str, Any] | None = None,
    legs: Mapping[str, Any] | None = None, service: Mapping[str, Any] | None = None, **collections: Any,
) -> House:  # fmt: skip
    """A house with one panel at the service, its drop and service conductors alike."""
    wires = dict(LEGS if legs is None else legs)
    drop, conductors = {**wires, "length_ft": drop_ft}, {**wires, "length_ft": service_ft}
    told = {"system": system, "utility": {"transformer": dict(transformer or {}), **dict(utility or {})},
            "drop": {k: v for k, v in drop.items() if v is not None},
            "conductors": {k: v for k, v in conductors.items() if v is not None}, **dict(service or {})}  # fmt: skip
    collections.setdefault("panels", [{"id": "p-main", "fed_by": "service"}])
    return House.model_validate({"service": told, **collections})


def at_step(house: House, new: Iterable[str] = ()) -> HouseAt:
    """The house as found, with some things taken as new work."""
    fresh = set(new)
    tags = {thing.id: Tag("N", "w-new") if thing.id in fresh else Tag("E", "before") for _, thing in things(house)}
    return HouseAt(house, "before", tags)


def facts_of(house: House, new: Iterable[str] = (), book: Codebook | None = None) -> Facts:
    """What the rules are handed for a house."""
    book = book or open_book("2023")
    at = at_step(house, new)
    return Facts(book, at, load_answer(Context(book, at, frozenset(), {}, True), None))


def worked(house: House) -> tuple[FaultPoint, ...]:
    """The fault points of a house."""
    return fault_points(facts_of(house))


def answered(house: House, new: Iterable[str] = (), book: Codebook | None = None) -> CircuitsResult:
    """The whole circuits answer of a house."""
    return circuits_answer(facts_of(house, new, book))
