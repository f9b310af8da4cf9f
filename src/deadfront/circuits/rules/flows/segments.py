"""Lengths of conductors on the way from the transformer: resistance and reactance of leg and neutral, in Steps."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from deadfront.codebook.book import Codebook
from deadfront.codebook.impedance import RACEWAYS, Raceway, conductor_impedance
from deadfront.codebook.lookup import Found
from deadfront.errors import OutOfTable
from deadfront.job.panel_things import Cable, RacewayKind
from deadfront.job.service_things import Drop
from deadfront.job.thing import Conductors
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

_BY_KIND: dict[RacewayKind, tuple[Raceway, ...]] = {
    "PVC40": ("pvc",), "PVC80": ("pvc",), "ENT": ("pvc",), "EMT": ("aluminum", "steel"), "RMC": ("aluminum", "steel"),
    "IMC": ("steel",), "FMC": ("aluminum", "steel"), "LFMC": ("aluminum", "steel"),
}  # fmt: skip
_SHEATHED = ("NM", "UF", "SE", "USE", "TC", "PV")
_ARMORED = ("AC", "MC")
_METALS = ("copper", "aluminum")


@dataclass(frozen=True, slots=True)
class SegmentCase:
    """What the impedance of one length of conductors hangs on.

    Args:
        ident: "drop", "service", "feeder/p-k3m", "circuit/c-7qd".
        what: What it is called.
        path: Where its facts stand: "before/service.drop", "before/p-k3m.feeder".
        neutral_as_leg: The neutral is as large as the legs where nothing else is said.
        raceways: Raceways of Table 9 that it may be in.
        raceway_known: False where more than one stands for not known.
    """

    ident: str
    what: Msg
    path: str
    size: str | None
    metal: str | None
    length_ft: Decimal | None
    sets: int
    neutral_size: str | None
    neutral_metal: str | None
    neutral_as_leg: bool
    raceways: tuple[Raceway, ...]
    raceway_known: bool = True


@dataclass(frozen=True, slots=True)
class Segment:
    """Resistance and reactance of one leg and of the neutral over a length [ohm]."""

    case: SegmentCase
    leg_r: Step
    leg_x: Step
    neutral_r: Step
    neutral_x: Step


def of_conductors(ident: str, path: str, what: Msg, c: Conductors) -> SegmentCase:
    """The case of service conductors or of the utility's drop; one overhead in free air counts as in PVC."""
    in_air = isinstance(c, Drop) and c.overhead is True
    ways: dict[str, tuple[Raceway, ...]] = {
        "none": ("pvc",), "pvc": ("pvc",), "aluminum": ("aluminum",), "steel": ("steel",)
    }  # fmt: skip
    raceways = ways[c.raceway] if c.raceway else ("pvc",) if in_air else _by_type(c.kind)
    return SegmentCase(ident, what, path, c.size, c.metal, c.length_ft, c.sets or 1, c.neutral_size, c.neutral_metal,
                       False, raceways, len(raceways) == 1)  # fmt: skip


def of_cable(ident: str, path: str, what: Msg, cable: Cable, kind: RacewayKind | None) -> SegmentCase:
    """The case of a circuit or feeder; `kind`: of the raceway it is in."""
    raceways = _BY_KIND[kind] if kind else _by_type(cable.type)
    return SegmentCase(ident, what, path, cable.size, cable.metal, cable.length_ft, cable.sets or 1,
                       cable.neutral_size, cable.metal, True, raceways, len(raceways) == 1)  # fmt: skip


def _by_type(kind: str | None) -> tuple[Raceway, ...]:
    """Raceways of Table 9 that a cable of that type compares with; all where it is not known."""
    first = (kind or "").strip().upper().replace("-", " ").split(" ")[0]
    if "RACEWAY" in (kind or "").upper():
        return RACEWAYS
    if first.startswith(_SHEATHED):
        return ("pvc",)
    return ("aluminum", "steel") if first in _ARMORED else RACEWAYS


@lru_cache(maxsize=4096)
def segment(book: Codebook, case: SegmentCase) -> Segment:
    """Resistance and reactance of leg and neutral over a length, by Chapter 9 Table 9.

    Where the raceway or the metal is not known both extremes are worked. A length that is not known, or entered as
    zero, gives a range without an upper end.
    """
    kft = _length(case)
    neutral = _neutral(case)
    legs = [_over(book, case, case.size, case.metal, part, "leg", kft) for part in ("r", "x")]
    if neutral == (case.size, case.metal):
        returns = [replace(step, id=step.id.replace("/leg_", "/neutral_"), name=said(f"flow.neutral_{part}",
                           thing=case.what)) for step, part in zip(legs, ("r", "x"), strict=True)]  # fmt: skip
    else:
        returns = [_over(book, case, *neutral, part, "neutral", kft) for part in ("r", "x")]
    return Segment(case, *legs, *returns)


def lacking(case: SegmentCase, field: str) -> Missing:
    """A fact of a length of conductors that is not known."""
    return Missing(f"{case.path}.{field}", said(f"todo.circuits.{field}", thing=case.what),
                   said(f"todo.how.circuits.{field}"))  # fmt: skip


def _neutral(case: SegmentCase) -> tuple[str | None, str | None]:
    size = case.neutral_size or (case.size if case.neutral_as_leg else None)
    return size, case.neutral_metal or case.metal


def _length(case: SegmentCase) -> Step:
    ident, path = f"{case.ident}/length", f"{case.path}.length_ft"
    if case.length_ft:
        feet = build.fact(ident, "flow.length", case.length_ft, "ft", path, inline=True)
    else:
        feet = build.fact(ident, "flow.length", UNKNOWN, "ft", path, missing=lacking(case, "length_ft"), inline=True)
    thousand = build.given(f"{case.ident}/per", "flow.thousand_feet", 1000, "ft/kft", None)
    return build.quotient(f"{case.ident}/kft", said("flow.length_kft", thing=case.what), feet, thousand, unit="kft")


def _over(
    book: Codebook, case: SegmentCase, size: str | None, metal: str | None, part: str, which: str, kft: Step
) -> Step:
    """One of the four figures: leg or neutral, resistance or reactance, over the length and the parallel sets."""
    ident = f"{case.ident}/{which}_{part}"
    name = said(f"flow.{which}_{part}", thing=case.what)
    each = _per_kft(book, case, size, metal, part, which)
    if case.sets == 1:
        return build.product(ident, name, (each, kft), unit="ohm")
    sets = build.counted(f"{case.ident}/sets", "flow.sets", case.sets)
    one = build.product(f"{ident}/one", name, (each, kft), unit="ohm", inline=True)
    return build.quotient(ident, name, one, sets, unit="ohm")


def _per_kft(book: Codebook, case: SegmentCase, size: str | None, metal: str | None, part: str, which: str) -> Step:
    """Resistance or reactance per 1000 ft: one row of Table 9, or from the least row to the greatest."""
    ident, name = f"{case.ident}/{which}_{part}_per_kft", said(f"flow.{part}_per_kft")
    field = "size" if which == "leg" else "neutral_size"
    if size is None:
        return build.fact(ident, name, UNKNOWN, "ohm/kft", f"{case.path}.{field}", missing=lacking(case, field))
    metals = (metal,) if metal else _METALS
    rows: list[Found[Decimal]] = []
    for each in metals:
        try:
            rows += [_row(book, size, each, raceway, part) for raceway in case.raceways]
        except OutOfTable as error:
            if each == metals[-1] and not rows:
                lacks = Missing(f"{case.path}.{field}", error.msg, said(f"todo.how.circuits.{field}"))
                return build.fact(ident, name, UNKNOWN, "ohm/kft", f"{case.path}.{field}", missing=lacks)
    low, high = min(rows, key=lambda row: row.value), max(rows, key=lambda row: row.value)
    if low.value == high.value:
        return _looked_up(ident, name, low)
    missing = [lacking(case, name) for name, known in (("metal", metal), ("raceway", case.raceway_known)) if not known]
    return build.between_cases(ident, name, _looked_up(f"{ident}/low", name, low),
                               _looked_up(f"{ident}/high", name, high), unit="ohm/kft", missing=missing)  # fmt: skip


def _row(book: Codebook, size: str, metal: str, raceway: Raceway, part: str) -> Found[Decimal]:
    found = conductor_impedance(book, size, metal, raceway)
    return found.resistance if part == "r" else found.reactance


def _looked_up(ident: str, name: Msg, found: Found[Decimal]) -> Step:
    return build.lookup(ident, name, found.value, "ohm/kft", found.cite, table="conductor_impedance", row=found.row)


def summed(ident: str, name: str, parts: Iterable[Step]) -> Step:
    """Resistances or reactances in a row [ohm]."""
    return build.total(ident, name, tuple(parts), unit="ohm")
