"""Everything a plan says has words in both languages, and none of them promises that anything is dead."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.documents.isolation_sheets.plan_sheet import isolation_sheet
from deadfront.isolation.rules.answer import isolation_answer, plan_of
from deadfront.job.house import house_at
from deadfront.msg import Msg
from deadfront.results.isolation import IsolationPlan, IsolationResult
from deadfront.worksheet.sheet import Answer, Caution, Heading, Paragraph, SheetHead, Table
from tests.isolation.houses import PANEL, SOLAR, full_house, job_of, plan
from tests.isolation.test_plans import GENERATOR

KINDS = ("solar", "battery", "vehicle", "generator", "inlet")
STRAY = '[[before.panels]]\nid = "p-bb"\n[[before.switches]]\nid = "x-zz"\n[[before.circuits]]\nid = "c-zz"\n'


def every_plan() -> Iterator[IsolationPlan]:
    """Plans of every kind of zone, answer and source."""
    job = full_house()
    yield from isolation_answer(job).plans
    at = house_at(job, None)
    for zone in ("p-1ma", "t-1au", "s-3ba", "service", "outside", "drop", "m-1ut", "c-mw1", "x-2ge", "b-0mn"):
        yield plan_of(at, zone)
    for kind in KINDS:
        for facts in (SOLAR, SOLAR.replace('breaker = "b-pv"\n', "").replace("shutdown_s = 300\n", "")):
            source = facts.replace('kind = "solar"', f'kind = "{kind}"').replace("inhibit", "note")
            yield plan("p-aa", PANEL, GENERATOR, source)
            yield plan("s-pv", PANEL, source)
    for zone in ("p-bb", "x-zz", "c-zz", "p-aa"):
        yield plan(zone, PANEL, STRAY)


def said_by(found: IsolationPlan) -> Iterator[Msg]:
    """Every Msg on the sheet of a plan, and of its facts to find."""
    head = SheetHead("Job", "Place", "2023")
    sheet = isolation_sheet(IsolationResult((found,)), head)
    assert sheet is not None
    for block in sheet.blocks:
        if isinstance(block, Heading | Paragraph | Caution):
            yield block.say
        elif isinstance(block, Answer):
            yield from (block.question, block.answer, *block.more)
        elif isinstance(block, Table):
            yield from block.columns
            yield from (cell for row in block.rows for cell in row if isinstance(cell, Msg))
    yield from (text for fact in (*found.missing, *found.waits) for text in (fact.what, fact.how))


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_word_is_there(language: str) -> None:
    catalog = Catalog(language)
    for found in every_plan():
        for msg in said_by(found):
            text = catalog.say(msg)
            assert text and "{" not in text and not text.startswith("isolation."), (msg, text)


def test_a_plan_is_never_a_promise() -> None:
    catalog = Catalog("en")
    for found in every_plan():
        words = catalog.say(found.say)
        if found.answer == "locks":
            assert "Only the test at the point of work shows that it is dead" in words
        assert "is dead" not in words.replace("shows that it is dead", "") and "safe" not in words


def test_findings_have_words_and_sections() -> None:
    for language in LANGUAGES:
        catalog = Catalog(language)
        step = '[[work]]\nid = "w-s1"\nsay = "Breaker"\nmove."b-c1".spaces = [9]\n'
        for house in (PANEL, PANEL.replace("true }", "false }"), PANEL.replace(", lockable = true }", " }")):
            (check,) = isolation_answer(job_of(house, step)).checks
            assert "Breaker" in catalog.say(check.say) and len(check.cites) == 2


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_place_stands_twice_on_a_plan_and_none_is_named_by_the_box_it_names_itself(language: str) -> None:
    catalog, at = Catalog(language), house_at(full_house(), None)
    for zone in ("p-1ma", "b-0mn", "t-1au", "service", "s-3ba", "x-2ge", "m-1ut"):
        found = plan_of(at, zone)
        for names in ([each.name for each in found.prove], [each.say for each in found.live]):
            words = [catalog.say(each) for each in names]
            assert len(words) == len(set(words))
        assert "at/out/b-0mn" not in [each.id for each in found.prove]  # its line lugs are named as its line side
        for live in found.live:
            if live.say.key == "isolation.live.zone":
                where, place = (catalog.say(live.say.params[each]) for each in ("where", "place"))  # type: ignore[arg-type]
                assert where not in place
