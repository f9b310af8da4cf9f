"""Sizes of grounding and bonding conductors, each with its working in circular mils."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from deadfront.codebook import bonding
from deadfront.codebook.book import Codebook
from deadfront.codebook.conductors import area_cmil, size_of_area, sizes_of
from deadfront.codebook.lookup import Found, ampacity
from deadfront.msg import Msg, said
from deadfront.quantities import size_rank
from deadfront.results.circuits import Sized
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.step import Step

METALS = ("copper", "aluminum")
TableName = Literal["electrode_conductor", "bonding_jumper"]
CELSIUS = 75  # column by which conductors of two metals are held equal


@dataclass(frozen=True, slots=True)
class Lines:
    """The ungrounded conductors that a size is taken from.

    Args:
        size: "4/0".
        metal: "copper" or "aluminum".
        sets: Parallel sets.
        path: Where the size stands in the job.
    """

    size: str
    metal: str
    sets: int
    path: str

    def one_set(self) -> Lines:
        """The conductors of one raceway, where each set runs in its own."""
        return Lines(self.size, self.metal, 1, self.path)


@lru_cache(maxsize=1024)
def line_area(book: Codebook, lines: Lines, ident: str) -> Step:
    """Area of one ungrounded conductor, all its sets together [cmil].

    Raises:
        OutOfTable: a size without an area in the tables.
    """
    found = area_cmil(book, lines.size)
    name = said("grounding.line_area", size=lines.size, metal=said(f"metal.{lines.metal}"))
    one = build.lookup(f"{ident}/line", name, found.value, "cmil", found.cite, table="conductor_ampacity",
                       row=found.row)  # fmt: skip
    if lines.sets == 1:
        return one
    sets = build.counted(f"{ident}/sets", "grounding.sets", lines.sets)
    return build.product(f"{ident}/lines", "grounding.all_sets", (sets, one), unit="cmil")


@lru_cache(maxsize=2048)
def sized(book: Codebook, table: TableName, lines: Lines, ident: str) -> tuple[Sized, ...]:
    """The smallest conductor by one of the two tables, copper first.

    Raises:
        OutOfTable: a size or metal that is not in the tables.
    """
    return tuple(each for metal in METALS if (each := _one(book, table, lines, metal, f"{ident}/{metal}")) is not None)


def _one(book: Codebook, table: TableName, lines: Lines, metal: str, ident: str) -> Sized | None:
    area = line_area(book, lines, ident)
    total = area.value.low
    look_up = bonding.electrode_conductor if table == "electrode_conductor" else bonding.bonding_jumper
    found = look_up(book, total, lines.metal, metal)
    if found is None:
        return _share(book, lines, metal, ident)
    return Sized(found.value, metal, _looked_up(book, table, found, (area,), ident))


def _looked_up(book: Codebook, table: str, found: Found[str], args: tuple[Step, ...], ident: str) -> Step:
    own = area_cmil(book, found.value).value
    return build.lookup(ident, "grounding.least_area", own, "cmil", found.cite, table=table, row=found.row, args=args)


def _share(book: Codebook, lines: Lines, metal: str, ident: str) -> Sized | None:
    """Above the table: a percent of the area of the ungrounded conductors, of the jumper's own metal."""
    equal = lines if lines.metal == metal else _equal_lines(book, lines, metal)
    if equal is None:
        return None
    percent = book.value("bonding_percent")
    area = line_area(book, equal, ident)
    part = build.percent_of(f"{ident}/part", "grounding.share", area, percent.number, unit="cmil", cite=percent.cite)
    least = build.least(ident, "grounding.least_area", (part, area), unit="cmil")
    size = size_of_area(book, least.value.low)
    return None if size is None else Sized(size, metal, least)


def _equal_lines(book: Codebook, lines: Lines, metal: str) -> Lines | None:
    """Conductors of another metal that carry as much; None where no printed size does."""
    carried = ampacity(book, lines.size, lines.metal, CELSIUS).value
    size = next((s for s in sizes_of(book, metal) if ampacity(book, s, metal, CELSIUS).value >= carried), None)
    return None if size is None else Lines(size, metal, lines.sets, lines.path)


@lru_cache(maxsize=2048)
def capped(book: Codebook, lines: Lines, electrode: str, ring_size: str, ident: str) -> tuple[Sized, ...]:
    """The smallest conductor to one electrode alone: by the table, but no larger than the cap of its kind.

    Raises:
        OutOfTable: as `sized`.
    """
    return tuple(_capped(book, each, electrode, ring_size) for each in sized(book, "electrode_conductor", lines, ident))


def _capped(book: Codebook, by_table: Sized, electrode: str, ring_size: str) -> Sized:
    ident = f"{by_table.step.id}/cap"
    cap = bonding.electrode_cap(book, electrode, by_table.metal)
    if cap is None and electrode == "ground ring" and ring_size:
        rule = book.rule("electrode_conductor_rule").cite
        cap = Found(ring_size, rule, f"{ring_size} {by_table.metal}")
    if cap is None or size_rank(cap.value) >= size_rank(by_table.size):
        return by_table
    name = said("grounding.cap", electrode=kind_name(electrode))
    own = build.lookup(ident, name, area_cmil(book, cap.value).value, "cmil", cap.cite,
                       table="electrode_conductor_cap", row=cap.row)  # fmt: skip
    step = build.least(f"{ident}/least", "grounding.least_area", (by_table.step, own), unit="cmil")
    return Sized(cap.value, by_table.metal, step)


def kind_name(kind: str) -> Msg:
    """A kind of electrode in words."""
    return said(f"grounding.kind.{kind.replace(' ', '_').replace('-', '_')}")


def lines_of(size: str | None, metal: str | None, sets: int | None, path: str) -> Lines | None:
    """Ungrounded conductors, if size and metal are known."""
    return None if size is None or metal is None else Lines(size, metal, sets or 1, path)


def verdict(size: str | None, metal: str | None, smallest: tuple[Sized, ...]) -> Outcome:
    """A conductor in place against the smallest allowed of its metal; of a metal not known, against both."""
    if size is None or not smallest:
        return Outcome.CANNOT_TELL
    told = {size_rank(size) >= size_rank(each.size) for each in smallest if metal in (None, each.metal)}
    if not told:
        return Outcome.CANNOT_TELL
    return Outcome.MEETS if told == {True} else Outcome.FAILS if told == {False} else Outcome.CANNOT_TELL


def of_metal(smallest: tuple[Sized, ...], metal: str | None) -> Sized | None:
    """The smallest conductor of a metal, copper where the metal is not known."""
    return next((each for each in smallest if each.metal == (metal or "copper")), None)


def text(smallest: tuple[Sized, ...]) -> Msg:
    """The smallest conductors in words: "2 copper or 1/0 aluminum", "2 sets of 1/0 copper"."""
    parts = tuple(said("grounding.least.one", size=each.size, metal=said(f"metal.{each.metal}")) for each in smallest)
    if not parts:
        return said("grounding.least.unknown")
    told = said("grounding.least.either", copper=parts[0], aluminum=parts[1]) if len(parts) == 2 else parts[0]
    sets = smallest[0].sets
    return said("grounding.least.sets", sets=sets, least=told) if sets > 1 else told
