"""The case as given, turned into flat items with exact numbers; nothing is computed here."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from .tables import STANDARD_RATINGS_A

COOKING = ("range", "oven", "cooktop")
FASTENED = ("water_heater", "dishwasher", "disposal", "microwave", "compactor", "pump", "appliance")
COMFORT = ("space_heat", "heat_pump", "air_conditioner")
KINDS = (*COOKING, "dryer", *FASTENED, "evse", *COMFORT, "air_handler", "other")
SPLIT_PHASE, WYE_TWO_LEGS, WYE_THREE_PHASE = "120/240", "208Y/120 1ph", "208Y/120 3ph"
SYSTEMS = (SPLIT_PHASE, WYE_TWO_LEGS, WYE_THREE_PHASE)
CHOICES = {
    "cooking_note2_small_units": (None, True, False),
    "noncoincident_motor": (None, "per_alternative", "quarter_of_dropped"),
    "evse_optional": (None, "pool_at_least_7200", "pool_nameplate"),
    "evse_existing": (None, "pool_at_least_7200", "pool_nameplate"),
    "existing_hvac": (None, "larger_at_100", "both_in_pool", "left_out"),
}
SQUARE_ROOT_OF_3 = Fraction(math.isqrt(3 * 10**60), 10**30)  # only ampere figures of the 3-phase system use it


class RefusedError(Exception):
    """A method does not apply to this case; the text says why."""


@dataclass(frozen=True)
class Item:
    """One line of equipment: `number` equal pieces of `va` each."""

    kind: str
    va: Fraction
    volts: int
    neutral: bool
    hp: Fraction | None
    motor: bool
    new: bool
    number: int
    supplemental_va: Fraction
    together: bool
    separate_units: int
    continuous_rated: bool

    @property
    def connected_va(self) -> Fraction:
        """Nameplates of all pieces [VA], a heat pump's supplemental heat not included."""
        return self.va * self.number


@dataclass(frozen=True)
class Split:
    """A demand kept in two parts [VA]: what stands between a leg and neutral, and what stands between legs."""

    at_120: Fraction = Fraction(0)
    at_line: Fraction = Fraction(0)

    @property
    def va(self) -> Fraction:
        """Both parts together [VA]."""
        return self.at_120 + self.at_line

    def __add__(self, other: Split) -> Split:
        return Split(self.at_120 + other.at_120, self.at_line + other.at_line)

    def times(self, factor: Fraction) -> Split:
        """Both parts under one demand factor."""
        return Split(self.at_120 * factor, self.at_line * factor)


def split_of(va: Fraction, volts: int) -> Split:
    """A demand [VA] put where its voltage says."""
    return Split(at_120=va) if volts == 120 else Split(at_line=va)


def total(parts: Iterable[Split]) -> Split:
    """Several demands added."""
    result = Split()
    for part in parts:
        result = result + part
    return result


def horsepower(text: str | None) -> Fraction | None:
    """Horsepower as printed: 1/2, 3, 1-1/2."""
    if text is None:
        return None
    whole, dash, rest = str(text).partition("-")
    return Fraction(whole) + Fraction(rest) if dash else Fraction(whole)


def item_of(load: dict, count: int) -> Item:
    """One load of the case, for `count` equal units."""
    if load["kind"] not in KINDS:
        raise ValueError(f"kind {load['kind']!r} is not one of {', '.join(KINDS)}")
    if load["volts"] not in (120, 208, 240):
        raise ValueError(f"volts {load['volts']!r} is not 120, 208 or 240")
    quantity = int(load.get("quantity", 1))
    va = Fraction(load["va"])
    supplemental_va = Fraction(load.get("supplemental_va", 0))
    if quantity < 1 or va < 0 or supplemental_va < 0:
        raise ValueError(f"{load['kind']}: quantity must be 1 or more and VA must not be negative")
    return Item(
        kind=load["kind"],
        va=va,
        volts=load["volts"],
        neutral=bool(load["neutral"]),
        hp=horsepower(load.get("hp")),
        motor=bool(load.get("motor", False)),
        new=bool(load.get("new", False)),
        number=quantity * count,
        supplemental_va=supplemental_va,
        together=bool(load.get("together", False)),
        separate_units=max(quantity, int(load.get("separate_units", 1))) * count,
        continuous_rated=bool(load.get("continuous_rated", False)),
    )


def items_of(loads: list[dict], count: int = 1) -> list[Item]:
    """Every load of one list."""
    return [item_of(load, count) for load in loads]


def unit_count(case: dict) -> int:
    """Dwelling units of the case."""
    return sum(unit["count"] for unit in case["units"])


def unit_items(case: dict) -> list[Item]:
    """The loads of all units, counted."""
    return [item for unit in case["units"] for item in items_of(unit["loads"], unit["count"])]


def all_items(case: dict) -> list[Item]:
    """The loads of all units and the house."""
    return unit_items(case) + items_of(case.get("house_loads", []))


def of_kind(items: list[Item], *kinds: str) -> list[Item]:
    """Those of the named kinds."""
    return [item for item in items if item.kind in kinds]


def choice(case: dict, name: str) -> object:
    """The choice made in the case, None when none was made."""
    return case.get("choices", {}).get(name)


def check_case(case: dict) -> None:
    """Stop on a system or choice this engine does not know, and on a case without units."""
    if case["system"] not in SYSTEMS:
        raise ValueError(f"system {case['system']!r} is not one of {', '.join(SYSTEMS)}")
    if not case["units"] or any(unit["count"] < 1 for unit in case["units"]):
        raise ValueError("a case needs at least one unit, and every count must be 1 or more")
    for name, value in case.get("choices", {}).items():
        if name not in CHOICES or value not in CHOICES[name]:
            raise ValueError(f"choice {name!r} = {value!r} is not known")


def amperes_of(demand: Split, system: str) -> Fraction:
    """Amperes of a demand [A]; on two legs of a wye the part to neutral spreads over both legs at 120 V."""
    if system == SPLIT_PHASE:
        return demand.va / 240
    if system == WYE_TWO_LEGS:
        return demand.at_120 / 240 + demand.at_line / 208
    return demand.va / (208 * SQUARE_ROOT_OF_3)


def round_half_up(value: Fraction) -> int:
    """Whole number; a fraction below one half is dropped."""
    return math.floor(value + Fraction(1, 2))


def minimum_service_a(amperes: Fraction, case: dict) -> int | None:
    """Next standard rating [A]; a single one-family dwelling gets 100 A or more (230.79(C))."""
    need = round_half_up(amperes)
    if unit_count(case) == 1:
        need = max(need, 100)
    for rating in STANDARD_RATINGS_A:
        if rating >= need:
            return rating
    return None


def result(case: dict, demand: Split, parts: dict[str, Fraction], **more: object) -> dict:
    """The answer of one method: total, amperes, minimum service and the parts that add up to the total."""
    amperes = amperes_of(demand, case["system"])
    return {
        "total_va": demand.va,
        "amperes": amperes,
        "minimum_service_a": minimum_service_a(amperes, case),
        "parts": parts,
        **more,
    }
