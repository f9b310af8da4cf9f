"""All sheets of the circuits stage that a house has, in the order of the packet."""

from __future__ import annotations

from deadfront.documents.catalog import Catalog
from deadfront.documents.circuit_sheets.common import Origins
from deadfront.documents.circuit_sheets.faults import fault_sheet
from deadfront.documents.circuit_sheets.grounding import grounding_sheet
from deadfront.documents.circuit_sheets.hazards import Photos, hazard_sheet
from deadfront.documents.circuit_sheets.schedule import schedule_sheet
from deadfront.documents.circuit_sheets.site import site_sheet
from deadfront.job.house import HouseAt
from deadfront.results.circuits import CircuitsResult
from deadfront.worksheet.sheet import Sheet, SheetHead


def circuit_sheets(
    at: HouseAt, result: CircuitsResult, head: SheetHead, origins: Origins | None = None, photos: Photos | None = None,
    catalog: Catalog | None = None,
) -> list[Sheet]:  # fmt: skip
    """Schedule, grounding, faults, hazards, site list: those that there is something to say on.

    Args:
        photos: Bytes of the job's photos by the name the job calls them.
        catalog: The language of the pictures; None: without them.
    """
    found = (
        schedule_sheet(at, result, head, origins), grounding_sheet(at, result, head, origins),
        fault_sheet(at, result, head, origins, catalog), hazard_sheet(at, result, head, photos),
        site_sheet(at, result, head),
    )  # fmt: skip
    return [sheet for sheet in found if sheet is not None]
