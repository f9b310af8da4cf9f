"""The moves from one layout to another, in an order in which they can be worked.

No step needs a space that is not free yet; on no step do two hots of a shared neutral stand on one leg. Where breakers
wait for each other in a ring, one is taken out and set aside, its conductors capped, and put back at its turn.
"""

from __future__ import annotations

from collections.abc import Iterable

from deadfront.results.panel import Layout, MoveStep, PanelCase, Piece, Place


def ordered(case: PanelCase, target: Layout) -> tuple[MoveStep, ...]:
    """Every step from the layout as it stands to another one."""
    return tuple(_Worker(case, target).work())


def slots(place: Place) -> frozenset[tuple[int, str]]:
    """What a place takes: both halves of a space, or one."""
    return frozenset((space, half) for space in place.spaces for half in place.half or "ab")


class _Worker:
    """Works through the moves, one at a time."""

    def __init__(self, case: PanelCase, target: Layout) -> None:
        self.case, self.target = case, target
        self.pieces = {piece.id: piece for piece in case.pieces}
        self.stands: dict[str, Place] = case.found()
        self.aside: set[str] = set()
        self.waiting = [piece.id for piece in case.pieces if self.stands.get(piece.id) != target[piece.id]]
        self.waiting.sort(key=lambda ident: self.pieces[ident].now is None)
        self.steps: list[MoveStep] = []

    def work(self) -> Iterable[MoveStep]:
        """Move what can be moved; where nothing can, set one aside that others wait for."""
        while self.waiting:
            ready = next((ident for ident in self.waiting if all(self._free(each) for each in self._body(ident))), None)
            if ready is not None:
                for number, each in enumerate(self._body(ready)):
                    self._put(each, together=number > 0)
            else:
                for each in self._body(self._in_the_way()):
                    self._park(each)
        return self.steps

    def _body(self, ident: str) -> tuple[str, ...]:
        """A breaker, and the other half of its tandem where both go to one space."""
        mate = self.pieces[ident].body
        half = self.target[ident].half and self.target[ident].spaces == self.target.get(mate, Place(())).spaces
        return (ident, mate) if half and mate in self.waiting else (ident,)

    def _free(self, ident: str) -> bool:
        """Whether its place is free, and its partner not on the same leg then."""
        wanted = slots(self.target[ident])
        if any(wanted & slots(place) for other, place in self.stands.items() if other != ident):
            return False
        return not self._one_leg(ident, self.target[ident])

    def _one_leg(self, ident: str, place: Place) -> bool:
        """Whether a breaker at a place would stand on one leg with the hot it shares a neutral with."""
        piece = self.pieces[ident]
        other = self.pieces.get(piece.partner)
        if other is None or not (piece.shares_neutral or other.shares_neutral) or other.id not in self.stands:
            return False
        legs = [{self.case.legs[space - 1] for space in each.spaces} for each in (place, self.stands[other.id])]
        return bool(legs[0] & legs[1])

    def _put(self, ident: str, together: bool = False) -> None:
        piece, start, end = self.pieces[ident], self.stands.get(ident), self.target[ident]
        was = piece.now
        resized = was is not None and bool(was.half) != bool(end.half)
        self.steps.append(MoveStep(
            "place" if start is None else "move", ident, piece.name, was if start is None else start, end,
            new=was is None, other_size=resized, rows=self._rows(piece, end),
            other_side=self._other_side(piece, end), check_reach=was is not None and was.spaces != end.spaces,
            together=together, ask_controllable=piece.controllable and self.case.controllable_spaces is None,
        ))  # fmt: skip
        self.stands[ident] = end
        self.waiting.remove(ident)
        self.aside.discard(ident)

    def _park(self, ident: str) -> None:
        piece = self.pieces[ident]
        self.steps.append(MoveStep("park", ident, piece.name, self.stands.pop(ident), None))
        self.aside.add(ident)

    def _in_the_way(self) -> str:
        """The breaker still to be moved that most others wait for; among equals the one with the least current."""
        standing = [ident for ident in self.waiting if ident in self.stands]

        def key(ident: str) -> tuple[int, int, int]:
            here = slots(self.stands[ident])
            blocked = sum(1 for other in self.waiting if other != ident and slots(self.target[other]) & here)
            partner = self.pieces[ident].partner
            blocked += int(partner in self.waiting and self._partner_waits(ident))
            return (-blocked, self.pieces[ident].poles, max(self.pieces[ident].tenths, default=0))

        return min(standing, key=key)

    def _partner_waits(self, ident: str) -> bool:
        """Whether the other hot waits for this one to leave its leg."""
        other = self.pieces[ident].partner
        return other in self.target and self._one_leg(other, self.target[other])

    def _rows(self, piece: Piece, end: Place) -> int:
        if piece.now is None:
            return 0
        return abs(self.case.rows[piece.now.spaces[0] - 1] - self.case.rows[end.spaces[0] - 1])

    def _other_side(self, piece: Piece, end: Place) -> bool:
        if piece.now is None:
            return False
        return self.case.columns[piece.now.spaces[0] - 1] != self.case.columns[end.spaces[0] - 1]
