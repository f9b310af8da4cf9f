"""The judge: what is wrong with a layout, in words. Plain integers; knows nothing of any solver.

Every layout passes here before anyone sees it: the one that stands, one that is drawn by hand, one that a solver found.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, product
from math import isqrt

from deadfront.msg import said
from deadfront.results.panel import Kind, Layout, PanelCase, Piece, Place, Violation


def judge(case: PanelCase, layout: Layout) -> tuple[Violation, ...]:
    """Everything that is wrong with a layout; empty where it is right."""
    found: list[Violation] = []
    good: dict[str, Place] = {}
    for piece in case.pieces:
        place = layout.get(piece.id)
        if place is None:
            found.append(_say("unplaced", (piece,)))
            continue
        bad = _of_shape(case, piece, place)
        if bad is None:
            good[piece.id] = place
        else:
            found.append(bad)
    for piece in case.pieces:
        if piece.id in good:
            found += _of_place(case, piece, good[piece.id])
    found += _overlaps(case, good)
    found += _pairs(case, good)
    found += _groups(case, good)
    found += _tandems(case, good)
    found += _of_panel(case)
    return tuple(found)


def _say(
    kind: Kind, pieces: tuple[Piece, ...], spaces: tuple[int, ...] = (), word: str = "", **params: object
) -> Violation:
    names = tuple(piece.name for piece in pieces)
    told = {"names": names, "spaces": tuple(map(str, spaces)), **params}
    return Violation(kind, tuple(piece.id for piece in pieces), spaces, said(f"panel.wrong.{word or kind}", **told))


def _of_shape(case: PanelCase, piece: Piece, place: Place) -> Violation | None:
    """Spaces that are there, as many as it has poles, neighbors in one column, on two legs."""
    spaces = place.spaces
    beyond = tuple(space for space in spaces if not 1 <= space <= case.spaces)
    if beyond:
        return _say("no_such_space", (piece,), beyond, last=case.spaces)
    if not spaces or len(set(spaces)) != len(spaces) or place.half not in ("", "a", "b"):
        return _say("shape", (piece,), spaces, poles=piece.poles)
    if len(spaces) != piece.poles and not (piece.now == place and _wide(piece, place)):
        return _say("shape", (piece,), spaces, poles=piece.poles)
    ordered = sorted(spaces, key=lambda space: case.rows[space - 1])
    for above, below in zip(ordered, ordered[1:], strict=False):
        same_column = case.columns[above - 1] == case.columns[below - 1]
        if not same_column or case.rows[below - 1] - case.rows[above - 1] != 1:
            return _say("shape", (piece,), spaces, poles=piece.poles)
    if piece.poles == 2 and len({case.legs[space - 1] for space in spaces}) < 2:
        return _say("one_leg", (piece,), spaces)
    return None


def _wide(piece: Piece, place: Place) -> bool:
    """A main, or a controllable breaker, may take more spaces than it has poles, where it stands."""
    return len(place.spaces) > piece.poles and (piece.role == "main" or piece.controllable)


def _of_place(case: PanelCase, piece: Piece, place: Place) -> Iterator[Violation]:
    """Rules on one breaker: what stays, what takes half a space, what only some spaces take."""
    spaces = place.spaces
    if piece.fixed and piece.now is not None and place != piece.now:
        kind: Kind = "main" if piece.role == "main" else "fixed"
        word = "fixed_source" if kind == "fixed" and piece.stays_for == "source" else ""
        yield _say(kind, (piece,), spaces, word, stays=piece.now.told())
    if piece.ends is not None and place != piece.now and not set(spaces) <= piece.ends:
        yield _say("source_end", (piece,), spaces, ends=tuple(map(str, sorted(piece.ends))))
    if piece.neutral_elsewhere:
        yield _say("multiwire_panel", (piece,), spaces)
    if place != piece.now and not (piece.half if place.half else piece.full):
        yield _say("half_width", (piece,), spaces)
    if place.half:
        wrong = tuple(space for space in spaces if not _takes_half(case, space))
        if wrong:
            yield _say("half_place", (piece,), wrong)
    if piece.controllable and case.controllable_spaces is not None:
        wrong = tuple(space for space in spaces if space not in case.controllable_spaces)
        if wrong:
            yield _say("controllable", (piece,), wrong)
    if piece.role == "source":
        if case.reserved and not set(spaces) <= case.reserved:
            yield _say("source_place", (piece,), spaces, kept=tuple(map(str, sorted(case.reserved))))
    elif taken := tuple(space for space in spaces if space in case.reserved):
        yield _say("reserved", (piece,), taken)
    if piece.listed is False:
        yield _say("not_listed", (piece,), spaces)


def _takes_half(case: PanelCase, space: int) -> bool:
    """Whether a space takes half-size breakers: by the label; where that is not known, if it holds one."""
    if case.half_spaces is not None:
        return space in case.half_spaces
    return any(piece.now is not None and piece.now.half and space in piece.now.spaces for piece in case.pieces)


def _overlaps(case: PanelCase, layout: Layout) -> Iterator[Violation]:
    """Two breakers in one space, or in one half of it."""
    by_half: dict[tuple[int, str], list[Piece]] = {}
    for piece in case.pieces:
        place = layout.get(piece.id)
        if place is not None:
            for space in place.spaces:
                for half in place.half or "ab":
                    by_half.setdefault((space, half), []).append(piece)
    seen: dict[tuple[str, ...], tuple[tuple[Piece, ...], set[int]]] = {}
    for (space, _), pieces in by_half.items():
        if len(pieces) > 1:
            key = tuple(piece.id for piece in pieces)
            seen.setdefault(key, (tuple(pieces), set()))[1].add(space)
    for pieces_there, spaces in seen.values():
        yield _say("overlap", pieces_there, tuple(sorted(spaces)))


def _pairs(case: PanelCase, layout: Layout) -> Iterator[Violation]:
    """Hots of a shared neutral on two legs; what opens together side by side; a pair that is moved must be tied."""
    by_id = {piece.id: piece for piece in case.pieces}
    for piece in case.pieces:
        other = by_id.get(piece.partner)
        if other is None or (other.partner == piece.id and other.id < piece.id):
            continue
        if piece.id not in layout or other.id not in layout:
            continue
        here, there = layout[piece.id], layout[other.id]
        spaces = tuple(sorted({*here.spaces, *there.spaces}))
        legs = [{case.legs[space - 1] for space in place.spaces} for place in (here, there)]
        shares = piece.shares_neutral or other.shares_neutral
        if shares and legs[0] & legs[1]:
            yield _say("multiwire_leg", (piece, other), spaces)
        moved = here != piece.now or there != other.now
        if (piece.tied or other.tied or (shares and moved)) and not _side_by_side(case, here, there, moved):
            yield _say("tied_apart", (piece, other), spaces)


def _groups(case: PanelCase, layout: Layout) -> Iterator[Violation]:
    """Three or more hots of one neutral: every two of them on two legs."""
    groups: dict[str, list[Piece]] = {}
    for piece in case.pieces:
        if piece.neutral and piece.id in layout:
            groups.setdefault(piece.neutral, []).append(piece)
    for members in groups.values():
        for first, second in combinations(members, 2):
            if first.partner == second.id or second.partner == first.id:
                continue  # compared as a pair already
            here, there = layout[first.id].spaces, layout[second.id].spaces
            if {case.legs[space - 1] for space in here} & {case.legs[space - 1] for space in there}:
                yield _say("multiwire_leg", (first, second), tuple(sorted({*here, *there})))


def _tandems(case: PanelCase, layout: Layout) -> Iterator[Violation]:
    """Both halves of a tandem are one body: of half size they are moved together, or stay."""
    for piece in case.pieces:
        place = layout.get(piece.id)
        if not piece.body or piece.now is None or place is None or not place.half or place == piece.now:
            continue
        mate = layout.get(piece.body)
        if mate is None or not mate.half or mate.spaces != place.spaces:
            yield _say("tandem_apart", (piece,), place.spaces)


def _side_by_side(case: PanelCase, here: Place, there: Place, moved: bool) -> bool:
    """Neighbors in one column: a listed tie fits their handles. Half-size ones are tied only where they stand so."""
    columns = {case.columns[space - 1] for space in (*here.spaces, *there.spaces)}
    rows = sorted(case.rows[space - 1] for space in (*here.spaces, *there.spaces))
    close = len(columns) == 1 and rows[-1] - rows[0] <= len(rows) - 1
    if here.half or there.half:
        return close and bool(here.half) == bool(there.half) and not moved
    return close


def _of_panel(case: PanelCase) -> Iterator[Violation]:
    """More circuits than the label allows: no layout ends that. The main is no circuit (from memory)."""
    poles = sum(piece.poles for piece in case.pieces if piece.role != "main")
    if case.circuits_max is not None and poles > case.circuits_max:
        yield _say("too_many_circuits", (), (), poles=poles, most=case.circuits_max)


def moves(case: PanelCase, layout: Layout) -> int:
    """How many breakers that have a place get another one, or another size."""
    return sum(1 for piece in case.pieces if piece.now is not None and layout.get(piece.id) != piece.now)


Swapped = frozenset[str]
EVERY_WAY = 6
"""Breakers of two poles with an unknown side that are all tried both ways; above, their differences are added up."""


def leg_tenths(case: PanelCase, layout: Layout, scenario: int, swapped: Swapped = frozenset()) -> list[int]:
    """Current on each leg in a scenario [0.1 A]: on two legs, what is between both legs of it left out.

    On three legs, what is between two of them counts by its angle, all power factors taken as alike.

    Args:
        swapped: Breakers of two poles whose currents to neutral are taken the other way round.
    """
    total = [0] * case.leg_count
    between = [0] * case.leg_count  # from a leg to the next one
    for piece in case.pieces:
        place = layout.get(piece.id)
        if place is None:
            continue
        spaces = sorted((s for s in place.spaces if 1 <= s <= case.spaces), key=lambda s: case.rows[s - 1])
        on = [case.legs[space - 1] for space in spaces[: piece.poles]]
        poles = piece.to_neutral(scenario)
        for leg, tenths in zip(on, poles[::-1] if piece.id in swapped else poles, strict=False):
            total[leg] += tenths
        if case.leg_count == 3 and piece.poles == 2 and len(set(on)) == 2:
            first, second = on
            between[first if (first + 1) % 3 == second else second] += piece.tenths[scenario]
    if not any(between):
        return total
    return [_by_angles(total[leg], between[leg], between[leg - 1]) for leg in range(3)]


def _by_angles(to_neutral: int, to_next: int, from_last: int) -> int:
    """Current of one of three legs [0.1 A]: what goes to the legs beside it stands 30 degrees to either side."""
    along = 1000 * to_neutral + 866 * (to_next + from_last)
    across = 500 * (to_next - from_last)
    return (isqrt(along * along + across * across) + 500) // 1000


def apart_tenths(case: PanelCase, layout: Layout, scenario: int) -> int:
    """Largest difference of two legs in a scenario [0.1 A], whichever way round unknown poles are."""
    unsure = [piece for piece in case.pieces if piece.either and piece.id in layout]
    tried = [piece.id for piece in unsure[:EVERY_WAY]]
    worst = 0
    for way in product((False, True), repeat=len(tried)):
        total = leg_tenths(case, layout, scenario, frozenset(i for i, turn in zip(tried, way, strict=True) if turn))
        worst = max(worst, max(total) - min(total))
    over = (piece.to_neutral(scenario) for piece in unsure[EVERY_WAY:])
    return worst + 2 * sum(abs(upper - lower) for upper, lower in over)


def worst_apart(case: PanelCase, layout: Layout) -> int:
    """Largest difference of two legs over all scenarios [0.1 A]."""
    return max((apart_tenths(case, layout, index) for index in range(len(case.scenarios))), default=0)
