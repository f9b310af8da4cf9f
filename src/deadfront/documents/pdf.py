"""The packet as PDF: the same Sheets as on screen, set by typst from data, in our own typefaces only."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from functools import cache
from importlib import resources
from pathlib import Path
from tempfile import TemporaryDirectory

from deadfront.documents.catalog import Catalog
from deadfront.documents.paper import photo_file, sheet_data
from deadfront.errors import NotFound
from deadfront.worksheet.sheet import Photo, Sheet

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
    with _root_with(sheets) as root:
        return _compiled(typst, data, root, stamp)


@contextmanager
def _root_with(sheets: Sequence[Sheet]) -> Iterator[Path]:
    """The folder the typesetter may read: our own, or one made for the photos of these sheets."""
    photos = [block for sheet in sheets for block in sheet.blocks if isinstance(block, Photo)]
    if not photos:
        yield _folder("typst")
        return
    with TemporaryDirectory() as folder:
        for photo in photos:
            (Path(folder) / photo_file(photo)).write_bytes(photo.data)
        yield Path(folder)


def _compiled(typst, data: Mapping[str, object], root: Path, stamp: int) -> bytes:  # type: ignore[no-untyped-def]
    found: bytes = typst.compile(
        _template(),
        root=str(root),
        font_paths=_fonts(),
        format="pdf",
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        pdf_standards="ua-1",
        timestamp=stamp,
    )
    return found


def _titles(sheets: Sequence[Sheet], catalog: Catalog) -> str:
    return ", ".join(dict.fromkeys(catalog.say(sheet.title) for sheet in sheets))
