"""Printed formulas: each operation in both languages, and each line of a worksheet once."""

from __future__ import annotations

from decimal import Decimal

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.documents.formula import formula
from deadfront.documents.rows import figure_text, main_unit, worksheet_rows
from deadfront.quantities import UNKNOWN, between
from deadfront.worksheet import build
from deadfront.worksheet.step import OPS, Step
from tests.documents.sample_sheet import cite, lighting, plain, service_amperes, standard_load, water_heater

EN, ES = Catalog("en", strict=True), Catalog("es", strict=True)
TIERS = ((Decimal(3000), Decimal(100)), (Decimal(120000), Decimal(35)), (None, Decimal(25)))


def va(value: object, **more: object) -> Step:
    return build.fact("x", plain("load"), value, "VA", "before/l-1.nameplate_va", **more)  # type: ignore[arg-type]


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
        (build.percent_of("p", plain("p"), va(9420), 75), "75 % of 9,420"),
        (build.counted("c", plain("c"), 3), "counted"),
        (build.rounded("r", plain("r"), build.fact("a", plain("a"), "139.84", "A", "")), "139.8 to the nearest whole"),
        (build.next_standard("n", plain("n"), build.fact("a", plain("a"), 94, "A", ""), [Decimal(90), Decimal(100)]),
         "next standard rating from 94 A"),
        (build.next_standard("n", plain("n"), build.fact("a", plain("a"), 101, "A", ""), [Decimal(90), Decimal(100)]),
         "above the largest standard rating"),
        (water_heater(), "least case 0, greatest 7,200"),
        (build.between_cases("i", plain("i"), va(5), None), "least case 5, no upper limit known"),
        (build.chosen("c", plain("c"), {"a": va(1), "b": va(2)}, "a"), "reading: load"),
        (build.chosen("c", plain("c"), {"a": va(1), "b": va(2)}, None), "reading: load (the larger)"),
        (build.chosen("c", plain("c"), {"a": va(between(1, 9)), "b": va(between(2, 5))}, None),
         "the larger of (1 to 9) and (2 to 5)"),
    ],
)  # fmt: skip
def test_formula(step: Step, text: str) -> None:
    assert formula(step, EN) == text
    assert formula(step, ES)


def test_the_sample_uses_every_operation() -> None:
    assert {step.op for step in service_amperes().walk()} == set(OPS)


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
