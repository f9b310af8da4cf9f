"""Random panels for tests and the study: small ones for full enumeration, realistic ones by size and seed."""

from __future__ import annotations

import random
from dataclasses import replace

from deadfront.msg import said
from deadfront.results.panel import PanelCase, Piece, Place
from deadfront.worksheet.check import Reach

SPLIT, WYE_TWO, WYE_THREE = "120/240 1ph 3w", "208Y/120 1ph 3w", "208Y/120 3ph 4w"


def rows_and_columns(spaces: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Odd numbers left, even numbers right."""
    return tuple(n // 2 for n in range(spaces)), tuple(n % 2 for n in range(spaces))


def empty_case(spaces: int, system: str = SPLIT, **more: object) -> PanelCase:
    """A panel with nothing in it."""
    rows, columns = rows_and_columns(spaces)
    count = 3 if system == WYE_THREE else 2
    legs = tuple(row % count for row in rows)
    given = {"pieces": (), **more}
    return PanelCase("p-1", said("thing.named", name="Main panel"), system, legs, columns, rows, **given)  # type: ignore[arg-type]


def piece(ident: str, *tenths: int, **more: object) -> Piece:
    """A breaker with its currents in tenths of an ampere."""
    return Piece(ident, said("thing.named", name=ident), tenths=tenths or (0,), **more)  # type: ignore[arg-type]


def small_case(seed: int) -> PanelCase:
    """A panel of 4 to 8 spaces with some of every rule in it, small enough to try every layout."""
    rng = random.Random(seed)
    spaces = rng.choice((4, 6, 6, 8))
    system = rng.choice((SPLIT, SPLIT, SPLIT, WYE_TWO, WYE_THREE))
    scenarios = rng.choice((1, 1, 2))
    half = rng.choice((frozenset(), None, frozenset(rng.sample(range(1, spaces + 1), 2))))
    reserved = frozenset(rng.sample(range(1, spaces + 1), rng.choice((0, 0, 0, 1, 2))))
    controllable = rng.choice((None, None, frozenset(rng.sample(range(1, spaces + 1), spaces // 2))))
    pieces: list[Piece] = []
    free = list(range(1, spaces + 1))
    rng.shuffle(free)
    wanted = rng.randint(2, min(5, spaces - 1))
    while len(pieces) < wanted and free:
        made = _small_piece(rng, f"b-{len(pieces)}", spaces, free, scenarios, half)
        if made is not None:
            pieces.append(made)
        elif rng.random() < 0.5:
            break
    if half and len(pieces) < 4 and (there := [space for space in half if space in free]) and rng.random() < 0.5:
        pieces += _tandem(rng, len(pieces), there[0], scenarios)
    pieces = _paired(rng, pieces)
    if rng.random() < 0.4:
        pieces = [replace(each, group=rng.choice(("", "kitchen"))) for each in pieces]
    return empty_case(
        spaces, system, pieces=tuple(pieces), half_spaces=half, reserved=reserved, controllable_spaces=controllable,
        scenarios=tuple(said("thing.named", name=f"time {n}") for n in range(scenarios)),
    )  # fmt: skip


def _tandem(rng: random.Random, number: int, space: int, scenarios: int) -> list[Piece]:
    """Two halves of one space, one body; either may come of full size instead."""
    names = f"b-{number}", f"b-{number + 1}"
    return [piece(ident, *(rng.randint(0, 160) for _ in range(scenarios)), half=True, full=rng.random() < 0.4,
                  now=Place((space,), half), body=other, fixed=rng.random() < 0.1)
            for ident, other, half in ((names[0], names[1], "a"), (names[1], names[0], "b"))]  # fmt: skip


def _small_piece(
    rng: random.Random, ident: str, spaces: int, free: list[int], scenarios: int, half: frozenset[int] | None
) -> Piece | None:
    tenths = tuple(rng.randint(0, 160) for _ in range(scenarios))
    more: dict[str, object] = {"fixed": rng.random() < 0.15, "controllable": rng.random() < 0.15,
            "role": "source" if rng.random() < 0.1 else "branch"}  # fmt: skip
    new = rng.random() < 0.2
    if more["role"] == "source" and rng.random() < 0.5:
        more["ends"] = frozenset(rng.sample(range(1, spaces + 1), 2))
    if rng.random() < 0.25:
        if rng.random() < 0.4:
            more |= {side: tuple(rng.randint(0, 120) for _ in range(scenarios)) for side in ("upper", "lower")}
            more["either"] = rng.random() < 0.5
        if new:
            return piece(ident, *tenths, poles=2, **more)
        for space in free:
            if space + 2 in free:
                free.remove(space)
                free.remove(space + 2)
                return piece(ident, *tenths, poles=2, now=Place((space, space + 2)), **more)
        return None
    either = bool(half) and rng.random() < 0.4
    if new:
        return piece(ident, *tenths, half=either, **more)
    if half and rng.random() < 0.3:
        there = [space for space in half if space in free]
        if there:
            free.remove(there[0])
            return piece(ident, *tenths, half=True, full=either, now=Place((there[0],), rng.choice("ab")), **more)
    return piece(ident, *tenths, half=either, now=Place((free.pop(),)), **more)


def _paired(rng: random.Random, pieces: list[Piece]) -> list[Piece]:
    """Two breakers of one pole made to belong together, in some panels."""
    singles = [each for each in pieces if each.poles == 1 and each.role == "branch"]
    if len(singles) < 2 or rng.random() < 0.5:
        return pieces
    if len(singles) > 2 and rng.random() < 0.3:
        group = {each.id for each in rng.sample(singles, 3)}
        return [replace(each, neutral="n") if each.id in group else each for each in pieces]
    first, second = rng.sample(singles, 2)
    shares = rng.random() < 0.7
    tied = rng.random() < 0.6 or not shares
    joined = {first.id: second.id, second.id: first.id}
    return [replace(each, partner=joined[each.id], shares_neutral=shares, tied=tied) if each.id in joined else each
            for each in pieces]  # fmt: skip


TWO_POLE_A = (400, 240, 190, 250, 320, 400, 300, 160)
"""Range, dryer, water heater, heat pump, charger, charger, heat, pool (tenths of an ampere; common practice)."""


def realistic_case(spaces: int, seed: int, full: bool | None = None) -> PanelCase:
    """A panel as houses have them: some loads of 240 V, many circuits of 120 V, pairs, things that stay, new circuits.

    Args:
        full: Filled to the last space; None: seven in ten are not.
    """
    rng = random.Random(f"{spaces}/{seed}/{full}")
    to_fill = spaces if full or (full is None and rng.random() < 0.3) else int(spaces * rng.uniform(0.7, 0.95))
    scenarios = rng.choice((1, 2, 3, 4))
    half = frozenset() if rng.random() < 0.6 else frozenset(range(spaces - spaces // 4 + 1, spaces + 1))
    controllable = frozenset(range(1, spaces // 2 + 1)) if rng.random() < 0.3 else None
    reserved = (
        frozenset({spaces - 1, spaces - 3})
        if not full and to_fill <= spaces - 2 and rng.random() < 0.4
        else frozenset()
    )
    open_spots = [space for space in range(1, spaces + 1) if space not in reserved]
    pieces: list[Piece] = []
    taken = 0
    doubles = rng.randint(spaces // 10, spaces // 6)
    while taken + 2 <= to_fill and len(pieces) < doubles:
        at = rng.choice([s for s in open_spots if s + 2 in open_spots])
        open_spots.remove(at)
        open_spots.remove(at + 2)
        pieces.append(piece(f"b-{len(pieces)}", *_at_times(rng, rng.choice(TWO_POLE_A), scenarios), poles=2,
                            now=Place((at, at + 2)), fixed=rng.random() < 0.15))  # fmt: skip
        taken += 2
    pairs = rng.choice((0, 1, 2, 3)) if spaces > 20 else rng.choice((0, 1))
    for _ in range(pairs):
        spots = [s for s in open_spots if s + 2 in open_spots]
        if taken + 2 > to_fill or not spots:
            break
        at = rng.choice(spots)
        open_spots.remove(at)
        open_spots.remove(at + 2)
        names = f"b-{len(pieces)}", f"b-{len(pieces) + 1}"
        for ident, other, space in ((names[0], names[1], at), (names[1], names[0], at + 2)):
            pieces.append(piece(ident, *_at_times(rng, rng.randint(10, 120), scenarios), now=Place((space,)),
                                partner=other, shares_neutral=True, tied=True))  # fmt: skip
        taken += 2
    new = rng.choice((0, 0, 1, 2))
    while taken < to_fill and open_spots:
        fresh = new > 0 and rng.random() < 0.2
        new -= int(fresh)
        space = open_spots.pop(rng.randrange(len(open_spots)))
        spot = None if fresh else Place((space,))
        able = controllable is not None and space in controllable and rng.random() < 0.2
        either = bool(half) and rng.random() < 0.6
        tenths = _at_times(rng, rng.choice((3, 8, 15, 25, 40, 60, 80, 100, 120)) + rng.randint(0, 9), scenarios)
        stays = spot is not None and rng.random() < 0.08
        group = rng.choice(("", "", "", "kitchen", "shed"))
        reach = Reach.NEW if fresh else Reach.EXISTING  # what stands nowhere yet is put in by the work
        pieces.append(piece(f"b-{len(pieces)}", *tenths, now=spot, fixed=stays, controllable=able, half=either,
                            group=group, reach=reach))  # fmt: skip
        taken += 1
    return empty_case(
        spaces, pieces=tuple(pieces), half_spaces=half, reserved=reserved, controllable_spaces=controllable,
        main_tenths=1000 if spaces < 30 else 2000, circuits_max=spaces + len(half),
        scenarios=tuple(said("thing.named", name=f"time {n}") for n in range(scenarios)),
    )  # fmt: skip


def _at_times(rng: random.Random, tenths: int, scenarios: int) -> list[int]:
    """Currents of one breaker at several times: on, partly on, or off."""
    return [tenths if n == 0 else rng.choice((0, tenths // 3, tenths)) for n in range(scenarios)]
