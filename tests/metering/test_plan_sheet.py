"""The metering plan on paper and as a file: every channel with its circuit, leg, ratio, arrow, doubling, cautions."""

from __future__ import annotations

import csv
from datetime import date
from io import BytesIO, StringIO
from typing import Any
from zipfile import ZipFile

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.documents.html import sheet_html
from deadfront.documents.metering_sheets.naming import heads, naming_csv, naming_xlsx
from deadfront.documents.metering_sheets.plan import PLACE, SETTING, metering_sheet
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Answer, SheetHead
from tests.metering.metered import GEAR, GOOD, assessed

HEAD = SheetHead("Test", "Marlow Falls", "2023")
SECOND = GOOD | {
    "id": "ch-aa2", "input": "=4", "measures": "c-kk2", "leg": "L2", "voltage_leg": "L2", "name": "+Hall",
    "arrow_fitted_to": "load",
}  # fmt: skip


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_plan_says_every_channel_and_its_cautions(language: str) -> None:
    catalog = Catalog(language, strict=True)
    sheet = metering_sheet(assessed(GOOD, SECOND).metering, HEAD)
    assert sheet is not None
    html = sheet_html(sheet, catalog).replace("\u00a0", " ").replace("&nbsp;", " ")
    for key in ("never_open", "not_revenue", "zero", "isolate", "arrow_key"):
        assert catalog.key(f"sheet.metering.{key}") in html, key
    told = [catalog.key(f"sheet.metering.column.{each}") for each in (*PLACE, *SETTING)]
    told += [catalog.key("metering.window.one_hot"), catalog.key("metering.output.voltage"), ">50 A<", ">2<", ">4<"]
    for text in ("Kitchen counter", "Hall lights", "50 A : 333 mV", "L1", "L2", *told):
        assert text in html, text
    answer = sheet.blocks[0]
    assert isinstance(answer, Answer) and answer.outcome is Outcome.FAILS  # the arrow of the second
    assert html.index(catalog.key("sheet.metering.never_open")) < html.index("Kitchen counter")


def test_no_plan_without_channels() -> None:
    assert metering_sheet(assessed().metering, HEAD) is None


def answer_of(*channels: dict[str, Any], **house: Any) -> Outcome | None:
    sheet = metering_sheet(assessed(*channels, **house).metering, HEAD)
    assert sheet is not None and isinstance(sheet.blocks[0], Answer)
    return sheet.blocks[0].outcome


@pytest.mark.parametrize("new", [True, False], ids=["new work", "as found"])
def test_what_is_not_known_is_no_yes(new: bool) -> None:
    guarded = [GEAR | {"taps": "fuses in the leads", "taps_a": 1, "taps_max_a": 5}]
    mains = [GOOD | {"id": f"ch-mm{n}", "input": f"M{n}", "measures": "service", "leg": f"L{n}", "voltage_leg": f"L{n}",
                     "rating_a": 200, "primary_a": 200, "set_primary_a": 200} for n in (1, 2)]  # fmt: skip
    none = {"complete": {"sources": "yes"}}
    assert answer_of({"id": "ch-aa1"}, new=new) is Outcome.CANNOT_TELL
    assert answer_of(GOOD, new=new, gear=guarded) is Outcome.MEETS
    assert answer_of(GOOD, new=new) is Outcome.CANNOT_TELL, "what protects the voltage leads is not known"
    assert answer_of(GOOD, *mains, new=new, gear=guarded) is Outcome.CANNOT_TELL, "gross or net is not known"
    assert answer_of(GOOD, *mains, new=new, gear=guarded, **none) is Outcome.MEETS


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_naming_list_holds_every_channel_and_runs_nothing(language: str) -> None:
    catalog = Catalog(language, strict=True)
    channels = assessed(GOOD, SECOND, {"id": "ch-aa3"}).metering.channels
    rows = list(csv.reader(StringIO(naming_csv(channels, catalog).decode("utf-8-sig"))))
    assert rows[0] == heads(catalog) and len(rows) == 4
    told = dict(zip(rows[0], rows[1], strict=True))
    assert told[catalog.key("metering.file.input")] == "3" and told[catalog.key("metering.file.set")] == "50"
    assert told[catalog.key("metering.file.arrow")] == catalog.key("metering.side.source")
    assert told[catalog.key("metering.file.stage")] == "N"
    assert rows[2][1:3] == ["'=4", "'+Hall"]
    assert rows[3][4:10] == [""] * 6, "what is not known stays empty"
    book = naming_xlsx(channels, catalog, on=date(2026, 5, 12))
    with ZipFile(BytesIO(book)) as parts:
        assert b"<f>" not in parts.read("xl/worksheets/sheet1.xml")
        assert b"'=4" in parts.read("xl/sharedStrings.xml")
