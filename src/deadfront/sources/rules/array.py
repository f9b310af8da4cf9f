"""Strings of solar modules in the cold: by the coefficient on their nameplate or by the table; their conductors."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Literal

from deadfront.codebook.book import Codebook
from deadfront.codebook.entries import Row
from deadfront.job.source_things import Modules, Source
from deadfront.msg import said
from deadfront.quantities import UNKNOWN, ZERO
from deadfront.results.sources import StringAnswer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

HUNDRED = Decimal(100)
TWO_FAMILY = 2


def strings(facts: SourceFacts) -> Iterator[StringAnswer]:
    """Every kind of string of every solar source."""
    for source in facts.at.house.sources:
        for number, modules in enumerate(source.modules, 1):
            yield _string(facts, source, modules, number)


def _string(facts: SourceFacts, source: Source, modules: Modules, number: int) -> StringAnswer:
    at = _At(facts, source, modules, number)
    coefficient, table = _by_coefficient(at), _by_table(at)
    volts = coefficient or table
    limit = _limit(facts, source, at.ident)
    outcome = Outcome.CANNOT_TELL if volts is None else at_most(volts.value, limit.value)
    current, least = _conductors(at)
    by: Literal["coefficient", "table", ""] = "table" if table is not None else ""
    if coefficient is not None:
        by = "coefficient"
    return StringAnswer(
        source.id, number, said("source.string_of", name=facts.name_of(source), number=number),
        by, volts, coefficient, table, limit, outcome, current, least,
    )  # fmt: skip


class _At:
    """One kind of string, with the makers of its facts."""

    def __init__(self, facts: SourceFacts, source: Source, modules: Modules, number: int) -> None:
        self.facts, self.source, self.modules = facts, source, modules
        self.index, self.ident = number - 1, f"string/{source.id}/{number}"

    def path(self, field: str) -> str:
        return f"{self.facts.at.path(self.source, 'modules')}.{self.index}.{field}"

    def lack(self, field: str) -> Missing:
        what = said(f"todo.sources.{field}", thing=self.facts.name_of(self.source))
        return Missing(self.path(field), what, said(f"todo.how.sources.{field}"))

    def fact(self, field: str, unit: str) -> Step:
        value = getattr(self.modules, field)
        known = UNKNOWN if value is None else Decimal(value)
        return build.fact(f"{self.ident}/{field}", f"source.{field}", known, unit, self.path(field),
                          missing=self.lack(field) if value is None else None)  # fmt: skip


def lack_of(facts: SourceFacts, source: Source, number: int, name: str) -> Missing:
    """One fact of one kind of string, and how to get it."""
    return _At(facts, source, source.modules[number - 1], number).lack(name)


def lacking(facts: SourceFacts, source: Source, number: int) -> tuple[Missing, ...]:
    """Facts of one kind of string that its voltage in the cold waits for."""
    at = _At(facts, source, source.modules[number - 1], number)
    found = [at.lack(name) for name in ("in_series", "open_volts_v") if getattr(at.modules, name) is None]
    if at.modules.open_percent_per_c is None and at.modules.crystalline is not True:
        found.append(at.lack("open_percent_per_c"))
    return (*found, *facts.missing(source, "lowest_c", "input_max_v"))


def _series(at: _At) -> tuple[Step, Step] | None:
    if at.modules.in_series is None or at.modules.open_volts_v is None or at.source.lowest_c is None:
        return None
    return at.fact("in_series", ""), at.fact("open_volts_v", "V")


def _by_coefficient(at: _At) -> Step | None:
    """Modules times open-circuit volts, raised by the printed percent for each degree below 25 C."""
    series, rise = _series(at), at.modules.open_percent_per_c
    if series is None or rise is None or at.source.lowest_c is None:
        return None
    base = at.facts.book.value("array_volts_base_c")
    colder = build.fact(f"{at.ident}/colder", said("source.colder", lowest=at.source.lowest_c, base=base.number),
                        max(base.number - at.source.lowest_c, ZERO), "C", at.facts.at.path(at.source, "lowest_c"),
                        cite=base.cite, inline=True)  # fmt: skip
    each = build.fact(
        f"{at.ident}/each", "source.rise_each", abs(rise), "%", at.path("open_percent_per_c"), inline=True
    )
    raised = build.product(f"{at.ident}/rise", "source.rise", (colder, each), unit="%")
    whole = build.given(f"{at.ident}/whole", "source.whole", HUNDRED, "%", None)
    share = build.total(f"{at.ident}/share", "source.cold_share", (whole, raised), unit="%")
    factor = build.quotient(f"{at.ident}/factor", "source.cold_factor", share, whole, unit="")
    return build.product(f"{at.ident}/by_coefficient", "source.by_coefficient", (*series, factor), unit="V",
                         cite=at.facts.cite("array_voltage"))  # fmt: skip


def cold_row(book: Codebook, lowest_c: Decimal) -> Row | None:
    """The row of the table for the lowest temperature; None where it is colder than the last row."""
    rows = book.table("array_voltage_factor").rows
    return next((row for row in rows if lowest_c >= Decimal(str(row["celsius_min"]))), None)


def _by_table(at: _At) -> Step | None:
    """By the table, for crystalline silicon alone; nothing is read beyond its last row."""
    series = _series(at)
    if series is None or at.source.lowest_c is None or at.modules.crystalline is not True:
        return None
    base = at.facts.number("array_volts_base_c")
    ident = f"{at.ident}/by_table"
    if at.source.lowest_c >= base:
        return build.product(ident, "source.by_table", series, unit="V", cite=at.facts.cite("array_voltage"))
    row = cold_row(at.facts.book, at.source.lowest_c)
    if row is None:
        return None
    table = at.facts.book.table("array_voltage_factor")
    factor = build.lookup(f"{ident}/factor", "source.cold_factor", Decimal(str(row["factor"])), "",
                          table.cell_cite(row, "factor"), table=table.name, row=f"{row['celsius_min']} C")  # fmt: skip
    return build.product(ident, "source.by_table", (*series, factor), unit="V", cite=at.facts.cite("array_voltage"))


def _limit(facts: SourceFacts, source: Source, ident: str) -> Step:
    """The inverter's or controller's input, and the limit at one- and two-family dwellings."""
    own = facts.fact(f"{ident}/input", "source.input_max", source, "input_max_v")
    if sum(each.count for each in facts.at.house.units) > TWO_FAMILY:
        return own
    dwelling = facts.given(f"{ident}/dwelling", "array_volts_max")
    return build.least(f"{ident}/limit", "source.volts_limit", (own, dwelling), unit="V",
                       cite=facts.book.value("array_volts_max").cite)  # fmt: skip


def _conductors(at: _At) -> tuple[Step, Step]:
    """Largest current of a string, and what its conductors must carry before correction and adjustment."""
    short = at.fact("short_circuit_a", "A")
    return circuit_current(at.facts, at.ident, short), conductor_least(at.facts, at.ident, short)


def circuit_current(facts: SourceFacts, ident: str, short: Step) -> Step:
    """125 percent of the short-circuit current [A]."""
    entry = facts.book.value("array_current_percent")
    return build.percent_of(f"{ident}/current", "source.string_current", short, entry.number, unit="A", cite=entry.cite)


def conductor_least(facts: SourceFacts, ident: str, short: Step, factor: Decimal | None = None) -> Step:
    """The larger of 125 percent of the circuit's current, and that current over the factors of its surroundings [A].

    Args:
        factor: Correction and adjustment together; None where they are not known: only the first is reckoned.
    """
    current = circuit_current(facts, ident, short)
    entry = facts.book.value("array_conductor_percent")
    first = build.percent_of(f"{ident}/least/rated", "source.string_rated", current, entry.number, unit="A",
                             cite=entry.cite)  # fmt: skip
    if factor is None:
        return first
    given = build.given(f"{ident}/least/factor", "source.factors", factor, "", facts.cite("array_conductors"))
    second = build.quotient(f"{ident}/least/corrected", "source.string_corrected", current, given)
    return build.largest(f"{ident}/least", "source.string_least", (first, second), unit="A",
                         cite=facts.cite("array_conductors"))  # fmt: skip
