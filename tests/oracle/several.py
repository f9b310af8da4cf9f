"""The optional methods for more than one unit: 220.84 for three or more, 220.85 for two."""

from __future__ import annotations

from fractions import Fraction

from . import model, optional, pieces, standard, tables
from .model import Item, RefusedError, of_kind


def unit_hvac_va(items: list[Item]) -> Fraction:
    """The larger of heat and cooling in one unit [VA]."""
    return max(standard.heat(items).va, standard.cooling(items).va)


def unit_connected_va(unit: dict, edition: str) -> Fraction:
    """Connected load of ONE unit as 220.84 adds it [VA]."""
    items = model.items_of(unit["loads"])
    rest = [item for item in items if item.kind not in (*model.COMFORT, "evse")]
    evse_va = sum((pieces.evse_each_va(item, edition) * item.number for item in of_kind(items, "evse")), Fraction(0))
    lighting_va = pieces.lighting_and_circuits_va(unit, tables.MULTIFAMILY_UNIT_LOAD_VA_FT2)
    return lighting_va + optional.nameplates_va(rest) + evse_va + unit_hvac_va(items)


def refuse_unread_edition(case: dict) -> None:
    """2026: the text of 120.84 and 120.85 was not seen, so neither unit load nor demand table is known."""
    if case["edition"] == "2026":
        raise RefusedError("120.84 and 120.85 are not confirmed")


def refuse_unless_all_electric(case: dict) -> None:
    """220.84(A): every unit cooks electrically and has heat, cooling or both."""
    for unit in case["units"]:
        items = model.items_of(unit["loads"])
        if not of_kind(items, *model.COOKING):
            raise RefusedError("a unit has no electric cooking")
        if not of_kind(items, *model.COMFORT):
            raise RefusedError("a unit has neither electric heat nor air conditioning")


def multifamily(case: dict) -> dict:
    """220.84."""
    refuse_unread_edition(case)
    units = model.unit_count(case)
    if units < 3:
        raise RefusedError("under three dwelling units")
    refuse_unless_all_electric(case)
    connected_va = sum(
        (unit_connected_va(unit, case["edition"]) * unit["count"] for unit in case["units"]), Fraction(0)
    )
    parts = {
        "units_va": connected_va * tables.multifamily_factor(units),
        "house_va": standard.house_va(case),
    }
    return model.result(case, optional.whole(sum(parts.values())), parts, connected_va=connected_va)


def two_family(case: dict) -> dict:
    """220.85: the lesser of Part III for two and 220.84 for three alike; unequal units count as the larger one."""
    refuse_unread_edition(case)
    if model.unit_count(case) != 2:
        raise RefusedError("not exactly two dwelling units")
    by_part_three = standard.standard(case)
    try:
        refuse_unless_all_electric(case)
    except RefusedError:
        alone = {"standard_va": by_part_three["total_va"], "three_units_va": None}
        return {**by_part_three, "governs": "standard", **alone}
    larger_va = max(unit_connected_va(unit, case["edition"]) for unit in case["units"])
    parts = {
        "units_va": larger_va * 3 * tables.multifamily_factor(3),
        "house_va": standard.house_va(case),
    }
    three_units_va = sum(parts.values())
    compared = {"standard_va": by_part_three["total_va"], "three_units_va": three_units_va}
    if by_part_three["total_va"] <= three_units_va:
        return {**by_part_three, "governs": "standard", **compared}
    return model.result(case, optional.whole(three_units_va), parts, governs="three_units", **compared)
