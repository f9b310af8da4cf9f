"""Short ids for new things; chance comes from the caller."""

from __future__ import annotations

from collections.abc import Collection
from typing import Protocol

PREFIX = {
    "meters": "m",
    "panels": "p",
    "breakers": "b",
    "circuits": "c",
    "units": "u",
    "loads": "l",
    "sources": "s",
    "energy_management": "e",
    "recordings": "r",
    "work": "w",
}
"""First letter of an id by what it is for."""

_LETTERS = "0123456789abcdefghjkmnpqrstvwxyz"  # without i, l, o, u: none is mistaken for another, no words arise


class Chance(Protocol):
    """Anything that picks as random.Random does."""

    def choice(self, seq: str, /) -> str:
        """One character."""
        ...


def new_id(kind_prefix: str, taken: Collection[str], rng: Chance) -> str:
    """An id that is not taken, such as "l-2xf"; three characters, more when these run short.

    Args:
        kind_prefix: One to three letters, from PREFIX.
        taken: Every id ever used in the job.
        rng: Source of chance.
    """
    length, tries = 3, 0
    while True:
        ident = f"{kind_prefix}-" + "".join(rng.choice(_LETTERS) for _ in range(length))
        if ident not in taken:
            return ident
        tries += 1
        if tries % 20 == 0:
            length = min(length + 1, 16)
