"""The equipment grounding conductor with a feeder, by the overcurrent device ahead of it."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache

from deadfront.circuits.rules.service.sizes import METALS, verdict
from deadfront.codebook.book import Codebook
from deadfront.codebook.conductors import area_cmil, grounding_size
from deadfront.errors import OutOfTable
from deadfront.job.panel_things import Cable
from deadfront.msg import said
from deadfront.results.circuits import Required, Sized
from deadfront.worksheet import build

SUBJECT = "feeder_ground"


def ground_line(book: Codebook, of: str, rating_a: Decimal, path: str, cable: Cable | None) -> Required:
    """One line of the grounding sheet: the ground that comes with a feeder to a panel or a structure."""
    smallest = _sized(book, of, rating_a, path)
    size = cable.ground_size if cable is not None else None
    metal = cable.metal if cable is not None else None
    name = said("grounding.name.feeder_ground")
    return Required(SUBJECT, of, name, smallest, size or "", verdict(size, metal, smallest))


@lru_cache(maxsize=1024)
def _sized(book: Codebook, of: str, rating_a: Decimal, path: str) -> tuple[Sized, ...]:
    rating = build.fact(f"grounding/{of}/breaker", "grounding.breaker", rating_a, "A", path)
    smallest = []
    for metal in METALS:
        try:
            found = grounding_size(book, rating_a, metal)
            area = area_cmil(book, found.value).value
        except OutOfTable:
            continue
        step = build.lookup(f"grounding/{of}/feeder_ground/{metal}", "grounding.least_area", area, "cmil", found.cite,
                            table="equipment_grounding_conductor", row=found.row, args=(rating,))  # fmt: skip
        smallest.append(Sized(found.value, metal, step))
    return tuple(smallest)
