"""Where each breaker may go, by the rules that are on it alone: what the solvers choose from.

Written apart from the judge on purpose: each is the other's check.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from deadfront.msg import Msg, said
from deadfront.results.panel import PanelCase, Piece, Place

KINDS = ("reserved", "source_place", "source_end", "tandem", "half_spaces", "controllable", "shares_neutral", "tied")
"""Rules that can be given up one by one to see which clash; `fixed` is given up breaker by breaker."""


@dataclass(frozen=True)
class Rules:
    """Which rules hold: all, but those given up.

    Args:
        off: Names out of KINDS, and "fixed/ID" for a breaker that need not stay.
    """

    off: frozenset[str] = frozenset()

    def on(self, name: str) -> bool:
        """Whether a rule holds."""
        return name not in self.off


ALL = Rules()


@dataclass(frozen=True)
class Choice:
    """One way to place a unit: a breaker alone, or two that belong together.

    Args:
        places: Place of each of its breakers, by id.
        moved: How many of them are moved by it.
    """

    places: tuple[tuple[str, Place], ...]
    moved: int


def stays(piece: Piece, rules: Rules = ALL) -> bool:
    """Whether a breaker must stay where it is."""
    return piece.now is not None and piece.fixed and rules.on(f"fixed/{piece.id}")


def half_allowed(case: PanelCase, rules: Rules = ALL) -> frozenset[int]:
    """Spaces that take half-size breakers; where the label is not known, those that hold one now."""
    if not rules.on("half_spaces"):
        return frozenset(range(1, case.spaces + 1))
    if case.half_spaces is not None:
        return case.half_spaces
    halves = (piece.now for piece in case.pieces if piece.now is not None and piece.now.half)
    return frozenset(space for place in halves for space in place.spaces)


def space_allowed(case: PanelCase, piece: Piece, space: int, rules: Rules = ALL) -> bool:
    """Whether the rules on one breaker let it into a space."""
    if piece.role == "source":
        if case.reserved and rules.on("source_place") and space not in case.reserved:
            return False
    elif rules.on("reserved") and space in case.reserved:
        return False
    known = piece.controllable and case.controllable_spaces is not None
    return not known or not rules.on("controllable") or space in (case.controllable_spaces or ())


def place_allowed(case: PanelCase, piece: Piece, place: Place, rules: Rules = ALL) -> bool:
    """Whether a breaker may take a place, looked at alone."""
    if stays(piece, rules) and place != piece.now:
        return False
    if not all(1 <= space <= case.spaces and space_allowed(case, piece, space, rules) for space in place.spaces):
        return False
    if place.half and not set(place.spaces) <= half_allowed(case, rules):
        return False
    if piece.ends is not None and place != piece.now and rules.on("source_end") and not set(place.spaces) <= piece.ends:
        return False
    if place == piece.now:
        return standing_allowed(case, piece, place)
    return (piece.half if place.half else piece.full) and len(place.spaces) == piece.poles


def standing_allowed(case: PanelCase, piece: Piece, place: Place) -> bool:
    """Whether a breaker fits where it is said to stand: rows that follow each other, two legs for two poles."""
    spaces = sorted(place.spaces, key=lambda space: case.rows[space - 1])
    if len(set(spaces)) != len(spaces):
        return False
    follow = all(
        case.rows[b - 1] - case.rows[a - 1] == 1 and case.columns[a - 1] == case.columns[b - 1]
        for a, b in zip(spaces, spaces[1:], strict=False)
    )
    wide = len(spaces) > piece.poles and (piece.role == "main" or piece.controllable)
    legs = {case.legs[space - 1] for space in spaces}
    return follow and (len(spaces) == piece.poles or wide) and (piece.poles == 1 or len(legs) > 1)


def neighbors(case: PanelCase) -> list[tuple[int, int]]:
    """Every two spaces that follow each other in one column, the upper one first."""
    by_spot = {(case.columns[space - 1], case.rows[space - 1]): space for space in range(1, case.spaces + 1)}
    return [
        (space, by_spot[column, row + 1])
        for (column, row), space in sorted(by_spot.items())
        if (column, row + 1) in by_spot
    ]


def pair_of(case: PanelCase, piece: Piece) -> Piece | None:
    """The breaker that one belongs together with, if it is in this panel and says so too."""
    if not piece.partner:
        return None
    return next((each for each in case.pieces if each.id == piece.partner and each.partner == piece.id), None)


def single_choices(case: PanelCase, piece: Piece, rules: Rules = ALL) -> Iterator[Choice]:
    """Every place of a breaker of one pole: whole spaces, halves, and where it stands."""
    every = (Place((space,), half) for space in range(1, case.spaces + 1) for half in ("", "a", "b"))
    for place in every:
        if place != piece.now and place_allowed(case, piece, place, rules):
            yield Choice(((piece.id, place),), int(piece.now is not None))
    if piece.now is not None and place_allowed(case, piece, piece.now, rules):
        yield Choice(((piece.id, piece.now),), 0)


def two_pole_choices(case: PanelCase, piece: Piece, rules: Rules = ALL) -> Iterator[Choice]:
    """Every place of a breaker of two poles, and where it stands."""
    places = [Place((upper, lower)) for upper, lower in neighbors(case)
              if case.legs[upper - 1] != case.legs[lower - 1]]  # fmt: skip
    if piece.now is not None:
        same = [each for each in places if set(each.spaces) == set(piece.now.spaces) and not piece.now.half]
        places = [piece.now, *(each for each in places if each not in same)]
    for place in places:
        if place_allowed(case, piece, place, rules):
            yield Choice(((piece.id, place),), int(piece.now is not None and place != piece.now))


def pair_choices(case: PanelCase, first: Piece, second: Piece, rules: Rules = ALL) -> Iterator[Choice]:
    """Every way to place two breakers of one pole that belong together."""
    spots = [(a, b) for upper, lower in neighbors(case) for a, b in ((upper, lower), (lower, upper))]
    ways = [(Place((a,)), Place((b,))) for a, b in spots]
    if first.now is not None and second.now is not None:
        ways = [(first.now, second.now), *(way for way in ways if way != (first.now, second.now))]
    tied = (first.tied or second.tied) and rules.on("tied")
    shares = (first.shares_neutral or second.shares_neutral) and rules.on("shares_neutral")
    if not tied and not shares:
        every = [[choice.places[0][1] for choice in single_choices(case, each, rules)] for each in (first, second)]
        ways = list(dict.fromkeys([*ways, *((a, b) for a in every[0] for b in every[1] if a != b)]))
    for here, there in ways:
        if not place_allowed(case, first, here, rules) or not place_allowed(case, second, there, rules):
            continue
        if _pair_allowed(case, first, second, here, there, rules):
            moved = sum(1 for piece, place in ((first, here), (second, there)) if piece.now not in (None, place))
            yield Choice(((first.id, here), (second.id, there)), moved)


def _pair_allowed(case: PanelCase, first: Piece, second: Piece, here: Place, there: Place, rules: Rules) -> bool:
    """Two legs for a shared neutral; side by side for a tie, and for a shared neutral once it is moved."""
    if here.half and there.half and here == there:
        return False
    shares = (first.shares_neutral or second.shares_neutral) and rules.on("shares_neutral")
    legs = [{case.legs[space - 1] for space in place.spaces} for place in (here, there)]
    if shares and legs[0] & legs[1]:
        return False
    moved = here != first.now or there != second.now
    tied = (first.tied or second.tied) and rules.on("tied")
    if not tied and not (shares and moved):
        return True
    a, b = here.spaces[0] - 1, there.spaces[0] - 1
    apart = abs(case.rows[a] - case.rows[b])
    fits = not moved if here.half and there.half else not here.half and not there.half
    return case.columns[a] == case.columns[b] and apart <= 1 and fits


def needed_spaces(case: PanelCase, rules: Rules = ALL) -> int:
    """Fewest spaces that the breakers take by any layout: two half-size ones in each space that takes them."""
    halves = sum(1 for piece in case.pieces if piece.half and piece.poles == 1)
    whole = sum(len(p.now.spaces) if p.now else p.poles for p in case.pieces if not (p.half and p.poles == 1))
    shared = min(halves // 2, len(half_allowed(case, rules)))
    return whole + halves - shared


def overfull(case: PanelCase, rules: Rules = ALL) -> Msg | None:
    """What to say of a panel whose breakers need more spaces than there are; None where there is room."""
    needed = needed_spaces(case, rules)
    if needed <= case.spaces:
        return None
    return said("panel.trouble.overfull", panel=case.name, needed=needed, there=case.spaces)
