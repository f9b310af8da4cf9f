"""Closing a job: the house after the work becomes the house as found of the next."""

from __future__ import annotations

from deadfront.errors import NotAllowed
from deadfront.job.house import house_at, things
from deadfront.job.model import Choices, Job, Origin
from deadfront.job.read import ReadJob
from deadfront.job.write import write_job

KEPT_SCOPES = ("job", "choices")


def next_text(read: ReadJob) -> str:
    """The text of the job that follows.

    Tags and work are gone; facts, their origins, amendments and named assumptions stay: an assumption is not made
    true by the work. The permit and the method relied on belonged to the old job, and so do its tests, its
    torque log and its corrections: what was measured then is no reading of today. Instruments stay.

    Raises:
        NotAllowed: a block of the work could not be read, so that nobody knows the house after it.
        EditRefused: a work step cannot be done as written.
    """
    lost = [block for block in read.kept if block.place[:1] == ("work",)]
    if lost:
        raise NotAllowed("app.close.unreadable_work", count=len(lost), lines=tuple(block.line for block in lost))
    job = read.job
    house = house_at(job).house.model_copy(update={"records": (), "torques": (), "corrections": ()})
    there = {thing.id for _, thing in things(house)} | {"service", "complete"}
    following = Job(
        job=job.job.model_copy(update={"permit": "", "existing": True}),
        before=house,
        choices=Choices(readings=job.choices.readings),
        assumptions=job.assumptions,
        amendments=job.amendments,
        origins=carried(job, there),
    )
    return write_job(following, read.kept)


def carried(job: Job, there: set[str]) -> tuple[Origin, ...]:
    """Origins of what is still there, by its new path; what a later step said of a fact wins."""
    steps = {step.id: number for number, step in enumerate(job.work, 1)}
    found: dict[str, tuple[int, Origin]] = {}
    for origin in job.origins:
        scope, _, rest = origin.of.partition("/")
        if not rest:
            if scope.partition(".")[0] in KEPT_SCOPES:
                found[origin.of] = (0, origin)
            continue
        path, rank = f"before/{rest}", steps.get(scope, 0)
        if rest.partition(".")[0] in there and rank >= found.get(path, (0, origin))[0]:
            found[path] = (rank, origin.model_copy(update={"of": path}))
    return tuple(origin for _, origin in found.values())
