"""Printed formulas: each operation in both languages, and each line of a worksheet once."""

from __future__ import annotations

from decimal import Decimal

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.documents.formula import formula
from deadfront.documents.rows import figure_text, main_unit, worksheet_rows
from deadfront.msg import said
from deadfront.quantities import UNKNOWN, Interval, between
from deadfront.worksheet import build
from deadfront.worksheet.step import OPS, Step
from tests.documents.sample_sheet import cite, lighting, plain, service_amperes, standard_load, water_heater

EN, ES = Catalog("en", strict=True), Catalog("es", strict=True)
TIERS = ((Decimal(3000), Decimal(100)), (Decimal(120000), Decimal(35)), (None, Decimal(25)))


def va(value: object, **more: object) -> Step:
    return build.fact("x", plain("load"), value, "VA", "before/l-1.nameplate_va", **more)  # type: ignore[arg-type]


def standard_from(value_a: Interval) -> Step:
    """By hand: the ratings end at 500 A."""
    load = build.fact("a", plain("a"), value_a, "A", "")
    return build.next_standard("n", plain("n"), load, [Decimal(100), Decimal(110), Decimal(500)])


def hvac(chosen: str | None) -> Step:
    """The three readings of one disputed rule, each the sum of one part."""
    loads = {"larger_at_100": 23328, "both_in_pool": 21000, "left_out": 19000}
    readings = {name: build.total(f"e/{name}", plain("Calculated load"), [va(load)]) for name, load in loads.items()}
    return build.chosen("e/total", plain("Calculated load"), readings, chosen)


@pytest.mark.parametrize(
    ("step", "text"),
    [
        (va(5000), "nameplate"),
        (va(UNKNOWN), "not known yet"),
        (va(800, assumed=["usual_plate"]), "assumed: usual plate"),
        (build.given("g", plain("each"), 1500, "VA", cite("220.52")), "220.52"),
        (build.given("g", plain("each"), 1500, "VA", None), "code value"),
        (build.lookup("l", plain("c"), 8000, "VA", cite("Table 220.55"), table="cooking", row="1 appliance, column C"),
         "Table 220.55, 1 appliance, column C"),
        (build.total("t", plain("t"), [va(5520), va(4500)]), "5,520 + 4,500"),
        (build.total("t", plain("t"), [va(5520), va(between(0, 7200))]), "5,520 + (0 to 7,200)"),
        (build.total("t", plain("t"), []), "none"),
        (build.total("t", plain("t"), [va(1)] * 9), "sum of 9 lines"),
        (lighting(), "1,840 ft² × 3 VA/ft²"),
        (build.quotient("q", plain("q"), va(33563), build.given("v", plain("v"), 240, "V", None)), "33,563 VA ÷ 240 V"),
        (build.minus("m", plain("m"), va(6000), va(5000)), "6,000 − 5,000"),
        (build.minus("m", plain("m"), va(5000), va(6000)), "5,000 − 6,000, not below 0"),
        (build.largest("m", plain("m"), [va(9600), va(5760)]), "larger of 9,600 and 5,760"),
        (build.largest("m", plain("m"), [va(1), va(2), va(3)]), "largest of 1, 2 and 3"),
        (build.least("m", plain("m"), [va(9600), va(5760)]), "smaller of 9,600 and 5,760"),
        (build.tiered("t", plain("t"), va(10020), TIERS), "3,000 × 100 % + 7,020 × 35 %"),
        (build.tiered("t", plain("t"), va(2000), TIERS), "2,000 × 100 %"),
        (build.tiered("t", plain("t"), va(between(9000, 10020)), TIERS),
         "(9,000 to 10,020): first 3,000 at 100 %, next 117,000 at 35 %, rest at 25 %"),
        (build.hypotenuse("h", plain("h"), [va(3), va(4)], unit="VA"), "√(3² + 4²)"),
        (build.triangle_leg("h", plain("h"), va(5), va(4), unit="VA"), "√(5² − 4²)"),
        (build.apart("h", plain("h"), va(4), va(5), unit="VA"), "|4 − 5|"),
        (build.standard_below("n", plain("n"), build.fact("a", plain("a"), 94, "A", ""), [Decimal(90), Decimal(100)]),
         "next standard rating at or below 94 A"),
        (build.percent_of("p", plain("p"), va(9420), 75), "75 % of 9,420"),
        (build.counted("c", plain("c"), 3), "counted"),
        (build.rounded("r", plain("r"), build.fact("a", plain("a"), "139.84", "A", "")), "139.8 to the nearest whole"),
        (build.next_standard("n", plain("n"), build.fact("a", plain("a"), 94, "A", ""), [Decimal(90), Decimal(100)]),
         "next standard rating from 94 A"),
        (build.next_standard("n", plain("n"), build.fact("a", plain("a"), 101, "A", ""), [Decimal(90), Decimal(100)]),
         "above the largest standard rating"),
        (standard_from(between(109, None)), "next standard rating from at least 109 A"),
        (standard_from(between(94, 109)), "next standard rating from 94 to 109 A"),
        (standard_from(between(94, 501)), "next standard rating from 94 to 501 A; its high end is above the largest"),
        (standard_from(between(501, None)), "above the largest standard rating"),
        (water_heater(), "least case 0, greatest 7,200"),
        (build.between_cases("i", plain("i"), va(5), None), "least case 5, no upper limit known"),
        (build.between_cases("i", plain("i"), va(between(5, None)), va(between(5, None))),
         "at least 5 in the least case and the greatest"),
        (build.chosen("c", plain("c"), {"a": va(1), "b": va(2)}, "a"), "of 1 and 2, as chosen: load"),
        (build.chosen("c", plain("c"), {"a": va(1), "b": va(2)}, None), "the larger of 1 and 2: load"),
        (build.chosen("c", plain("c"), {"a": va(2), "b": va(2)}, None), "the larger of 2 and 2"),
        (build.chosen("c", plain("c"), {"a": va(UNKNOWN), "b": va(UNKNOWN)}, None), "not known yet"),
        (build.largest("m", plain("m"), [va(UNKNOWN), va(UNKNOWN)]), "not known yet"),
        (hvac(None), "the largest of 23,328, 21,000 and 19,000: the larger of the two, at 100 %"),
        (hvac("left_out"), "of 23,328, 21,000 and 19,000, as chosen: left out"),
        (build.chosen("c", plain("c"), {"a": va(between(1, 9)), "b": va(between(2, 5))}, None),
         "the larger of (1 to 9) and (2 to 5)"),
    ],
)  # fmt: skip
def test_formula(step: Step, text: str) -> None:
    assert formula(step, EN) == text
    assert formula(step, ES)


def test_the_sample_uses_every_operation() -> None:
    assert {step.op for step in service_amperes().walk()} | {"below", "hypot", "leg", "apart"} == set(OPS)


def test_each_step_stands_on_one_line_leaves_first() -> None:
    rows = worksheet_rows(service_amperes(), EN)
    names = [row.id for row in rows]
    assert len(names) == len(set(names))
    assert names[-1] == "s/rating"
    order = {ident: at for at, ident in enumerate(names)}
    for step in service_amperes().walk():
        for arg in step.args:
            if step.id in order and not arg.inline:
                assert order[arg.id] < order[step.id]


def test_every_line_that_is_not_inline_is_shown() -> None:
    shown = {row.id for row in worksheet_rows(standard_load(), EN)}
    assert shown == {step.id for step in standard_load().walk() if not step.inline}


def test_what_is_not_known_stands_beside_its_line() -> None:
    row = next(row for row in worksheet_rows(standard_load(), EN) if row.id == "s/wh")
    assert row.unknown
    assert [EN.say(mark) for mark in row.marks] == ["not known yet"]


def test_a_line_that_would_only_repeat_a_figure_is_left_out() -> None:
    one = build.total("t/one", plain("one"), [va(5)])
    two = build.total("t/two", plain("two"), [one, va(7)])
    assert [row.id for row in worksheet_rows(two, EN) if row.id.startswith("t/")] == ["t/two"]
    assert worksheet_rows(one, EN)[-1].id == "t/one"


@pytest.mark.parametrize("chosen", [None, "left_out"])
def test_every_reading_of_a_disputed_rule_has_its_own_line_and_says_which_it_is(chosen: str | None) -> None:
    rows = {row.id: row for row in worksheet_rows(build.total("t", plain("t"), [hvac(chosen), va(7)]), EN)}
    marks = {ident: [EN.say(mark) for mark in row.marks] for ident, row in rows.items()}
    assert {ident: rows[ident].figure for ident in rows if ident.startswith("e/")} == {
        "e/larger_at_100": "23,328", "e/both_in_pool": "21,000", "e/left_out": "19,000",
        "e/total": "19,000" if chosen else "23,328"}  # fmt: skip
    assert marks["e/left_out"] == ["one reading: left out"]
    assert marks["e/larger_at_100"] == ["one reading: the larger of the two, at 100 %"]
    assert marks["e/total"] == []


def test_a_reading_that_its_own_name_says_is_not_said_twice() -> None:
    told = said("load.total_read", reading=said("reading.existing_hvac.left_out"))
    readings = {"larger_at_100": va(1), "both_in_pool": va(2), "left_out": build.total("e/out", told, [va(3)])}
    rows = worksheet_rows(build.chosen("e/total", plain("t"), readings, None), EN)
    assert next(row for row in rows if row.id == "e/out").marks == ()


HEAT, COOL, BLOWER, QUARTER = "load.heat", "load.cooling", "load.handlers", "load.motor_quarter"


def climate(**parts: int) -> Step:
    """A heating and cooling line of the parts given, each a sum of one load or of none."""
    args = [build.total(f"c/{key}", key, [va(parts[name])] if parts.get(name) else [])
            for name, key in (("heat", HEAT), ("cooling", COOL), ("blower", BLOWER))]  # fmt: skip
    quarter = build.percent_of("c/quarter", QUARTER, va(parts.get("motor", 0)), 25)
    return build.total("c/climate", "load.climate", [*args, quarter])


@pytest.mark.parametrize(
    ("step", "name"),
    [
        (climate(heat=9600, motor=800), "Heating and a quarter of the largest motor"),
        (climate(cooling=5000, motor=800), "Cooling and a quarter of the largest motor"),
        (climate(cooling=5000), "Cooling"),
        (climate(heat=9600, blower=600, motor=600), "Heating, blowers and a quarter of the largest motor"),
        (climate(blower=600), "Blowers"),
        (climate(motor=800), "The motor alone: no heating or cooling"),
        (climate(), "No heating, cooling, blower or motor"),
        (build.between_cases("c", "load.climate", climate(heat=1), climate(heat=2, motor=8)),
         "Heating and a quarter of the largest motor"),
        (build.total("c", "load.climate", [build.largest("l", "load.larger_climate", [
            build.total("h", HEAT, [va(1)]), build.total("k", COOL, [va(2)])]), va(600)]),
         "Heating, cooling and blowers"),
        (build.chosen("c", "load.climate", {"a": climate(heat=1), "b": climate(heat=2)}, None),
         "Heating, cooling and the largest motor"),
    ],
)  # fmt: skip
def test_a_heating_and_cooling_line_is_named_for_what_it_holds(step: Step, name: str) -> None:
    row = worksheet_rows(step, EN)[-1]
    assert EN.say(row.name) == name
    assert ES.say(row.name)


def test_what_is_worked_above_on_the_sheet_is_not_repeated() -> None:
    first = build.total("t/first", plain("first"), [va(5), va(7)])
    second = build.total("t/second", plain("second"), [first, va(9)])
    rows = [row.id for row in worksheet_rows(second, EN, (first,))]
    assert "t/first" not in rows and rows[-1] == "t/second"


def test_a_missing_fact_inside_a_formula_marks_the_line_that_shows_it() -> None:
    hidden = va(UNKNOWN, missing=water_heater().missing[0], inline=True)
    row = worksheet_rows(build.total("t", plain("t"), [hidden, va(5)]), EN)[-1]
    assert row.unknown and row.figure == "at least 5" and row.formula == "(not known yet) + 5"


def test_a_value_from_memory_is_marked() -> None:
    row = next(row for row in worksheet_rows(standard_load(), EN) if row.id == "s/ev")
    assert "from memory, check with the book" in [EN.say(mark) for mark in row.marks]


def test_the_unit_is_said_once_and_other_units_on_their_line() -> None:
    rows = worksheet_rows(service_amperes(), EN)
    unit = main_unit(rows)
    assert unit == "VA"
    assert figure_text(rows[-1], unit).endswith(" A")
    assert figure_text(rows[0], unit) == "5,520"
