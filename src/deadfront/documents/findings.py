"""A Check in words, for screen and paper: what leads, what was found, what to do, what to find out."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.documents.catalog import Catalog
from deadfront.documents.rows import margin_text
from deadfront.worksheet.check import Check, Outcome, Reach


@dataclass(frozen=True, slots=True)
class FindingText:
    """A Check, said."""

    check_id: str
    outcome: Outcome
    section: str
    lead: str
    say: str
    more: tuple[str, ...]


def finding_text(check: Check, catalog: Catalog) -> FindingText:
    """A Check in the order a foreman would say it."""
    more = []
    if check.remedy is not None and check.outcome is Outcome.FAILS:
        more.append(catalog.key("finding.remedy", remedy=check.remedy))
    if check.outcome is Outcome.CANNOT_TELL:
        more += [catalog.key("finding.missing", what=m.what, how=m.how) for m in check.missing]
    if any(cite.marked for cite in check.cites):
        more.append(catalog.key("mark.memory"))
    return FindingText(
        check_id=check.id,
        outcome=check.outcome,
        section=margin_text(check.cites, catalog),
        lead=_lead(check, catalog),
        say=catalog.say(check.say),
        more=tuple(more),
    )


def _lead(check: Check, catalog: Catalog) -> str:
    if check.outcome is Outcome.FAILS:
        lead = catalog.key(f"severity.{check.severity.name.lower()}")
    elif check.outcome is Outcome.CANNOT_TELL:
        lead = catalog.key("severity.find_out")
    else:
        lead = catalog.outcome(check.outcome)
    if check.is_finding and check.reach is not Reach.WHOLE_JOB:
        lead += f" ({catalog.key(f'reach.{check.reach.name.lower()}')})"
    return lead
