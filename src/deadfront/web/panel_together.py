"""Breakers that belong together are carried together: two hots of one neutral, a tied pair, the halves of a tandem."""

from __future__ import annotations

from collections.abc import Mapping

from deadfront.results.panel import PanelCase, Piece, Place


def carried(case: PanelCase, stands: Mapping[str, Place], ident: str, place: Place) -> dict[str, Place]:
    """Where a breaker goes, and with it the one that it belongs together with.

    Two spaces for a breaker of one pole are for both of a pair, the upper one for the one that stands higher now. With
    one space the other one of a pair comes to its side as it stood, or to the free side; where it stands beside that
    space already, or must stay, it stays.

    Args:
        stands: Where every breaker stands before it.
        place: Where this one is put.
    """
    by_id = {piece.id: piece for piece in case.pieces}
    piece = by_id.get(ident)
    if piece is None or piece.poles != 1:
        return {ident: place}
    mate = by_id.get(piece.body)
    if mate is not None and place.half and len(place.spaces) == 1 and not mate.fixed:
        return {ident: place, mate.id: Place(place.spaces, "b" if place.half == "a" else "a")}
    other = by_id.get(piece.partner)
    if other is None or other.partner != ident or other.poles != 1:
        return {ident: place}
    if len(place.spaces) == 2 and not place.half:
        return _both(case, stands, piece, other, place)
    return {ident: place, **_follows(case, stands, piece, other, place)}


def _row(case: PanelCase, place: Place | None) -> int | None:
    space = place.spaces[0] if place is not None and place.spaces else 0
    return case.rows[space - 1] if 1 <= space <= case.spaces else None


def _both(case: PanelCase, stands: Mapping[str, Place], piece: Piece, other: Piece, place: Place) -> dict[str, Place]:
    """Two spaces, one for each, in the order in which they stand."""
    rows = {each.id: _row(case, stands.get(each.id)) for each in (piece, other)}
    here, there = rows[piece.id], rows[other.id]
    first, second = (other, piece) if here is not None and there is not None and there < here else (piece, other)
    upper, lower = sorted(place.spaces, key=lambda space: case.rows[space - 1] if space <= case.spaces else space)
    return {first.id: Place((upper,)), second.id: Place((lower,))}


def _follows(
    case: PanelCase, stands: Mapping[str, Place], piece: Piece, other: Piece, place: Place
) -> dict[str, Place]:
    """The other one at its side; empty where it stays."""
    row, now = _row(case, place), stands.get(other.id)
    if row is None or other.fixed or place.half or len(place.spaces) != 1 or (now is not None and now.half):
        return {}
    column = case.columns[place.spaces[0] - 1]
    beside = {case.rows[space - 1]: space for space in range(1, case.spaces + 1) if case.columns[space - 1] == column}
    if now is not None and len(now.spaces) == 1 and now.spaces[0] in (beside.get(row - 1), beside.get(row + 1)):
        return {}
    here, there = _row(case, stands.get(piece.id)), _row(case, now)
    below = here is None or there is None or there >= here
    sides = [beside[each] for each in ((row + 1, row - 1) if below else (row - 1, row + 1)) if each in beside]
    taken = {space for ident, at in stands.items() if ident not in (piece.id, other.id) for space in at.spaces}
    sides.sort(key=lambda space: space in taken)
    return {other.id: Place((sides[0],))} if sides else {}
