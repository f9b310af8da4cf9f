"""A job's answers: its code book, its assessment, its sheets; kept by text so that showing them again is free."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from threading import Lock
from typing import TYPE_CHECKING

from deadfront.assess import Assessment, Standing, assess, context_of, standing_of
from deadfront.assess.standing import answers_of, result_digest
from deadfront.codebook import Codebook, Overlay, amendment_from_dict, open_book
from deadfront.documents.catalog import Catalog
from deadfront.documents.circuit_sheets.together import circuit_sheets
from deadfront.documents.commissioning_sheets.together import record_sheets
from deadfront.documents.evidence_sheet import evidence_sheet
from deadfront.documents.isolation_sheets.plan_sheet import isolation_sheet
from deadfront.documents.load_sheet import load_sheet
from deadfront.documents.metering_sheets.plan import metering_sheet
from deadfront.documents.one_line.sheet import nudges_of, one_line_sheet
from deadfront.documents.panel_sheets.together import panel_sheets
from deadfront.documents.source_sheets.sheet import source_sheet
from deadfront.documents.todo_sheet import ToFind as ToFindRow
from deadfront.documents.todo_sheet import todo_sheet
from deadfront.job.model import Job, Origin
from deadfront.loads.rules.matters import Share, load_shares
from deadfront.metering.rules.recorded_walk import proved_walk
from deadfront.msg import Msg, said
from deadfront.recordings.answer import Reduction
from deadfront.worksheet.sheet import Sheet, SheetHead

if TYPE_CHECKING:
    from deadfront.app.library import Desk
    from deadfront.store.rows import Issue

KEPT = 32


@dataclass(frozen=True, slots=True)
class Answered:
    """A job with its answers.

    Args:
        job: The job.
        assessment: Every answer and finding.
        standing: What stands before a signature.
        before: The same of the house as found, where there is work.
        measured: What its recordings come to, by their id.
    """

    job: Job
    assessment: Assessment
    standing: Standing
    before: Assessment | None = None
    measured: Mapping[str, Reduction] = field(default_factory=dict)

    @property
    def told(self) -> Mapping[str, str]:
        """Every answer as plain text by key: what a signature freezes."""
        return answers_of(self.assessment)


def book_of(job: Job, overlay: Overlay | None = None) -> Codebook:
    """The code in force for a job: its edition with the amendments that travel in it.

    Raises:
        JobUnreadable: an amendment that cannot be understood.
        NotAllowed: an amendment of something this edition does not have.
    """
    amendments = tuple(amendment_from_dict(dict(table)) for table in job.amendments)
    return open_book(job.job.code.edition, amendments=amendments, overlay=overlay)


Measured = Mapping[str, Reduction]


def answer(
    job: Job, overlay: Overlay | None = None, at: str | None = None, measured: Measured | None = None,
    unread: Mapping[str, Msg] | None = None,
) -> Answered:  # fmt: skip
    """Every instant answer of a job.

    Args:
        measured: What its recordings come to, by their id (`OpenJob.measured`); one that is not there is asked
            for, and bars a signature until then.
        unread: Why a recording could not be reduced, by its id, where that is known.
    """
    book = book_of(job, overlay)
    found = assess(job, book, at, measured, unread)
    before = assess(job, book, "before", measured, unread) if job.work and at != "before" else None
    return Answered(job, found, standing_of(found), before, dict(measured or {}))


def shares(
    job: Job, overlay: Overlay | None = None, at: str | None = None, measured: Measured | None = None
) -> tuple[Share, ...]:
    """How much each load matters to the method relied on, at a step; asked for, not part of every answer."""
    book = book_of(job, overlay)
    relied = assess(job, book, at, measured).load.relied
    return load_shares(context_of(job, book, at, measured), relied) if relied else ()


def sign(
    desk: Desk, job_id: str, revision: int, *, signer: str, license: str, overlay: Overlay | None = None,
    language: str = "en",
) -> Issue:  # fmt: skip
    """Sign a revision: the answers of the job as it stands, frozen where nothing bars it. The only way to sign.

    Raises:
        NotSignable: something is wrong in the file, to correct or to find out.
        StaleRevision: the revision is not the current one any more.
        NotAllowed: no name or no license number.
    """
    opened = desk.open_job(job_id)
    answered = answer(opened.job, overlay, measured=opened.measured)
    return desk.issue(job_id, revision, signer=signer, license=license, answered=answered, language=language)


class Answers:
    """The last answers by text of the job, its overlay and step."""

    def __init__(self, size: int = KEPT) -> None:
        self.size, self._held, self._lock = size, OrderedDict[object, Answered](), Lock()

    def of(
        self, key: str, job: Job, overlay: Overlay | None = None, at: str | None = None,
        measured: Measured | None = None,
    ) -> Answered:  # fmt: skip
        """The answers of a job whose text has this key (such as its checksum)."""
        whole = (key, overlay, at, tuple(sorted(measured or {})))
        with self._lock:
            if whole in self._held:
                self._held.move_to_end(whole)
                return self._held[whole]
        found = answer(job, overlay, at, measured)
        with self._lock:
            self._held[whole] = found
            while len(self._held) > self.size:
                self._held.popitem(last=False)
        return found


def drafts(answered: Answered) -> tuple[Msg, ...]:
    """Why a sheet is still a draft: empty once nothing bars a signature."""
    standing = answered.standing
    why = []
    if standing.to_correct:
        why.append(said("draft.to_correct", count=standing.to_correct))
    if standing.to_find:
        why.append(said("draft.to_find", count=standing.to_find))
    return (*why, said("draft.not_signed"))


def sheet_head(answered: Answered, *, revision: int | None, on: date) -> SheetHead:
    """What stands at the top of every sheet of a job."""
    job, assessment = answered.job, answered.assessment
    names = tuple(a.name for a in assessment.book.amendments)
    return SheetHead(
        job.job.name, job.job.place, job.job.code.edition, names, "" if revision is None else str(revision),
        on.isoformat(), assessment.engine, result_digest(assessment)[:12], drafts(answered),
    )  # fmt: skip


def origin_words(job: Job) -> Mapping[str, Msg]:
    """Where facts of a job come from, by path, in words."""

    def told(origin: Origin) -> Msg:
        kind = said(f"origin.{origin.origin.replace(' ', '_')}")
        by = ", ".join(part for part in (origin.who, origin.on.isoformat() if origin.on else "") if part)
        return said("origin.by", origin=kind, who=by) if by else kind

    return {origin.of: told(origin) for origin in job.origins}


def sheets_of(
    answered: Answered, catalog: Catalog, *, revision: int | None, on: date,
    photos: Mapping[str, bytes] | None = None, more: Sequence[Sheet] = (), blank: bool = False,
    load_only: bool = False,
) -> Sequence[Sheet]:  # fmt: skip
    """All sheets there are of a job, in the order of the packet.

    Sheets after the work stand at its end once something is written on them; none of them bars a signature.

    Args:
        photos: Bytes of the job's photos by the name the job calls them.
        more: Sheets of what was asked for, as far as it is not stale.
        blank: The sheets after the work too, to write on by hand.
        load_only: Nothing but the load sheet and what it is measured on.
    """
    head = sheet_head(answered, revision=revision, on=on)
    rows = [ToFindRow(f.missing, len(f.answers)) for f in answered.assessment.to_find]
    origins = origin_words(answered.job)
    before = None if answered.before is None else answered.before.load
    load = load_sheet(answered.assessment.load, head, catalog, origins, before)
    evidence = evidence_sheet(answered.assessment.load, head, catalog, origins)
    measured = [] if evidence is None else [evidence]
    if load_only:
        return [load, *measured]
    found = answered.assessment
    circuits = circuit_sheets(found.at, found.circuits, head, origins, photos, catalog)
    as_found = answered.before
    panels = panel_sheets(
        found.at, found.panels, found.circuits, found.book, head, catalog, origins,
        None if as_found is None else as_found.at, () if as_found is None else as_found.panels,
        answered.job.job.language, answered.job,
    )  # fmt: skip
    metering = metering_sheet(found.metering, head)
    isolation = isolation_sheet(found.isolation, head)
    sources = source_sheet(found.at, found.sources, head, origins, found.load.management)
    plan = [each for each in (sources, isolation, metering) if each is not None]
    line = one_line_sheet(found.at, found.circuits, head, catalog, nudges_of(answered.job.choices.drawing))
    after = record_sheets(found.commissioning, found.at, answered.job, head, catalog, photos, blank=blank,
                          proof=proved_walk(found.book, found.at), runs=found.circuits.runs)  # fmt: skip
    return [load, *measured, line, *circuits, *panels, *plan, *more, todo_sheet(rows, head), *after]


def packet(
    answered: Answered, catalog: Catalog, *, revision: int | None, on: date,
    photos: Mapping[str, bytes] | None = None, more: Sequence[Sheet] = (),
) -> bytes:  # fmt: skip
    """All sheets of a job as one PDF."""
    from deadfront.documents.pdf import packet_pdf

    sheets = sheets_of(answered, catalog, revision=revision, on=on, photos=photos, more=more)
    return packet_pdf(sheets, catalog, date=on)
