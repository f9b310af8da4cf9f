"""The range table on exact ratings, as plain numbers: used to find the least and the greatest case of a range."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from deadfront.codebook import lookup
from deadfront.codebook.book import Codebook
from deadfront.quantities import ZERO, whole_half_up

KILO = Decimal(1000)
FURTHER_MOST = 70
LEAST_OF_COLUMN = {1: Decimal(1750), 2: Decimal(3500), 3: Decimal(12000)}


@dataclass(frozen=True)
class Block:
    """So many alike appliances of one rating [VA], in one column."""

    va: Decimal
    number: int
    column: int


@dataclass(frozen=True)
class Scale:
    """How a count enters the table: as it is, or for three phases twice the most between any two, times 3/2."""

    phases: bool = False

    def count(self, number: int) -> int:
        return 2 * -(-number // 3) if self.phases else number

    def factor(self) -> Decimal:
        return Decimal("1.5") if self.phases else Decimal(1)

    def whole(self, number: int) -> Decimal:
        """What nameplates of so many are multiplied by."""
        return Decimal(self.count(number)) / number * self.factor() if number else Decimal(1)


def column_percent(row: lookup.RangeRow, column: int) -> lookup.Found[Decimal]:
    """Percent of column A (1) or B (2)."""
    return row.a_percent if column == 1 else row.b_percent


def share(book: Codebook, blocks: Sequence[Block], column: int, scale: Scale, further: int = 0) -> Decimal:
    """Load of the appliances in column A (1) or B (2): a percent of their nameplates."""
    number = sum(b.number for b in blocks) + further
    if not number:
        return ZERO
    va = sum((b.va * b.number for b in blocks), ZERO) + LEAST_OF_COLUMN[column] * further
    percent = column_percent(lookup.range_demand(book, scale.count(number)), column).value
    return va / number * scale.count(number) * percent / 100 * scale.factor()


def column_c(book: Codebook, blocks: Sequence[Block], scale: Scale, further: int = 0) -> Decimal:
    """Load of appliances in column C with Notes 1 and 2: the average over 12 kW raises it by 5 % a kW."""
    number = sum(b.number for b in blocks) + further
    if not number:
        return ZERO
    twelve = Decimal(str(book.value("cooking_c_upto").value))
    average = (sum((max(b.va, twelve) * b.number for b in blocks), ZERO) + twelve * further) / number
    over = whole_half_up((average - twelve) / KILO)
    step = Decimal(str(book.value("cooking_note_step_percent").value))
    figure = lookup.range_demand(book, scale.count(number)).c_va.value
    return figure * (1 + over * step / 100) * scale.factor()


def all_in_c(blocks: Sequence[Block], note_all: bool) -> bool:
    """Whether all may stand in column C together: none over 12 kW, or none small, or so read."""
    columns = {b.column for b in blocks}
    return bool(columns) and (4 not in columns or not columns & {1, 2} or note_all)


def connected(blocks: Sequence[Block]) -> Decimal:
    """Sum of the nameplates of what the table does not reach: a count of phases is the table's, not theirs."""
    return sum((b.va * b.number for b in blocks), ZERO)


def nameplates(blocks: Sequence[Block], scale: Scale) -> Decimal:
    """Sum of the nameplates, for three phases as the table's counts are."""
    return connected(blocks) * scale.whole(sum(b.number for b in blocks))


def split(blocks: Sequence[Block]) -> tuple[list[Block], list[Block], list[Block], list[Block]]:
    """Appliances by nameplate only, in column A, in B, in C."""
    plain = [b for b in blocks if b.column in (0, 5)]
    return (
        plain,
        [b for b in blocks if b.column == 1],
        [b for b in blocks if b.column == 2],
        [b for b in blocks if b.column in (3, 4)],
    )


def case_value(book: Codebook, blocks: Sequence[Block], note_all: bool, scale: Scale) -> Decimal:
    """The least permitted load of exact ratings [VA]."""
    plain, a, b, c = split(blocks)
    outside = connected(plain)
    candidates = [outside + nameplates([*a, *b, *c], scale)]
    candidates.append(outside + share(book, a, 1, scale) + share(book, b, 2, scale) + column_c(book, c, scale))
    if all_in_c([*a, *b, *c], note_all):
        candidates.append(outside + column_c(book, [*a, *b, *c], scale))
    return min(candidates)


def further_least(
    book: Codebook, blocks: Sequence[Block], note_all: bool, scale: Scale
) -> tuple[Decimal, Mapping[str, int]]:
    """The least load if any number of further appliances may come to light, and how many in which column give it."""
    plain, a, b, c = split(blocks)
    outside = connected(plain)
    names = outside + nameplates([*a, *b, *c], scale)

    def best(f: object, group: Sequence[Block]) -> int:
        return min(range(FURTHER_MOST), key=lambda k: (f(k), k)) if group else 0  # type: ignore[operator]

    ka = best(lambda k: share(book, a, 1, scale, k), a)
    kb = best(lambda k: share(book, b, 2, scale, k), b)
    kc = best(lambda k: column_c(book, c, scale, k), c)
    own = outside + share(book, a, 1, scale, ka) + share(book, b, 2, scale, kb) + column_c(book, c, scale, kc)
    found: list[tuple[Decimal, Mapping[str, int]]] = [(names, {}), (own, {"1": ka, "2": kb, "3": kc})]
    if all_in_c([*a, *b, *c], note_all):
        every = [*a, *b, *c]
        k = best(lambda k: column_c(book, every, scale, k), every)
        found.append((outside + column_c(book, every, scale, k), {"all": k}))
    value, more = min(found, key=lambda pair: pair[0])
    return value, {key: k for key, k in more.items() if k}
