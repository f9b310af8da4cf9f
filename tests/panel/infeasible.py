"""Panels that nothing can lay out, each with the rules that clash in it; and random ones that mostly cannot be.

A rule is named as `clashing` names it: "fixed/b-1", "reserved", "source_place", "source_end", "tandem", "half_spaces",
"controllable", "shares_neutral", "tied", "limit"; "room" and "overfull" are no rules and cannot be given up.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace

from deadfront.msg import Msg
from deadfront.panel.rules.judge import judge, worst_apart
from deadfront.panel.solve.curve import NO_LAYOUT_ENDS
from deadfront.results.panel import PanelCase, Piece, Place
from tests.panel.every_layout import every_layout
from tests.panel.made import WYE_THREE, WYE_TWO, empty_case, piece

IDLE = ("room", "overfull")
BY_KIND = {"reserved": "reserved", "source_place": "source_place", "source_end": "source_end", "tandem": "tandem_apart"}
"""Rules that are given up by not counting a kind of violation."""


@dataclass(frozen=True)
class Clash:
    """A panel without a layout.

    Args:
        name: What is the matter.
        case: The panel.
        rules: Those that clash.
        limit: Largest difference of the legs, where that is in it [0.1 A].
    """

    name: str
    case: PanelCase
    rules: frozenset[str]
    limit: int | None = None


def stand(ident: str, *spaces: int, half: str = "", tenths: int = 0, **more: object) -> Piece:
    """A breaker that stands in spaces."""
    return piece(ident, tenths, poles=len(spaces) or 1, now=Place(spaces, half), half=bool(half), full=not half, **more)


def stays(ident: str, *spaces: int, half: str = "", tenths: int = 0, **more: object) -> Piece:
    """A breaker that may not be moved."""
    return stand(ident, *spaces, half=half, tenths=tenths, fixed=True, **more)


def pair(first: Piece, second: Piece, **more: bool) -> tuple[Piece, Piece]:
    """Two breakers that belong together: shares_neutral, tied."""
    return replace(first, partner=second.id, **more), replace(second, partner=first.id, **more)


def _case(name: str, spaces: int, pieces: Sequence[Piece], rules: str, limit: int | None = None, system: str = "",
          **more: object) -> Clash:  # fmt: skip
    legs = more.pop("legs", None)
    case = empty_case(spaces, *((system,) if system else ()), pieces=tuple(pieces), **more)
    return Clash(name, replace(case, legs=legs or case.legs), frozenset(rules.split()), limit)  # type: ignore[arg-type]


def clashes() -> list[Clash]:
    """Every kind of panel that cannot be laid out. Expected rules by hand: what is left when one rule more is kept."""
    new = [piece(f"n{n}") for n in range(9)]
    two = piece("two", poles=2)
    small = replace(new[0], half=True, full=False)
    able, source = piece("able", controllable=True), piece("src", role="source")
    spaced = {"controllable_spaces": frozenset({1}), "reserved": frozenset({1})}
    return [
        # more than there is room for
        _case("one breaker more than spaces", 4, new[:5], "overfull"),
        _case("two poles and three more in four spaces", 4, [two, *new[:3]], "overfull"),
        _case("two poles too many", 4, [replace(two, id=f"t{n}") for n in range(3)], "overfull"),
        _case("half-size breakers, one space that takes them", 4, [replace(n, half=True, full=False) for n in new[:6]],
              "overfull half_spaces", half_spaces=frozenset({1})),
        _case("half-size breakers, no space takes them", 4, [replace(n, half=True) for n in new[:5]],
              "overfull half_spaces"),
        _case("half-size beyond any help", 4, [replace(n, half=True) for n in new[:9]], "overfull",
              half_spaces=frozenset({1, 2})),
        _case("room in number, no two neighbors: three rows", 6, [replace(two, id=f"t{n}") for n in range(3)], "room"),
        # what stays against what stays
        _case("two in one space", 4, [stays("a", 1), stays("b", 1)], "fixed/a fixed/b"),
        _case("one across another", 6, [stays("a", 3), stays("b", 1, 3)], "fixed/a fixed/b"),
        _case("two poles across two poles", 8, [stays("a", 1, 3), stays("b", 3, 5)], "fixed/a fixed/b"),
        _case("both in one half", 4, [stays("a", 1, half="a"), stays("b", 1, half="a")], "fixed/a fixed/b",
              half_spaces=frozenset({1})),
        _case("half against whole", 4, [stays("a", 1, half="a"), stays("b", 1)], "fixed/a fixed/b",
              half_spaces=frozenset({1, 2})),
        _case("one beyond the panel", 4, [stays("a", 7)], "fixed/a"),
        _case("two poles on one leg", 8, [stays("a", 1, 3)], "fixed/a", legs=(0, 0, 0, 0, 1, 1, 1, 1)),
        _case("two poles across the columns", 4, [stays("a", 1, 2)], "fixed/a"),
        # what stays against what comes
        _case("no two neighbors left", 6, [stays("a", 3), stays("b", 4), two], "fixed/a fixed/b"),
        _case("no two neighbors left by four", 8, [stays("a", 3), stays("b", 4), stays("c", 5), stays("d", 6), two],
              "fixed/a fixed/b fixed/c fixed/d"),
        # half-size limit
        _case("half-size where the label takes none", 4, [stays("a", 2, half="a")], "half_spaces"),
        _case("a new half-size one where no space takes it", 4, [small], "half_spaces"),
        _case("label not read, none stands", 4, [small], "half_spaces", half_spaces=None),
        _case("the only half space is held whole", 4, [stays("a", 1), small],
              "fixed/a half_spaces", half_spaces=frozenset({1})),
        # spaces kept, controllable ones
        _case("one stays where spaces are kept", 4, [stays("a", 4)], "fixed/a reserved", reserved=frozenset({4})),
        _case("too few spaces outside those kept", 4, new[:3], "reserved", reserved=frozenset({3, 4})),
        _case("no neighbors outside those kept", 4, [two], "reserved", reserved=frozenset({1, 4})),
        _case("kept spaces are not neighbors for the source", 6, [replace(two, role="source")], "source_place",
              reserved=frozenset({1, 4})),
        _case("two sources for one kept space", 4, [source, replace(source, id="s2")], "source_place",
              reserved=frozenset({1})),
        _case("the source stays elsewhere", 4, [stays("s", 2, role="source")], "fixed/s source_place",
              reserved=frozenset({4})),
        _case("controllable, where only a kept space takes it", 4, [able], "controllable reserved", **spaced),
        _case("controllable stays in another space", 4, [stays("a", 2, controllable=True)], "controllable fixed/a",
              controllable_spaces=frozenset({1})),
        _case("two controllable, one space for them", 4, [able, replace(able, id="a2")], "controllable",
              controllable_spaces=frozenset({1})),
        _case("its space is held", 4, [able, stays("b", 1)], "controllable fixed/b",
              controllable_spaces=frozenset({1})),
        _case("controllable source, its space not kept", 4, [replace(source, controllable=True)],
              "controllable source_place", controllable_spaces=frozenset({1}), reserved=frozenset({2})),
        # pairs
        _case("a pair that shares a neutral has no neighbors", 4,
              [stays("a", 3), stays("b", 2), *pair(new[0], new[1], shares_neutral=True)],
              "fixed/a fixed/b shares_neutral"),
        _case("only spaces on one leg are left", 8,
              [*(stays(f"f{n}", n) for n in (3, 4, 7, 8)), *pair(new[0], new[1], shares_neutral=True)],
              "fixed/f4 fixed/f8 fixed/f3 fixed/f7 shares_neutral"),
        _case("both hots stay on one leg", 8,
              pair(stays("a", 1), stays("b", 5), shares_neutral=True), "fixed/a fixed/b shares_neutral"),
        _case("tied, and held apart", 8, pair(stays("a", 1), stays("b", 5), tied=True), "fixed/a fixed/b tied"),
        _case("tied, no two neighbors left", 4,
              [stays("a", 3), stays("b", 2), *pair(new[0], new[1], tied=True)], "fixed/a fixed/b tied"),
        _case("tied and half-size, not standing so", 4,
              pair(*(replace(n, half=True, full=False) for n in new[:2]), tied=True), "tied",
              half_spaces=frozenset({1, 2, 3, 4})),
        _case("tied, one of them controllable where nothing is beside it", 6,
              pair(replace(new[0], controllable=True), stays("b", 6), tied=True), "controllable fixed/b tied",
              controllable_spaces=frozenset({1})),
        _case("three hots of one neutral on two legs", 6,
              [stand(ident, space, neutral="n") for ident, space in (("a", 1), ("b", 3), ("c", 5))], "shares_neutral"),
        # sources and tandems
        _case("the end of the bus is taken", 4,
              [replace(new[0], role="source", ends=frozenset({3, 4})), stays("a", 3), stays("b", 4)],
              "fixed/a fixed/b source_end"),
        _case("a source that may be moved, and cannot stay", 4,
              [stand("a", 1, role="source", ends=frozenset({3})), stays("b", 1), stays("c", 3)],
              "fixed/b fixed/c source_end"),
        _case("a tandem goes as one body", 4,
              [replace(stand(ident, 1, half=half, tenths=90), body=mate)
               for ident, half, mate in (("a", "a", "b"), ("b", "b", "a"))], "limit tandem", 50,
              half_spaces=frozenset({1, 2, 3})),
        _case("one half stays, and so the other", 4,
              [replace(stays("a", 1, half="a", tenths=90), body="b"),
               replace(stand("b", 1, half="b", tenths=90), body="a")], "limit tandem", 50,
              half_spaces=frozenset({1, 3})),
        # legs
        _case("held on one leg", 4, [stays("a", 1, tenths=99), stays("b", 2, tenths=99)], "fixed/a fixed/b limit", 50),
        _case("one large load to neutral", 4, [stand("a", 1, tenths=100)], "limit", 50),
        _case("three alike cannot be even", 6, [stand(f"a{n}", n, tenths=100) for n in (1, 2, 3)], "limit", 90),
        _case("the only free leg is kept", 4, [stand("a", 1, tenths=60), stand("b", 2, tenths=60)],
              "limit reserved", 50, reserved=frozenset({3, 4})),
        _case("two legs of a wye", 4, [stays("a", 1, tenths=90), stays("b", 2, tenths=90)], "fixed/a fixed/b limit",
              100, WYE_TWO),
        _case("three legs, two loads", 6, [stand("a", 1, tenths=90), stand("b", 3, tenths=90)], "limit", 80, WYE_THREE),
        _case("three legs, two poles held", 6, [stays("a", 1, 3, tenths=90), stand("b", 2, tenths=20)],
              "limit", 60, WYE_THREE),
    ]  # fmt: skip


def without(case: PanelCase, limit: int | None, off: frozenset[str]) -> tuple[PanelCase, int | None, tuple[str, ...]]:
    """The panel with rules given up: itself changed, and the kinds of violation that no longer count."""
    pieces = [replace(each, fixed=each.fixed and f"fixed/{each.id}" not in off) for each in case.pieces]
    if "shares_neutral" in off:
        pieces = [replace(each, shares_neutral=False, neutral="") for each in pieces]
    if "tied" in off:
        pieces = [replace(each, tied=False) for each in pieces]
    changed = replace(case, pieces=tuple(pieces))
    if "half_spaces" in off:
        changed = replace(changed, half_spaces=frozenset(range(1, case.spaces + 1)))
    if "controllable" in off:
        changed = replace(changed, controllable_spaces=None)
    kinds = tuple(kind for rule, kind in BY_KIND.items() if rule in off)
    return changed, None if "limit" in off else limit, kinds


def has_layout(case: PanelCase, limit: int | None, off: frozenset[str] = frozenset()) -> bool:
    """Whether trying every layout finds one that keeps all rules but those given up."""
    changed, held, kinds = without(case, limit, off)
    for layout in every_layout(changed, (*NO_LAYOUT_ENDS, *kinds)):
        wrong = [each for each in judge(changed, layout) if each.kind not in (*NO_LAYOUT_ENDS, *kinds)]
        if not wrong and (held is None or worst_apart(changed, layout) <= held):
            return True
    return False


def every_rule(case: PanelCase, limit: int | None) -> frozenset[str]:
    """All rules that could clash in a panel."""
    fixed = {f"fixed/{each.id}" for each in case.pieces if each.fixed}
    others = {"reserved", "source_place", "source_end", "tandem", "half_spaces", "controllable", "shares_neutral",
              "tied"}  # fmt: skip
    return frozenset(fixed | others | ({"limit"} if limit is not None else set()))


def names_of(case: PanelCase, told: Sequence[Msg]) -> frozenset[str]:
    """The rules that were said to clash, by name."""
    found = set()
    for each in told:
        name = each.key.rpartition(".")[2]
        if name.startswith("fixed"):
            name = "fixed/" + next(piece.id for piece in case.pieces if piece.name == each.params["name"])
        found.add(name)
    return frozenset(found)


def idle_or_not_enough(case: PanelCase, limit: int | None, rules: frozenset[str]) -> list[str]:
    """What trying every layout says against a set of rules: it leaves a layout, or one of it could be left out."""
    others = every_rule(case, limit) - rules
    wrong = ["leaves a layout"] if has_layout(case, limit, others) else []
    return wrong + [f"{rule} is idle" for rule in rules - set(IDLE) if not has_layout(case, limit, others | {rule})]


def tangled(seed: int) -> tuple[PanelCase, int | None]:
    """A panel of 4 or 6 spaces full of rules: most of them cannot be laid out."""
    rng = random.Random(f"tangled/{seed}")
    spaces = rng.choice((4, 6))
    every = range(1, spaces + 1)

    def some(most: int) -> frozenset[int]:
        return frozenset(rng.sample(every, rng.randint(0, most)))

    pieces = []
    for number in range(rng.randint(2, 4)):
        more = {"fixed": rng.random() < 0.6, "controllable": rng.random() < 0.25, "half": rng.random() < 0.3,
                "role": "source" if rng.random() < 0.2 else "branch"}  # fmt: skip
        ident, tenths = f"b-{number}", rng.choice((0, 20, 50, 90))
        if rng.random() < 0.3:
            space = rng.choice(every[:-2])
            now = rng.choice((None, Place((space, space + 2))))
            pieces.append(piece(ident, tenths, poles=2, now=now, **{**more, "half": False}))
        else:
            now = rng.choice((None, Place((rng.choice(every),)), Place((rng.choice(every),))))
            pieces.append(piece(ident, tenths, now=now, **more))
    singles = [number for number, each in enumerate(pieces) if each.poles == 1]
    if len(singles) > 1 and rng.random() < 0.6:
        a, b = rng.sample(singles, 2)
        both = pair(pieces[a], pieces[b], shares_neutral=rng.random() < 0.6, tied=rng.random() < 0.6)
        if both[0].shares_neutral or both[0].tied:
            pieces[a], pieces[b] = both
    half = rng.choice((frozenset(), some(2), None))
    controllable = rng.choice((None, some(2), some(2)))
    case = empty_case(
        spaces, pieces=tuple(pieces), half_spaces=half, reserved=some(2), controllable_spaces=controllable
    )
    return case, rng.choice((None, None, 30, 60))
