"""Entries of the published example file turned into cases of this engine; no expected figure is made here."""

from __future__ import annotations

from fractions import Fraction


def exact(value: object) -> Fraction:
    """A JSON number without binary noise."""
    return Fraction(str(value))


def va_of(entry: dict) -> Fraction:
    """VA of one entry of the file: va, kw, kw_max, kw_each, rating_va or amperes times volts."""
    for key, factor in (("va", 1), ("rating_va", 1), ("kw", 1000), ("kw_max", 1000), ("kw_each", 1000)):
        if key in entry:
            return exact(entry[key]) * factor
    amperes = entry.get("A", entry.get("table_FLA"))
    if amperes is None and entry.get("hp") == 5:
        amperes = 28  # Table 430.248, 5 hp at 230 V: the published duplex gives the horsepower only
    return exact(amperes) * exact(entry["V"])


def load(kind: str, entry: dict, volts: int, neutral: bool, **more: object) -> dict:
    """One entry of the file as a load of this engine."""
    return {
        "kind": kind,
        "va": str(va_of(entry)),
        "volts": volts,
        "neutral": neutral,
        "quantity": entry.get("qty", 1),
        "hp": entry.get("hp"),
        "motor": bool(entry.get("motor") or entry.get("hp")),
        **more,
    }


def fastened_kind(name: str) -> str:
    """The kind the name says; the rest are plain fastened appliances."""
    words = {
        "water heater": "water_heater",
        "dishwasher": "dishwasher",
        "dispos": "disposal",
        "microwave": "microwave",
        "compactor": "compactor",
        "pump": "pump",
    }
    return next((kind for word, kind in words.items() if word in name), "appliance")


def appliance(entry: dict, volts: int) -> dict:
    """A fastened appliance: water heaters between legs, the rest on 120 V."""
    kind = fastened_kind(entry["name"])
    at_line = kind == "water_heater" or entry.get("volts") == 240
    return load(kind, entry, volts if at_line else 120, not at_line)


def comfort(inputs: dict, volts: int) -> list[dict]:
    """Heat, cooling and heat pumps of the file."""
    result = [
        load(
            "space_heat",
            entry,
            volts,
            False,
            separate_units=entry.get("separately_controlled_units", 1),
            new="new" in entry["kind"],
        )
        for entry in inputs.get("heat", [])
    ]
    for entry in inputs.get("cooling", []):
        kind = "air_handler" if entry.get("name") == "air handler" else "air_conditioner"
        result.append(
            load(
                kind, {**entry, "hp": entry.get("hp") and str(entry["hp"])} | ({"va": str(va_of(entry))}), volts, False
            )
        )
    for entry in inputs.get("heat_pump", []):
        result.append(
            load(
                "heat_pump",
                entry,
                volts,
                False,
                together=entry["both_can_run_together"],
                supplemental_va=str(exact(entry["supplemental_kw"]) * 1000),
            )
        )
    if "hvac_larger_va" in inputs:
        result.append(load("air_conditioner", {"va": inputs["hvac_larger_va"]}, volts, False))
    return result


def all_loads(inputs: dict, volts: int = 240) -> list[dict]:
    """Every load of the file's inputs."""
    return (
        [load("range", entry, volts, True) for entry in inputs.get("cooking", [])]
        + [load("dryer", entry, volts, True) for entry in inputs.get("dryers", [])]
        + [appliance(entry, volts) for entry in inputs.get("appliances", [])]
        + [load("evse", entry, volts, False) for entry in inputs.get("ev", [])]
        + comfort(inputs, volts)
    )


def unit_of(inputs: dict, count: int, loads: list[dict]) -> dict:
    """The file's dwelling unit; an example of one part only has the other fields at zero."""
    suffix = "_each" if "floor_area_ft2_each" in inputs else ""
    return {
        "count": count,
        "floor_area_ft2": inputs.get("floor_area_ft2" + suffix, 0),
        "small_appliance_circuits": inputs.get("small_appliance_circuits" + suffix, 0),
        "laundry_circuits": inputs.get("laundry_circuits" + suffix, 0),
        "loads": loads,
    }


def case_of(units: list[dict], edition: str, system: str = "120/240", **more: object) -> dict:
    """A whole case."""
    return {
        "edition": edition,
        "system": system,
        "units": units,
        "house_loads": [],
        "existing": False,
        "service_ampacity_a": None,
        "choices": {},
        **more,
    }


def one_house(case: dict, edition: str, **more: object) -> dict:
    """One dwelling unit from the file's inputs."""
    return case_of([unit_of(case["inputs"], 1, all_loads(case["inputs"]))], edition, **more)


def near(value: Fraction, printed: object, tolerance: str = "0.06") -> bool:
    """Equal within what the printed digits leave open."""
    return abs(value - exact(printed)) <= Fraction(tolerance)


def duplex(case: dict) -> dict:
    """The file counts both units together; here one unit twice."""
    loads = [{**each, "quantity": each["quantity"] // 2} for each in all_loads(case["inputs"])]
    return case_of([unit_of(case["inputs"], 2, loads)], "2014")
