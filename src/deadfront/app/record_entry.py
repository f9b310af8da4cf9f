"""Test records, the torque log and corrections as typed, field by field: saved in order, each once, nothing over-typed.

A field comes with what stood there when it was typed. Where that still stands, or the new text stands already, it is
taken; where someone else typed another, both are shown and theirs stays until it is decided. So a change may be sent
twice, or an hour later.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from deadfront.app import record_fields
from deadfront.errors import NotAllowed
from deadfront.job.ids import Chance, new_id
from deadfront.job.model import Job
from deadfront.job.things import COLLECTIONS, Thing
from deadfront.msg import Msg
from deadfront.store.trouble import StaleRevision

if TYPE_CHECKING:
    from deadfront.app.library import Desk, OpenJob

PREFIX = {"records": "rec", "torques": "tq", "corrections": "cor"}
KEYS = {"records": ("test", "thing", "stage"), "torques": ("thing", "terminal"), "corrections": ()}
"""What a thing is found by where its id is not known yet: one test of one thing at one stage, one terminal."""
MOST = 2000
TRIES = 5


@dataclass(frozen=True, slots=True)
class Sent:
    """One field as typed.

    Args:
        of: "records", "torques" or "corrections".
        id: Of its entry: one that is there, or the one a new entry is to have.
        key: What it is an entry of: test, thing, stage; thing, terminal.
        name: The field: "who", "readings.l1_n".
        value: As typed; "" clears it.
        was: What stood there before, as far as the page knew; every text it has sent since.
        soft: Filled in by the page itself: taken only where nothing stands.
        again: One more entry of the same, beside those that are there.
    """

    of: str
    id: str
    key: Mapping[str, str]
    name: str
    value: str
    was: tuple[str, ...] = ("",)
    soft: bool = False
    again: bool = False


@dataclass(frozen=True, slots=True)
class Saved:
    """What became of the fields sent.

    Args:
        revision: The revision that stands now.
        ids: Id of each entry, by the id it was sent with.
        clashes: Fields that someone else changed meanwhile, with what stands there.
        refused: Fields that cannot be, with why.
    """

    revision: int
    ids: Mapping[str, str] = field(default_factory=dict)
    clashes: tuple[tuple[Sent, str], ...] = ()
    refused: tuple[tuple[Sent, Msg], ...] = ()


@dataclass
class _Entry:
    """An entry as it stands, and as it is to be."""

    scope: str
    id: str
    there: Thing | None
    now: dict[str, str]
    wanted: dict[str, str] = field(default_factory=dict)


def save(
    desk: Desk, job_id: str, sent: Sequence[Sent], who: str = "", opened: OpenJob | None = None
) -> Saved:  # fmt: skip
    """Take fields as typed, in their order, as one revision; none where nothing changes.

    Args:
        opened: The job as it was opened just now; where it has moved on since, it is opened again.

    Raises:
        NotAllowed: too many at once, or a kind that is none.
        EditRefused: the job takes no such entry.
    """
    if len(sent) > MOST:
        raise NotAllowed("app.records.many", most=MOST)
    wrong = next((each.of for each in sent if each.of not in PREFIX), None)
    if wrong is not None:
        raise NotAllowed("app.records.kind", found=wrong[:40], allowed=tuple(PREFIX))
    for attempt in range(TRIES):
        opened = opened if opened is not None and not attempt else desk.open_job(job_id)
        made = _Merge(opened.job, lambda: desk.used_ids(job_id), desk.rng)
        for each in sent:
            made.take(each)
        edits = made.edits()
        if not edits:
            return made.saved(opened.revision)
        try:
            return made.saved(desk.apply(job_id, opened.revision, edits, who))
        except StaleRevision:
            if attempt == TRIES - 1:
                raise
    raise AssertionError("not reached")


def scope_of(job: Job, of: str, stage: str) -> str:
    """Where a new entry goes: what is left, tightened and corrected into the last step of the work, else as found."""
    return job.work[-1].id if job.work and not (of == "records" and stage == "as found") else "before"


class _Merge:
    """Fields merged one after another into the entries of a job."""

    def __init__(self, job: Job, used: Callable[[], set[str]], chance: Chance) -> None:
        self.job, self.look_up, self.chance = job, used, chance
        self.entries: dict[tuple[str, str], _Entry] = {}
        self.clashes: list[tuple[Sent, str]] = []
        self.refused: list[tuple[Sent, Msg]] = []

    @cached_property
    def used(self) -> set[str]:
        """Ids that are taken; looked up when a new entry is made."""
        return self.look_up()

    def take(self, sent: Sent) -> None:
        value, more, wrong = record_fields.cleaned(self.job, sent.of, sent.key.get("test", ""), sent.name, sent.value)
        if wrong is not None:
            self.refused.append((sent, wrong))
            return
        entry = self._entry(sent)
        now = entry.now.get(sent.name, "")
        if now == value or (sent.soft and now):
            return
        was = {record_fields.cleaned(self.job, sent.of, sent.key.get("test", ""), sent.name, each)[0]
               for each in sent.was}  # fmt: skip
        if not sent.soft and now not in was:
            self.clashes.append((sent, now))
            return
        entry.now[sent.name] = entry.wanted[sent.name] = value
        for name, text in more.items():
            if not entry.now.get(name):
                entry.now[name] = entry.wanted[name] = text

    def _entry(self, sent: Sent) -> _Entry:
        held = self.entries.get((sent.of, sent.id))
        if held is None:
            held = self._found(sent)
            if held is None:
                held = _Entry(scope_of(self.job, sent.of, sent.key.get("stage", "")), self._new_id(sent), None, {})
                stage = "as left" if held.scope == "before" and sent.key.get("stage") == "as left" else ""
                fields = {name: sent.key.get(name, "") for name in KEYS[sent.of] if name != "stage"}
                held.wanted = {**fields, **({"stage": stage} if stage else {})}
            self.entries[(sent.of, sent.id)] = held
        return held

    def _found(self, sent: Sent) -> _Entry | None:
        best: _Entry | None = None
        for scope, thing in _all(self.job, sent.of):
            if thing.id == sent.id:
                return _Entry(scope, thing.id, thing, record_fields.texts(thing))
            if KEYS[sent.of] and not sent.again and _same(self.job, scope, thing, sent):
                best = _Entry(scope, thing.id, thing, record_fields.texts(thing))  # the last one entered
        return best

    def _new_id(self, sent: Sent) -> str:
        wanted = record_fields.is_id(sent.id, PREFIX[sent.of]) and sent.id not in self.used
        ident = sent.id if wanted else new_id(PREFIX[sent.of], self.used, self.chance)
        self.used.add(ident)
        return ident

    def edits(self) -> list[dict[str, Any]]:
        """The edits that bring every entry to what is wanted."""
        made: list[dict[str, Any]] = []
        for (of, _), entry in self.entries.items():
            if entry.there is None and not any(name not in KEYS[of] for name in entry.wanted):
                continue
            values = record_fields.values(of, entry.wanted, entry.now)
            if entry.there is None:
                known = {name: value for name, value in values.items() if value not in (None, {}, [])}
                made.append({"do": "add", "step": entry.scope, "collection": of, "thing": {"id": entry.id, **known}})
                continue
            path = f"{entry.scope}/{entry.id}"
            made += [
                {"do": "set", "path": f"{path}.{name}", "value": None if value in ("", [], {}) else value}
                for name, value in values.items()
            ]
        return made

    def saved(self, revision: int) -> Saved:
        """What became of all."""
        ids = {sent: entry.id for (_, sent), entry in self.entries.items()}
        return Saved(revision, ids, tuple(self.clashes), tuple(self.refused))


def _all(job: Job, of: str) -> list[tuple[str, Thing]]:
    assert of in COLLECTIONS
    return [("before", each) for each in getattr(job.before, of)] + [
        (step.id, each) for step in job.work for each in getattr(step.add, of)
    ]


def _same(job: Job, scope: str, thing: Thing, sent: Sent) -> bool:
    """Whether an entry is of the same test, thing and stage; of the same terminal."""
    for name in KEYS[sent.of]:
        found = getattr(thing, name) or ""
        if name == "stage":
            found = found or ("as found" if scope == "before" else "as left")
        if found.casefold() != sent.key.get(name, "").casefold():
            return False
    return True
