"""The parts list as a file for a spreadsheet: CSV or XLSX; no cell of it is ever run as a formula."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from datetime import date, datetime
from io import BytesIO, StringIO

from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.parts import Part

DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n")
COLUMNS = ("section", "part", "least", "most", "unit", "used", "note")
WIDTHS = (18, 52, 10, 10, 8, 40, 52)
NUMBERS = (2, 3)
Cells = tuple[str, str, float | None, float | None, str, str, str]


def harmless(text: str) -> str:
    """Text that a spreadsheet shows and never runs: one that begins like a formula gets an apostrophe before it.

    Example:
        >>> harmless("=1+1"), harmless("Range")
        ("'=1+1", 'Range')
    """
    return f"'{text}" if text.lstrip(" \u00a0\ufeff").startswith(DANGEROUS) or text.startswith(DANGEROUS) else text


def part_cells(parts: Sequence[Part], catalog: Catalog) -> list[Cells]:
    """Each part as cells: least and most quantity are numbers, the rest is harmless text."""
    rows: list[Cells] = []
    for part in parts:
        value = part.quantity
        least = None if value.high is None and value.low == 0 else float(value.low)
        most = None if value.high is None else float(value.high)
        unit = catalog.key("part.unit.ft" if part.length is not None else "part.unit.piece")
        words = (catalog.key(f"part.section.{part.section}"), catalog.say(part.what), ", ".join(part.used),
                 catalog.say(part.note) if part.note else "")  # fmt: skip
        section, what, used, note = map(harmless, words)
        rows.append((section, what, least, most, harmless(unit), used, note))
    return rows


def heads(catalog: Catalog) -> list[str]:
    """The names of the columns."""
    return [catalog.key(f"part.file.{name}") for name in COLUMNS]


def parts_csv(parts: Sequence[Part], catalog: Catalog) -> bytes:
    """CSV in UTF-8 with a mark that spreadsheets look for; a quantity that is not known stays empty."""
    text = StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(heads(catalog))
    for cells in part_cells(parts, catalog):
        writer.writerow(["" if cell is None else _plain(cell) for cell in cells])
    return b"\xef\xbb\xbf" + text.getvalue().encode("utf-8")


def _plain(cell: str | float) -> str:
    return f"{cell:g}" if isinstance(cell, float) else cell


def parts_xlsx(parts: Sequence[Part], catalog: Catalog, *, on: date) -> bytes:
    """A workbook of one sheet: quantities are numbers, everything else is text.

    Args:
        on: The date written into the file.
    """
    import xlsxwriter

    data = BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_numbers": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(data, options) as book:
        book.set_properties({"created": datetime(on.year, on.month, on.day)})
        sheet = book.add_worksheet(catalog.key("sheet.parts.title")[:31])
        bold = book.add_format({"bold": True, "bottom": 1})
        wrapped = book.add_format({"text_wrap": True, "valign": "top"})
        figure = book.add_format({"valign": "top", "num_format": "0.##"})
        for column, (name, width) in enumerate(zip(heads(catalog), WIDTHS, strict=True)):
            sheet.set_column(column, column, width)
            sheet.write_string(0, column, name, bold)
        for row, cells in enumerate(part_cells(parts, catalog), start=1):
            for column, cell in enumerate(cells):
                if isinstance(cell, float):
                    sheet.write_number(row, column, cell, figure)
                elif cell:
                    sheet.write_string(row, column, cell, wrapped)
        sheet.freeze_panes(1, 0)
        sheet.set_landscape()
        sheet.set_paper(1)  # US Letter
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(0)
    return data.getvalue()
