"""The editions, and how an entry written for one edition stands in the later ones."""

from __future__ import annotations

from typing import Any

EDITIONS: tuple[str, ...] = ("2014", "2017", "2020", "2023", "2026")


def standing(by_edition: Any, edition: str) -> Any:
    """What stands in an edition: the latest entry not later than it, or None where nothing stands yet.

    Args:
        by_edition: One value for all editions, or a table from the edition that brought it.
        edition: One of EDITIONS.
    """
    if not isinstance(by_edition, dict):
        return by_edition
    found = None
    for each in EDITIONS[: EDITIONS.index(edition) + 1]:
        found = by_edition.get(each, found)
    return found
