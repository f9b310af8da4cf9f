"""What surrounds the conductors of a run: insulation, terminals, air, neighbors; the worst and the best they may be."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from deadfront.circuits.rules.runs.case import RunCase
from deadfront.codebook.conductors import insulation_of, roof_adder
from deadfront.job.panel_things import Cable
from deadfront.quantities import size_rank
from deadfront.worksheet.missing import Missing

USUAL_C = 30
TOGETHER = 3  # conductors together that need no adjustment
HOTTEST_C = {"attic": Decimal(60), "roof": Decimal(45), "outdoors": Decimal(45), "garage": Decimal(45)}
ASSUMED = {"attic": "attic_at_most_60c", "roof": "outdoors_at_most_45c", "outdoors": "outdoors_at_most_45c",
           "garage": "outdoors_at_most_45c"}  # fmt: skip
INDOORS = "indoors_30c"
SMALL_TERMINALS = "1"  # largest size of terminals that are 60 C unless marked


@dataclass(frozen=True, slots=True)
class Conditions:
    """One set of conditions that conductors may be under.

    Args:
        insulation_c: Column that correction starts from.
        limit_c: Column that the cable may not pass, None for no limit of its own.
        limit_small_only: That limit holds for 10 AWG and smaller only.
        terminals_c: Column of the terminals.
        ambient_c: Air around them, with what a roof adds.
        count: Current-carrying conductors together.
    """

    insulation_c: int
    limit_c: int | None
    limit_small_only: bool
    terminals_c: int
    ambient_c: Decimal
    count: int


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Both ends of what the conditions may be, the assumptions this stands on, and the facts that would settle it."""

    worst: Conditions
    best: Conditions
    assumed: tuple[str, ...] = ()
    missing: tuple[Missing, ...] = ()

    @property
    def known(self) -> bool:
        """True where both ends are one."""
        return self.worst == self.best


@lru_cache(maxsize=4096)
def surroundings(case: RunCase) -> Surroundings:
    """The conditions of a run's conductors.

    Raises:
        OutOfTable: the cable type is not in the table.
    """
    cable, missing, assumed = case.cable, [], []
    inside = "insulation" in cable.runs
    low_c, high_c, limit_c, small_only = _insulation(case, inside)
    cold, warm = _terminals(case)
    if cold != warm:
        missing.append(case.lacks("terminals_c"))
    air_low, air_high, names, lacking = _air(case)
    assumed += names
    missing += lacking
    count = _count(case)
    if low_c != high_c and (low_c < warm or air_high > USUAL_C or count > TOGETHER):
        missing.append(case.lacks("insulation_c"))  # elsewhere the terminals decide, whatever it is
    worst = Conditions(low_c, limit_c, small_only, cold, air_high, count)
    best = Conditions(high_c, limit_c, small_only, warm, air_low, count)
    if not cable.runs and case.kind == "circuit" and limit_c is None and _limit_in_insulation(case) is not None:
        worst = replace(worst, limit_c=_limit_in_insulation(case))
        missing.append(case.lacks("runs"))
    return Surroundings(worst, best, tuple(assumed), tuple(dict.fromkeys(missing)))


def _row(case: RunCase) -> tuple[int, int, int | None, int | None]:
    assert case.cable.type is not None
    row = insulation_of(case.book, case.cable.type)
    told = [row[c] for c in ("insulation_min_c", "insulation_max_c", "limit_c", "limit_in_insulation_c")]
    low, high, limit, inside = (int(each) if isinstance(each, Decimal) else None for each in told)
    assert low is not None and high is not None
    return low, high, limit, inside


def _insulation(case: RunCase, inside: bool) -> tuple[int, int, int | None, bool]:
    """Insulation of the type or as marked, and the column the cable is held to."""
    if case.cable.type is None:
        marked = case.cable.insulation_c
        return (marked or 60), (marked or 90), None, False
    low, high, limit, limit_inside = _row(case)
    if case.cable.insulation_c is not None:
        low = high = case.cable.insulation_c
    if inside and limit_inside is not None:
        return low, high, limit_inside, _is_service_cable(case)
    return low, high, limit, False


def _limit_in_insulation(case: RunCase) -> int | None:
    return None if case.cable.type is None else _row(case)[3]


def _is_service_cable(case: RunCase) -> bool:
    assert case.cable.type is not None
    return str(insulation_of(case.book, case.cable.type)["type"]).startswith("SE")


def _terminals(case: RunCase) -> tuple[int, int]:
    """Terminals as marked; not read: 60 to 75 C up to 100 A, 75 C above (110.14(C)(1))."""
    marked, rating_a = case.cable.terminals_c, case.rating_a
    if marked is not None:
        return marked, marked
    upto_a = case.book.value("terminals_upto_a").number
    size = case.cable.size
    if rating_a is not None:
        small = rating_a <= upto_a
    else:
        small = size is None or size_rank(size) <= size_rank(SMALL_TERMINALS)
    return (60, 75) if small else (75, 75)


def _air(case: RunCase) -> tuple[Decimal, Decimal, list[str], list[Missing]]:
    """Coolest and hottest the air around them may be at its hottest, the assumptions, and what would settle it."""
    cable, usual = case.cable, Decimal(USUAL_C)
    add_low, add_high, lacking = _roof(case)
    if cable.ambient_c is not None:
        return cable.ambient_c + add_low, cable.ambient_c + add_high, [], lacking
    places = cable.runs or (("attic",) if case.kind == "circuit" else ())
    hot = [place for place in places if place in HOTTEST_C]
    if not hot:
        return usual, usual, [INDOORS], lacking
    high = max(HOTTEST_C[place] + (add_high if place == "roof" else 0) for place in hot)
    lacking.append(case.lacks("ambient_c" if cable.runs else "runs"))
    return usual + add_low, high, sorted({ASSUMED[place] for place in hot}), lacking


def _roof(case: RunCase) -> tuple[Decimal, Decimal, list[Missing]]:
    """Degrees that a roof in the sun adds, at least and at most [C]."""
    cable, none = case.cable, Decimal(0)
    if "roof" not in cable.runs or (cable.type or "").upper().startswith("XHHW-2"):
        return none, none, []
    if cable.above_roof_in is None:
        most = roof_adder(case.book, none)
        return none, none if most is None else most.value, [case.lacks("above_roof_in")]
    found = roof_adder(case.book, cable.above_roof_in)
    adds = none if found is None else found.value
    return adds, adds, []


def _count(case: RunCase) -> int:
    """Current-carrying conductors together: as entered, those of the raceway, else the run's own."""
    if case.nipple:
        return 3
    own = 3 if case.cable.sets is None else 3 * case.cable.sets
    if case.cable.bundled is not None:
        return case.cable.bundled
    if case.in_raceway is not None:
        return case.in_raceway
    return min(own, 3)


def case_without_heat(cable: Cable) -> Cable:
    """The same conductors with nothing to correct for, as the size before correction asks."""
    return cable.model_copy(update={"runs": ("wall",), "ambient_c": None, "bundled": None, "raceway": None})
