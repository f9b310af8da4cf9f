"""The recordings of a job as a page: each with its figures, a file sent up, what is done in the background."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, tzinfo
from decimal import Decimal
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from deadfront.app.asked import Run
from deadfront.app.recordings import to_reduce
from deadfront.documents.catalog import Catalog
from deadfront.errors import NotAllowed, NotFound
from deadfront.loads.rules.measured_figures import demand_interval
from deadfront.quantities import dec
from deadfront.web.desk import AtJob
from deadfront.web.entry.places import struck_out, things_of
from deadfront.web.recording_contexts import RecordingsPage, RunPart
from deadfront.web.recording_pieces import IncomingLine, RecordingLine, RunLine
from deadfront.web.shell import shell_of

if TYPE_CHECKING:
    from deadfront.app.tray import Incoming
    from deadfront.job.things import Recording
    from deadfront.recordings.answer import Peak, Reduction

COUNTS = ("out_of_order", "same_twice", "other_twice", "resets", "without_length")
KINDS = ("read", "reduce")
MEGA, GIGA = 1_000_000, 1_000_000_000


def recordings_page(at: AtJob, trouble: str = "") -> RecordingsPage:
    """Everything the page of the recordings shows."""
    lines, run = recording_lines(at), _own_run(at)
    incoming, most = at.web.tray.of(at.id), at.web.settings.max_recording_bytes
    count = len(lines)
    answer = at.catalog.key("web.recording.answer", count=count) if count else at.catalog.key("web.recording.none")
    reading = run is not None and run.underway
    return RecordingsPage(
        shell_of(at, "load"), answer, lines, None if run is None else run_line(at, run),
        None if incoming is None or reading else incoming_line(incoming, at.catalog),
        size_text(most, at.catalog), most, sum(bool(line.stale) for line in lines), trouble,
    )  # fmt: skip


def run_part(at: AtJob) -> RunPart:
    """How far it is.

    Raises:
        NotFound: nothing was asked for.
    """
    run = _own_run(at)
    if run is None:
        raise NotFound("web.not_found")
    return RunPart(at.id, run_line(at, run))


def _own_run(at: AtJob) -> Run | None:
    """What is done with recordings in the background, or was last; not what other pages asked for."""
    run = at.web.runs.of(at.id)
    return run if run is not None and run.kind in KINDS else None


def incoming_line(incoming: Incoming, catalog: Catalog) -> IncomingLine:
    """A file sent up."""
    return IncomingLine(incoming.name, size_text(incoming.size, catalog))


def size_text(size: int, catalog: Catalog) -> str:
    """A number of bytes in words: "12.4 MB"."""
    large = size >= GIGA
    amount = (Decimal(size) / (GIGA if large else MEGA)).quantize(Decimal("0.1"))
    if not amount and size:
        amount = Decimal("0.1")
    return catalog.key("web.recording.size." + ("giga" if large else "mega"), amount=amount)


# --- the list -----------------------------------------------------------------------------------------------------
def recording_lines(at: AtJob) -> tuple[RecordingLine, ...]:
    """The recordings of a job with what they come to."""
    return tuple(_line(at, line.thing) for line in things_of(at.job, "recordings"))  # type: ignore[arg-type]


def _line(at: AtJob, recording: Recording) -> RecordingLine:
    say, reduction = at.catalog.key, at.opened.measured.get(recording.id)
    name = recording.name or recording.file or recording.id
    told = [say(f"sheet.evidence.measures.{(recording.measures or 'unknown').replace(' ', '_').lower()}")]
    if recording.taken:
        told.append(say(f"web.recording.taken.{recording.taken}"))
    told.append(say("web.recording.occupied." + {None: "unknown", True: "yes", False: "no"}[recording.occupied]))
    if reduction is None:
        stale = "web.recording.no_file" if recording.sha256 is None else "web.recording.stale"
        return RecordingLine(recording.id, name, " · ".join(told), stale=say(stale))
    block, sliding = peaks(reduction, zone_of(recording), at.catalog)
    marks = tuple(marks_of(reduction, at.catalog))
    span = span_of(reduction, zone_of(recording), at.catalog)
    return RecordingLine(recording.id, name, " · ".join(told), span, block, sliding, marks)


def zone_of(recording: Recording) -> tzinfo:
    """The clock of the house's place as the mapping says, else UTC."""
    try:
        return ZoneInfo(str((recording.mapping or {}).get("zone") or "UTC"))
    except (KeyError, ValueError, OSError):
        return UTC


def span_of(reduction: Reduction, zone: tzinfo, catalog: Catalog) -> str:
    """From when to when, and how completely."""
    quality, coverage = reduction.quality, reduction.coverage
    first, last = (f"{datetime.fromtimestamp(at, zone):%Y-%m-%d}" for at in (quality.first_s, quality.last_s))
    minutes = dec(Decimal(reduction.step_s) / 60).normalize()
    return catalog.key(
        "web.recording.span", first=first, last=last, days=int(coverage.span_days), share=int(coverage.share * 100),
        minutes=minutes,
    )  # fmt: skip


def peaks(reduction: Reduction, zone: tzinfo, catalog: Catalog) -> tuple[str, str]:
    """Largest quarter hour on the clock, and beginning at any time, each with its moment."""
    if reduction.demand is None:
        none = catalog.key("measured.none_left")
        return none, none

    def told(peak: Peak) -> str:
        amount = catalog.quantity(demand_interval(peak), reduction.unit)
        at = f"{datetime.fromtimestamp(peak.start_s, zone):%Y-%m-%d %H:%M %Z}"
        return catalog.key("web.recording.peak", amount=amount, at=at)

    return told(reduction.demand.block), told(reduction.demand.sliding)


def marks_of(reduction: Reduction, catalog: Catalog) -> Iterator[str]:
    """What was found in the readings, counted; never nothing."""
    quality = reduction.quality
    yield catalog.key("web.recording.readings", count=quality.readings, free=quality.undoubted)
    for finding in quality.findings:
        name = catalog.key(f"recordings.mark.{finding.mark}")
        yield catalog.key("web.recording.mark", name=name, count=finding.readings)
    for each in COUNTS:
        if found := getattr(quality, each):
            name = catalog.key(f"sheet.evidence.count.{each}")
            yield catalog.key("web.recording.mark", name=name, count=found)
    if quality.gaps.count:
        yield catalog.key("web.recording.mark", name=catalog.key("web.recording.gaps"), count=quality.gaps.count)


# --- what is done in the background -------------------------------------------------------------------------------
def run_line(at: AtJob, run: Run) -> RunLine:
    """A run in words: how far it is, or how it ended and what to do."""
    say = at.catalog.key
    percent = min(int(run.done * 100 / run.size), 100) if run.size else 0
    status = "working" if run.status == "running" and run.size and run.done >= run.size else run.status
    sentence = say(f"web.recording.run.{run.kind}.{status}", file=run.about)
    more: tuple[str, ...] = ()
    if run.underway and run.size:
        done, size = size_text(min(run.done, run.size), at.catalog), size_text(run.size, at.catalog)
        more = (say("web.recording.run.so_far", done=done, size=size, percent=percent),)
    elif run.status == "failed" and run.trouble is not None:
        more = (at.catalog.say(run.trouble),)
    elif run.status == "done" and run.kind == "read":
        more = _figures(at, str(run.outcome))
    elif run.status == "done" and run.outcome:
        more = (say("web.recording.run.left", count=len(run.outcome)),)
    return RunLine(run.kind, run.about, run.status, run.underway, sentence, more, percent)


def _figures(at: AtJob, ident: str) -> tuple[str, ...]:
    """What a recording just read comes to; nothing where it was removed since. The list tells it all."""
    line = next((each for each in recording_lines(at) if each.ident == ident and not each.stale), None)
    if line is None:
        return ()
    say = at.catalog.key
    told = (say("web.recording.on_clock", peak=line.block), say("web.recording.any_time", peak=line.sliding))
    return *told, line.marks[0]


# --- changing -----------------------------------------------------------------------------------------------------
def reduce_all(at: AtJob) -> None:
    """Reduce the stale recordings of a job again, in the background.

    Raises:
        NotAllowed: something is still underway, or none is stale.
    """
    from deadfront.app.recordings import reduce_again

    desk, job_id, stale = at.web.desk, at.id, to_reduce(at.opened)
    if not stale:
        raise NotAllowed("web.recording.none_stale")
    hashes = {each.sha256 for each in stale}
    size = sum(row.size for row in desk.library.attachments(job_id) if row.hash in hashes)
    about = at.catalog.joined([each.name or each.file or each.id for each in stale])
    at.web.runs.start(
        "reduce",
        job_id,
        lambda tell, stop: reduce_again(desk, job_id, progress=tell, stop=stop),
        about=about,
        size=size,
    )


def strike_out(at: AtJob, ident: str, base: int) -> None:
    """Strike out a recording; its file stays in the library, so that this can be undone.

    Raises:
        NotFound: no such recording.
        StaleRevision: someone saved first.
    """
    line = next((each for each in things_of(at.job, "recordings") if each.thing.id == ident), None)
    if line is None:
        raise NotFound("web.not_found")
    at.web.desk.apply(at.id, base, [struck_out(line)], at.who)
