"""Radio signal at the closed panel, measured, against the weakest that the instructions of the gear allow."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.job.panel_things import Panel
from deadfront.msg import said
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Severity, at_most
from deadfront.worksheet.step import Step

IDS = ("enclosure.signal",)


def checks(facts: Facts) -> Iterator[Check]:
    """One for each panel that holds gear, or of which a signal is entered."""
    with_gear = {each.panel for each in facts.at.house.gear}
    for panel in facts.at.house.panels:
        known = panel.signal_below_dbm is not None or panel.signal_needed_dbm is not None
        if known or panel.id in with_gear:
            yield _signal(facts, panel)


def _signal(facts: Facts, panel: Panel) -> Check:
    name = facts.name_of(panel, "thing.by_id")
    missing = facts.missing(panel, "signal_below_dbm", "signal_needed_dbm")
    step: Step | None = None
    outcome = Outcome.CANNOT_TELL
    if panel.signal_below_dbm is not None and panel.signal_needed_dbm is not None:
        measured = build.fact(f"enclosure/signal/{panel.id}/measured", "enclosure.signal_measured",
                              panel.signal_below_dbm, "dB", facts.at.path(panel, "signal_below_dbm"))  # fmt: skip
        needed = build.fact(f"enclosure/signal/{panel.id}/needed", "enclosure.signal_needed", panel.signal_needed_dbm,
                            "dB", facts.at.path(panel, "signal_needed_dbm"))  # fmt: skip
        outcome = at_most(measured.value, needed.value)
        step = build.apart(f"enclosure/signal/{panel.id}", "enclosure.signal_apart", needed, measured, unit="dB")
    return Check(
        "enclosure.signal",
        panel.id,
        outcome,
        Severity.NOTE,
        said(f"check.enclosure.signal.{outcome.name.lower()}", name=name, apart=step.value if step else ""),
        facts.reach_of(panel),
        step=step,
        missing=missing,
        remedy=said("remedy.enclosure.signal") if outcome is Outcome.FAILS else None,
    )
