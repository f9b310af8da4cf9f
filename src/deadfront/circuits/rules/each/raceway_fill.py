"""Fill of raceways: conductors of any sizes against the share of the inside area their number allows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from deadfront.circuits.rules.facts import Facts
from deadfront.codebook.book import Codebook
from deadfront.codebook.conductors import bare_area
from deadfront.codebook.wiring import conductor_area, fill_percent, raceway_area, trade_sizes
from deadfront.errors import OutOfTable
from deadfront.job.panel_things import Raceway, WireCount
from deadfront.msg import Msg, said
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Reach, Severity, at_most
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

IDS = ("circuit.raceway_fill",)
IDENT = "circuit.raceway_fill"
TOUCHED = (Reach.NEW, Reach.EXTENDED, Reach.REPLACED)
NIPPLE_FT = 2


@dataclass(frozen=True, slots=True)
class Fill:
    """A raceway's fill worked through: what its conductors take, what is allowed, the smallest that would do."""

    taken: Step
    allowed: Step
    smallest: str | None


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each raceway that the work touches, or that is too full for its conductors."""
    for raceway in facts.at.house.raceways:
        reach = facts.reach_of(raceway)
        missing = facts.missing(raceway, "kind", "trade_size", "wires")
        if missing:
            if reach in TOUCHED:
                yield _said(facts, raceway, reach, Outcome.CANNOT_TELL, missing=missing)
            continue
        nipple = raceway.length_ft is not None and raceway.length_ft <= NIPPLE_FT
        key = (raceway.id, str(raceway.kind), str(raceway.trade_size), raceway.wires, nipple)
        try:
            fill = fill_of(facts.book, *key)
        except OutOfTable as error:
            if reach in TOUCHED:
                yield _said(facts, raceway, reach, Outcome.CANNOT_TELL, which="out_of_table", why=error.msg,
                            missing=_of_trade(facts, raceway))  # fmt: skip
            continue
        outcome = at_most(fill.taken.value, fill.allowed.value)
        if reach in TOUCHED:
            which = "fails_all" if outcome is Outcome.FAILS and fill.smallest is None else ""
            yield _said(facts, raceway, reach, outcome, which=which, step=fill.taken, taken=fill.taken.value,
                        allowed=fill.allowed.value, smallest=fill.smallest or "")  # fmt: skip


def _of_trade(facts: Facts, raceway: Raceway) -> tuple[Missing, ...]:
    what = said("todo.circuits.trade_size", thing=facts.name_of(raceway, "thing.by_id"))
    return (Missing(facts.at.path(raceway, "trade_size"), what, said("todo.how.circuits.trade_size")),)


def _said(
    facts: Facts, raceway: Raceway, reach: Reach, outcome: Outcome, *, which: str = "", step: Step | None = None,
    missing: tuple[Missing, ...] = (), **params: object,
) -> Check:  # fmt: skip
    words = {Outcome.MEETS: "meets", Outcome.FAILS: "fails", Outcome.CANNOT_TELL: "cannot_tell"}[outcome]
    say: Msg = said(f"check.circuit.raceway_fill.{which or words}", name=facts.name_of(raceway, "thing.by_id"),
                    **params)  # fmt: skip
    cites: tuple[Cite, ...] = (facts.cite("raceway_fill_limit"),) if step is None else step.all_cites()
    remedy = said(f"remedy.{IDENT}") if outcome is Outcome.FAILS else None
    return Check(IDENT, raceway.id, outcome, Severity.CORRECT, say, reach, step, missing, cites, remedy)


@lru_cache(maxsize=1024)
def fill_of(book: Codebook, ident: str, kind: str, trade_size: str, wires: tuple[WireCount, ...], nipple: bool) -> Fill:
    """The fill of one raceway.

    Raises:
        OutOfTable: a raceway, insulation or size that is not in the tables.
    """
    taken = build.total(f"fill/{ident}/taken", "fill.taken", [_area(book, ident, each) for each in wires], unit="in2",
                        cite=book.rule("raceway_fill_limit").cite)  # fmt: skip
    percent, step = _share(book, ident, sum(each.count for each in wires), nipple)
    area = raceway_area(book, kind, trade_size)
    whole = build.lookup(f"fill/{ident}/inside", "fill.inside", area.value, "in2", area.cite, table="raceway_area",
                         row=area.row, inline=True)  # fmt: skip
    share = build.given(f"fill/{ident}/share", "fill.share", percent / 100, "", step)
    allowed = build.product(f"fill/{ident}/allowed", "fill.allowed", (whole, share), unit="in2")
    fit = (s for s in trade_sizes(book, kind) if raceway_area(book, kind, s).value * percent / 100 >= taken.value.low)
    return Fill(taken, allowed, next(fit, None))


def _share(book: Codebook, ident: str, count: int, nipple: bool) -> tuple[Decimal, Cite]:
    """The share that may be filled [%]: 60 for a nipple, else by the number of conductors."""
    if nipple:
        value = book.value("nipple_fill_percent")
        return value.number, value.cite
    found = fill_percent(book, count)
    return found.value, found.cite


def _area(book: Codebook, ident: str, wire: WireCount) -> Step:
    found = bare_area(book, wire.size) if wire.bare else conductor_area(book, wire.insulation, wire.size)
    name = said("fill.bare" if wire.bare else "fill.wire", size=wire.size, insulation=wire.insulation)
    one = build.lookup(f"fill/{ident}/{wire.size}/{wire.insulation}/{wire.bare}", name, found.value, "in2", found.cite,
                       table="conductor_area", row=found.row, inline=True)  # fmt: skip
    number = build.counted(f"{one.id}/number", "count.of_these", wire.count)
    return build.product(f"{one.id}/all", name, (number, one), unit="in2", inline=True)
