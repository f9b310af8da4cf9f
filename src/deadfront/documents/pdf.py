"""The packet as PDF: the same Sheets as on screen, set by typst from data, in our own typefaces only."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import UTC, date, datetime
from functools import cache
from importlib import resources
from pathlib import Path

from deadfront.documents.catalog import Catalog
from deadfront.documents.paper import sheet_data
from deadfront.errors import NotFound
from deadfront.worksheet.sheet import Sheet

FAMILIES = ("Atkinson Hyperlegible Next", "Atkinson Hyperlegible Mono", "DejaVu Sans")


def _folder(name: str) -> Path:
    return Path(str(resources.files("deadfront.documents").joinpath(name)))


@cache
def _fonts():  # type: ignore[no-untyped-def]  # typst's own class; typst loads only when a PDF is asked for
    """Our typefaces and no others.

    Raises:
        NotFound: a family is missing, so the paper would be set in another face.
    """
    import typst

    folder = _folder("fonts")
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(folder)])
    lacking = [family for family in FAMILIES if family not in fonts.families()]
    if lacking:
        raise NotFound("error.fonts_missing", families=tuple(lacking), folder="documents/fonts")
    return fonts


@cache
def _template() -> bytes:
    return _folder("typst").joinpath("sheet.typ").read_bytes()


def packet_pdf(sheets: Sequence[Sheet], catalog: Catalog, *, date: date) -> bytes:
    """All sheets as one tagged PDF (PDF/UA-1) on US Letter.

    Args:
        sheets: In the order of the packet; each starts a page.
        catalog: The language.
        date: The date written into the file.
    Raises:
        NotFound: one of our typefaces is missing.
    """
    import typst

    data = {
        "lang": catalog.language,
        "title": ", ".join(part for part in (sheets[0].head.job if sheets else "", _titles(sheets, catalog)) if part),
        "date": [date.year, date.month, date.day],
        "page": catalog.key("foot.page", n="#", total="##"),
        "sheets": [sheet_data(sheet, catalog) for sheet in sheets],
    }
    stamp = int(datetime(date.year, date.month, date.day, tzinfo=UTC).timestamp())
    return typst.compile(
        _template(),
        root=str(_folder("typst")),
        font_paths=_fonts(),
        format="pdf",
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        pdf_standards="ua-1",
        timestamp=stamp,
    )


def _titles(sheets: Sequence[Sheet], catalog: Catalog) -> str:
    return ", ".join(dict.fromkeys(catalog.say(sheet.title) for sheet in sheets))
