"""The circuit directory filled by the walk: where load steps found a channel, offered for keeping as edits."""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from deadfront.errors import NotAllowed
from deadfront.job.edit import Edit, apply_edits
from deadfront.job.edits import Set, SetOrigin
from deadfront.job.house import HouseAt, house_at
from deadfront.job.metering_things import Channel
from deadfront.job.model import Origin
from deadfront.metering.rules.proof_plan import proof_plan
from deadfront.metering.rules.steps import directory
from deadfront.metering.rules.verdict_words import conductor_said
from deadfront.msg import Msg, said
from deadfront.results.proof import ChannelVerdict, Conductor, ProofPlan
from deadfront.store.archive import as_text
from deadfront.store.files import replace_file
from deadfront.store.trouble import guarded

if TYPE_CHECKING:
    from deadfront.app.answers import Answered


@dataclass(frozen=True, slots=True)
class Offer:
    """What the steps decided of one channel and the plan has otherwise.

    Args:
        channel: Its id.
        found: The conductor it was found on; its leg is "" where the steps do not tell which.
        say: It in words: where it was found, what the plan has.
        edits: What keeps it: whose conductor, its leg, its name where that was the other circuit's, and their origin.
    """

    channel: str
    found: Conductor
    say: Msg
    edits: tuple[Edit, ...]


def offers(answered: Answered, verdicts: Sequence[ChannelVerdict]) -> tuple[Offer, ...]:
    """What of a proved walk can be kept; nothing for a channel that sits where it is planned, or is not decided."""
    found = answered.assessment
    plan = proof_plan(found.book, found.at)
    placed = directory(verdicts)
    channels = {each.id: each for each in found.at.house.channels}
    offered = (_offer(found.at, plan, channels[ident], where) for ident, where in placed.items() if ident in channels)
    return tuple(each for each in offered if each is not None)


def _offer(at: HouseAt, plan: ProofPlan, channel: Channel, where: Conductor) -> Offer | None:
    fields = dict(_fields(at, plan, channel, where))
    if not fields:
        return None
    edits: list[Edit] = [Set(path=at.path(channel, field), value=value) for field, value in fields.items()]
    edits += [SetOrigin(origin=Origin(of=at.path(channel, field), **{"from": "measured"}))
              for field in fields if field != "name"]  # fmt: skip
    own = next(each for each in plan.channels if each.id == channel.id)
    was = conductor_said(plan, own.conductor) if own.conductor else said("proof.keep.none")
    say = said("proof.keep.offer", name=own.name, placed=conductor_said(plan, where), was=was)
    return Offer(channel.id, where, say, tuple(edits))


def _fields(at: HouseAt, plan: ProofPlan, channel: Channel, where: Conductor) -> Iterator[tuple[str, str]]:
    """Facts of a channel that the steps found otherwise."""
    if channel.measures != where.of:
        yield "measures", where.of
        names = {each.id: each.name for each in at.house.circuits}
        old, new = names.get(channel.measures or ""), names.get(where.of)
        if channel.name and new and channel.name == old:
            yield "name", new
    if where.leg and channel.leg != where.leg:
        yield "leg", where.leg


def keep_in_file(path: Path, answered: Answered, offered: Sequence[Offer]) -> None:
    """Write what is offered into a job file, all of it or nothing.

    Raises:
        NotAllowed: no job file; the job changed meanwhile; or a step of the work sets the same facts.
        EditRefused: the job would be broken.
    """
    if path.suffix.lower() != ".toml" or not path.is_file():
        raise NotAllowed("proof.keep.where", job=path.name)
    with guarded(path):
        before = as_text(path.read_bytes(), path.name)
    after = kept_text(before, answered, offered, path.name)
    with guarded(path):
        if as_text(path.read_bytes(), path.name) != before:
            raise NotAllowed("app.recording.job_changed", job=path.name)

        def fill(temp: Path) -> None:
            temp.write_bytes(after.encode("utf-8"))
            shutil.copymode(path, temp)

        replace_file(path, fill)


def edits_of(offered: Sequence[Offer]) -> list[Edit]:
    """All edits of what is kept, in order: for a library or a page to make."""
    return [edit for each in offered for edit in each.edits]


def kept_text(text: str, answered: Answered, offered: Sequence[Offer], file: str = "job.toml") -> str:
    """A job file with what is offered kept.

    Raises:
        NotAllowed: a step of the work sets the same facts anew, so that keeping would not show.
        EditRefused: the job would be broken.
    """
    applied = apply_edits(text, edits_of(offered), file=file)
    there = {each.id: each for each in house_at(applied.job, answered.assessment.at.step).house.channels}
    for each in offered:
        now = there[each.channel]
        if now.measures != each.found.of or (each.found.leg and now.leg != each.found.leg):
            raise NotAllowed("proof.keep.by_work", id=each.channel)
    return applied.text
