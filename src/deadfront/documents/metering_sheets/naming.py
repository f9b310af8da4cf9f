"""The naming list: what each input is called, counted as, scaled and turned; for whoever sets up the meter.

Plain columns in a fixed order, as CSV or XLSX; no cell of it is ever run as a formula.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from datetime import date, datetime
from io import BytesIO, StringIO

from deadfront.documents.catalog import Catalog
from deadfront.documents.metering_sheets.plan import word
from deadfront.documents.panel_sheets.parts_file import harmless
from deadfront.results.metering import ChannelPlan

COLUMNS = ("gear", "input", "channel", "conductor", "role", "leg", "ratio", "set", "arrow", "doubled", "stage")
WIDTHS = (24, 8, 24, 32, 10, 6, 18, 14, 12, 12, 8)


def naming_rows(channels: Sequence[ChannelPlan], catalog: Catalog) -> list[list[str]]:
    """Each channel in words, empty where something is not known."""
    return [[harmless(cell) for cell in _words(each, catalog)] for each in channels]


def _words(channel: ChannelPlan, catalog: Catalog) -> tuple[str, ...]:
    def choice(of: str, value: str) -> str:
        return catalog.value(word(of, value)) if value else ""

    return (
        catalog.say(channel.gear) if channel.gear else "", channel.input, catalog.say(channel.name),
        catalog.say(channel.conductor) if channel.of else "", choice("role", channel.role), channel.leg,
        catalog.say(channel.ratio) if channel.ratio else "", channel.set_to, choice("side", channel.arrow),
        choice("doubled", channel.doubled), channel.tag,
    )  # fmt: skip


def heads(catalog: Catalog) -> list[str]:
    """The names of the columns."""
    return [catalog.key(f"metering.file.{name}") for name in COLUMNS]


def naming_csv(channels: Sequence[ChannelPlan], catalog: Catalog) -> bytes:
    """CSV in UTF-8 with a mark that spreadsheets look for."""
    text = StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(heads(catalog))
    writer.writerows(naming_rows(channels, catalog))
    return b"\xef\xbb\xbf" + text.getvalue().encode("utf-8")


def naming_xlsx(channels: Sequence[ChannelPlan], catalog: Catalog, *, on: date) -> bytes:
    """A workbook of one sheet, all of it text.

    Args:
        on: The date written into the file.
    """
    import xlsxwriter

    data = BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(data, options) as book:
        book.set_properties({"created": datetime(on.year, on.month, on.day)})
        sheet = book.add_worksheet(catalog.key("sheet.metering.title")[:31])
        bold = book.add_format({"bold": True, "bottom": 1})
        for column, (name, width) in enumerate(zip(heads(catalog), WIDTHS, strict=True)):
            sheet.set_column(column, column, width)
            sheet.write_string(0, column, name, bold)
        for row, cells in enumerate(naming_rows(channels, catalog), start=1):
            for column, cell in enumerate(cells):
                sheet.write_string(row, column, cell)
        sheet.freeze_panes(1, 0)
        sheet.set_landscape()
        sheet.set_paper(1)  # US Letter
        sheet.fit_to_pages(1, 0)
    return data.getvalue()
