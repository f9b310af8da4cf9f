"""Part III for a whole service or for the house loads alone, and its neutral (220.61)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from . import model, pieces, tables
from .model import COMFORT, COOKING, FASTENED, Item, Split, of_kind, split_of, total

NONE = Split()


def heat_pump_heat(item: Item) -> Split:
    """Compressor and supplement when they run together, otherwise the larger of the two."""
    compressor, supplement = item.connected_va, item.supplemental_va * item.number
    heat_va = compressor + supplement if item.together else max(compressor, supplement)
    return split_of(heat_va, item.volts)


def compressor_runs_in_heat(item: Item) -> bool:
    """Whether the heating alternative holds the compressor."""
    return item.together or item.va >= item.supplemental_va


def heat(items: list[Item]) -> Split:
    """The heating alternative."""
    resistance = [split_of(item.connected_va, item.volts) for item in of_kind(items, "space_heat")]
    return total(resistance + [heat_pump_heat(item) for item in of_kind(items, "heat_pump")])


def cooling(items: list[Item]) -> Split:
    """The cooling alternative."""
    return total(split_of(item.connected_va, item.volts) for item in of_kind(items, "air_conditioner", "heat_pump"))


def heat_motors(items: list[Item]) -> list[Item]:
    """Motors of the heating alternative."""
    return [
        item
        for item in items
        if (item.kind == "heat_pump" and compressor_runs_in_heat(item)) or (item.kind == "space_heat" and item.motor)
    ]


def cooling_motors(items: list[Item]) -> list[Item]:
    """Motors of the cooling alternative."""
    return of_kind(items, "air_conditioner", "heat_pump")


def other_motors(items: list[Item]) -> list[Item]:
    """Motors that are neither in the heating nor in the cooling alternative."""
    return [item for item in items if item.kind not in COMFORT and (item.motor or item.kind == "air_handler")]


def quarter_of_largest(motors: list[Item]) -> Split:
    """25 % of the largest single motor; of two equal ones the one that stands between legs."""
    if not motors:
        return NONE
    largest = max(motors, key=lambda item: (item.va, item.volts != 120))
    return split_of(largest.va / 4, largest.volts)


@dataclass(frozen=True)
class Comfort:
    """One way to treat heat, cooling and the largest motor."""

    reading: str
    kept: str
    load: Split
    motor: Split

    @property
    def va(self) -> Fraction:
        """What it adds to the total [VA]."""
        return self.load.va + self.motor.va


def one_alternative(items: list[Item], kept: str, reading: str) -> Comfort:
    """One alternative with the largest motor among it and everything else."""
    others = other_motors(items)
    if kept == "heat":
        return Comfort(reading, kept, heat(items), quarter_of_largest(others + heat_motors(items)))
    return Comfort(reading, kept, cooling(items), quarter_of_largest(others + cooling_motors(items)))


def drop_smaller(items: list[Item]) -> Comfort:
    """2014 and 2017: the smaller alternative is out; of two equal ones the dearer motor stays in."""
    pair = [one_alternative(items, kept, "drop_smaller") for kept in ("heat", "cooling")]
    return max(pair, key=lambda way: (way.load.va, way.va))


def per_alternative(items: list[Item]) -> Comfort:
    """2020 on, first reading: the whole calculation once per alternative, the larger one."""
    return max((one_alternative(items, kept, "per_alternative") for kept in ("heat", "cooling")), key=lambda w: w.va)


def quarter_of_dropped(items: list[Item]) -> Comfort:
    """2020 on, second reading: the larger alternative and 25 % of the largest motor of all."""
    kept = drop_smaller(items)
    motors = other_motors(items) + heat_motors(items) + cooling_motors(items)
    return Comfort("quarter_of_dropped", kept.kept, kept.load, quarter_of_largest(motors))


READINGS: dict[str, Callable[[list[Item]], Comfort]] = {
    "per_alternative": per_alternative,
    "quarter_of_dropped": quarter_of_dropped,
}


def comfort_readings(items: list[Item], edition: str) -> dict[str, Comfort]:
    """Every reading the edition leaves open."""
    if edition in ("2014", "2017"):
        return {"drop_smaller": drop_smaller(items)}
    return {name: reading(items) for name, reading in READINGS.items()}


def chosen_comfort(case: dict, items: list[Item]) -> Comfort:
    """The named reading, or the one with the larger total."""
    readings = comfort_readings(items, case["edition"])
    named = model.choice(case, "noncoincident_motor")
    if named is not None and named in readings:
        return readings[named]
    return max(readings.values(), key=lambda way: way.va)


def appliances(items: list[Item], edition: str, only_neutral: bool = False) -> Split:
    """220.53: those that count at the factor of the whole group, the small ones at 100 %."""
    factor = pieces.appliance_factor(items, edition)
    parts = []
    for item in of_kind(items, *FASTENED):
        if only_neutral and not item.neutral:
            continue
        counts = pieces.counts_for_appliance_factor(item, edition)
        parts.append(split_of(item.connected_va, item.volts).times(factor if counts else Fraction(1)))
    return total(parts)


def at_nameplate(items: list[Item], *kinds: str) -> Split:
    """Loads at 100 %."""
    return total(split_of(item.connected_va, item.volts) for item in of_kind(items, *kinds))


def evse(items: list[Item], edition: str) -> Split:
    """EVSE at 100 %."""
    return total(
        split_of(pieces.evse_each_va(item, edition) * item.number, item.volts) for item in of_kind(items, "evse")
    )


def cooking(case: dict, items: list[Item]) -> Split:
    """220.55, taken between legs: a table demand cannot be parted by voltage."""
    small_units = bool(model.choice(case, "cooking_note2_small_units"))
    return Split(at_line=pieces.cooking_demand_va(items, case["system"], small_units))


def part_three(case: dict, items: list[Item], lighting_va: Fraction) -> tuple[dict[str, Split], Comfort]:
    """Every demand of Part III for these items, by name; the lighting comes in after its tiers."""
    comfort = chosen_comfort(case, items)
    parts = {
        "lighting_va": Split(at_120=lighting_va),
        "appliances_va": appliances(items, case["edition"]),
        "dryers_va": Split(at_line=pieces.dryer_demand_va(items, case["system"])),
        "cooking_va": cooking(case, items),
        "evse_va": evse(items, case["edition"]),
        "other_va": at_nameplate(items, "other"),
        "air_handler_va": at_nameplate(items, "air_handler"),
        "hvac_va": comfort.load,
        "motor_va": comfort.motor,
    }
    return parts, comfort


def house_va(case: dict) -> Fraction:
    """House loads alone by Part III, no lighting, their own counts and largest motor [VA]."""
    parts, _ = part_three(case, model.items_of(case.get("house_loads", [])), Fraction(0))
    return total(parts.values()).va


def lighting_after_tiers_va(case: dict) -> Fraction:
    """Lighting, small-appliance and laundry of all units together, then the tiers once [VA]."""
    va_ft2 = tables.lighting_unit_load_va_ft2(case["edition"])
    connected = sum(
        (pieces.lighting_and_circuits_va(unit, va_ft2) * unit["count"] for unit in case["units"]), Fraction(0)
    )
    return pieces.lighting_demand_va(connected)


def neutral_parts(case: dict, items: list[Item], lighting_va: Fraction) -> dict[str, Split]:
    """220.61(A) and the 70 % of (B) for cooking and dryers; only what uses the neutral enters."""
    edition = case["edition"]
    on_neutral = [item for item in items if item.neutral]
    reduction = Fraction(1) if case["system"] == model.WYE_TWO_LEGS else Fraction(7, 10)
    motors = other_motors(on_neutral) + heat_motors(on_neutral) + cooling_motors(on_neutral)
    dryers = Split(at_line=pieces.dryer_demand_va(on_neutral, case["system"]))
    return {
        "lighting_va": Split(at_120=lighting_va),
        "cooking_va": cooking(case, of_kind(on_neutral, *COOKING)).times(reduction),
        "dryers_va": dryers.times(reduction),
        "appliances_va": appliances(items, edition, only_neutral=True),
        "evse_va": evse(on_neutral, edition),
        "other_va": at_nameplate(on_neutral, "other"),
        "air_handler_va": at_nameplate(on_neutral, "air_handler"),
        "hvac_va": max((heat(on_neutral), cooling(on_neutral)), key=lambda side: side.va),
        "motor_va": quarter_of_largest(motors),
    }


def over_200_reduced_a(amperes: Fraction, system: str) -> Fraction:
    """220.61(B)(2): the part above 200 A at 70 %, never on two legs of a wye [A]."""
    if system == model.WYE_TWO_LEGS or amperes <= 200:
        return amperes
    return 200 + (amperes - 200) * Fraction(7, 10)


def standard(case: dict) -> dict:
    """Part III for the whole service, with its neutral."""
    items = model.all_items(case)
    lighting_va = lighting_after_tiers_va(case)
    parts, comfort = part_three(case, items, lighting_va)
    neutral = neutral_parts(case, items, lighting_va)
    neutral_demand = total(neutral.values())
    neutral_before_a = model.amperes_of(neutral_demand, case["system"])
    readings = comfort_readings(items, case["edition"])
    without_comfort_va = total(parts.values()).va - comfort.va
    return model.result(
        case,
        total(parts.values()),
        {name: part.va for name, part in parts.items()},
        reading=comfort.reading,
        kept=comfort.kept,
        readings={name: without_comfort_va + way.va for name, way in readings.items()},
        neutral_va=neutral_demand.va,
        neutral_parts={name: part.va for name, part in neutral.items()},
        neutral_before_reduction_a=neutral_before_a,
        neutral_a=over_200_reduced_a(neutral_before_a, case["system"]),
    )
