"""The load sheet and the to-do sheet, from results made by hand: what they say in each state."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.documents.html import sheet_html
from deadfront.documents.load_sheet import load_sheet
from deadfront.documents.todo_sheet import ToFind, todo_sheet
from deadfront.quantities import UNKNOWN, Interval, between, point
from deadfront.results.loads import LoadResult, Method, Reading, ServiceLimit
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, at_most
from deadfront.worksheet.sheet import Answer, Findings, SheetHead, Table, Working
from tests.documents.sample_sheet import PLATE, checks, cite, plain
from tests.documents.snapshots import same_as_kept

EN, ES = Catalog("en", strict=True), Catalog("es", strict=True)
HEAD = SheetHead("14 Hollow Creek Rd", "Marlow Falls", "2023", revision="C", on="May 12")


def limit(rating_a: Interval) -> ServiceLimit:
    disconnect = build.fact("service/disconnect", plain("Service disconnect"), rating_a, "A", "")
    bus = build.fact("service/bus", plain("Bus"), 125, "A", "")
    smallest = build.least("service/limit", plain("Smallest part"), [disconnect, bus], unit="A")
    return ServiceLimit((disconnect, bus), smallest, "service/disconnect")


def method(key: str, load_va: Interval, service: ServiceLimit, admissible: Outcome = Outcome.MEETS) -> Method:
    lacks = None if load_va.exact else PLATE
    total = build.fact(f"{key}/total", plain("Calculated load"), load_va, "VA", "", missing=lacks)
    volts = build.given(f"{key}/volts", plain("Voltage"), 240, "V", cite("220.5(A)"))
    amperes = build.quotient(f"{key}/amperes", plain("In amperes"), total, volts)
    whole = build.rounded(f"{key}/whole", plain("Whole amperes"), amperes)
    verdict = at_most(whole.value, service.smallest.value)
    return Method(
        key, plain(f"{key.capitalize()} method"), "220.82", admissible, plain("one dwelling"), total, amperes, whole,
        verdict, readings=(Reading("existing_hvac", ("a", "b"), "", "larger"),) if key == "existing" else (),
        cites=(cite("220.82"),),
    )  # fmt: skip


def result(*loads: Interval, rating_a: Interval | None = None, admissible: Outcome = Outcome.MEETS) -> LoadResult:
    service = limit(rating_a or point(100))
    methods = tuple(
        method(key, load, service, admissible) for key, load in zip(("optional", "standard"), loads, strict=False)
    )
    relied = methods[0].key if methods else ""
    return LoadResult("after", service, methods, relied, relied, None, checks())


def answer(made: LoadResult, catalog: Catalog = EN) -> tuple[str, Outcome | None]:
    block = load_sheet(made, HEAD, catalog).blocks[0]
    assert isinstance(block, Answer)
    return catalog.say(block.answer), block.outcome


@pytest.mark.parametrize(
    ("made", "text", "outcome"),
    [
        (result(point(21600)), "Yes, by the method relied on, Optional method: 90 A of 100 A.", Outcome.MEETS),
        (result(point(28800)), "No, not by the method relied on, Optional method: 120 A against 100 A.", Outcome.FAILS),
        (result(between(21600, 28800)),
         "Cannot tell yet by the method relied on, Optional method: 90 to 120 A against 100 A.", Outcome.CANNOT_TELL),
        (result(Interval(Decimal(21600), None)),
         "Cannot tell yet by the method relied on, Optional method: at least 90 A against 100 A.", Outcome.CANNOT_TELL),
        (result(point(21600), rating_a=UNKNOWN),
         "Cannot tell yet by the method relied on, Optional method: 90 A against at most 125 A.", Outcome.CANNOT_TELL),
        (result(point(21600), admissible=Outcome.FAILS),
         "Not by this method: Optional method gives 90 A against 100 A, but it is not shown that it may be used: "
         "one dwelling.", Outcome.FAILS),
        (result(), "Cannot tell yet: no method gives a figure that may be used.", Outcome.CANNOT_TELL),
    ],
)  # fmt: skip
def test_the_answer_says_how_it_stands(made: LoadResult, text: str, outcome: Outcome) -> None:
    """By hand: 21,600 VA at 240 V is 90 A, 28,800 VA is 120 A."""
    assert answer(made) == (text, outcome)


@pytest.mark.parametrize(
    ("admissible", "load_va", "printed"),
    [
        (Outcome.MEETS, 21600, "meets"),
        (Outcome.FAILS, 21600, "does not apply"),
        (Outcome.CANNOT_TELL, 21600, "cannot tell"),
        (Outcome.CANNOT_TELL, 28800, "does not meet"),
    ],
)
def test_a_method_prints_that_it_meets_only_where_it_may_be_used(
    admissible: Outcome, load_va: int, printed: str
) -> None:
    made = load_sheet(result(point(load_va), admissible=admissible), HEAD, EN)
    table = next(block for block in made.blocks if isinstance(block, Table) and block.key == "methods")
    assert [EN.value(cell) for cell in table.rows[0]][-1] == printed


def test_every_method_with_a_figure_is_worked_and_the_relied_one_first() -> None:
    made = result(point(28800), point(21600))
    steps = [b.step.id for b in load_sheet(made, HEAD, EN).blocks if isinstance(b, Working)]
    assert steps == ["optional/whole", "standard/whole", "service/limit"]
    swapped = replace(made, relied="standard")
    steps = [b.step.id for b in load_sheet(swapped, HEAD, EN).blocks if isinstance(b, Working)]
    assert steps == ["standard/whole", "optional/whole", "service/limit"]


def test_no_check_is_lost_on_the_way_to_paper() -> None:
    made = result(point(21600))
    found = next(b for b in load_sheet(made, HEAD, EN).blocks if isinstance(b, Findings))
    assert [(c.id, c.thing, c.outcome) for c in found.checks] == [(c.id, c.thing, c.outcome) for c in made.checks]
    listed = {m.path for c in made.checks for m in c.missing} - {m.path for c in found.checks for m in c.missing}
    method = made.method(made.relied)
    assert method is not None
    waits = {m.path for m in (*method.waits_for(), *made.limit.smallest.all_missing())}
    assert listed <= waits, "a fact left out of a finding stands in the list below it"


@pytest.mark.parametrize("catalog", [EN, ES], ids=["en", "es"])
def test_the_load_sheet_is_as_kept(catalog: Catalog) -> None:
    sheet = load_sheet(result(between(21600, 28800), point(33563)), HEAD, catalog)
    same_as_kept(f"load.{catalog.language}.html", sheet_html(sheet, catalog) + "\n")


@pytest.mark.parametrize("catalog", [EN, ES], ids=["en", "es"])
def test_the_to_do_sheet_puts_first_what_most_answers_wait_for(catalog: Catalog) -> None:
    second = replace(PLATE, path="before.service/conductors.size", what=plain("service conductors"))
    sheet = todo_sheet([ToFind(second, 1), ToFind(PLATE, 3)], HEAD)
    table = next(b for b in sheet.blocks if isinstance(b, Table))
    assert [catalog.value(row[0]) for row in table.rows] == ["water heater nameplate", "service conductors"]
    same_as_kept(f"todo.{catalog.language}.html", sheet_html(sheet, catalog) + "\n")


def test_an_empty_to_do_sheet_says_that_nothing_is_missing() -> None:
    block = todo_sheet([], HEAD).blocks[0]
    assert isinstance(block, Answer) and block.outcome is Outcome.MEETS
