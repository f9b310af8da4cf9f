"""The largest breaker: what conductors allow (240.4 with its small conductors) and what the equipment allows."""

from __future__ import annotations

from decimal import Decimal

from deadfront.circuits.rules.runs.ampacity import ends_of
from deadfront.circuits.rules.runs.case import LoadCase, RunCase
from deadfront.circuits.rules.runs.conditions import Surroundings
from deadfront.circuits.rules.runs.cooking import is_cooking
from deadfront.circuits.rules.runs.current import lacks
from deadfront.circuits.rules.runs.demand import Demand
from deadfront.codebook.conductors import small_conductor_rating
from deadfront.codebook.lookup import standard_ratings
from deadfront.codebook.wiring import motor_breaker_percent
from deadfront.worksheet import build
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.step import Step

SMALLEST_BREAKER_A = 15
HEATERS = ("water_heater", "tankless_water_heater", "appliance")


def next_size_allowed(case: RunCase) -> bool | None:
    """Whether the next larger standard rating may stand over an ampacity that is none; None where not known.

    Not for several receptacles (240.4(B)(1)), nor for household cooking, whose conductors carry the full rating.
    """
    if any(is_cooking(load) for load in case.loads):
        return False
    return None if case.several_receptacles is None else not case.several_receptacles


def most_over(case: RunCase, amperes: Decimal, size: str, metal: str, *, up: bool) -> Decimal:
    """The largest standard rating over conductors of that ampacity [A], in plain figures for the search of a size."""
    ratings = standard_ratings(case.book)
    if case.whole_dwelling:
        most = _whole_dwelling(case, amperes)
        if most is not None:
            return most
    below = max((each for each in ratings if each <= amperes), default=Decimal(0))
    limit = case.book.value("next_size_up_upto_a").number
    if up and below < amperes:
        above = next((each for each in ratings if each >= amperes), below)
        below = above if above <= limit else below
    small = small_conductor_rating(case.book, size, metal) if (case.cable.sets or 1) == 1 else None
    return below if small is None else min(below, small.value)


def _whole_dwelling(case: RunCase, amperes: Decimal) -> Decimal | None:
    """The largest rating whose 83 percent the conductors carry; None where the rule does not reach."""
    if case.book.barred("service_conductors_83"):
        return None
    percent = case.book.value("service_conductor_percent").number
    low, high = (case.book.value(f"service_conductor_{end}_a").number for end in ("from", "upto"))
    fit = [r for r in standard_ratings(case.book) if low <= r <= high and r * percent <= amperes * 100]
    return max(fit, default=None)


def conductors_allow(case: RunCase, around: Surroundings, ampacity: Step) -> Step:
    """The largest breaker that the conductors in place allow [A], with its working (240.4)."""
    assert case.cable.size is not None
    allowed = next_size_allowed(case)
    ident, name = f"run/{case.of}/conductors_allow", "run.conductors_allow"
    ratings, cite = standard_ratings(case.book), case.book.rule("next_size_up").cite
    if case.whole_dwelling and _whole_dwelling(case, ampacity.value.low) is not None:
        return _by_83(case, ident, ampacity)
    below = build.standard_below(f"{ident}/below", "run.standard_below", ampacity, ratings,
                                 cite=case.book.rule("conductor_protection").cite)  # fmt: skip
    above = build.next_standard(f"{ident}/above", "run.standard_above", ampacity, ratings, cite=cite)
    limit = case.book.value("next_size_up_upto_a").number
    over_limit = above.value.high is None or above.value.high > limit
    if allowed is False or over_limit:
        step = below
    elif allowed is None and below.value != above.value:
        step = build.between_cases(f"{ident}/either", name, below, above, unit="A",
                                   missing=(case.lacks_outlets(),))  # fmt: skip
    else:
        step = above
    small = _small(case, ident, around)
    return build.least(ident, name, (step,) if small is None else (step, small), unit="A", cite=_why(case))


def _why(case: RunCase) -> tuple[Cite, ...]:
    return (case.book.rule("several_receptacles").cite,) if case.several_receptacles else ()


def _by_83(case: RunCase, ident: str, ampacity: Step) -> Step:
    percent = case.book.value("service_conductor_percent")
    cites = (percent.cite, case.book.rule("service_conductors_83").cite)
    share = build.given(f"{ident}/share", "run.share_83", percent.number / 100, "", percent.cite)
    full = build.quotient(f"{ident}/full", "run.at_83", ampacity, share, cite=cites)
    ratings = [r for r in standard_ratings(case.book) if r <= case.book.value("service_conductor_upto_a").number]
    return build.standard_below(ident, "run.conductors_allow", full, ratings, cite=cites)


def _small(case: RunCase, ident: str, around: Surroundings) -> Step | None:
    """The limit of 240.4(D) for small conductors; a range where the metal is not known."""
    if (case.cable.sets or 1) != 1:
        return None
    size, made = str(case.cable.size), []
    for end, metal, _ in ends_of(case, around):
        found = small_conductor_rating(case.book, size, metal)
        if found is not None:
            made.append(build.lookup(f"{ident}/small{end}", "run.small_conductor", found.value, "A", found.cite,
                                     table="small_conductor_protection", row=found.row, inline=True))  # fmt: skip
    if not made:
        return None
    if len(made) == 1 or made[0].value == made[1].value:
        return made[-1]
    return build.between_cases(f"{ident}/small", "run.small_conductor", made[0], made[1], unit="A")


def equipment_allows(case: RunCase, demand: Demand) -> Step | None:
    """The largest breaker that the equipment on the run allows [A]; None where nothing sets one."""
    one = case.alone
    if one is None:
        return None
    ident, name = f"run/{case.of}/equipment_allows", "run.equipment_allows"
    if one.maximum_overcurrent_a is not None:
        marked = build.fact(f"{ident}/marked", "run.marked", one.maximum_overcurrent_a, "A",
                            f"{one.root}.maximum_overcurrent_a", inline=True)  # fmt: skip
        cite = case.book.rule("hermetic_nameplate").cite if demand.sort == "hermetic" else None
        return build.standard_below(ident, name, marked, standard_ratings(case.book), cite=cite)
    if demand.load is None or demand.load.value.high is None:
        return None
    if demand.sort == "hermetic":
        return None if one.nameplate_a is None else _hermetic_most(case, ident, demand.load)
    if demand.sort == "motor":
        return _motor_most(case, ident, demand.load)
    return _appliance_most(case, ident, one, demand.load)


def _hermetic_most(case: RunCase, ident: str, load: Step) -> Step:
    """Without a marking: 175 percent of rated-load current, 225 where it will not start, never rounded up."""
    made = []
    for name in ("hermetic_protection_percent", "hermetic_protection_most_percent"):
        value = case.book.value(name)
        share = build.percent_of(f"{ident}/{value.number}", f"value.{name}", load, value.number, unit="A",
                                 cite=value.cite, inline=True)  # fmt: skip
        made.append(build.standard_below(f"{ident}/below_{value.number}", "run.standard_below", share,
                                         standard_ratings(case.book), cite=value.cite))  # fmt: skip
    return build.between_cases(ident, "run.equipment_allows", made[0], made[1], unit="A",
                               missing=(lacks(case.loads[0], "maximum_overcurrent_a"),))  # fmt: skip


def _motor_most(case: RunCase, ident: str, load: Step) -> Step:
    """An inverse-time breaker at 250 percent of table current, the next standard rating where that is none."""
    found = motor_breaker_percent(case.book)
    share = build.percent_of(f"{ident}/share", "run.motor_share", load, found.value, unit="A", cite=found.cite,
                             inline=True)  # fmt: skip
    ratings = [each for each in standard_ratings(case.book) if each >= SMALLEST_BREAKER_A]
    return build.next_standard(ident, "run.equipment_allows", share, ratings,
                               cite=case.book.rule("motor_protection").cite)  # fmt: skip


def _appliance_most(case: RunCase, ident: str, one: LoadCase, load: Step) -> Step | None:
    """A single appliance without motor and without marking: 20 A, or 150 percent and the next standard rating."""
    if one.kind not in HEATERS or one.motor:
        return None
    book, high = case.book, load.value.high
    small, upto = book.value("appliance_protection_small_a"), book.value("appliance_small_upto_a")
    assert high is not None
    if high <= upto.number:
        return build.given(ident, "run.equipment_allows", small.number, "A", small.cite, inline=False)
    if load.value.low <= upto.number:
        return None
    percent = book.value("appliance_protection_percent")
    share = build.percent_of(f"{ident}/share", "run.appliance_share", load, percent.number, unit="A",
                             cite=percent.cite, inline=True)  # fmt: skip
    return build.next_standard(ident, "run.equipment_allows", share, standard_ratings(book), cite=percent.cite)
