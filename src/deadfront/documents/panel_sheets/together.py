"""All papers of the panel stage that a house has, in the order of the packet."""

from __future__ import annotations

from collections.abc import Sequence

from deadfront.codebook.book import Codebook
from deadfront.documents.catalog import Catalog
from deadfront.documents.circuit_sheets.common import Origins
from deadfront.documents.panel_sheets.directory import directory_sheet
from deadfront.documents.panel_sheets.labels import labels_sheet
from deadfront.documents.panel_sheets.panel_sheet import drawn_panels, panel_sheet
from deadfront.documents.panel_sheets.parts import parts_of
from deadfront.documents.panel_sheets.parts_sheet import parts_sheet
from deadfront.job.house import HouseAt
from deadfront.job.model import Job
from deadfront.results.circuits import CircuitsResult
from deadfront.results.panel import PanelResult
from deadfront.worksheet.sheet import Sheet, SheetHead


def panel_sheets(
    at: HouseAt, results: Sequence[PanelResult], circuits: CircuitsResult, book: Codebook, head: SheetHead,
    catalog: Catalog, origins: Origins | None = None, found: HouseAt | None = None,
    found_results: Sequence[PanelResult] = (), typed_in: str = "en", job: Job | None = None,
) -> list[Sheet]:  # fmt: skip
    """Elevation, directory, labels, parts list: those that there is something to say on; none without a panel.

    Args:
        found: The house before the work, where there is work; `found_results`: its panels.
        typed_in: Language that names of circuits are typed in; `job`: the job, for what each step of its work moves.
    """
    drawn = drawn_panels(at, results, found, found_results, job, circuits.runs)
    if not drawn:
        return []
    made = (
        panel_sheet(drawn, head, catalog, origins), directory_sheet(at, drawn, book, head, typed_in),
        labels_sheet(at, drawn, circuits, book, head, catalog), parts_sheet(parts_of(at, found), head, origins),
    )  # fmt: skip
    return [sheet for sheet in made if sheet is not None]
