"""Checks of a measured demand: what a recording is worth, sources, the two legs, doubtful readings under the peak."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from deadfront.job.things import EnergyManagement, Source
from deadfront.loads.rules.context import Context
from deadfront.loads.rules.items import Item
from deadfront.loads.rules.measured_evidence import hiding_sources, peak_shaving
from deadfront.loads.rules.measured_figures import demand_interval, recording_name
from deadfront.msg import Msg, said
from deadfront.quantities import point
from deadfront.recordings.answer import Reduction
from deadfront.recordings.marks import DOUBTFUL, Mark
from deadfront.results.loads import Evidence, LoadResult
from deadfront.worksheet.check import Check, Outcome, Severity

DOUBTS = frozenset(mark.name.lower() for mark in Mark if mark & DOUBTFUL and mark.name)


def _severity(result: LoadResult, evidence: Evidence | None = None) -> Severity:
    """It bars a signature where the answer relies on it, and where a recording is still to be reduced."""
    relied = result.relied == "measured" or (evidence is not None and evidence.stale)
    return Severity.CORRECT if relied else Severity.NOTE


def _names(evidence: Evidence) -> str:
    return ", ".join(recording_name(each) for each in evidence.recordings)


def check_measured_evidence(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """Every recording of the service: whether it may stand as the measured demand, and why."""
    chosen = any(each.outcome is Outcome.MEETS for each in result.evidence)
    for evidence in result.evidence:
        key = evidence.outcome.name.lower()
        severity = Severity.NOTE if chosen and not evidence.stale else _severity(result, evidence)
        yield Check(
            "load.measured_evidence",
            evidence.recordings[0].id,
            evidence.outcome,
            severity,
            said(f"check.load.measured_evidence.{key}", recording=_names(evidence), why=evidence.why),
            step=evidence.total,
            missing=evidence.missing if evidence.outcome is Outcome.CANNOT_TELL else (),
            cites=(context.cite("measured_demand"),),
            remedy=said("remedy.load.measured_evidence"),
        )


def check_measured_source(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """A source behind the meter hides demand from a recording, and so does load management."""
    sources: tuple[Source | EnergyManagement, ...] = (*hiding_sources(context), *peak_shaving(context))
    if not result.evidence or not sources:
        return
    barred = context.book.rule("measured_demand").params["peak_shaving"] == "barred"
    names = tuple(_called(each) for each in sources)
    yield Check(
        "load.measured_source",
        sources[0].id,
        Outcome.FAILS if barred else Outcome.CANNOT_TELL,
        _severity(result),
        said(f"check.load.measured_source.{'fails' if barred else 'cannot_tell'}", sources=names),
        cites=(context.cite("measured_demand"),),
        remedy=said("remedy.load.measured_source"),
    )


def _called(thing: Source | EnergyManagement) -> Msg:
    if thing.name:
        return said("thing.named", name=thing.name)
    return said(f"measured.hides.{thing.kind if isinstance(thing, Source) else 'management'}")


def check_measured_larger(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """A recording that may not stand by itself, and yet shows more than those that may: it cannot be passed over."""
    stands = [e.total.value for e in result.evidence if e.total is not None and e.outcome is Outcome.MEETS]
    most = max((value.high for value in stands if value.high is not None), default=None)
    if most is None or any(value.high is None for value in stands):
        return
    for evidence in result.evidence:
        if evidence.outcome is Outcome.MEETS or evidence.total is None or evidence.total.value.low <= most:
            continue
        yield Check(
            "load.measured_larger",
            evidence.recordings[0].id,
            Outcome.CANNOT_TELL,
            _severity(result),
            said("check.load.measured_larger.cannot_tell", recording=_names(evidence),
                 found=point(evidence.total.value.low), counted=point(most)),
            step=evidence.total,
            remedy=said("remedy.load.measured_larger"),
        )  # fmt: skip


def check_measured_split(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """The data of a utility meter are the total of both legs: how it divides between them is not known."""
    for evidence in result.evidence:
        if evidence.both_legs and evidence.basis == "twelve_months":
            yield Check(
                "load.measured_split",
                evidence.recordings[0].id,
                Outcome.CANNOT_TELL,
                Severity.NOTE,
                said("check.load.measured_split.cannot_tell", recording=_names(evidence)),
                remedy=said("remedy.load.measured_split"),
            )


def check_measured_quality(context: Context, items: Sequence[Item], result: LoadResult) -> Iterable[Check]:
    """Whether the peak rests on doubtful readings; nothing is repaired, and the larger figure stands."""
    for evidence in result.evidence:
        for recording, reduction in zip(evidence.recordings, evidence.reductions, strict=True):
            if reduction is None or reduction.demand is None:
                continue
            doubtful = bool(DOUBTS & {*reduction.demand.block.marks, *reduction.demand.sliding.marks})
            outcome = Outcome.CANNOT_TELL if doubtful else Outcome.MEETS
            yield Check(
                "load.measured_quality",
                recording.id,
                outcome,
                Severity.NOTE,
                said(f"check.load.measured_quality.{outcome.name.lower()}", recording=recording_name(recording),
                     **_without(reduction, doubtful)),
                remedy=said("remedy.load.measured_quality"),
            )  # fmt: skip


def _without(reduction: Reduction, doubtful: bool) -> dict[str, object]:
    """The peak with all readings and without doubtful ones, where they differ."""
    if not doubtful or reduction.demand is None:
        return {}
    rest = said("measured.none_left")
    if reduction.undoubted is not None:
        rest = said(f"measured.figure.{reduction.unit.lower()}", amount=demand_interval(reduction.undoubted.block))
    whole = said(f"measured.figure.{reduction.unit.lower()}", amount=demand_interval(reduction.demand.block))
    return {"whole": whole, "rest": rest}


Rule = Callable[[Context, Sequence[Item], LoadResult], Iterable[Check]]
MEASURED_RULES: tuple[Rule, ...] = (
    check_measured_evidence, check_measured_source, check_measured_larger, check_measured_split,
    check_measured_quality,
)  # fmt: skip
