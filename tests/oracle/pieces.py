"""The counted demands of Part III, each on its own: lighting tiers, 220.53, 220.54, 220.55, EVSE."""

from __future__ import annotations

from fractions import Fraction

from . import tables
from .model import COOKING, FASTENED, WYE_THREE_PHASE, Item, RefusedError, of_kind, round_half_up


def lighting_and_circuits_va(unit: dict, va_ft2: int) -> Fraction:
    """General lighting, small-appliance and laundry circuits of ONE unit before demand [VA]."""
    circuits = unit["small_appliance_circuits"] + unit["laundry_circuits"]
    return Fraction(unit["floor_area_ft2"]) * va_ft2 + Fraction(1500) * circuits


def lighting_demand_va(connected_va: Fraction) -> Fraction:
    """Table 220.42 / 220.45: 3,000 VA at 100 %, to 120,000 VA at 35 %, above at 25 % [VA]."""
    first = min(connected_va, Fraction(3000))
    second = max(Fraction(0), min(connected_va, Fraction(120000)) - 3000)
    third = max(Fraction(0), connected_va - 120000)
    return first + second * tables.percent(35) + third * tables.percent(25)


def counts_for_appliance_factor(item: Item, edition: str) -> bool:
    """220.53: fastened in place; from 2020 only from 1/4 hp or 500 VA up."""
    if item.kind not in FASTENED:
        return False
    if edition in ("2014", "2017"):
        return True
    return item.va >= 500 or (item.hp is not None and item.hp >= Fraction(1, 4))


def appliance_factor(items: list[Item], edition: str) -> Fraction:
    """220.53: 75 % for those that count when there are four or more."""
    counted = sum(item.number for item in items if counts_for_appliance_factor(item, edition))
    return Fraction(3, 4) if counted >= 4 else Fraction(1)


def evse_each_va(item: Item, edition: str) -> Fraction:
    """One EVSE [VA]: 2023 not below 7,200 VA (220.57), otherwise its nameplate."""
    return max(item.va, Fraction(7200)) if edition == "2023" else item.va


def expand(items: list[Item], floor_va: int = 0) -> list[Fraction]:
    """One rating [VA] per piece, smallest first, none under the floor."""
    return sorted(max(item.va, Fraction(floor_va)) for item in items for _ in range(item.number))


def balanced(ratings: list[Fraction], what: str) -> list[Fraction]:
    """3-phase: twice the largest number between any two phases, the pieces spread as evenly as they go."""
    if len(set(ratings)) > 1:
        raise RefusedError(f"{what} of mixed ratings on a 3-phase system")
    per_pair = -(-len(ratings) // 3)
    return ratings[:1] * (2 * per_pair)


def to_three_phase(demand_va: Fraction) -> Fraction:
    """Half the two-pair demand is one phase; three of them are the whole."""
    return demand_va / 2 * 3


def dryer_demand_va(items: list[Item], system: str) -> Fraction:
    """220.54 [VA]: 5,000 VA or nameplate each, the larger, then the percent for the number."""
    ratings = expand(of_kind(items, "dryer"), floor_va=5000)
    if not ratings:
        return Fraction(0)
    if system == WYE_THREE_PHASE:
        counted = balanced(ratings, "dryers")
        return to_three_phase(sum(counted) * tables.dryer_factor(len(counted)))
    return sum(ratings) * tables.dryer_factor(len(ratings))


def over_twelve_factor(ratings: list[Fraction]) -> Fraction:
    """Notes 1 and 2: 5 % more for each kW, or 0.5 kW or more left over, that the average stands above 12 kW."""
    average = sum(max(rating, Fraction(12000)) for rating in ratings) / len(ratings)
    steps = round_half_up((average - 12000) / 1000)
    return 1 + Fraction(5, 100) * steps


def column_c_va(ratings: list[Fraction]) -> Fraction:
    """Column C with Notes 1 and 2 [VA]."""
    return tables.range_column_c_va(len(ratings)) * over_twelve_factor(ratings) if ratings else Fraction(0)


def own_columns_va(ratings: list[Fraction]) -> Fraction:
    """Note 3: each appliance in the column of its own rating, added [VA]."""
    in_a = [rating for rating in ratings if rating < 3500]
    in_b = [rating for rating in ratings if 3500 <= rating <= 8750]
    in_c = [rating for rating in ratings if rating > 8750]
    result = column_c_va(in_c)
    if in_a:
        result += sum(in_a) * tables.range_column_a(len(in_a))
    if in_b:
        result += sum(in_b) * tables.range_column_b(len(in_b))
    return result


def cooking_candidates(ratings: list[Fraction], note2_small_units: bool) -> dict[str, Fraction]:
    """Every way the table may be used on these ratings, all over 1,750 and not over 27,000 VA [VA]."""
    candidates = {"nameplate": sum(ratings, Fraction(0)), "own_columns": own_columns_va(ratings)}
    if max(ratings) <= 12000 or min(ratings) > 8750:
        candidates["column_c"] = column_c_va(ratings)
    elif note2_small_units:
        candidates["column_c_note2_small_units"] = column_c_va(ratings)
    return candidates


def cooking_demand_va(items: list[Item], system: str, note2_small_units: bool = False) -> Fraction:
    """220.55 [VA]: the least of the ways allowed; what the table does not cover stands at nameplate."""
    ratings = expand(of_kind(items, *COOKING))
    in_table = [rating for rating in ratings if 1750 < rating <= 27000]
    outside_va = sum((rating for rating in ratings if not 1750 < rating <= 27000), Fraction(0))
    if not in_table:
        return outside_va
    if system == WYE_THREE_PHASE:
        counted = balanced(in_table, "cooking appliances")
        return outside_va + to_three_phase(min(cooking_candidates(counted, note2_small_units).values()))
    return outside_va + min(cooking_candidates(in_table, note2_small_units).values())
