"""What goes into a packet of a search for even legs: only what is not stale; what is left out is said."""

from __future__ import annotations

from typing import TYPE_CHECKING

from deadfront.app.panel_layouts import apart_of
from deadfront.app.panel_search import latest
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.search_sheet import Curve, search_sheet
from deadfront.msg import Msg, said
from deadfront.worksheet.sheet import Sheet, SheetHead

if TYPE_CHECKING:
    from deadfront.app.answers import Answered
    from deadfront.app.library import Desk


def search_sheets(desk: Desk, job_id: str, answered: Answered, head: SheetHead, catalog: Catalog) -> tuple[Sheet, ...]:
    """The sheet of the searches that may go into a packet; none where there is none."""
    curves = []
    for panel in answered.assessment.panels:
        found = latest(desk, job_id, panel)
        if found is not None and not found.bars:
            aparts = tuple(apart_of(answered, panel.id, each) for each in found.points)
            curves.append(Curve(panel.name, found.points, aparts, found.clash, found.stands, found.stopped))
    sheet = search_sheet(curves, head, catalog)
    return () if sheet is None else (sheet,)


def left_out(desk: Desk, job_id: str, answered: Answered) -> tuple[Msg, ...]:
    """Searches that are stale and therefore left out of the packet, in words."""
    searched = ((each, latest(desk, job_id, each)) for each in answered.assessment.panels)
    return tuple(said("web.packet.stale.search", panel=each.name) for each, found in searched
                 if found is not None and found.bars)  # fmt: skip
