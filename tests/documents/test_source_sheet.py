"""The sources on paper: blocks in their order, paths in words, nothing left out, both languages."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from deadfront.assess.run import Assessment, assess
from deadfront.codebook import open_book
from deadfront.documents.catalog import Catalog
from deadfront.documents.html import sheet_html
from deadfront.documents.pdf import packet_pdf
from deadfront.documents.source_sheets.paths import path_of
from deadfront.documents.source_sheets.sheet import open_parts, source_answer, source_sheet
from deadfront.job.read import read_job
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Answer, Caution, Findings, Heading, Sheet, SheetHead, Table, Working
from tests.sources.standby_houses import standby_text, text_of, thing

FULL = Path(__file__).parents[1] / "houses" / "full_house.toml"
HEAD = SheetHead("A house", "Marlow Falls", "2023")


def assessed(text: str) -> Assessment:
    return assess(read_job(text).job, open_book("2023"))


def sheet_for(text: str) -> Sheet:
    found = assessed(text)
    made = source_sheet(found.at, found.sources, HEAD, None, found.load.management)
    assert made is not None
    return made


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_word_is_there(language: str) -> None:
    catalog = Catalog(language, strict=True)
    more = thing("signals", {"id": "z-1aa", "purpose": "shed load", "loads": ["c-1aa"]})
    more += thing("circuits", {"id": "c-1aa", "name": "Charger"})
    for text in (FULL.read_text(encoding="utf-8"), standby_text(more), standby_text(transfer={"load_connected": None})):
        html = sheet_html(sheet_for(text), catalog)
        assert not catalog.lacking and "[sheet" not in html and "[signal" not in html


def test_answer_cautions_tables_findings_working_in_their_order() -> None:
    sheet = sheet_for(FULL.read_text(encoding="utf-8"))
    kinds = [type(block) for block in sheet.blocks]
    assert kinds[0] is Answer and kinds[1] is Caution
    assert kinds.index(Table) < kinds.index(Findings) < kinds.index(Working)
    keys = [block.key for block in sheet.blocks if isinstance(block, Table)]
    assert keys[0] == "paths" and {"bus", "strings", "neutral", "capacity", "signal"} <= set(keys)
    levels = [block.level for block in sheet.blocks if isinstance(block, Caution)]
    assert levels[:3] == ["danger", "warning", "warning"]
    assert sheet.cites
    neutral = next(b for b in sheet.blocks if isinstance(b, Table) and b.key == "neutral")
    assert len(neutral.rows) == 3, "the utility in two states, the generator in one"


def test_what_does_not_meet_is_in_the_answer() -> None:
    answer = sheet_for(standby_text(source={"neutral_bonded": True})).blocks[0]
    assert isinstance(answer, Answer) and answer.outcome is Outcome.FAILS


def test_a_house_without_sources_has_no_sheet() -> None:
    found = assessed(text_of())
    assert source_sheet(found.at, found.sources, HEAD) is None


PATHS = [
    ({"joins": "supply side"}, "ahead of the service disconnect"),
    ({"joins": "feeder", "feeder_of": "p-1ma"}, "the feeder of Main panel"),
    ({"breaker": "b-1tr"}, "the 60 A breaker in 2 and 4 in Main panel"),
    ({}, "where it joins is not recorded"),
]


@pytest.mark.parametrize(("how", "said"), PATHS)
def test_paths_in_words(how: dict[str, str], said: str) -> None:
    switch = thing("switches", {"id": "x-1aa", "name": "Roof switch", "fed_by": "s-9pv"})
    solar = thing("sources", {"id": "s-9pv", "kind": "solar", "disconnects": ["x-1aa"], **how})
    at = assessed(text_of(switch, solar)).at
    assert Catalog("en", strict=True).say(path_of(at, at.house.sources[0])) == f"Roof switch, then {said}"


def test_headings_name_each_signal() -> None:
    sheet = sheet_for(FULL.read_text(encoding="utf-8"))
    said = [Catalog("en").say(block.say) for block in sheet.blocks if isinstance(block, Heading)]
    assert "Engine start: engine start" in said


def test_it_prints() -> None:
    sheet = sheet_for(FULL.read_text(encoding="utf-8"))
    assert packet_pdf([sheet], Catalog("en"), date=date(2026, 5, 12)).startswith(b"%PDF")


def test_a_managed_load_shows_its_evidence() -> None:
    system = {"id": "e-1ms", "name": "House limiter", "set_point_a": 40, "listed": True, "lost_signal": "stops loads"}
    auto = {"kind": "automatic switch", "load_connected": "automatically", "managed_by": "e-1ms"}
    sheet = sheet_for(standby_text(thing("energy_management", system), transfer=auto))
    keys = [block.key for block in sheet.blocks if isinstance(block, Table)]
    assert keys[keys.index("capacity") + 1] == "management"
    assert "management" not in [b.key for b in sheet_for(standby_text()).blocks if isinstance(b, Table)]


def test_what_is_left_alone_is_no_silent_pass() -> None:
    """An old set of which nothing is known: no finding, but the answer does not say yes."""
    old = thing("sources", {"id": "s-7ge", "kind": "generator", "joins": "transfer"}, "before")
    switch = {"id": "t-7ge", "kind": "manual switch", "normal": "b-1tr", "alternate": ["s-7ge"], "excludes": True}
    found = assessed(text_of(found=old + thing("transfers", switch, "before")))
    answer = source_answer(found.sources)
    assert not [c for c in found.sources.checks if c.is_finding]
    assert answer.outcome is Outcome.CANNOT_TELL and answer.answer.key.endswith("left_alone")
    assert answer.answer.params["count"] == open_parts(found.sources) > 0
