"""What conductors may carry: their column corrected for heat and neighbors, held to terminals and to the cable."""

from __future__ import annotations

from decimal import Decimal
from functools import lru_cache

from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.conditions import Conditions, Surroundings
from deadfront.codebook.book import Codebook
from deadfront.codebook.conductors import ambient_factor, bundling_percent
from deadfront.codebook.lookup import ampacity as table_ampacity
from deadfront.errors import OutOfTable
from deadfront.msg import said
from deadfront.quantities import ZERO, size_rank
from deadfront.worksheet import build
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

SMALL = "10"  # the cable's own column in thermal insulation may hold for this size and smaller only


def holds(at: Conditions, size: str) -> int | None:
    """The column the cable is held to at that size [C], None for none."""
    if at.limit_small_only and size_rank(size) > size_rank(SMALL):
        return None
    return at.limit_c


@lru_cache(maxsize=8192)
def before_correction(book: Codebook, size: str, metal: str, at: Conditions) -> Decimal:
    """What counts before correction and adjustment [A]: the lower of the terminals' and the cable's column."""
    limit = holds(at, size)
    columns = [at.terminals_c] if limit is None else [at.terminals_c, limit]
    return table_ampacity(book, size, metal, min(columns)).value


@lru_cache(maxsize=8192)
def carried(book: Codebook, size: str, metal: str, at: Conditions) -> Decimal:
    """What a conductor may carry after correction and adjustment [A]; zero where its insulation may not be used."""
    amperes = table_ampacity(book, size, metal, at.insulation_c).value
    try:
        amperes *= ambient_factor(book, at.ambient_c, at.insulation_c).value
    except OutOfTable:
        return ZERO
    percent = bundling_percent(book, at.count)
    if percent is not None:
        amperes *= percent.value / 100
    return min(amperes, before_correction(book, size, metal, at))


def _column(case: RunCase, ident: str, size: str, metal: str, celsius: int, why: str) -> Step:
    found = table_ampacity(case.book, size, metal, celsius)
    name = said(f"run.column.{why}", size=size, metal=said(f"metal.{metal}"), celsius=celsius)
    return build.lookup(ident, name, found.value, "A", found.cite, table="conductor_ampacity", row=found.row,
                        inline=True)  # fmt: skip


def before_steps(case: RunCase, ident: str, size: str, metal: str, at: Conditions) -> Step:
    """The figure before correction with its working [A]."""
    limit = holds(at, size)
    terminal = _column(case, f"{ident}/terminals", size, metal, at.terminals_c, "terminals")
    parts = [terminal] if limit is None else [terminal, _column(case, f"{ident}/cable", size, metal, limit, "cable")]
    return build.least(ident, "run.before_correction", parts, unit="A", cite=_held_by(case, limit))


def ampacity_steps(case: RunCase, ident: str, size: str, metal: str, at: Conditions, assumed: tuple[str, ...]) -> Step:
    """The figure after correction and adjustment with its working, for one conductor [A]."""
    base = _column(case, f"{ident}/insulation", size, metal, at.insulation_c, "insulation")
    factors = [base]
    try:
        factor = ambient_factor(case.book, at.ambient_c, at.insulation_c)
    except OutOfTable:
        return build.given(ident, "run.no_factor", 0, "A", case.book.table("ambient_correction").cite)
    air = build.fact(f"{ident}/air", "run.air", at.ambient_c, "C", case.path("ambient_c"), assumed=assumed, inline=True)
    factors.append(build.lookup(f"{ident}/factor", "run.ambient_factor", factor.value, "", factor.cite,
                                table="ambient_correction", row=factor.row, args=(air,), inline=True))  # fmt: skip
    corrected = build.product(f"{ident}/corrected", "run.corrected", factors, unit="A", inline=True)
    percent = bundling_percent(case.book, at.count)
    if percent is not None:
        corrected = build.percent_of(f"{ident}/adjusted", said("run.adjusted", count=at.count), corrected,
                                     percent.value, unit="A", cite=percent.cite, inline=True)  # fmt: skip
    limit = before_steps(case, f"{ident}/before", size, metal, at)
    return build.least(ident, "run.ampacity_each", (corrected, limit), unit="A")


def _held_by(case: RunCase, limit: int | None) -> tuple[Cite, ...]:
    """Where the columns stand: terminals, and the cable's own rule."""
    cites = [case.book.rule("conductor_terminals").cite]
    if limit is not None:
        kind = (case.cable.type or "").upper()
        rule = "uf_cable_ampacity" if kind.startswith("UF") else "se_cable_ampacity" if kind.startswith("SE") else (
            "ac_cable_ampacity" if kind.startswith("AC") else "nm_cable_ampacity")  # fmt: skip
        cites.append(case.book.rule(rule).cite)
    return tuple(cites)


def metals_of(case: RunCase) -> tuple[str, str]:
    """The metal at its worst and best: aluminum to copper where it is not known."""
    metal = case.cable.metal
    return (metal, metal) if metal else ("aluminum", "copper")


def ends_of(case: RunCase, around: Surroundings) -> list[tuple[str, str, Conditions]]:
    """Worst and best metal and conditions, one entry where they are the same."""
    low, high = metals_of(case)
    if low == high and around.known:
        return [("", low, around.worst)]
    return [("/worst", low, around.worst), ("/best", high, around.best)]


def in_place(case: RunCase, around: Surroundings, what: str) -> Step | None:
    """What the conductors in place may carry [A], `what` "ampacity" or "before": a range where facts are missing.

    Raises:
        OutOfTable: no ampacity for that size and metal at all.
    """
    size = case.cable.size
    if size is None:
        return None
    made = []
    for end, metal, at in ends_of(case, around):
        ident = f"run/{case.of}/{what}{end}"
        try:
            step = (ampacity_steps(case, f"{ident}/each", size, metal, at, around.assumed) if what == "ampacity"
                    else before_steps(case, f"{ident}/each", size, metal, at))  # fmt: skip
        except OutOfTable:
            if end != "/worst":
                raise
            step = build.given(f"{ident}/each", "run.no_ampacity", 0, "A", None)
        made.append(_all_sets(case, ident, what, step))
    if len(made) == 1:
        return made[0]
    missing = around.missing + (() if case.cable.metal else (case.lacks("metal"),))
    if made[0].value == made[1].value:
        return made[0]
    made.sort(key=lambda step: step.value.low)
    return build.between_cases(f"run/{case.of}/{what}", f"run.{what}", *made, unit="A", missing=missing)


def _all_sets(case: RunCase, ident: str, what: str, one: Step) -> Step:
    sets = case.cable.sets or 1
    if sets == 1:
        return build.least(ident, f"run.{what}", (one,), unit="A")
    number = build.fact(f"{ident}/sets", "run.sets", sets, "", case.path("sets"), inline=True)
    return build.product(ident, f"run.{what}", (number, one), unit="A")


def lacking(case: RunCase) -> tuple[Missing, ...]:
    """Facts without which nothing is said of the conductors."""
    return tuple(case.lacks(name) for name in ("size", "metal", "type") if getattr(case.cable, name) is None)
