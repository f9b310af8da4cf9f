"""The hazards sheet: what was found that endangers, its evidence with photos, what follows, what is done."""

from __future__ import annotations

from collections.abc import Mapping

from deadfront.codebook.data_files import data
from deadfront.documents.circuit_sheets.common import UNKNOWN, of_kind, place_name, sheet_of
from deadfront.job.found_things import Hazard
from deadfront.job.house import HouseAt
from deadfront.msg import Msg, said
from deadfront.results.circuits import CircuitsResult
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Findings,
    Heading,
    Photo,
    Sheet,
    SheetHead,
    Signature,
    Table,
)

Photos = Mapping[str, bytes]


def hazard_sheet(at: HouseAt, result: CircuitsResult, head: SheetHead, photos: Photos | None = None) -> Sheet | None:
    """What was found that endangers on paper, with its photos; None where nothing is recorded and nothing follows.

    Args:
        photos: Bytes of the job's photos by the name the job calls them.
    """
    checks = tuple(c for c in of_kind(result.checks, "hazard", "enclosure") if c.is_finding)
    hazards = at.house.hazards
    if not hazards and not checks:
        return None
    blocks: list[Block] = [_answer(hazards, checks)]
    if any(c.severity is Severity.DANGER for c in checks):
        blocks.append(Caution("danger", said("sheet.hazards.danger")))
    for hazard in hazards:
        blocks += _hazard(at, hazard, photos or {})
    blocks += [Heading(said("sheet.findings")), Findings(checks)]
    blocks.append(Caution("notice", said("sheet.hazards.not_all")))
    blocks.append(Signature(said("sheet.signed_by")))
    return sheet_of("hazards", head, blocks, checks)


def _answer(hazards: tuple[Hazard, ...], checks: tuple[Check, ...]) -> Answer:
    question = said("sheet.hazards.question")
    bad = [c for c in checks if c.outcome is Outcome.FAILS]
    left = [h for h in hazards if not h.done]
    if bad or left:
        return Answer(question, said("sheet.hazards.answer.found", count=max(len(bad), len(left))), Outcome.FAILS)
    if checks:
        return Answer(question, said("sheet.hazards.answer.open", count=len(checks)), Outcome.CANNOT_TELL)
    return Answer(question, said("sheet.hazards.answer.done", count=len(hazards)), Outcome.MEETS)


def _hazard(at: HouseAt, hazard: Hazard, photos: Photos) -> list[Block]:
    name = said("thing.named", name=hazard.name) if hazard.name else hazard_name(hazard)
    rows: tuple[tuple[Cell, ...], ...] = (
        (said("sheet.hazards.where"), place_name(at, hazard.thing) if hazard.thing else UNKNOWN),
        (said("sheet.hazards.evidence"), hazard.evidence or UNKNOWN),
        (said("sheet.hazards.follows"), said(f"hazard.{_kind(hazard)}.fix")),
        (said("sheet.hazards.action"), hazard.action or UNKNOWN),
        (said("sheet.hazards.done"), _done(hazard.done)),
    )
    columns = (said("sheet.hazards.column.what"), said("sheet.hazards.column.found"))
    blocks: list[Block] = [Heading(name), Table(columns, rows, key="hazard")]
    if hazard.photo:
        shown = photos.get(hazard.photo)
        caption = said("sheet.hazards.photo", name=hazard.photo)
        blocks.append(Photo(shown, caption) if shown else _no_photo(hazard.photo))
    return blocks


def hazard_name(hazard: Hazard) -> Msg:
    """What a hazard is, by its kind."""
    return said(f"hazard.{_kind(hazard)}.name")


def _kind(hazard: Hazard) -> str:
    return hazard.kind if hazard.kind in data().hazards else "other"


def _no_photo(name: str) -> Block:
    return Caution("notice", said("sheet.hazards.no_photo", name=name))


def _done(done: bool | None) -> Msg:
    return UNKNOWN if done is None else said("sheet.hazards.yes" if done else "sheet.hazards.no")
