"""Invented houses for comparing two engines: same seed, same house, whatever the edition."""

from __future__ import annotations

import random

SHAPES = ("one_family", "two_family", "multifamily", "wye_unit")
SHAPE_WEIGHTS = (75, 8, 12, 5)
THREE_PHASE, TWO_LEGS = "208Y/120 3ph", "208Y/120 1ph"

# Full-load current [A] by horsepower at 115, 208 and 230 V, single phase (Table 430.248).
MOTOR_A = {
    "1/6": ("4.4", "2.4", "2.2"),
    "1/4": ("5.8", "3.2", "2.9"),
    "1/3": ("7.2", "4.0", "3.6"),
    "1/2": ("9.8", "5.4", "4.9"),
    "3/4": ("13.8", "7.6", "6.9"),
    "1": ("16", "8.8", "8.0"),
    "1-1/2": ("20", "11.0", "10"),
    "2": ("24", "13.2", "12"),
    "3": ("34", "18.7", "17"),
    "5": ("56", "30.8", "28"),
}
COOKING_VA = (
    1200,
    1750,
    1751,
    2000,
    3000,
    3499,
    3500,
    3501,
    4800,
    6000,
    7500,
    8000,
    8749,
    8750,
    8751,
    9600,
    11000,
    11999,
    12000,
    12001,
    12499,
    12500,
    13499,
    13500,
    14000,
    15000,
    16600,
    18000,
    22000,
    26999,
    27000,
    27001,
    28000,
)
SMALL_VA = (300, 498, 499, 500, 501, 600, 750, 828, 1000, 1127, 1200, 1400, 1500, 1800)
AREAS_FT2 = (
    "400",
    "600",
    "666.5",
    "840",
    "1000",
    "1200",
    "1500",
    "1875",
    "2000",
    "2400",
    "2800",
    "3600",
    "5200",
    "9000",
)


def load(kind: str, va: object, volts: int, neutral: bool, **more: object) -> dict:
    """One load of a case, every common field present."""
    base = {"kind": kind, "va": str(va), "volts": volts, "neutral": neutral, "hp": None, "motor": False, "new": False}
    return {**base, "quantity": 1, **more}


def motor_load(rng: random.Random, kind: str, line_volts: int, horsepowers: list[str], high: bool) -> dict:
    """A motor by its table current; 115 V motors stand on 120 V circuits, 230 V motors on 240 V."""
    hp = rng.choice(horsepowers)
    at_115, at_208, at_230 = MOTOR_A[hp]
    if not high:
        tenths, volts, neutral = at_115, 120, True
        va = _times(tenths, 115)
    else:
        va = _times(at_208, 208) if line_volts == 208 else _times(at_230, 230)
        volts, neutral = line_volts, False
    return load(kind, va, volts, neutral, hp=hp, motor=True)


def _times(amperes: str, volts: int) -> str:
    """Amperes with at most one decimal times volts, exact."""
    tenths = round(float(amperes) * 10) * volts
    return f"{tenths // 10}.{tenths % 10}" if tenths % 10 else str(tenths // 10)


def cooking_loads(rng: random.Random, line_volts: int, alike: bool) -> list[dict]:
    """No cooking, a range, or a mix that crosses the limits of the table."""
    form = rng.random()
    if alike:
        return [load("range", rng.choice(COOKING_VA[8:]), line_volts, True)] if form < 0.92 else []
    if form < 0.12:
        return []
    if form < 0.45:
        return [load("range", rng.choice(COOKING_VA), line_volts, True, quantity=rng.choice((1, 1, 1, 2)))]
    if form < 0.75:
        tops = [load("cooktop", rng.choice(COOKING_VA[:22]), line_volts, rng.random() < 0.95)]
        ovens = [load("oven", rng.choice(COOKING_VA[:22]), line_volts, True, quantity=rng.choice((1, 1, 2)))]
        return tops + ovens
    return [
        load(rng.choice(("range", "oven", "cooktop")), rng.choice(COOKING_VA), line_volts, True)
        for _ in range(rng.randint(2, 5))
    ]


def dryer_loads(rng: random.Random, line_volts: int) -> list[dict]:
    """Usually one dryer, sometimes none or two."""
    number = rng.choice((0, 1, 1, 1, 1, 2))
    va = rng.choice((3000, 4200, 4999, 5000, 5001, 5400, 5500, 6000, 7200))
    return [load("dryer", va, line_volts, True, quantity=number)] if number else []


def fastened_loads(rng: random.Random, line_volts: int) -> list[dict]:
    """Between none and seven fastened-in-place appliances, many near 500 VA and 1/4 hp."""
    result = []
    if rng.random() < 0.75:
        result.append(load("water_heater", rng.choice((1440, 2500, 3800, 4500, 5500, 9000)), line_volts, False))
    for _ in range(rng.randint(0, 5)):
        kind = rng.choice(("dishwasher", "disposal", "microwave", "compactor", "pump", "appliance"))
        if kind in ("disposal", "compactor"):
            result.append(motor_load(rng, kind, line_volts, ["1/6", "1/4", "1/3", "1/2", "3/4", "1"], high=False))
        elif kind == "pump":
            sizes = ["1/6", "1/4", "1/3", "1/2", "3/4", "1", "1-1/2", "2"]
            result.append(motor_load(rng, kind, line_volts, sizes, high=rng.random() < 0.5))
        else:
            quantity = rng.choice((1, 1, 1, 2))
            result.append(load(kind, rng.choice(SMALL_VA), 120, True, motor=rng.random() < 0.15, quantity=quantity))
    return result


def space_heat(rng: random.Random, line_volts: int) -> dict:
    """One controlled heater, one load of several controlled parts, or several equal heaters."""
    if rng.random() < 0.5:
        va, parts, quantity = rng.choice((5000, 9000, 9600, 10000, 15000, 20000)), rng.randint(1, 6), 1
    else:
        va, parts, quantity = rng.choice((750, 1000, 1500, 2000, 2500)), 1, rng.randint(1, 7)
    return load(
        "space_heat",
        va,
        line_volts,
        False,
        quantity=quantity,
        separate_units=parts,
        continuous_rated=rng.random() < 0.12,
    )


def heat_pump(rng: random.Random, line_volts: int) -> dict:
    """With and without supplement, running together or not."""
    compressor = rng.choice((2400, 3600, 5000, 5760, 6432, 8400))
    supplement = rng.choice((0, 0, 3000, 5000, 5760, 10000, 15000, 20000))
    return load(
        "heat_pump",
        compressor,
        line_volts,
        False,
        motor=True,
        supplemental_va=str(supplement),
        together=rng.random() < 0.6,
    )


def air_conditioner(rng: random.Random, line_volts: int) -> dict:
    """A central unit, or room units on 120 V."""
    if rng.random() < 0.7:
        return load("air_conditioner", rng.choice((1380, 2880, 4296, 5520, 6720, 9600)), line_volts, False, motor=True)
    return load("air_conditioner", rng.choice((900, 1200, 1440)), 120, True, motor=True, quantity=rng.randint(1, 3))


def comfort_loads(rng: random.Random, line_volts: int, required: bool) -> list[dict]:
    """Heat, cooling, both or neither, and sometimes an air handler."""
    result = []
    form = rng.random()
    if form < 0.35:
        result += [space_heat(rng, line_volts) for _ in range(rng.choice((1, 1, 2)))]
    elif form < 0.7:
        result += [heat_pump(rng, line_volts) for _ in range(rng.choice((1, 1, 1, 2)))]
    elif form < 0.78:
        result += [space_heat(rng, line_volts), heat_pump(rng, line_volts)]
    if rng.random() < 0.55 or (required and not result):
        result += [air_conditioner(rng, line_volts) for _ in range(rng.choice((1, 1, 2)))]
    if rng.random() < 0.45:
        at_120 = rng.random() < 0.4
        va = rng.choice((500, 792, 1127, 1392)) if at_120 else rng.choice((792, 1392, 1800, 2400))
        result.append(load("air_handler", va, 120 if at_120 else line_volts, at_120, motor=True))
    return result


def evse_loads(rng: random.Random, line_volts: int, chances: tuple[int, ...]) -> list[dict]:
    """No EVSE up to three."""
    return [
        load("evse", rng.choice((1440, 3840, 5760, 7199, 7200, 7680, 9600, 11520)), line_volts, False)
        for _ in range(rng.choice(chances))
    ]


def other_loads(rng: random.Random, line_volts: int) -> list[dict]:
    """Things that fall under no demand rule, motors among them."""
    if rng.random() < 0.7:
        return []
    if rng.random() < 0.5:
        return [motor_load(rng, "other", line_volts, ["1/2", "1", "2", "3", "5"], high=True)]
    return [load("other", rng.choice((600, 1800, 3000, 6000)), 120, True)]


def unit(rng: random.Random, line_volts: int, count: int, apartment: bool, alike: bool) -> dict:
    """One dwelling unit, `count` times."""
    areas = AREAS_FT2[:7] if apartment else AREAS_FT2
    return {
        "count": count,
        "floor_area_ft2": rng.choice(areas),
        "small_appliance_circuits": rng.choice((2, 2, 2, 3, 4)),
        "laundry_circuits": rng.choice((0, 1, 1)) if apartment else rng.choice((1, 1, 1, 2)),
        "loads": cooking_loads(rng, line_volts, alike)
        + dryer_loads(rng, line_volts)
        + fastened_loads(rng, line_volts)
        + comfort_loads(rng, line_volts, apartment and rng.random() < 0.9)
        + evse_loads(rng, line_volts, (0, 0, 0, 1) if apartment else (0, 0, 1, 1, 2, 3))
        + other_loads(rng, line_volts),
    }


def house_loads(rng: random.Random, line_volts: int, alike: bool) -> list[dict]:
    """Lights, pumps, common laundry and EVSE of a building; none now and then."""
    if rng.random() < 0.25:
        return []
    result = [load("other", rng.choice((1000, 2500, 6000)), 120, True)]
    result += fastened_loads(rng, line_volts) + other_loads(rng, line_volts)
    result += evse_loads(rng, line_volts, (0, 0, 1, 3))
    if rng.random() < 0.3:
        result += comfort_loads(rng, line_volts, False)
    if not alike and rng.random() < 0.35:
        result.append(load("dryer", rng.choice((4500, 5000, 5600)), line_volts, True, quantity=rng.randint(1, 8)))
    if not alike and rng.random() < 0.1:
        result += cooking_loads(rng, line_volts, False)
    return result


def same_dryer(units: list[dict]) -> None:
    """One dryer rating for the whole building, as a 3-phase count needs it."""
    dryers = [item for each in units for item in each["loads"] if item["kind"] == "dryer"]
    for item in dryers:
        item["va"] = dryers[0]["va"]


def same_cooking(units: list[dict]) -> None:
    """One range rating for the whole building."""
    ranges = [item for each in units for item in each["loads"] if item["kind"] in ("range", "oven", "cooktop")]
    for item in ranges:
        item["va"] = ranges[0]["va"]


def choices(rng: random.Random, edition: str, existing: bool) -> dict:
    """Now and then a named reading instead of the default, only where the edition leaves one open."""
    drawn = {
        "cooking_note2_small_units": rng.choice((None, None, True, False)),
        "noncoincident_motor": rng.choice((None, None, "per_alternative", "quarter_of_dropped")),
        "evse_optional": rng.choice((None, None, "pool_at_least_7200", "pool_nameplate")),
        "evse_existing": rng.choice((None, None, "pool_at_least_7200", "pool_nameplate")),
        "existing_hvac": rng.choice((None, None, "larger_at_100", "both_in_pool", "left_out")),
    }
    barred = set()
    if edition in ("2014", "2017"):
        barred.add("noncoincident_motor")
    if edition != "2023":
        barred |= {"evse_optional", "evse_existing"}
    if not existing or edition == "2026":
        barred |= {"existing_hvac", "evse_existing"}
    return {name: value for name, value in drawn.items() if value is not None and name not in barred}


def system_of(rng: random.Random, shape: str) -> str:
    """The supply: mostly 120/240 V, a wye where buildings have one."""
    wye = rng.random()
    if shape == "wye_unit":
        return TWO_LEGS
    if shape == "multifamily":
        return THREE_PHASE if wye < 0.35 else "120/240"
    if shape == "two_family":
        return THREE_PHASE if wye < 0.1 else TWO_LEGS if wye < 0.2 else "120/240"
    return TWO_LEGS if wye < 0.05 else "120/240"


def random_case(seed: int, edition: str, shape: str | None = None) -> dict:
    """The house of this seed under this edition; a shape may be asked for."""
    rng = random.Random(seed)
    drawn = rng.choices(SHAPES, SHAPE_WEIGHTS)[0]
    shape = shape or drawn
    system = system_of(rng, shape)
    line_volts = 240 if system == "120/240" else 208
    alike = system == THREE_PHASE and rng.random() < 0.9
    if shape == "multifamily":
        first = rng.choice((2, 3, 4, 5, 6, 8, 10, 11, 12, 14, 16, 20, 21, 23, 24, 30, 31, 38, 42, 43, 62, 70))
        counts = [first] if first >= 3 and rng.random() < 0.6 else [first, rng.randint(1, 12)]
    elif shape == "two_family":
        counts = [2] if rng.random() < 0.6 else [1, 1]
    else:
        counts = [1]
    apartment = shape != "one_family"
    units = [unit(rng, line_volts, count, apartment, alike) for count in counts]
    existing = len(units) == 1 and rng.random() < 0.5
    if existing:
        for item in units[0]["loads"]:
            item["new"] = rng.random() < 0.2
    house = house_loads(rng, line_volts, alike) if shape in ("two_family", "multifamily") else []
    if alike:
        same_dryer(units)
        same_cooking(units)
    return {
        "edition": edition,
        "system": system,
        "units": units,
        "house_loads": house,
        "existing": existing,
        "service_ampacity_a": rng.choice((None, None, None, 60, 99, 100, 150, 200)),
        "choices": choices(rng, edition, existing),
    }
