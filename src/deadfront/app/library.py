"""The desk: everything a person does with the jobs of a library."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from deadfront import __version__
from deadfront.app import changes, closing, parcels, signing
from deadfront.app.clock import Clock, now
from deadfront.app.reductions import Reductions
from deadfront.app.values import ids_in, ids_of, plain
from deadfront.errors import NotAllowed
from deadfront.job.edit import Edit, apply_edits, edit_from_dict
from deadfront.job.ids import Chance, new_id
from deadfront.job.model import Job
from deadfront.job.problems import KeptBlock, Problem
from deadfront.job.read import ReadJob, read_job
from deadfront.job.write import new_job_text
from deadfront.msg import Msg, said
from deadfront.store.library import Library
from deadfront.store.rows import Issue, Kind, Revision, RevisionRow, text_hash
from deadfront.store.trouble import StaleRevision

if TYPE_CHECKING:
    from deadfront.app.answers import Answered
    from deadfront.recordings.answer import Reduction

CACHED_TEXTS = 16


@dataclass(frozen=True, slots=True)
class OpenJob:
    """A revision of a job, read.

    Args:
        problems: What in the text could not be taken as written.
        kept: Blocks set aside, word for word.
        measured: What its recordings come to, by id; one that is still to be reduced is not there.
    """

    id: str
    revision: int
    job: Job
    text: str
    problems: tuple[Problem, ...]
    kept: tuple[KeptBlock, ...]
    measured: Mapping[str, Reduction] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Imported:
    """A job that came as a file.

    Args:
        notes: What was left out or brought up from an older format.
    """

    job_id: str
    problems: tuple[Problem, ...]
    kept: tuple[KeptBlock, ...]
    notes: tuple[Msg, ...]


class Readings:
    """The last texts read, so that showing a job again does not read it again."""

    def __init__(self, size: int = CACHED_TEXTS) -> None:
        self.size, self._held, self._lock = size, OrderedDict[str, ReadJob](), Lock()

    def read(self, text: str) -> ReadJob:
        """The job of a text.

        Raises:
            JobUnreadable: the text is no job at all.
        """
        key = text_hash(text)
        with self._lock:
            if key in self._held:
                self._held.move_to_end(key)
                return self._held[key]
        return self.keep(text, read_job(text))

    def keep(self, text: str, found: ReadJob) -> ReadJob:
        """Hold a job that was read from a text elsewhere."""
        with self._lock:
            self._held[text_hash(text)] = found
            while len(self._held) > self.size:
                self._held.popitem(last=False)
        return found


class Desk:
    """Use cases on a library.

    Args:
        library: Where the jobs are.
        clock: Says what time it is.
        rng: Source of chance for ids.
    """

    def __init__(self, library: Library, clock: Clock = now, rng: Chance | None = None) -> None:
        self.library, self.clock = library, clock
        self.rng: Chance = secrets.SystemRandom() if rng is None else rng
        self._readings, self._reductions = Readings(), Reductions(library)
        self._first_ids: dict[str, frozenset[str]] = {}

    # --- opening --------------------------------------------------------------------------------------------------
    def create_job(self, head: Mapping[str, Any], who: str = "") -> str:
        """A new job from the fields of its head: name, code = {"edition": "2023"}, place ...; its id.

        Raises:
            JobUnreadable: a field of the head is missing or not allowed.
        """
        text = new_job_text(head)
        read = self._readings.read(text)
        return self._create(text, read, said("app.change.created", name=read.job.job.name), "create", who)

    def _create(
        self, text: str, read: ReadJob, say: Msg, kind: Kind, who: str, follows: tuple[str, int] | None = None,
        attachments: Sequence[tuple[str, str, bytes]] = (),
    ) -> str:  # fmt: skip
        job_id, _ = self.library.create(
            text, plain(read.job), job_id=self._new_job_id(), who=who, at=self.clock(), say=say, kind=kind,
            follows=follows, attachments=attachments,
        )  # fmt: skip
        return job_id

    def _new_job_id(self) -> str:
        taken = {row.id for row in self.library.jobs(deleted=True)}
        return "j-" + new_id("j", taken, self.rng)[2:] + new_id("j", taken, self.rng)[2:]

    def open_job(self, job_id: str, number: int | None = None) -> OpenJob:
        """A job at its current revision, or at an earlier one.

        Raises:
            NotFound: no such job or revision.
        """
        revision = self.library.head(job_id) if number is None else self.library.revision(job_id, number)
        read = self._readings.read(revision.text)
        measured = self._reductions.of(read.job)
        return OpenJob(job_id, revision.number, read.job, revision.text, read.problems, read.kept, measured)

    def history(self, job_id: str) -> list[RevisionRow]:
        """Every revision with what it changed, the newest first."""
        return self.library.history(job_id)

    def used_ids(self, job_id: str) -> set[str]:
        """Every id ever used in the job, those struck out too: none is used twice."""
        if job_id not in self._first_ids:
            self._first_ids[job_id] = frozenset(ids_in(self.library.revision(job_id, 1).json))
        used = set(self._first_ids[job_id])
        for row in self.library.history(job_id):
            for path in row.touched:
                scope, _, rest = path.partition("/")
                used |= {scope.partition(".")[0], rest.partition(".")[0]}
        now = self._readings.read(self.library.head(job_id).text).job
        return {ident for ident in used if "-" in ident} | ids_of(now)

    def fresh_id(self, job_id: str, prefix: str) -> str:
        """An id for a new thing of a job, never used in it before."""
        return new_id(prefix, self.used_ids(job_id), self.rng)

    # --- changing -------------------------------------------------------------------------------------------------
    def apply(self, job_id: str, base: int, edits: Sequence[Edit | Mapping[str, Any]], who: str = "") -> int:
        """Make edits on the revision they were made from; the new revision.

        Raises:
            EditRefused: an edit would break the job; nothing is saved.
            StaleEdits: someone saved first; carries both sides.
        """
        wanted = [edit_from_dict(edit) if isinstance(edit, Mapping) else edit for edit in edits]
        if not wanted:
            raise NotAllowed("app.edit.none")
        head = self.library.head(job_id)
        if base != head.number:
            raise self._stale(job_id, base, head, wanted)
        before = self._readings.read(head.text).job
        adds = any(edit.do in ("add", "add_step") for edit in wanted)
        applied = apply_edits(head.text, wanted, used_ids=self.used_ids(job_id) - ids_of(before) if adds else ())
        after = plain(applied.job)
        self._readings.keep(applied.text, applied.read)
        try:
            return self.library.save(
                job_id, base, applied.text, after, kind="edit", say=changes.told_all(wanted, plain(before), after),
                edits=[edit.model_dump(mode="json", by_alias=True) for edit in wanted], touched=applied.touched,
                who=who, at=self.clock(),
            )  # fmt: skip
        except StaleRevision as stale:
            raise self._stale(job_id, base, self.library.head(job_id), wanted) from stale

    def _touched_since(self, job_id: str, base: int) -> tuple[str, ...]:
        rows = reversed(self.library.history(job_id))
        return tuple(dict.fromkeys(path for row in rows if row.number > base for path in row.touched))

    def _stale(self, job_id: str, base: int, head: Revision, edits: Sequence[Edit]) -> StaleRevision:
        name = self.library.job(job_id).name
        touched = self._touched_since(job_id, base)
        stale = StaleRevision(job=name, base=base, current=head.number, touched=touched)
        if not 1 <= base < head.number:
            return stale
        old = self.library.revision(job_id, base)
        mine = plain(apply_edits(old.text, edits).job)
        then, today = plain(self._readings.read(old.text).job), plain(self._readings.read(head.text).job)
        sides = changes.side_by_side(edits, stale.touched, then, mine, today)
        return changes.StaleEdits(stale, name, sides)

    def undo(self, job_id: str, base: int, who: str = "") -> int:
        """Take back the last save that is not taken back yet, by a new revision; again walks further back.

        Raises:
            NotAllowed: nothing is left to take back.
            StaleRevision: someone saved first.
        """
        stack, _ = self._stacks(job_id)
        if len(stack) < 2:
            raise NotAllowed("app.undo.nothing")
        return self._return_to(job_id, base, stack[-2], stack[-1], "undo", who)

    def redo(self, job_id: str, base: int, who: str = "") -> int:
        """Make again what was taken back last.

        Raises:
            NotAllowed: nothing was taken back since the last other save.
            StaleRevision: someone saved first.
        """
        _, undone = self._stacks(job_id)
        if not undone:
            raise NotAllowed("app.redo.nothing")
        return self._return_to(job_id, base, undone[-1], undone[-1], "redo", who)

    def restore(self, job_id: str, base: int, number: int, who: str = "") -> int:
        """Bring back the text of an earlier revision as a new one; undo takes that back too.

        Raises:
            NotFound: no such revision.
            StaleRevision: someone saved first.
        """
        return self._return_to(job_id, base, number, number, "restore", who)

    def _stacks(self, job_id: str) -> tuple[list[int], list[int]]:
        """The revisions whose texts undo walks back through, and those that redo brings again."""
        stack: list[int] = []
        undone: list[int] = []
        for row in reversed(self.library.history(job_id)):
            if row.kind == "undo":
                undone.append(stack.pop())
            elif row.kind == "redo":
                stack.append(undone.pop())
            else:
                stack.append(row.number)
                undone.clear()
        return stack, undone

    def _return_to(self, job_id: str, base: int, number: int, about: int, kind: Kind, who: str) -> int:
        """A new revision with the text of an earlier one; `about` is the save taken back, made again or restored."""
        earlier = self.library.revision(job_id, number)
        rows = self.library.history(job_id)
        if kind == "restore":
            touched = [path for row in rows if row.number > number for path in row.touched]
            say = said("app.change.restored", revision=number)
        else:
            row = next(row for row in rows if row.number == about)
            touched, say = list(row.touched), Msg(f"app.change.{kind}", {"revision": about, "what": row.say})
            if row.kind == "restore":
                restored = row.edits["text_of"]
                touched = [p for each in rows if restored < each.number <= about for p in each.touched]
        return self.library.save(
            job_id, base, earlier.text, earlier.json, kind=kind, say=say, edits={"text_of": number},
            touched=tuple(dict.fromkeys(touched)), who=who, at=self.clock(),
        )  # fmt: skip

    # --- attachments and job files --------------------------------------------------------------------------------
    def attach(self, job_id: str, data: bytes, media: str, name: str | None = None) -> str:
        """Attach a photo, with its place and all else but the picture stripped, or a recording; its hash.

        Raises:
            UnsafeFile: a kind that is not attached to jobs, or a malformed photo.
        """
        media, kept = parcels.fit_to_keep(data, media, name or media)
        return self.library.attach(job_id, kept, media, name)

    def export_job(self, job_id: str, path: Path, number: int | None = None) -> None:
        """Write a job file, whole or not at all: a zip where the name ends in .zip, else a folder.

        Raises:
            NotAllowed: another ending, or a folder in use.
            NotFound: no such job or revision.
        """
        at = self.clock()
        number = self.library.job(job_id).revision if number is None else number
        parcels.send(parcels.parcel_of(self.library, job_id, number, at), path, at)

    def import_job(self, path: Path, who: str = "") -> Imported:
        """A new job from a job file: a zip, a folder or a bare .toml; blocks that cannot be read stay in its text.

        Raises:
            UnsafeFile: beyond a limit of size, count, ratio, names; or a malformed photo.
            JobUnreadable: no job in it, or changed since its hashes were listed.
        """
        found: list[Imported] = []

        def take(arrived: parcels.Arrived, data_of: Any) -> str:
            bare = path.suffix.lower() == ".toml"  # an archive names its own file
            named = read_job(arrived.text, file=path.name) if bare else None
            read = self._readings.read(arrived.text)
            kept = [
                (name, *parcels.fit_to_keep(data_of(file), media, file)) for file, name, media in arrived.attachments
            ]
            say = said("app.change.imported", file=path.name)
            job_id = self._create(arrived.text, read, say, "import", who, attachments=kept)
            notes = (*read.upgraded, *parcels.told_ignored(arrived.ignored))
            found.append(Imported(job_id, (named or read).problems, read.kept, notes))
            return job_id

        parcels.receive(path, take)
        return found[0]

    # --- signing and closing --------------------------------------------------------------------------------------
    def issue(
        self, job_id: str, revision: int, *, signer: str, license: str, answered: Answered, language: str = "en"
    ) -> Issue:
        """Freeze what is signed: the revision, code book, engine and every answer. `answers.sign` is the way here.

        Raises:
            StaleRevision: the revision is not the current one any more: what was looked at is not what would be signed.
            NotSignable: something bars a signature, or these are the answers of another text.
            NotAllowed: no name or no license number.
        """
        if not signer.strip() or not license.strip():
            raise NotAllowed("app.issue.signer")
        job = self.library.job(job_id)
        if revision != job.revision:
            raise StaleRevision(
                job=job.name, base=revision, current=job.revision, touched=self._touched_since(job_id, revision)
            )
        self._refuse_unsignable(job_id, answered)
        record = Issue(
            job_id, revision, self.clock(), signer.strip(), license.strip(), answered.assessment.book.digest,
            __version__, signing.digest_of(answered.told), dict(answered.told), language,
        )  # fmt: skip
        self.library.issue(record)
        return record

    def _refuse_unsignable(self, job_id: str, answered: Answered) -> None:
        opened, standing = self.open_job(job_id), answered.standing
        if opened.problems:
            raise signing.NotSignable("app.issue.file", count=len(opened.problems), what=opened.problems[0].located)
        if opened.job != answered.job:
            raise signing.NotSignable("app.issue.other")
        if not standing.signable:
            raise signing.NotSignable(
                "app.issue.barred", to_correct=standing.to_correct, to_find=standing.to_find, next=standing.next
            )

    def reopened(self, job_id: str, answers: Mapping[str, str], codebook_hash: str) -> signing.Reopened | None:
        """What was signed last against the answers of now; None where nothing was signed."""
        issues = self.library.issues(job_id)
        if not issues:
            return None
        last = issues[0]
        return signing.Reopened(
            last,
            signing.changed_answers(last.answers, answers),
            self.library.job(job_id).revision - last.revision,
            codebook_hash != last.codebook_hash,
            __version__ != last.engine_version,
        )

    def close_job(self, job_id: str, who: str = "") -> str:
        """Close a job: the house after its work is the house as found of a new one, whose id comes back.

        Raises:
            NotAllowed: already closed, or a block of the work could not be read.
            EditRefused: a work step cannot be done as written.
        """
        head, name = self.library.head(job_id), self.library.job(job_id).name
        text = closing.next_text(self._readings.read(head.text))
        say = said("app.change.follows", name=name)
        return self._create(text, self._readings.read(text), say, "create", who, follows=(job_id, head.number))
