"""Which sheets after the work belong to a job."""

from __future__ import annotations

from collections.abc import Sequence

from deadfront.documents.catalog import Catalog
from deadfront.documents.commissioning_sheets.common import Photos
from deadfront.documents.commissioning_sheets.corrections_sheet import corrections_sheet
from deadfront.documents.commissioning_sheets.installation_sheet import installation_sheet
from deadfront.documents.commissioning_sheets.record_sheet import commissioning_sheet
from deadfront.documents.commissioning_sheets.torque_sheet import torque_sheet
from deadfront.documents.panel_sheets.moves import acts_told
from deadfront.job.house import HouseAt
from deadfront.job.model import Job
from deadfront.results.circuits import Run
from deadfront.results.commissioning import CommissioningResult
from deadfront.results.proof import ChannelVerdict
from deadfront.worksheet.sheet import Sheet, SheetHead

KEYS = ("installation", "torque", "commissioning", "corrections")


def record_sheets(
    result: CommissioningResult, at: HouseAt, job: Job, head: SheetHead, catalog: Catalog,
    there: Photos | None = None, *, blank: bool = False, proof: Sequence[ChannelVerdict] = (),
    runs: Sequence[Run] = (),
) -> tuple[Sheet, ...]:  # fmt: skip
    """The sheets on which something stands; with `blank` those to write on, too.

    Args:
        runs: The circuits of the house: of breakers that wait for each other, the one with the least load is set aside.
    """
    found = []
    written = [each for each in result.tests if each.record]
    if blank or any(each.test in ("as_found", "settings") for each in written):
        found.append(installation_sheet(result, job, head, there, acts_told(job, at, catalog, runs)))
    if blank or any(each.id for each in result.torques):
        found.append(torque_sheet(result, at, head, there))
    if blank or proof or any(each.test not in ("as_found", "settings") for each in written):
        found.append(commissioning_sheet(result, at, head, catalog, there, proof))
    if blank or result.corrections:
        found.append(corrections_sheet(result, head, there))
    return tuple(found)
