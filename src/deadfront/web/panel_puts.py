"""New places of breakers as they travel in an address: "b-0xe=5,7;b-44t=12a"; nothing is kept by it."""

from __future__ import annotations

from collections.abc import Mapping

from deadfront.results.panel import Place
from deadfront.web.entry import typed as t

MOST = 84


def read_puts(text: str) -> dict[str, Place]:
    """The places of an address.

    Raises:
        BadEntry: an address that no page of ours made.
    """
    found: dict[str, Place] = {}
    for part in [each for each in text.split(";") if each.strip()][: MOST + 1]:
        ident, _, spaces = part.partition("=")
        found[ident.strip()] = place_of(spaces)
    return found


def place_of(text: str, last: int | None = None) -> Place:
    """Spaces as they are typed: "12", "12 14", "12a".

    Args:
        last: The last space of the panel, for what is said of a number that no panel has.
    Raises:
        BadEntry: not understood, or none.
    """
    try:
        numbers, half = t.spaces("spaces", text)
    except t.BadEntry as error:
        if last is None or error.msg.key != "entry.spaces.range":
            raise
        raise t.BadEntry("spaces", "web.panel.no_such_space", found=text.strip()[:60], last=last) from error
    if not numbers:
        raise t.BadEntry("spaces", "web.panel.no_spaces")
    return Place(tuple(sorted(numbers)), half or "")


def place_text(place: Place | None) -> str:
    """A place as it is typed."""
    return "" if place is None else ",".join(place.told())


def puts_text(places: Mapping[str, Place]) -> str:
    """Places for an address."""
    return ";".join(f"{ident}={place_text(place)}" for ident, place in places.items())
