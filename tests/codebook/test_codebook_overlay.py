"""A license holder's own confirmations take the mark away, and never a figure."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.codebook import dryer_percent, open_book, range_demand, read_overlay
from deadfront.errors import JobUnreadable

HEAD = 'holder = "R. Alvarez"\nlicense = "ME-1042"\ndate = 2026-05-12\n'
VALUE = '[[confirmed]]\nname = "optional_heat_few_percent"\nedition = "2023"\nvalue = 65.0\n'
CELL = '[[confirmed]]\nname = "dryer_demand"\nedition = "2023"\nrow = "24-42"\ncolumn = "percent"\nvalue = 35\n'
SIZE = '[[confirmed]]\nname = "dwelling_service_conductors"\nedition = "2023"\nrow = "200"\ncolumn = "copper"\n'


def test_a_confirmed_value_loses_its_mark() -> None:
    book = open_book("2023", overlay=read_overlay(HEAD + VALUE))
    value = book.value("optional_heat_few_percent")
    assert value.confirmed_by == value.cite.confirmed_by == "R. Alvarez, 2026-05-12"
    assert value.status == "memory" and not value.cite.marked
    assert open_book("2023").value("optional_heat_few_percent").cite.marked


def test_confirmation_counts_for_its_edition_only() -> None:
    book = open_book("2020", overlay=read_overlay(HEAD + VALUE))
    assert book.value("optional_heat_few_percent").cite.marked


def test_a_confirmed_cell_loses_its_mark_and_its_neighbors_keep_theirs() -> None:
    book = open_book("2023", overlay=read_overlay(HEAD + CELL))
    assert dryer_percent(book, 30).cite.confirmed_by == "R. Alvarez, 2026-05-12"
    assert not dryer_percent(book, 30).cite.marked
    assert dryer_percent(book, 43).cite.marked
    assert range_demand(book, 20).a_percent.cite.marked


def test_a_word_in_a_table_can_be_confirmed() -> None:
    overlay = read_overlay(HEAD + SIZE + 'value = "2/0"')
    table = open_book("2023", overlay=overlay).table("dwelling_service_conductors")
    row = next(each for each in table.rows if each["rating_a"] == 200)
    assert table.cell_cite(row, "copper").confirmed_by == "R. Alvarez, 2026-05-12"
    assert table.cell_cite(row, "aluminum").confirmed_by is None


def test_the_overlay_changes_the_digest_and_an_amended_value_loses_the_confirmation() -> None:
    overlay = read_overlay(HEAD + VALUE)
    assert open_book("2023", overlay=overlay).digest != open_book("2023").digest
    assert open_book("2023", overlay=read_overlay(HEAD)).digest != open_book("2023").digest


@pytest.mark.parametrize(
    "entry", [VALUE.replace("65.0", "60"), CELL.replace("35", "34"), SIZE + 'value = "3/0"']
)  # fmt: skip
def test_a_figure_that_differs_is_refused_with_both_figures(entry: str) -> None:
    with pytest.raises(JobUnreadable) as refused:
        read_overlay(HEAD + entry)
    assert refused.value.msg.key == "codebook.confirmation_differs"
    params = refused.value.msg.params
    assert params["found"] != params["ours"] and params["edition"] == "2023"


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("", "holder"),
        (HEAD.replace('"ME-1042"', "7"), "license"),
        (HEAD.replace("2026-05-12", '"May"'), "date"),
        (HEAD.replace("2026-05-12", "2026-05-12T10:00:00"), "date"),
        ("confirmed = 3\n" + HEAD, "confirmed"),
        ("colour = 3", ""),
        (HEAD + VALUE.replace("optional_heat_few_percent", "farm_load"), "confirmed 1.name"),
        (HEAD + VALUE.replace("2023", "2011"), "confirmed 1.edition"),
        (HEAD + VALUE.replace("optional_heat_few_percent", "evse_va_min").replace("2023", "2020"),
         "confirmed 1.edition"),
        (HEAD + VALUE + 'row = "4"', "confirmed 1"),
        (HEAD + VALUE.replace("65.0", "true"), "confirmed 1.value"),
        (HEAD + CELL.replace("24-42", "24"), "confirmed 1.row"),
        (HEAD + CELL.replace('"percent"', '"count_min"'), "confirmed 1.column"),
        (HEAD + CELL.replace("24-42", "5").replace('"percent"', '"over_count"'), "confirmed 1.column"),
        (HEAD + VALUE + CELL.replace("24-42", "24"), "confirmed 2.row"),
    ],
)  # fmt: skip
def test_bad_confirmations_say_where(text: str, where: str) -> None:
    with pytest.raises(JobUnreadable) as refused:
        read_overlay(text, "mine.toml")
    params = refused.value.msg.params
    assert (params["file"], params["where"]) == ("mine.toml", where)
    assert params["allowed"]


@settings(max_examples=150)
@given(st.text(max_size=60) | st.lists(st.sampled_from((HEAD + VALUE + CELL).splitlines()), max_size=14).map("\n".join))
def test_any_text_gives_an_overlay_or_one_kind_of_error(text: str) -> None:
    try:
        overlay = read_overlay(HEAD + text)
    except JobUnreadable:
        return
    assert overlay.holder == "R. Alvarez"
