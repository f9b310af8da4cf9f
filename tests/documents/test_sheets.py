"""The load sheet and the to-do sheet, from results made by hand: what they say in each state."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from importlib import resources

import pytest

from deadfront.app.answers import answer as answer_of
from deadfront.app.answers import sheets_of
from deadfront.app.demo import demo_text
from deadfront.documents.catalog import Catalog
from deadfront.documents.findings import finding_texts
from deadfront.documents.heads import cite_lines
from deadfront.documents.html import sheet_html
from deadfront.documents.load_sheet import load_sheet, reading_words
from deadfront.documents.paper import held, sheet_data
from deadfront.documents.rows import worksheet_rows
from deadfront.documents.todo_sheet import ToFind, todo_sheet
from deadfront.job.read import read_job
from deadfront.msg import said
from deadfront.quantities import UNKNOWN, Interval, between, point
from deadfront.results.loads import LoadResult, ManagementFacts, Method, Reading, ServiceLimit
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Severity, at_most
from deadfront.worksheet.sheet import (
    Answer,
    Caution,
    Figure,
    Findings,
    Sheet,
    SheetHead,
    Signature,
    Table,
    Working,
)
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


def table_of(made: LoadResult, key: str) -> list[list[str]]:
    """A table of the load sheet in words."""
    table = next(b for b in load_sheet(made, HEAD, EN).blocks if isinstance(b, Table) and b.key == key)
    return [[EN.value(cell) for cell in row] for row in table.rows]


@pytest.mark.parametrize(
    ("admissible", "words"), [(Outcome.FAILS, "no figure"), (Outcome.CANNOT_TELL, "not known yet")]
)
def test_a_method_without_a_figure_says_so(admissible: Outcome, words: str) -> None:
    made = result(point(21600))
    bare = replace(made.methods[0], admissible=admissible, total=None, amperes=None, rounded=None,
                   verdict=Outcome.NOT_APPLICABLE)  # fmt: skip
    row = table_of(replace(made, methods=(bare,)), "methods")[0]
    assert row[2:4] == [words, words]
    assert row[4] == ("does not apply" if admissible is Outcome.FAILS else "cannot tell")


def test_nothing_known_is_said_in_a_sentence() -> None:
    """No "not known yet against not known yet" anywhere."""
    said_of = {
        (UNKNOWN, UNKNOWN): "neither the load nor what the service carries is known yet.",
        (UNKNOWN, point(100)): "the load is not known yet; the service carries 100 A.",
        (point(90), UNKNOWN): "the load is 90 A; what the service carries is not known yet.",
    }
    for (load, limit_a), words in said_of.items():
        figures = {"load": Figure(load, "A"), "limit": Figure(limit_a, "A"), "method": plain("Standard")}
        assert EN.say(said("sheet.load.answer.cannot_tell", **figures)).endswith(words)
        assert ES.say(said("sheet.load.answer.cannot_tell", **figures))
        for about, name in (("service_carries", "amperes"), ("heavier_leg", "amperes")):
            check = said(f"check.load.{about}.cannot_tell", **{name: load}, limit=limit_a, method=plain("Standard"))
            assert "not known yet against" not in EN.say(check) and "against not known" not in EN.say(check)
            assert "frente a aún" not in ES.say(check) and "se sabe frente" not in ES.say(check)


@pytest.mark.parametrize("load_va", [21600, 28800])
def test_an_answer_on_named_assumptions_is_neither_yes_nor_no(load_va: int) -> None:
    made = result(point(load_va))
    relied = made.methods[0]
    assert relied.total is not None
    total = replace(relied.total, assumed=("nothing_else_connected",))
    amperes = build.quotient("a", plain("a"), total, build.given("v", plain("v"), 240, "V", None))
    on = replace(made, methods=(replace(relied, amperes=amperes, rounded=build.rounded("w", plain("w"), amperes)),))
    assert answer(on) == (
        f"On named assumptions only, by Optional method: {load_va // 240} A against 100 A; facts must replace them.",
        Outcome.CANNOT_TELL,
    )
    smallest = replace(made.limit.smallest, assumed=("disconnect_is_smallest",))
    assert answer(replace(made, limit=replace(made.limit, smallest=smallest)))[1] is Outcome.CANNOT_TELL


def notices(made: LoadResult, catalog: Catalog = EN) -> list[str]:
    return [catalog.say(b.say) for b in load_sheet(made, HEAD, catalog).blocks if isinstance(b, Caution)]


def test_the_notice_says_what_wins_and_what_a_load_may_not_be_shed_for() -> None:
    made = result(point(21600))
    managed = replace(made.methods[0], key="energy_management")
    assert len(notices(made)) == 1
    assert "Listing and maker's instructions, and the utility's rules, win where stricter." in notices(made)[0]
    assert notices(replace(made, methods=(*made.methods, managed)))[1:] == [
        "Load management is not for life-safety or legally required standby loads."]  # fmt: skip
    apart = replace(managed, admissible=Outcome.NOT_APPLICABLE)
    assert len(notices(replace(made, methods=(*made.methods, apart)))) == 1, "a method not shown has no notice"


def test_a_line_to_sign_stays_with_its_notice_and_what_stands_before() -> None:
    blocks = load_sheet(result(point(21600)), HEAD, EN).blocks
    sign = next(n for n, block in enumerate(blocks) if isinstance(block, Signature))
    assert [type(block) for block in blocks[sign - 2 : sign]] == [Findings, Caution]
    assert [n for n, hold in enumerate(held(blocks)) if hold] == [sign - 2, sign - 1]
    data = sheet_data(load_sheet(result(point(21600)), HEAD, EN), EN)
    assert [b["kind"] for b in data["blocks"] if b["hold"]] == ["findings", "caution"]
    assert held(()) == []


def test_a_reading_that_the_job_chose_is_printed_even_for_a_method_not_relied_on() -> None:
    made = result(point(21600), point(21600))
    by_job = Reading("existing_hvac", ("left_out", "both_in_pool"), "left_out", "job")
    default = replace(by_job, chosen="", by="larger")
    other = replace(made.methods[1], readings=(by_job,))
    said_of = [EN.say(words) for words in reading_words(replace(made, methods=(made.methods[0], other)))]
    assert said_of == ["Disputed rule, heating and cooling already there: read as left out (chosen in the job)."]
    other = replace(made.methods[1], readings=(default,))
    assert not list(reading_words(replace(made, methods=(made.methods[0], other))))


def test_what_is_met_stands_in_one_line_after_what_is_found() -> None:
    met = Check("load.complete", "", Outcome.MEETS, Severity.CORRECT, plain("All loads are listed."))
    twice = [Check("load.evse_setting", i, Outcome.MEETS, Severity.CORRECT, plain("x")) for i in ("l-1", "l-2")]
    memory = replace(met, id="load.parallel_conductors", cites=(cite("310.10(G)", "memory"),))
    texts = finding_texts((met, *twice, checks()[0], memory), EN)
    assert [(t.check_id, t.outcome) for t in texts] == [
        ("circuits.breaker_too_large", Outcome.FAILS),
        ("load.complete load.evse_setting load.parallel_conductors", Outcome.MEETS),
    ]
    assert (texts[-1].lead, texts[-1].say) == (
        "4 checks are met:",
        "loads listed, EV charger setting (2), parallel conductors (from memory, check with the book).",
    )
    assert finding_texts((checks()[0],), EN)[-1].outcome is Outcome.FAILS


def test_every_check_of_the_load_has_a_short_name_for_when_it_is_met() -> None:
    """Those that never meet (an assumption, a value from memory, a local rule) need none."""
    folder = resources.files("deadfront") / "help"
    pages = {p.name.removesuffix(".md") for p in folder.iterdir() if p.name.startswith("load.")}
    never = {"load.assumption", "load.from_memory", "load.local_requirement"}
    assert never < pages
    assert [page for page in sorted(pages - never) if not EN.has(f"met.{page}")] == []


def test_support_in_part_is_said_at_the_foot_in_both_languages() -> None:
    cites = (cite("220.82"), cite("220.57", "partly"), cite("220.60", "memory"), cite("220.60", "partly"),
             replace(cite("220.41", "partly"), confirmed_by="R. A."))  # fmt: skip
    assert cite_lines(cites, EN)[1:] == [
        "From memory, not yet compared with the book: 220.60.",
        "Supported in part by public sources; check with the book: 220.57.",
    ]
    assert cite_lines(cites, ES)[2].endswith(": 220.57.")
    assert len(cite_lines((cite("220.82"),), EN)) == 1


def house_sheet(edition: str) -> Sheet:
    """The load sheet of the example house by an edition."""
    text = demo_text()
    assert 'edition = "2023"' in text
    job = read_job(text.replace('edition = "2023"', f'edition = "{edition}"')).job
    return sheets_of(answer_of(job), Catalog("en"), revision=None, on=date(2026, 5, 12))[0]


@pytest.mark.parametrize("edition", ["2014", "2017", "2020", "2023", "2026"])
def test_sections_used_are_all_that_the_sheet_prints(edition: str) -> None:
    """Every section in a margin, of lines worked (the neutral's too), of methods and of findings."""
    sheet = house_sheet(edition)
    listed = {EN.section(c.section) for c in sheet.cites}
    printed: set[str] = set()
    for block in sheet.blocks:
        if isinstance(block, Working):
            printed |= {row.section for row in worksheet_rows(block.step, Catalog("en"), block.above)}
        elif isinstance(block, Findings):
            printed |= {text.section for text in finding_texts(block.checks, Catalog("en"))}
        elif isinstance(block, Table):
            printed |= {EN.section(section) for section in block.margins}
    printed = {section for margin in printed for section in margin.split(", ") if section}
    assert len(printed) > 10
    assert sorted(printed - listed) == []
    part = "120.61" if edition == "2026" else "220.61"
    assert any(section.startswith(part) for section in printed), "the neutral is worked on this sheet"


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


def test_the_facts_of_an_energy_management_system_stand_on_the_sheet() -> None:
    """What is on file is printed, what is not is said: an inspector asks for each before the limit counts."""
    facts = ManagementFacts("Manager", True, Decimal(80), None, "holds limit", "service", (plain("EV charger"),), False)
    sheet = load_sheet(replace(result(point(21600)), management=(facts,)), HEAD, EN)
    html = sheet_html(sheet, EN).replace("\u00a0", " ")
    for words in ("Energy management: Manager", "80 A", "not on file", "holds limit", "EV charger"):
        assert words in html, words
