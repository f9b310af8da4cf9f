"""The sources as a page: the answer, paths, buses by option, neutral by state, signals, the one-line, every list."""

from __future__ import annotations

from collections.abc import Iterable

from markupsafe import Markup

from deadfront.documents.html import block_html, esc
from deadfront.documents.one_line.as_svg import one_line_svg
from deadfront.documents.one_line.made import one_line
from deadfront.documents.one_line.sheet import nudges_of
from deadfront.documents.source_sheets.sheet import anything, cautions, ordered, sections, source_answer, workings
from deadfront.web.circuits_page import list_of
from deadfront.web.desk import AtJob
from deadfront.web.render import safe
from deadfront.web.run_pieces import lines_of
from deadfront.web.shell import SOURCE_LISTS, shell_of
from deadfront.web.source_contexts import SourcesPage
from deadfront.worksheet.sheet import Block


def sources_page(at: AtJob) -> SourcesPage:
    """Everything the sources page shows."""
    found = at.answered.assessment
    result, there = found.sources, anything(found.at)
    return SourcesPage(
        shell_of(at, "sources"),
        _html(at, (source_answer(result),)),
        _html(at, cautions(found.at) if there else ()),
        _html(at, sections(found.at, result, found.load.management) if there else ()),
        lines_of(at, ordered(result.checks)),
        picture_of(at) if there else safe(""),
        _html(at, workings(result, at.origins)),
        tuple(list_of(at, key) for key in SOURCE_LISTS),
    )


def picture_of(at: AtJob) -> Markup:
    """The one-line diagram as on its sheet."""
    found = at.answered.assessment
    head = at.web.head(at.answered, revision=at.opened.revision, on=at.web.settings.today())
    drawing = one_line(found.at, found.circuits, at.catalog, head, nudges_of(at.job.choices.drawing))
    told = esc(at.catalog.key("web.sources.picture"))
    return safe(f'<figure class="picture" tabindex="0" aria-label="{told}">{one_line_svg(drawing)}</figure>')


def _html(at: AtJob, blocks: Iterable[Block]) -> Markup:
    return safe("\n".join(block_html(block, at.catalog) for block in blocks))
