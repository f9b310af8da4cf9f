"""The measured demand of an existing service: the largest quarter hour recorded, a quarter more, and what is new."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from deadfront.errors import EditionNotEncoded
from deadfront.job.things import Recording
from deadfront.loads.rules.context import POWER_FACTOR_085, Context
from deadfront.loads.rules.evse import evse_demand
from deadfront.loads.rules.hvac import heat_pump_heat
from deadfront.loads.rules.items import Item, of
from deadfront.loads.rules.measured_evidence import judged, missing_of, paired
from deadfront.loads.rules.measured_figures import demand_range, figures_of, recording_name
from deadfront.loads.rules.volts import service_volts
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, Interval, point
from deadfront.recordings.answer import Reduction
from deadfront.results.loads import Evidence, Reading
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

RULE = "measured_demand"
LOW_POWER_FACTOR = Decimal("0.85")


def evidence_of(context: Context) -> tuple[Evidence, ...]:
    """Every recording of the service with what it is worth; none where this edition's rule is not held."""
    try:
        context.book.rule(RULE)
    except EditionNotEncoded:
        return ()
    return tuple(_with_figures(context, _with_total(context, judged(context, each))) for each in paired(context))


def _with_total(context: Context, evidence: Evidence) -> Evidence:
    reductions = [each for each in evidence.reductions if each is not None and each.demand is not None]
    if len(reductions) < len(evidence.recordings) or evidence.recordings[0].measures is None:
        return evidence
    if evidence.both_legs and reductions[0].unit == "A":
        return evidence
    return replace(evidence, total=_demand(context, evidence, reductions))


def _with_figures(context: Context, evidence: Evidence) -> Evidence:
    pairs = zip(evidence.recordings, evidence.reductions, strict=True)
    figures = [figures_of(context, recording, found) for recording, found in pairs if found is not None]
    return replace(evidence, figures=tuple(step for each in figures for step in each))


def _recorded(context: Context, recording: Recording, reduction: Reduction) -> Step:
    """The largest quarter hour of a recording in its own unit, by the reading of where a quarter hour begins."""
    assert reduction.demand is not None
    ident, path, cite = f"measured/{recording.id}", context.at.path(recording, "sha256"), context.cite(RULE)
    options = {
        name: build.fact(
            f"{ident}/{name}", f"measured.{name}", demand_range(reduction.demand, peak), reduction.unit, path, cite=cite
        )
        for name, peak in (
            ("clock_quarter_hours", reduction.demand.block),
            ("any_quarter_hour", reduction.demand.sliding),
        )
    }
    reading = context.reading(RULE)
    name = said("measured.recorded", recording=recording_name(recording))
    return build.chosen(f"{ident}/recorded", name, options, reading.chosen or None, by=reading.by, cite=cite)


def _in_va(context: Context, recording: Recording, watts: Step) -> Step:
    """Power as apparent power: by the measured power factor, else from power factor 1 upward without a limit."""
    ident, path = f"measured/{recording.id}", context.at.path(recording, "power_factor")

    def divided(end: str, factor: Interval, assumed: Sequence[str] = ()) -> Step:
        by = build.fact(f"{ident}/power_factor{end}", "measured.power_factor", factor, "", path, assumed=assumed,
                        inline=True)  # fmt: skip
        return build.quotient(f"{ident}/va{end}", "measured.va", watts, by, unit="VA")

    if recording.power_factor is not None:
        return divided("", point(recording.power_factor))
    if POWER_FACTOR_085 in context.assumptions:
        return divided("", Interval(LOW_POWER_FACTOR, Decimal(1)), (POWER_FACTOR_085,))
    missing = Missing(path, said("todo.recording.power_factor", recording=recording_name(recording)),
                      said("todo.how.recording.power_factor"))  # fmt: skip
    return build.between_cases(f"{ident}/va", "measured.va", divided("/one", point(1)), None, missing=(missing,))


def _leg_amperes(context: Context, recording: Recording, reduction: Reduction) -> Step:
    recorded = _recorded(context, recording, reduction)
    if reduction.unit == "A":
        return recorded
    va = _in_va(context, recording, recorded) if reduction.unit == "W" else recorded
    volts = context.given(f"measured/{recording.id}/volts", "nominal_volts_120")
    return build.quotient(f"measured/{recording.id}/amperes", _leg_name(recording), va, volts)


def _leg_name(recording: Recording) -> Msg:
    return said("measured.leg", leg=recording.measures or "")


def _demand(context: Context, evidence: Evidence, reductions: Sequence[Reduction]) -> Step:
    """The maximum demand of the service by one piece of evidence, with the season it does not cover [VA]."""
    first = evidence.recordings[0]
    ident = f"measured/{first.id}"
    if evidence.both_legs:
        recorded = _recorded(context, first, reductions[0])
        total = _in_va(context, first, recorded) if reductions[0].unit == "W" else recorded
        if evidence.basis != "twelve_months":
            total = _heavier_unknown(context, first, total)
    else:
        pairs = zip(evidence.recordings, reductions, strict=True)
        legs = [_leg_amperes(context, recording, reduction) for recording, reduction in pairs]
        heavier = legs[0]
        if len(legs) > 1:
            heavier = build.largest(f"{ident}/heavier", "load.heavier_leg", legs, unit="A", cite=context.cite(RULE))
        total = build.product(f"{ident}/service", "measured.both_alike", (heavier, service_volts(context)))
    said_of = [each for each in evidence.recordings if each.season_load_va]
    if evidence.basis == "twelve_months" or not said_of:
        return total
    most = max(said_of, key=lambda each: each.season_load_va or 0)
    path = context.at.path(most, "season_load_va")
    season = build.fact(f"{ident}/season", "measured.season", most.season_load_va or 0, "VA", path)
    return build.total(f"{ident}/adjusted", "measured.adjusted", (total, season), cite=context.cite(RULE))


def _heavier_unknown(context: Context, recording: Recording, total: Step) -> Step:
    """The total of both legs where the heavier leg counts: half of it on each, up to all of it on one."""
    ident, path = f"measured/{recording.id}/split", context.at.path(recording, "measures")
    two = build.given(f"{ident}/two", "measured.two_legs", 2, "", None)
    worst = build.product(f"{ident}/one_leg", "measured.all_on_one", (two, total))
    missing = Missing(path, said("todo.recording.per_leg", recording=recording_name(recording)),
                      said("todo.how.recording.per_leg"))  # fmt: skip
    return build.between_cases(ident, "measured.split", total, worst, missing=(missing,))


def new_loads(context: Context, items: Sequence[Item], prefix: str) -> Step:
    """Loads that the work adds or enlarges, whole [VA]; what it takes out is never subtracted from the measured."""
    new = [item for item in items if item.new]
    parts = [heat_pump_heat(context, i) if i.group == "heat_pump" else i.all for i in new if i.group != "evse"]
    evse = evse_demand(context, prefix, of(new, "evse"))
    return build.total(f"{prefix}/new", "measured.new", [*parts, *([evse] if evse is not None else [])])


def _since(context: Context, prefix: str, every: Sequence[Evidence]) -> Step:
    """Loads connected between the end of the recording and this work [VA]: in no recording, and not new either."""
    recordings = [recording for evidence in every for recording in evidence.recordings]
    unsaid = next((each for each in recordings if each.added_since_va is None), None)
    if unsaid is not None:
        missing = missing_of(context, unsaid, "added_since_va", "since")
        return build.fact(f"{prefix}/since", "measured.since", UNKNOWN, "VA", missing.path, missing=missing)
    most = max(recordings, key=lambda each: each.added_since_va or 0)
    path = context.at.path(most, "added_since_va")
    return build.fact(f"{prefix}/since", "measured.since", most.added_since_va or 0, "VA", path)


def measured_load(
    context: Context, items: Sequence[Item], prefix: str = "measured"
) -> tuple[Step, tuple[Reading, ...]]:
    """Calculated load from the measured demand [VA]: the largest of all evidence that counts, and new loads on top."""
    every = [e for e in evidence_of(context) if e.total is not None]
    fit = [e for e in every if e.outcome is Outcome.MEETS] or [e for e in every if e.outcome is Outcome.CANNOT_TELL]
    totals = [e.total for e in fit if e.total is not None]
    cite = context.cite(RULE)
    largest = totals[0]
    if len(totals) > 1:
        largest = build.largest(f"{prefix}/largest", "measured.largest", totals, cite=cite)
    percent = context.book.rule(RULE).params["percent"]
    raised = build.percent_of(f"{prefix}/raised", "measured.raised", largest, Decimal(str(percent)), cite=cite)
    parts = (raised, _since(context, prefix, fit), new_loads(context, items, prefix))
    total = build.total(f"{prefix}/total", "load.total", parts, cite=cite)
    return total, (context.reading(RULE),)
