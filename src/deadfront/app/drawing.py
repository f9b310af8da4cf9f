"""The one-line diagram of a job as a drawing of its own: SVG, PDF or DXF."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING

from deadfront.documents.catalog import Catalog
from deadfront.documents.one_line.made import one_line
from deadfront.documents.one_line.page import Drawing
from deadfront.documents.one_line.sheet import nudges_of, one_line_sheet
from deadfront.errors import NotAllowed
from deadfront.job.model import Nudge
from deadfront.worksheet.sheet import SheetHead

if TYPE_CHECKING:
    from deadfront.app.answers import Answered

FORMS = ("svg", "pdf", "dxf")


def drawing_of(
    answered: Answered, catalog: Catalog, head: SheetHead, moved: Mapping[str, Nudge] | None = None
) -> Drawing:
    """The one-line of a job at the step that was answered.

    Args:
        head: What stands at the top of its sheets.
        moved: Symbols moved by hand; None: as the job keeps them.
    """
    found, nudges = answered.assessment, answered.job.choices.drawing if moved is None else moved
    return one_line(found.at, found.circuits, catalog, head, nudges_of(nudges))


def drawing_file(answered: Answered, catalog: Catalog, form: str, head: SheetHead, *, on: date) -> bytes:
    """The one-line as a file.

    Args:
        form: "svg", "pdf" or "dxf".
        head: What stands at the top of its sheets.
        on: The date written into a PDF.
    Raises:
        NotAllowed: another form, or DXF without the extra `drawing`.
    """
    if form not in FORMS:
        raise NotAllowed("cli.drawing.ending", found=form, allowed=FORMS)
    if form == "pdf":
        from deadfront.documents.pdf import packet_pdf

        found, nudges = answered.assessment, nudges_of(answered.job.choices.drawing)
        return packet_pdf([one_line_sheet(found.at, found.circuits, head, catalog, nudges)], catalog, date=on)
    drawing = drawing_of(answered, catalog, head)
    if form == "dxf":
        from deadfront.documents.one_line.as_dxf import one_line_dxf

        return one_line_dxf(drawing)
    from deadfront.documents.one_line.as_svg import one_line_file

    return one_line_file(drawing).encode("utf-8")
