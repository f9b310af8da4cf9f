"""The one-line diagram of a job as a drawing of its own: SVG, PDF or DXF."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from deadfront.app.answers import Answered, sheet_head
from deadfront.documents.catalog import Catalog
from deadfront.documents.one_line.made import one_line
from deadfront.documents.one_line.page import Drawing
from deadfront.documents.one_line.sheet import nudges_of, one_line_sheet
from deadfront.errors import NotAllowed
from deadfront.job.model import Nudge

FORMS = ("svg", "pdf", "dxf")


def drawing_of(
    answered: Answered, catalog: Catalog, *, revision: int | None, on: date,
    moved: Mapping[str, Nudge] | None = None,
) -> Drawing:  # fmt: skip
    """The one-line of a job at the step that was answered.

    Args:
        moved: Symbols moved by hand; None: as the job keeps them.
    """
    found, nudges = answered.assessment, answered.job.choices.drawing if moved is None else moved
    head = sheet_head(answered, revision=revision, on=on)
    return one_line(found.at, found.circuits, catalog, head, nudges_of(nudges))


def drawing_file(answered: Answered, catalog: Catalog, form: str, *, revision: int | None, on: date) -> bytes:
    """The one-line as a file.

    Args:
        form: "svg", "pdf" or "dxf".
    Raises:
        NotAllowed: another form, or DXF without the extra `drawing`.
    """
    if form not in FORMS:
        raise NotAllowed("cli.drawing.ending", found=form, allowed=FORMS)
    if form == "pdf":
        from deadfront.documents.pdf import packet_pdf

        head, found = sheet_head(answered, revision=revision, on=on), answered.assessment
        nudges = nudges_of(answered.job.choices.drawing)
        return packet_pdf([one_line_sheet(found.at, found.circuits, head, catalog, nudges)], catalog, date=on)
    drawing = drawing_of(answered, catalog, revision=revision, on=on)
    if form == "dxf":
        from deadfront.documents.one_line.as_dxf import one_line_dxf

        return one_line_dxf(drawing)
    from deadfront.documents.one_line.as_svg import one_line_svg

    return one_line_svg(drawing).encode("utf-8")
