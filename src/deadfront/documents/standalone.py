"""Sheets as one HTML file that needs nothing else: style and fonts inside, no scripts, prints well."""

from __future__ import annotations

import base64
import re
from collections.abc import Sequence
from functools import cache
from importlib import resources

from deadfront.documents.catalog import Catalog
from deadfront.documents.html import esc, sheet_html
from deadfront.worksheet.sheet import Sheet

_FONT_URL = re.compile(r"url\((fonts/screen/[\w.-]+\.woff2)\)")


@cache
def sheet_css() -> str:
    """The style of sheets for screen and print; its font files stand beside it in fonts/screen."""
    return resources.files("deadfront.documents").joinpath("sheet.css").read_text(encoding="utf-8")


@cache
def _css_with_fonts() -> str:
    def inside(match: re.Match[str]) -> str:
        data = resources.files("deadfront.documents").joinpath(match[1]).read_bytes()
        return f"url(data:font/woff2;base64,{base64.b64encode(data).decode('ascii')})"

    return _FONT_URL.sub(inside, sheet_css())


def standalone_html(sheets: Sequence[Sheet], catalog: Catalog) -> str:
    """One file with all sheets, each starting a page when printed."""
    names = ", ".join(dict.fromkeys(catalog.say(sheet.title) for sheet in sheets))
    job = sheets[0].head.job if sheets else ""
    body = "\n".join(sheet_html(sheet, catalog) for sheet in sheets)
    return (
        f'<!doctype html>\n<html lang="{catalog.language}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width,initial-scale=1">\n'
        f"<title>{esc(': '.join(part for part in (job, names) if part))}</title>\n"
        f"<style>\n{_css_with_fonts()}\n</style>\n</head>\n"
        f'<body class="export">\n<main>\n{body}\n</main>\n</body>\n</html>\n'
    )
