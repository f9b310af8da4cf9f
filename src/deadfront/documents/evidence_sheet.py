"""The measured demand as a Sheet: the arithmetic, what was recorded, its peak, what follows, how good it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, tzinfo
from decimal import Decimal
from zoneinfo import ZoneInfo

from deadfront.documents import plots
from deadfront.documents.catalog import Catalog
from deadfront.documents.evidence_holds import holds
from deadfront.documents.load_sheet import final_step
from deadfront.job.things import Recording
from deadfront.loads.rules.measured_figures import demand_interval, recording_name
from deadfront.msg import Msg, said
from deadfront.quantities import dec, point
from deadfront.recordings.answer import WINDOW_S, Month, Peak, Reduction
from deadfront.results.loads import Evidence, LoadResult, Method
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Figure,
    Findings,
    Heading,
    Paragraph,
    Picture,
    Sheet,
    SheetHead,
    Table,
    Working,
)
from deadfront.worksheet.step import Step

PREFIX = "load.measured_"
# A condition of the rule that no recording shows: the service is protected as its conductors need.
ALSO = ("load.service_conductors",)
TIMES = ("start", "end", "date", "clock", "clock_end")
COUNTS = ("out_of_order", "same_twice", "other_twice", "resets", "without_length")


def evidence_sheet(
    result: LoadResult, head: SheetHead, catalog: Catalog, origins: Mapping[str, Msg] | None = None
) -> Sheet | None:
    """What a measured demand stands on, for the inspector; None where no recording is registered.

    Args:
        result: The answer of the load stage, with its evidence.
        head: What stands on top of the page.
        catalog: The language of the words inside pictures.
        origins: Where facts come from, by their path.
    """
    if not result.evidence:
        return None
    method, known = result.method("measured"), {**_recorded(result), **(origins or {})}
    blocks: list[Block] = [_answer(result)]
    blocks.append(Findings(tuple(c for c in result.checks if c.id.startswith(PREFIX) or c.id in ALSO)))
    if method is not None and method.amperes is not None:
        blocks += [Heading(said("sheet.evidence.worked")), Working(final_step(method), (), known)]
    for evidence in result.evidence:
        for recording, reduction in zip(evidence.recordings, evidence.reductions, strict=True):
            blocks += _recording(recording, reduction, evidence, method, catalog)
        blocks += _figures(evidence, known)
    blocks.append(Caution("notice", said("sheet.evidence.not_revenue")))
    blocks.append(Caution("notice", said("sheet.evidence.authority")))
    found = [c for check in result.checks if check.id.startswith(PREFIX) or check.id in ALSO for c in check.cites]
    found += method.amperes.all_cites() if method is not None and method.amperes is not None else ()
    cites = tuple(dict.fromkeys(found))
    return Sheet("evidence", said("sheet.evidence.title"), head, tuple(blocks), cites)


def _answer(result: LoadResult) -> Answer:
    question, method = said("sheet.evidence.question"), result.method("measured")
    if method is None or method.admissible is not Outcome.MEETS or method.amperes is None:
        outcome = Outcome.CANNOT_TELL if method is None else method.admissible
        why = said("load.may.no_recording") if method is None else method.why
        return Answer(question, said(f"sheet.evidence.answer.{outcome.name.lower()}", why=why), outcome)
    load = Figure(final_step(method).value, "A")
    key = {Outcome.MEETS: "meets", Outcome.FAILS: "too_much"}.get(method.verdict, "open")
    words = said(f"sheet.evidence.answer.{key}", load=load, limit=result.limit.told, why=method.why)
    return Answer(question, words, method.verdict)


def _recording(
    recording: Recording, reduction: Reduction | None, evidence: Evidence, method: Method | None, catalog: Catalog
) -> Iterator[Block]:
    yield Heading(said("sheet.evidence.recording", recording=recording_name(recording)))
    if reduction is None:
        yield Paragraph(said("sheet.evidence.answer.cannot_tell", why=evidence.why))
        return
    yield Table(_names("what", "said"), tuple(_source(recording, reduction)), key="recording")
    yield Heading(said("sheet.evidence.peak"))
    rows = tuple(_peaks(reduction, zone_of(recording)))
    yield Table(_names("peak", "figure", "when", "marks"), rows, (1,), key="peaks")
    yield Heading(said("sheet.evidence.holding"))
    yield Table(_names("about", "holds"), tuple(holds(recording, reduction, evidence, method)), key="holds")
    yield from _pictures(reduction, zone_of(recording), catalog)
    yield Heading(said("sheet.evidence.quality"))
    yield Table(_names("found", "readings"), tuple(_quality(reduction)), (1,), key="quality")
    yield Paragraph(said("sheet.evidence.not_repaired"))


def _recorded(result: LoadResult) -> dict[str, Msg]:
    """Figures read out of a recording come from the recording: by the path of its checksum."""
    steps = [step for evidence in result.evidence for step in (*evidence.figures, evidence.total) if step is not None]
    return {path: said("origin.recorded") for step in steps for path in _paths(step) if path.endswith(".sha256")}


def _paths(step: Step) -> Iterator[str]:
    yield step.path
    for each in step.args:
        yield from _paths(each)


def _figures(evidence: Evidence, origins: Mapping[str, Msg]) -> Iterator[Block]:
    """Load factor and diversity: beside the demand, in no total."""
    if evidence.figures:
        yield Heading(said("sheet.evidence.beside"))
    above: tuple[Step, ...] = ()
    for step in evidence.figures:
        yield Working(step, above, origins)
        above = (*above, step)


def _names(*keys: str) -> tuple[Msg, ...]:
    return tuple(said(f"sheet.evidence.column.{key}") for key in keys)


def _percent(share: float) -> int:
    return int(share * 100)


def _source(recording: Recording, reduction: Reduction) -> Iterator[tuple[Cell, ...]]:
    def row(key: str, cell: Cell) -> tuple[Cell, ...]:
        return said(f"sheet.evidence.row.{key}"), cell

    quality, coverage = reduction.quality, reduction.coverage
    yield row("file", said("sheet.evidence.file", file=recording.file or "", sha=_grouped(reduction.provenance.sha256)))
    channels = tuple(reduction.provenance.channels)
    yield row("channels", said("sheet.evidence.channels", channels=channels, form=reduction.provenance.form))
    yield row("mapping", mapping_words(recording, reduction))
    measures = (recording.measures or "unknown").replace(" ", "_").lower()
    yield row("measures", said(f"sheet.evidence.measures.{measures}"))
    if recording.taken is not None:
        yield row("taken", said(f"sheet.evidence.taken.{recording.taken}"))
    zone = zone_of(recording)
    first, last = _day(quality.first_s, zone), _day(quality.last_s - 1, zone)
    yield row("span", said("sheet.evidence.span", first=first, last=last, days=int(coverage.span_days)))
    yield row("step", said("sheet.evidence.step", minutes=dec(Decimal(reduction.step_s) / 60).normalize()))
    yield row("share", said("sheet.evidence.share", share=_percent(coverage.share),
                            undoubted=_percent(coverage.share_undoubted), gaps=quality.gaps.count))  # fmt: skip
    thin = tuple(f"{each.year}-{each.month:02}" for each in _thin(quality.months))
    months = said("sheet.evidence.months_thin", months=thin) if thin else said("sheet.evidence.months_full")
    yield row("months", months)


def _thin(months: tuple[Month, ...]) -> Iterator[Month]:
    """Months with many readings missing or doubtful; those that the recording only begins or ends in, by their part."""
    for at, each in enumerate(months):
        edge = at in (0, len(months) - 1)
        if each.share_undoubted < 0.9 * (each.share if edge else 1):
            yield each


def mapping_words(recording: Recording, reduction: Reduction) -> Msg:
    """What the columns were said to mean, in words: time, clock, figures."""
    meant = recording.mapping
    if meant is None:
        return said("sheet.evidence.mapping_itself")
    columns = meant.get("columns", [])
    values = tuple(_with_unit(str(c.get("at")), str(c.get("unit") or "?")) for c in columns if c.get("use") == "value")
    times = tuple(str(c.get("at")) for c in columns if c.get("use") in TIMES)
    stamps = said(f"sheet.evidence.stamps.{meant.get('stamps', 'start')}")
    return said("sheet.evidence.mapping", values=values, times=times, zone=str(meant.get("zone", "")), stamps=stamps)


def _with_unit(column: str, unit: str) -> str:
    """A column with its unit, unless its heading says it already."""
    return column if f"({unit})" in column else f"{column} ({unit})"


def _quality(reduction: Reduction) -> Iterator[tuple[Cell, ...]]:
    quality = reduction.quality
    yield said("sheet.evidence.readings"), Figure(point(quality.readings), "")
    yield said("sheet.evidence.undoubted"), Figure(point(quality.undoubted), "")
    for finding in quality.findings:
        yield said(f"recordings.mark.{finding.mark}"), Figure(point(finding.readings), "")
    for name in COUNTS:
        if count := getattr(quality, name):
            yield said(f"sheet.evidence.count.{name}"), Figure(point(count), "")


def _peaks(reduction: Reduction, zone: tzinfo) -> Iterator[tuple[Cell, ...]]:
    every = (("all", reduction.demand), ("undoubted", reduction.undoubted))
    for which, demand in every:
        if demand is None:
            continue
        for key in ("block", "sliding"):
            peak: Peak = getattr(demand, key)
            marks = tuple(said(f"recordings.mark.{mark}") for mark in peak.marks)
            figure = Figure(demand_interval(peak), reduction.unit)
            which_peak = said(f"sheet.evidence.peak_of.{key}_{which}")
            yield which_peak, figure, _time(peak.start_s, zone), said("sheet.evidence.marks", marks=marks)


def _pictures(reduction: Reduction, zone: tzinfo, catalog: Catalog) -> Iterator[Block]:
    unit, coarse = reduction.unit, "_coarse" if reduction.step_s > WINDOW_S else ""
    minutes = dec(Decimal(reduction.step_s) / 60).normalize()
    if reduction.duration:
        caption = said(f"sheet.evidence.duration{coarse}", minutes=minutes)
        yield Picture(plots.duration_plot(reduction.duration, unit, catalog), caption)
    if reduction.days:
        doubts = [(s.first_s, s.last_s) for f in reduction.quality.findings if f.mark in plots.DOUBTS for s in f.spans]
        most = max((v for day in reduction.days for v in day.largest if v is not None), default=0.0)
        amount = said(f"measured.figure.{unit.lower()}", amount=demand_interval(Peak(most, most, 0, ("valid",))))
        bars = said("sheet.evidence.bars" if doubts else "sheet.evidence.no_bars")
        caption = said(f"sheet.evidence.day_hours{coarse}", most=amount, bars=bars, minutes=minutes)
        yield Picture(plots.day_hours_plot(reduction.days, catalog, doubts, zone), caption)
    if reduction.peak_week:
        count = sum(bool(plots.DOUBTS & set(point.marks)) for point in reduction.peak_week)
        told = {"count": count, "quarters": len(reduction.peak_week), "minutes": minutes}
        caption = said(f"sheet.evidence.week{coarse}", **told)
        yield Picture(plots.week_plot(reduction.peak_week, unit, zone, catalog), caption)


def _grouped(checksum: str) -> str:
    """A checksum in groups of eight, so that it breaks and can be read out."""
    return " ".join(checksum[at : at + 8] for at in range(0, len(checksum), 8))


def zone_of(recording: Recording) -> tzinfo:
    """The clock of the house's place as the mapping says; UTC where it does not, and said so beside each time."""
    name = str((recording.mapping or {}).get("zone") or "UTC")
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return UTC


def _day(seconds: int, zone: tzinfo) -> str:
    return datetime.fromtimestamp(seconds, zone).date().isoformat()


def _time(seconds: int, zone: tzinfo) -> str:
    return datetime.fromtimestamp(seconds, zone).strftime("%Y-%m-%d %H:%M %Z")
