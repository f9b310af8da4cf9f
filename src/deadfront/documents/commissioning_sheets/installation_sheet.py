"""The installation: as found before anything was touched, what the work did, settings as left, with photos."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from deadfront.documents.commissioning_sheets.common import (
    Photos,
    notes,
    photos,
    readings_cell,
    signed_cell,
    verdict,
    worst,
)
from deadfront.job.model import Job
from deadfront.msg import said
from deadfront.results.commissioning import CommissioningResult, TestAnswer
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Heading,
    Paragraph,
    Sheet,
    SheetHead,
    Signature,
    Table,
)

COLUMNS = ("thing", "readings", "verdict", "signed")


def installation_sheet(
    result: CommissioningResult, job: Job, head: SheetHead, there: Photos | None = None,
    acts: Mapping[str, Sequence[str]] | None = None,
) -> Sheet:  # fmt: skip
    """As found and as left, side by side with what lies between.

    Args:
        acts: For a step of the work, by its id: what it does in the panels, in the order it is worked, in words.
    """
    found, left = result.of("as_found", stage="as found"), result.of("settings")
    blocks: list[Block] = [answer_of(found, left)]
    blocks += [Caution("notice", said("commission.caution.directory"))]
    blocks += list(_part("as_found", found))
    if job.work:
        blocks.append(Heading(said("sheet.installation.work")))
        rows: list[tuple[Cell, ...]] = []
        for n, step in enumerate(job.work, start=1):
            rows.append((str(n), step.say))
            rows += [(f"{n}.{k}", words) for k, words in enumerate((acts or {}).get(step.id, ()), start=1)]
        names = tuple(said(f"sheet.installation.column.{each}") for each in ("number", "step"))
        blocks.append(Table(names, tuple(rows), key="work_steps"))
    blocks += list(_part("settings", left))
    named = [(each.photo, said("sheet.records.photo_of", test=said(f"commission.test.{each.test}"), name=each.name))
             for each in (*found, *left)]  # fmt: skip
    blocks += list(photos(named, there))
    blocks.append(Signature(said("sheet.signed_by")))
    return Sheet("installation", said("sheet.installation.title"), head, tuple(blocks))


def answer_of(found: Sequence[TestAnswer], left: Sequence[TestAnswer]) -> Answer:
    """Whether it is written down how it was found and how it was left."""
    outcome = worst(each.outcome for each in (*found, *left))
    outcome = Outcome.CANNOT_TELL if outcome is Outcome.NOT_APPLICABLE and not (found or left) else outcome
    key = {Outcome.FAILS: "wrong", Outcome.CANNOT_TELL: "open"}.get(outcome, "done")
    return Answer(said("sheet.installation.question"), said(f"sheet.installation.{key}"), outcome)


def _part(test: str, own: Sequence[TestAnswer]) -> Iterator[Block]:
    if not own:
        return
    yield Heading(said(f"commission.test.{test}"))
    yield Paragraph(said(f"commission.method.{test}"))
    rows = tuple((each.name, readings_cell(each), verdict(each.outcome, each.say), signed_cell(each.who, each.on,
                  each.time)) for each in own)  # fmt: skip
    yield Table(tuple(said(f"sheet.records.column.{each}") for each in COLUMNS), rows, key="installation")
    yield from notes(own)
