"""The metering plan of a job as a list or a file, and the proof of a typed walk."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from datetime import date
from io import StringIO

from deadfront.app.answers import Answered
from deadfront.documents.catalog import Catalog
from deadfront.errors import NotAllowed
from deadfront.metering.rules.proof_plan import proof_plan
from deadfront.metering.rules.steps import proof
from deadfront.metering.rules.typed_steps import COLUMNS, Row, columns_wrong, walk_of
from deadfront.results.metering import ChannelPlan
from deadfront.results.proof import ChannelVerdict

FORMS = (".xlsx", ".csv")
MOST_ROWS = 20_000


def channels(answered: Answered) -> Sequence[ChannelPlan]:
    """Every metering channel of the job; empty where there is none."""
    return answered.assessment.metering.channels


def naming_file(found: Sequence[ChannelPlan], catalog: Catalog, ending: str, *, on: date) -> bytes:
    """The naming list as a file.

    Args:
        ending: ".xlsx" or ".csv".
        on: The date written into a workbook.
    Raises:
        NotAllowed: another ending.
    """
    from deadfront.documents.metering_sheets.naming import naming_csv, naming_xlsx

    if ending.lower() not in FORMS:
        raise NotAllowed("cli.metering.ending", found=ending, allowed=FORMS)
    return naming_csv(found, catalog) if ending.lower() == ".csv" else naming_xlsx(found, catalog, on=on)


def walk_proof(answered: Answered, rows: Sequence[Row]) -> tuple[ChannelVerdict, ...]:
    """What the typed rows of a walk come to, channel by channel.

    Args:
        rows: Texts by the columns of a walk; see `typed_steps.COLUMNS`.
    Raises:
        NotAllowed: a row that is not understood, or no step at all.
    """
    found = answered.assessment
    plan = proof_plan(found.book, found.at)
    if len(rows) > MOST_ROWS:
        raise NotAllowed("proof.walk.large", most=MOST_ROWS)
    steps = walk_of(plan, rows)
    if not steps:
        raise NotAllowed("proof.walk.none")
    return proof(plan, steps)


def walk_rows(text: str) -> list[Row]:
    """The rows of a walk typed as CSV, its first line the columns.

    Raises:
        NotAllowed: columns that are none of a walk's.
    """
    reader = csv.DictReader(StringIO(text.lstrip("\ufeff\r\n")), restkey="more", restval="")
    wrong = columns_wrong(reader.fieldnames or ("",))
    if wrong:
        raise NotAllowed("proof.walk.columns", found=wrong, allowed=COLUMNS)
    try:
        return [{key: value for key, value in row.items() if isinstance(value, str)} for row in reader]
    except csv.Error as error:
        raise NotAllowed("proof.walk.columns", found=(str(error),), allowed=COLUMNS) from error
