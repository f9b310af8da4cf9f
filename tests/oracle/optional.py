"""The optional methods for one house: 220.82, and 220.83 for a house that stands already."""

from __future__ import annotations

from fractions import Fraction

from . import model, pieces, standard, tables
from .model import Item, RefusedError, Split, of_kind

NEVER_IN_POOL = (*model.COMFORT, "air_handler", "evse")


def tiers_va(connected_va: Fraction, first_va: int) -> Fraction:
    """The first part at 100 %, the rest at 40 % [VA]."""
    return min(connected_va, Fraction(first_va)) + max(Fraction(0), connected_va - first_va) * Fraction(2, 5)


def nameplates_va(items: list[Item]) -> Fraction:
    """Nameplates added [VA], a heat pump's supplement included."""
    return sum((item.connected_va + item.supplemental_va * item.number for item in items), Fraction(0))


def general_va(case: dict, items: list[Item], va_ft2: int) -> Fraction:
    """Lighting, circuits and every nameplate but EVSE, heat, cooling and air handlers [VA]."""
    unit = case["units"][0]
    rest = [item for item in items if item.kind not in NEVER_IN_POOL]
    return pieces.lighting_and_circuits_va(unit, va_ft2) + nameplates_va(rest)


def evse_in_pool_va(items: list[Item], reading: str) -> Fraction:
    """EVSE as one reading puts it into the pool [VA]."""
    floor = 7200 if reading == "pool_at_least_7200" else 0
    return sum((max(item.va, Fraction(floor)) * item.number for item in of_kind(items, "evse")), Fraction(0))


def evse_readings(case: dict, choice_name: str) -> list[str]:
    """2023 leaves two readings open; before it there is the nameplate."""
    if case["edition"] != "2023":
        return ["pool_nameplate"]
    named = model.choice(case, choice_name)
    return [str(named)] if named else ["pool_at_least_7200", "pool_nameplate"]


def heat_pump_candidate_va(items: list[Item]) -> Fraction:
    """220.82(C)(2) and (3), all heat pumps summed: compressor 100 %, supplement 65 % [VA].

    Where the two cannot run together the larger counts: the compressor still cools alone.
    """
    result = Fraction(0)
    for item in of_kind(items, "heat_pump"):
        supplement_va = item.supplemental_va * item.number * Fraction(65, 100)
        if item.together:
            result += item.connected_va + supplement_va
        else:
            result += max(item.connected_va, supplement_va)
    return result


def cooling_candidate_va(items: list[Item]) -> Fraction:
    """220.82(C)(1): air conditioners, and beside them the heat pumps' compressors, which cool at the same time [VA]."""
    if not of_kind(items, "air_conditioner"):
        return Fraction(0)
    return sum((item.connected_va for item in of_kind(items, "air_conditioner", "heat_pump")), Fraction(0))


def comfort_candidates_va(items: list[Item]) -> dict[str, Fraction]:
    """220.82(C): the items of which the largest one enters [VA]."""
    plain = [item for item in of_kind(items, "space_heat") if not item.continuous_rated]
    steady = [item for item in of_kind(items, "space_heat") if item.continuous_rated]
    separate = sum(item.separate_units for item in plain)
    factor = Fraction(40, 100) if separate >= 4 else Fraction(65, 100)
    return {
        "cooling": cooling_candidate_va(items),
        "heat_pumps": heat_pump_candidate_va(items),
        "space_heat": nameplates_va(plain) * factor,
        "continuous_heat": nameplates_va(steady),
    }


def refuse_unless_one_house(case: dict) -> None:
    """One unit, and only one."""
    if model.unit_count(case) != 1:
        raise RefusedError("not exactly one dwelling unit")


def whole(demand_va: Fraction) -> Split:
    """A pooled demand cannot be parted by voltage: it is taken between legs."""
    return Split(at_line=demand_va)


def optional_one(case: dict) -> dict:
    """220.82."""
    refuse_unless_one_house(case)
    if case["system"] == model.WYE_THREE_PHASE:
        raise RefusedError("the supply is not 3-wire")
    ampacity = case.get("service_ampacity_a")
    if ampacity is not None and ampacity < 100:
        raise RefusedError("the service or feeder is under 100 A")
    edition, items = case["edition"], model.all_items(case)
    base_va = general_va(case, items, tables.lighting_unit_load_va_ft2(edition))
    first_va = tables.optional_first_va(edition)
    ways = {}
    if edition == "2026":
        ways["outside_the_tiers"] = (tiers_va(base_va, first_va), nameplates_va(of_kind(items, "evse")))
    else:
        for reading in evse_readings(case, "evse_optional"):
            pool_va = base_va + evse_in_pool_va(items, reading)
            ways[reading] = (tiers_va(pool_va, first_va), Fraction(0))
    reading = max(ways, key=lambda name: sum(ways[name]))
    candidates = comfort_candidates_va(items)
    kept = max(candidates, key=lambda name: candidates[name])
    parts = {
        "general_va": ways[reading][0],
        "evse_va": ways[reading][1],
        "hvac_va": candidates[kept],
        "air_handler_va": nameplates_va(of_kind(items, "air_handler")),
    }
    return model.result(
        case,
        whole(sum(parts.values())),
        parts,
        reading=reading,
        kept=kept,
        candidates=candidates,
        readings={name: sum(way) + parts["hvac_va"] + parts["air_handler_va"] for name, way in ways.items()},
    )


def existing_way(case: dict, items: list[Item], hvac: str, evse: str) -> dict[str, Fraction]:
    """One reading of 220.83 as parts that add up [VA]."""
    pool_va = general_va(case, items, tables.lighting_unit_load_va_ft2(case["edition"])) + evse_in_pool_va(items, evse)
    air_handler_va = nameplates_va(of_kind(items, "air_handler"))
    hvac_va = Fraction(0)
    # With neither heating nor cooling there is nothing to read two ways: a blower alone counts whole.
    if hvac == "larger_at_100" or not of_kind(items, *model.COMFORT):
        hvac_va = max(standard.heat(items).va, standard.cooling(items).va)
    else:
        pool_va, air_handler_va = pool_va + air_handler_va, Fraction(0)
    if hvac == "both_in_pool" and of_kind(items, *model.COMFORT):
        pool_va += nameplates_va(of_kind(items, *model.COMFORT))
    return {"general_va": tiers_va(pool_va, 8000), "hvac_va": hvac_va, "air_handler_va": air_handler_va}


def existing(case: dict) -> dict:
    """220.83: form (B) when heat or cooling is new, form (A) otherwise."""
    if case["edition"] == "2026":
        raise RefusedError("Table 120.83 is not confirmed")
    refuse_unless_one_house(case)
    if not case["existing"]:
        raise RefusedError("the house does not exist yet")
    items = model.all_items(case)
    form = "B" if any(item.new for item in of_kind(items, *model.COMFORT)) else "A"
    hvac_readings = ["larger_at_100", "both_in_pool", "left_out"]
    named = model.choice(case, "existing_hvac")
    if form == "B":
        hvac_readings = ["larger_at_100"]
    elif named:
        hvac_readings = [str(named)]
    ways = {
        (hvac, evse): existing_way(case, items, hvac, evse)
        for hvac in hvac_readings
        for evse in evse_readings(case, "evse_existing")
    }
    reading = max(ways, key=lambda name: sum(ways[name].values()))
    return model.result(
        case,
        whole(sum(ways[reading].values())),
        ways[reading],
        form=form,
        reading=reading,
        readings={name: sum(way.values()) for name, way in ways.items()},
    )
