"""The parts list of a job: what its work needs, as a list or as a file for a spreadsheet."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from deadfront.app.answers import Answered
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.parts import Part, parts_of
from deadfront.errors import NotAllowed

FORMS = (".xlsx", ".csv")


def parts(answered: Answered) -> Sequence[Part]:
    """Every part of the work; empty where there is no work, or none that needs a part."""
    before = None if answered.before is None else answered.before.at
    return parts_of(answered.assessment.at, before)


def parts_file(found: Sequence[Part], catalog: Catalog, ending: str, *, on: date) -> bytes:
    """The list as a file.

    Args:
        ending: ".xlsx" or ".csv".
        on: The date written into a workbook.
    Raises:
        NotAllowed: another ending.
    """
    from deadfront.documents.panel_sheets.parts_file import parts_csv, parts_xlsx

    if ending.lower() not in FORMS:
        raise NotAllowed("cli.parts.ending", found=ending, allowed=FORMS)
    return parts_csv(found, catalog) if ending.lower() == ".csv" else parts_xlsx(found, catalog, on=on)
