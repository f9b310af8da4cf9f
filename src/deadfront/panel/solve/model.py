"""The layout of a panel as an integer program, and a solution back as a layout.

Spaces on one leg under the same rules are alike to a breaker of one pole that is moved: it is sent to such a class, and
gets its space afterwards, the nearest that is free. What stays, and what takes two neighbors, is placed exactly. So one
panel has few solutions that differ in nothing but names, and the proof is short.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from itertools import combinations, permutations, product

from deadfront.panel.rules.places import (
    ALL,
    Choice,
    Rules,
    half_allowed,
    pair_choices,
    pair_of,
    place_allowed,
    single_choices,
    space_allowed,
    stays,
    two_pole_choices,
)
from deadfront.panel.solve.linear import Linear
from deadfront.results.panel import PanelCase, Piece, Place

Spaces = tuple[int, ...]
MOVE_COST = 100
"""Cost of one move; a half-size breaker where a full-size one would do costs 1, so that it only breaks ties."""

WHOLE = (1000, 1000, 1000)
ALONG = ((1000, 866, 866), (866, 1000, 500), (866, 500, 1000))
"""Parts, in thousandths, of what goes from a leg to neutral, to the next leg and to the last one, along the leg's own
direction and along those 30 degrees to either side of it."""


@dataclass(frozen=True)
class SpaceClass:
    """Spaces that are alike: one leg, the same rules."""

    leg: int
    spaces: Spaces
    half: bool


@dataclass
class Model:
    """A program with what its variables mean.

    Args:
        stay: Breakers of one pole that stay, by variable.
        send: Breaker, class and size that a variable sends.
        choose: Choice of a breaker of two poles, or of a pair.
    """

    case: PanelCase
    program: Linear
    classes: tuple[SpaceClass, ...]
    stay: dict[int, Piece] = field(default_factory=dict)
    send: dict[int, tuple[Piece, int, bool]] = field(default_factory=dict)
    choose: dict[int, Choice] = field(default_factory=dict)


def classes_of(case: PanelCase, rules: Rules = ALL) -> tuple[SpaceClass, ...]:
    """The spaces by leg and by the rules that are on them."""
    halves = half_allowed(case, rules)
    found: dict[tuple[object, ...], list[int]] = {}
    for space in range(1, case.spaces + 1):
        controllable = case.controllable_spaces is None or space in case.controllable_spaces
        key = (case.legs[space - 1], space in halves, controllable, space in case.reserved)
        found.setdefault(key, []).append(space)
    return tuple(SpaceClass(case.legs[s[0] - 1], tuple(s), s[0] in halves) for s in found.values())


def model_of(
    case: PanelCase, limit: int | None, rules: Rules = ALL, least: int = 0, even: bool = False,
    moves: int | None = None, strict: bool = False,
) -> Model:  # fmt: skip
    """The program: fewest moves with the legs within a limit.

    Args:
        limit: Largest difference of two legs [0.1 A]; None: any.
        rules: Rules that hold.
        least: Fewest moves that are already proven to be needed.
        even: Make the difference small instead of the moves.
        moves: Most moves; breakers of one group are then put near each other, and their distance is made small.
        strict: Where legs add up by angles no row of whole numbers is exact. The rows then let through every layout
            that is right and some that are not; strict: none that is wrong, and not all that are right.
    """
    model = Model(case, Linear(), classes_of(case, rules))
    build = _Builder(model, rules, exact=moves is not None)
    build.units()
    build.room()
    counted = [(var, cost // MOVE_COST) for var, cost in model.program.cost.items() if cost >= MOVE_COST]
    if least > 0:
        model.program.row(counted, low=least)
    if moves is not None:
        model.program.row(counted, high=moves)
        build.near()
    build.legs(limit, even, strict)
    return model


class _Builder:
    """Puts a panel into a program, part by part."""

    def __init__(self, model: Model, rules: Rules, exact: bool = False) -> None:
        self.exact = exact
        self.model, self.case, self.program, self.rules = model, model.case, model.program, rules
        self.full: dict[int, list[int]] = {space: [] for space in range(1, self.case.spaces + 1)}
        self.halves: dict[int, dict[str, list[int]]] = {space: {"a": [], "b": []} for space in self.full}
        self.sent_full: list[list[int]] = [[] for _ in model.classes]
        self.sent_half: list[list[int]] = [[] for _ in model.classes]
        self.carry: list[tuple[int, Piece, Spaces]] = []
        self.placed: dict[tuple[str, Place], list[int]] = {}

    def units(self) -> None:
        """One choice for every breaker, or for every two that belong together."""
        done: set[str] = set()
        for piece in self.case.pieces:
            if piece.id in done:
                continue
            other = pair_of(self.case, piece)
            if other is not None:
                done |= {piece.id, other.id}
                self._exact(pair_choices(self.case, piece, other, self.rules))
            elif piece.poles == 1 and ((self.exact and piece.group) or piece.ends is not None or piece.body):
                self._exact(single_choices(self.case, piece, self.rules))
            elif piece.poles == 2:
                self._exact(two_pole_choices(self.case, piece, self.rules))
            else:
                self._single(piece)
        if self.rules.on("tandem"):
            self._bodies()
        if self.rules.on("shares_neutral"):
            self._neutrals()

    def _neutrals(self) -> None:
        """Of three or more hots of one neutral no two stand on one leg."""
        groups: dict[str, list[str]] = {}
        for piece in self.case.pieces:
            if piece.neutral:
                groups.setdefault(piece.neutral, []).append(piece.id)
        for members in groups.values():
            for two, leg in product(combinations(members, 2), range(self.case.leg_count)):
                row = [(var, 1) for var, piece, spaces in self.carry
                       if piece.id in two and leg in {self.case.legs[space - 1] for space in spaces}]  # fmt: skip
                self.program.row(row, high=1)

    def _bodies(self) -> None:
        """Both halves of a tandem go to one space, either one above, or neither does."""
        for piece in self.case.pieces:
            mate = next((each for each in self.case.pieces if each.id == piece.body and each.id > piece.id), None)
            if mate is None or piece.now is None or mate.now is None:
                continue
            for space, half in product(self.full, "ab"):
                place = Place((space,), half)
                if place != piece.now:
                    here = self.placed.get((piece.id, place), [])
                    there = self.placed.get((mate.id, Place((space,), "b" if half == "a" else "a")), [])
                    if here or there:
                        self.program.row([*((var, 1) for var in here), *((var, -1) for var in there)], 0, 0)

    def _exact(self, choices: Iterable[Choice]) -> None:
        """A unit that is placed exactly."""
        made: list[int] = []
        for choice in choices:
            var = self.program.var(cost=MOVE_COST * choice.moved)
            self.model.choose[var] = choice
            made.append(var)
            for ident, place in choice.places:
                self._take(var, place)
                self.carry.append((var, self._piece(ident), place.spaces))
                self.placed.setdefault((ident, place), []).append(var)
        self.program.row([(var, 1) for var in made], 1, 1)

    def _piece(self, ident: str) -> Piece:
        return next(each for each in self.case.pieces if each.id == ident)

    def _take(self, var: int, place: Place) -> None:
        for space in place.spaces:
            if place.half:
                self.halves[space][place.half].append(var)
            else:
                self.full[space].append(var)

    def _single(self, piece: Piece) -> None:
        """A breaker of one pole: stays, or is sent to a class of spaces."""
        made: list[int] = []
        if piece.now is not None and place_allowed(self.case, piece, piece.now, self.rules):
            var = self.program.var()
            self.model.stay[var] = piece
            self._take(var, piece.now)
            self.carry.append((var, piece, piece.now.spaces[:1]))
            made.append(var)
        if not stays(piece, self.rules):
            moved = MOVE_COST if piece.now is not None else 0
            for number, each in enumerate(self.model.classes):
                if not space_allowed(self.case, piece, each.spaces[0], self.rules):
                    continue
                for half in (False, True):
                    if not (piece.half if half else piece.full) or (half and not each.half):
                        continue
                    var = self.program.var(cost=moved + int(half and piece.full))
                    self.model.send[var] = (piece, number, half)
                    (self.sent_half if half else self.sent_full)[number].append(var)
                    self.carry.append((var, piece, each.spaces[:1]))
                    made.append(var)
        self.program.row([(var, 1) for var in made], 1, 1)

    def room(self) -> None:
        """No space takes more than its breakers: one of full size, or two halves."""
        for number, each in enumerate(self.model.classes):
            taken: list[tuple[int, int]] = []
            halves: list[tuple[int, int]] = []
            for space in each.spaces:
                split = self._space(space)
                taken += [(var, 1) for var in self.full[space]] + ([(split, 1)] if split is not None else [])
                halves += [(var, 1) for half in "ab" for var in self.halves[space][half]]
                halves += [(split, -2)] if split is not None else []
            if self.sent_half[number]:
                more = self.program.var(high=len(each.spaces))
                taken.append((more, 1))
                halves.append((more, -2))
                self.program.row([*halves, *((var, 1) for var in self.sent_half[number])], high=0)
            self.program.row([*taken, *((var, 1) for var in self.sent_full[number])], high=len(each.spaces))

    def _space(self, space: int) -> int | None:
        """Rows of one space; the variable that says whether it is split into halves, where something half stays."""
        there = [var for half in "ab" for var in self.halves[space][half]]
        split = self.program.var() if there else None
        whole = [(var, 1) for var in self.full[space]] + ([(split, 1)] if split is not None else [])
        if whole:
            self.program.row(whole, high=1)
        if split is not None:
            for half in "ab":
                if self.halves[space][half]:
                    self.program.row([*((var, 1) for var in self.halves[space][half]), (split, -1)], high=0)
        return split

    def near(self) -> None:
        """Breakers of one group stand near each other: the rows between the first and the last are made few."""
        self.program.cost.clear()
        deepest = max(self.case.rows)
        for group in dict.fromkeys(piece.group for piece in self.case.pieces if piece.group):
            members = {piece.id for piece in self.case.pieces if piece.group == group}
            if len(members) < 2:
                continue
            first, last = self.program.var(high=deepest, cost=-1), self.program.var(high=deepest, cost=1)
            for ident in members:
                row = [(var, self.case.rows[spaces[0] - 1]) for var, piece, spaces in self.carry if piece.id == ident]
                self.program.row([*row, (first, -1)], low=0)
                self.program.row([*row, (last, -1)], high=0)

    def legs(self, limit: int | None, even: bool, strict: bool = False) -> None:
        """The legs differ by at most the limit in every scenario, or by as little as can be."""
        if limit is None and not even:
            return
        case = self.case
        allowed = 0 if limit is None else limit
        if case.by_phasors:  # the judge rounds to whole tenths
            allowed = max(allowed - 1, 0) if strict else allowed + 1
        worst = None
        if even:
            self.program.cost.clear()
            most = max(sum(piece.tenths[index] + sum(piece.to_neutral(index)) for piece in case.pieces)
                       for index in range(len(case.scenarios)))  # fmt: skip
            worst = self.program.var(high=most if limit is None else allowed, cost=1)
        seen = ALONG if case.by_phasors and not strict else ALONG[:1]
        for index in range(len(case.scenarios)):
            for pair, along in product(permutations(range(case.leg_count), 2), seen):
                terms = [(var, self._over(piece, spaces, index, pair, strict, along))
                         for var, piece, spaces in self.carry]  # fmt: skip
                if worst is None:
                    self.program.row(terms, high=allowed)
                else:
                    self.program.row([*terms, (worst, -1)], high=0)

    def _over(
        self, piece: Piece, spaces: Spaces, index: int, pair: tuple[int, ...], strict: bool, along: tuple[int, int, int]
    ) -> int:
        """By how much a breaker in its spaces makes the first leg of a pair carry more than the second, at most.

        Of three legs with loads between them a leg carries no more than the amperes on it, and no less than their parts
        along any one direction.
        """
        ordered = sorted(spaces, key=lambda space: self.case.rows[space - 1])[: piece.poles]
        on = [self.case.legs[space - 1] for space in ordered]
        upper, lower = piece.to_neutral(index)
        ways = [(upper, lower), (lower, upper)] if piece.either else [(upper, lower)]
        more, less = (WHOLE, along) if strict else (along, WHOLE)
        over = max(sum(tenths * more[0] // 1000 * (leg == pair[0]) - tenths * less[0] // 1000 * (leg == pair[1])
                       for leg, tenths in zip(on, way, strict=False)) for way in ways)  # fmt: skip
        if self.case.leg_count == 3 and piece.poles == 2:
            tenths = piece.tenths[index]
            for leg, other in (on, on[::-1]):
                side = 1 if (leg + 1) % 3 == other else 2
                over += tenths * more[side] // 1000 * (leg == pair[0]) - tenths * less[side] // 1000 * (leg == pair[1])
        return over


def layout_of(model: Model, values: tuple[int, ...]) -> dict[str, Place]:
    """A solution as a layout: what is sent gets the nearest free space of its class."""
    layout: dict[str, Place] = {}
    for var, piece in model.stay.items():
        if values[var] and piece.now is not None:
            layout[piece.id] = piece.now
    for var, choice in model.choose.items():
        if values[var]:
            layout.update(choice.places)
    for number, each in enumerate(model.classes):
        sent = [(piece, half) for var, (piece, to, half) in model.send.items() if values[var] and to == number]
        _seat(model.case, layout, each, sent)
    return layout


def _seat(case: PanelCase, layout: dict[str, Place], each: SpaceClass, sent: list[tuple[Piece, bool]]) -> None:
    """Give every breaker that is sent to a class its space: halves first into spaces that are split already."""
    taken = {space for place in layout.values() for space in place.spaces if not place.half}
    halves = {(space, place.half) for place in layout.values() if place.half for space in place.spaces}
    split = {space for space, _ in halves}
    for piece, _ in sorted((s for s in sent if s[1]), key=lambda s: s[0].now is None):
        open_halves = [Place((s,), h) for s in each.spaces if s in split for h in "ab" if (s, h) not in halves]
        fresh = [Place((s,), "a") for s in each.spaces if s not in taken and s not in split]
        place = min(open_halves or fresh, key=_distance(case, piece))
        layout[piece.id] = place
        halves.add((place.spaces[0], place.half))
        split.add(place.spaces[0])
    for piece, _ in sorted((s for s in sent if not s[1]), key=lambda s: s[0].now is None):
        free = [Place((s,)) for s in each.spaces if s not in taken and s not in split]
        place = min(free, key=_distance(case, piece))
        layout[piece.id] = place
        taken.add(place.spaces[0])


def _distance(case: PanelCase, piece: Piece) -> Callable[[Place], tuple[int, int]]:
    """How far a place is from where a breaker stands: its conductors were cut for that."""

    def far(place: Place) -> tuple[int, int]:
        if piece.now is None:
            return (0, place.spaces[0])
        here, there = piece.now.spaces[0] - 1, place.spaces[0] - 1
        side = 2 * int(case.columns[here] != case.columns[there])
        return (abs(case.rows[here] - case.rows[there]) + side, place.spaces[0])

    return far
