"""Published cases on conductors, chargers, raceways, boxes, grounds, motors and cooling, by our own engine.

Each case says who printed it. Where the print is wrong, we must get the right figure, and the test says what stood
there.
Cases of editions before 2014 run under 2014: the tables and rules they rest on stand unchanged in it.
"""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from deadfront.circuits.rules.each.box_fill import Contents, volume_taken
from deadfront.circuits.rules.each.raceway_fill import fill_of
from deadfront.circuits.rules.runs.ampacity import carried
from deadfront.circuits.rules.runs.conditions import Conditions
from deadfront.codebook import EDITIONS, Codebook, open_book
from deadfront.codebook.conductors import ambient_factor, bundling_percent, grounding_size
from deadfront.codebook.lookup import ampacity, standard_ratings
from deadfront.codebook.wiring import code_letter
from deadfront.job.panel_things import WireCount
from deadfront.worksheet.check import Outcome
from tests.circuits.runs_made import NM, PIPE, checks, ends, figure, run, sizes

CASES: dict[str, dict[str, Any]] = {
    each["id"]: each
    for each in json.loads((Path(__file__).parent / "circuits_and_sources.json").read_text(encoding="utf-8"))
}
KINDS = ("AMP", "CON", "EV", "CF", "BF", "EGC", "MOT", "AC")
PLAIN = Conditions(90, None, False, 75, Decimal(30), 3)


@pytest.fixture(params=EDITIONS)
def book(request: pytest.FixtureRequest) -> Codebook:
    return open_book(str(request.param))


def inputs(name: str) -> dict[str, Any]:
    """What the case gives."""
    return dict(CASES[name]["inputs"])


def right(name: str) -> dict[str, Any]:
    """The figures that are right: as printed, or recomputed where the print is wrong."""
    found: dict[str, Any] = CASES[name]["recomputed"]
    return found


def agrees(ours: Decimal, theirs: object, within: str = "0.005") -> bool:
    """Equal within the case's own tolerance."""
    return abs(Fraction(ours) - Fraction(str(theirs))) <= Fraction(str(theirs)) * Fraction(within)


def test_every_case_of_these_kinds_is_run() -> None:
    """None is left out in silence: each is named in this file."""
    text = Path(__file__).read_text(encoding="utf-8")
    wanted = [name for name in CASES if name.split("-")[0] in KINDS]
    assert len(wanted) == 27
    assert [name for name in wanted if f'"{name}"' not in text] == []


# --- ampacity ------------------------------------------------------------------------------------------------------
def test_four_conductors_together(book: Codebook) -> None:
    """Published, AMP-02: 12 AWG of 90 C, four in one raceway: 30 x 0.80 = 24 A; its breaker stays 20 A."""
    given = inputs("AMP-02")
    assert ampacity(book, "12", "copper", 90).value == given["table_ampacity_90C_A"]
    percent = bundling_percent(book, given["ccc"])
    assert percent is not None
    assert agrees(ampacity(book, "12", "copper", 90).value * percent.value / 100, right("AMP-02")["ampacity_A"])
    made = run({**PIPE, "size": "12", "bundled": given["ccc"]}, 20, purpose="individual", book=book)
    assert figure(made.breaker_most) == 20 and figure(made.ampacity) == 24


def test_factor_of_the_table_based_on_30_c(book: Codebook) -> None:
    """Published, AMP-03: at 55 C the factor is 0.76 (0.84 belongs to a table based on 40 C)."""
    given = inputs("AMP-03")
    factor = ambient_factor(book, Decimal(given["ambient_C"]), 90).value
    assert factor == Decimal("0.76") and factor != Decimal(str(given["factor_40C_base"]))
    hot = carried(book, "12", "copper", Conditions(90, None, False, 75, Decimal(55), 3))
    assert agrees(hot, right("AMP-03")["ampacity_A"])


def test_twenty_conductors_in_a_raceway(book: Codebook) -> None:
    """Published, AMP-04: 12 AWG carries 15 A; a 20 A outlet needs 10 AWG (60 C terminals)."""
    given, expected = inputs("AMP-04"), right("AMP-04")
    cable = {**PIPE, "bundled": given["ccc"], "terminals_c": 60}
    assert agrees(figure(run({**cable, "size": "12"}, 20, book=book).ampacity), expected["ampacity_12AWG_A"])
    made = run(cable, 20, book=book, purpose="general")
    assert sizes(made)["copper"] == "10"


def test_eight_conductors_in_a_hot_raceway(book: Codebook) -> None:
    """Published, AMP-06, misprint: 0.77 is no 90 C factor at 51 to 55 C; 0.76 gives 21.28 A, not 21.56."""
    given = inputs("AMP-06")
    assert CASES["AMP-06"]["published_error"]
    made = run({**PIPE, "size": "10", "bundled": given["ccc"], "ambient_c": 55}, 20, book=book)
    assert agrees(figure(made.ampacity), "21.28")  # corrected: 40 x 0.76 x 0.70
    assert not agrees(figure(made.ampacity), right("AMP-06")["ampacity_A"])
    base = ampacity(book, "10", "copper", 75).value
    assert base == 35 and base != given["base_A"]  # the sheet calls 40 A its 75 C column


def test_four_awg_in_air_of_40_c(book: Codebook) -> None:
    """Published, AMP-07 (answer computed from the table): 95 x 0.91 = 86.45 A; the 75 C terminals keep it at 85 A."""
    factor = ambient_factor(book, Decimal(inputs("AMP-07")["ambient_C"]), 90).value
    assert agrees(ampacity(book, "4", "copper", 90).value * factor, right("AMP-07")["ampacity_A"])
    assert carried(book, "4", "copper", Conditions(90, None, False, 75, Decimal(40), 3)) == 85


# --- continuous loads ----------------------------------------------------------------------------------------------
def test_least_neutral_by_the_table_of_grounds(book: Codebook) -> None:
    """Published, CON-02: not smaller than the grounding table gives for the next row, 300 A: 4 AWG copper."""
    assert grounding_size(book, Decimal(inputs("CON-02")["ocpd_A"]), "copper").value == "4"


def test_two_hundred_amperes_continuous(book: Codebook) -> None:
    """Published, CON-03: 200 A continuous: 250 A, 250 kcmil copper at 75 C, a 250 A breaker."""
    va = inputs("CON-03")["continuous_A"] * 240
    made = run({**PIPE}, 250, poles=2, load_va=va, continuous_va=va, purpose="individual", book=book)
    expected = right("CON-03")
    assert agrees(figure(made.least), expected["min_ampacity_A"])
    assert figure(made.breaker_least) == expected["breaker_A"] and sizes(made)["copper"] == "250"


# --- chargers ------------------------------------------------------------------------------------------------------
def test_a_33_a_charger(book: Codebook) -> None:
    """Published, EV-03, misprint: 45 A breaker; 8 AWG is enough at 75 C, 6 AWG only at 60 C (print: always 6 AWG)."""
    load = {"kind": "evse", "nameplate_a": inputs("EV-03")["evse_A"]}
    made = run({**PIPE}, 45, load, poles=2, book=book)
    assert agrees(figure(made.least), right("EV-03")["min_A"]) and figure(made.breaker_least) == 45
    assert sizes(made)["copper"] == "8"
    assert sizes(run({**PIPE, "terminals_c": 60}, 45, load, poles=2, book=book))["copper"] == "6"


def test_a_48_a_charger_in_raceway_and_in_nm_cable(book: Codebook) -> None:
    """From memory of the trade, EV-04: 6 AWG in raceway, 4 AWG in NM: no next size up below its least ampacity."""
    load = {"kind": "evse", "nameplate_a": inputs("EV-04")["evse_A"]}
    piped, cable = (run(each, 60, load, poles=2, book=book) for each in (PIPE, NM))
    assert (sizes(piped)["copper"], sizes(cable)["copper"]) == ("6", "4")
    found = checks({**NM, "size": "6"}, 60, load, poles=2, book=book)["circuit.conductor"]
    assert found.outcome is Outcome.FAILS


# --- raceways and boxes --------------------------------------------------------------------------------------------
def test_mixed_sizes_in_a_raceway(book: Codebook) -> None:
    """Published, CF-03, misprint: 0.2619 in2, trade size 1; 40 % of EMT 3/4 is 0.213 in2 (print: 0.2316)."""
    wires = (WireCount(size="8", count=3), WireCount(size="6", count=3))
    fill = fill_of(book, "r-01", "EMT", "3/4", wires, False)
    expected = right("CF-03")
    assert agrees(figure(fill.taken), expected["total_in2"]) and fill.smallest == "1"
    assert agrees(figure(fill.allowed), "0.213") and not agrees(figure(fill.allowed), "0.2316")


def test_how_many_12_awg_fit(book: Codebook) -> None:
    """From memory of Annex C, CF-04: nine in EMT 1/2, sixteen in 3/4."""
    for trade, most in (("1/2", right("CF-04")["n_half"]), ("3/4", right("CF-04")["n_3_4"])):
        fills = [fill_of(book, "r-01", "EMT", trade, (WireCount(size="12", count=n),), False) for n in range(3, 25)]
        fit = [n for n, fill in zip(range(3, 25), fills, strict=True) if figure(fill.taken) <= figure(fill.allowed)]
        assert max(fit) == most


def _wires(size: str, count: int) -> tuple[WireCount, ...]:
    return (WireCount(size=size, count=count),)


@pytest.mark.parametrize(
    ("name", "inside"),
    [
        ("BF-01", Contents(_wires("12", 7), _wires("12", 3), 2, 0, _wires("12", 1))),
        ("BF-02", Contents(_wires("14", 4), _wires("14", 3), 0, 0, _wires("14", 1))),
        ("BF-03", Contents(_wires("14", 6), _wires("14", 3), 0, 0, _wires("14", 1))),
        ("BF-05", Contents(_wires("14", 2), _wires("14", 1), 0, 0, _wires("14", 2))),
    ],
)
def test_box_fill(book: Codebook, name: str, inside: Contents) -> None:
    """Published: each with its own volume."""
    taken, expected = figure(volume_taken(book, "x-01", inside)), right(name)
    assert taken == Decimal(str(expected["volume_in3"]))
    if "box_in3" in inputs(name):
        assert (taken <= Decimal(str(inputs(name)["box_in3"]))) is expected["ok"]


def test_clamps_count_once_together(book: Codebook) -> None:
    """Published, misprint, "BF-07": three clamps count one, not three."""
    none, three = (
        volume_taken(book, "x-01", Contents(_wires("14", 2), clamps=n)) for n in (0, inputs("BF-07")["clamps"])
    )
    assert (figure(three) - figure(none)) / 2 == right("BF-07")["units_for_3_clamps"]


# --- grounds -------------------------------------------------------------------------------------------------------
def test_ground_enlarged_with_the_conductors(book: Codebook) -> None:
    """Published, EGC-01: 250 to 350 kcmil on 300 A: 41,740 x 1.4 = 58,436 cmil: 2 AWG."""
    made = run({**PIPE, "size": "350"}, 300, poles=2, purpose="individual", book=book,
               outlet_kinds=["fixed equipment"])  # fmt: skip
    assert sizes(made)["copper"] == "250"  # 255 A, the next standard rating is 300 A
    ground = made.ground[0]
    assert ground.size == "2" and agrees(figure(ground.step), right("EGC-01")["cmil"], "0.001")


def test_small_ground_enlarged(book: Codebook) -> None:
    """Published, EGC-04: 12 AWG raised to 6 AWG on 20 A: the ground is 6 AWG too."""
    made = run({**PIPE, "size": "6"}, 20, purpose="general", book=book)
    assert made.ground[0].size == "6" and agrees(figure(made.ground[0].step), right("EGC-04")["cmil"])


def test_ground_behind_300_a(book: Codebook) -> None:
    """Published, "EGC-05" (answer by the table): 4 AWG copper."""
    assert grounding_size(book, Decimal(inputs("EGC-05")["ocpd_A"]), "copper").value == "4"


# --- motors and cooling --------------------------------------------------------------------------------------------
def test_three_phase_motor_at_60_c(book: Codebook) -> None:
    """Published, MOT-01: 22 A: conductors 27.5 A, 10 AWG at 60 C; breaker 55 A, the next standard 60 A."""
    load = {"kind": "other", "motor": True, "cord_and_plug": False, "nameplate_a": inputs("MOT-01")["FLC_A"]}
    made = run({**PIPE, "terminals_c": 60}, 60, load, poles=2, book=book, purpose="individual")
    expected = right("MOT-01")
    assert agrees(figure(made.least), expected["conductor_A"]) and sizes(made)["copper"] == "10"
    assert figure(made.breaker_most) == expected["itcb_A"]


def test_two_horsepower_at_75_c(book: Codebook) -> None:
    """Published, MOT-04: 12 A by the motor table: 15 A, 14 AWG; breaker 30 A on it (no small-conductor limit)."""
    load = {"kind": "well_pump", "hp": "2", "volts": 230}
    made = run({**PIPE}, 30, load, poles=2, book=book, purpose="individual")
    assert figure(made.load) == inputs("MOT-04")["FLC_A"] and figure(made.least) == right("MOT-04")["conductor_A"]
    assert sizes(made)["copper"] == "14" and figure(made.breaker_most) == right("MOT-04")["itcb_A"]


def test_locked_rotor_by_code_letter(book: Codebook) -> None:
    """Published, MOT-06: 20 hp, letter G at its upper end 6.29: 125.8 kVA, 158 A at 460 V three-phase."""
    given, expected = inputs("MOT-06"), right("MOT-06")
    _, most = code_letter(book, "G")
    assert most is not None
    kva = most.value * given["hp"]
    assert agrees(kva, expected["kVA"], "0.0004")  # half a unit of the last printed digit
    assert agrees(kva / (Decimal("1.732") * Decimal("0.46")), expected["LRA_A"], "0.003")


@pytest.mark.parametrize(
    ("name", "terminals_c"), [("AC-01", 60), ("AC-02", 60), ("AC-03", 75)]
)  # AC-01, misprint: 30 A is the 60 C figure of 10 AWG, not the 75 C one (35 A)
def test_motor_compressor(name: str, terminals_c: int, book: Codebook) -> None:
    """Published: 125 percent for conductors; 175 and 225 percent, never rounded up, for the breaker."""
    load = {"kind": "air_conditioner", "nameplate_a": inputs(name)["RLC_A"]}
    made = run({**PIPE, "terminals_c": terminals_c}, 30, load, poles=2, book=book)
    expected = right(name)
    assert figure(made.least) == Decimal(str(expected["conductor_A"]))
    assert ends(made.breaker_most) == (expected["ocp_A"], expected["ocp_max_A"])
    assert sizes(made)["copper"] == {"AC-01": "10", "AC-02": "10", "AC-03": "12"}[name]
    assert (ampacity(book, "10", "copper", 60).value, ampacity(book, "10", "copper", 75).value) == (30, 35)


def test_unit_with_a_nameplate(book: Codebook) -> None:
    """Published, AC-04: minimum circuit ampacity 31.4 A, breaker at most 50 A: 10 AWG at 75 C, 50 A on it."""
    given = inputs("AC-04")
    load = {"kind": "air_conditioner", "minimum_circuit_ampacity_a": given["MCA_A"],
            "maximum_overcurrent_a": given["MOCP_A"]}  # fmt: skip
    made = run({**PIPE}, 50, load, poles=2, book=book)
    assert sizes(made)["copper"] == "10" and figure(made.breaker_most) == right("AC-04")["breaker_A"]
    found = checks({**PIPE, "size": "10"}, 50, load, poles=2, book=book)
    assert found["circuit.hvac"].outcome is found["circuit.conductor"].outcome is Outcome.MEETS


def test_packaged_unit_by_its_parts(book: Codebook) -> None:
    """Published inputs, AC-05: 1.25 x largest + rest = 80.65 A; 2.25 x largest + rest = 99.65 A, next lower 90 A.

    A unit's nameplate is what our engine takes; its figures must be what the code's percents give.
    """
    given, expected = inputs("AC-05"), right("AC-05")
    parts = [Decimal(str(each)) for each in (*given["comp_A"], *given["fan_A"])]
    largest, rest = max(parts), sum(parts) - max(parts)
    assert agrees(book.value("hermetic_conductor_percent").number * largest / 100 + rest, expected["MCA_A"])
    most = book.value("hermetic_protection_most_percent").number * largest / 100 + rest
    assert agrees(most, expected["MOCP_calc_A"])
    assert max(each for each in standard_ratings(book) if each <= most) == expected["MOCP_A"]
