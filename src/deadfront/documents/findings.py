"""A Check in words, for screen and paper: what leads, what was found, what to do, what to find out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from deadfront.documents.catalog import Catalog
from deadfront.documents.rows import margin_text
from deadfront.worksheet.check import Check, Outcome, Reach

MOST_MISSING = 6
"""Facts that a finding names one by one; of more, it says how many."""


@dataclass(frozen=True, slots=True)
class FindingText:
    """A Check, said."""

    check_id: str
    outcome: Outcome
    section: str
    lead: str
    say: str
    more: tuple[str, ...]


def finding_texts(checks: Sequence[Check], catalog: Catalog) -> list[FindingText]:
    """What was found, one by one; after that, in one line, what is met."""
    met = [check for check in checks if check.outcome is Outcome.MEETS]
    found = [finding_text(check, catalog) for check in checks if check.outcome is not Outcome.MEETS]
    return [*found, _met(met, catalog)] if met else found


def _met(checks: Sequence[Check], catalog: Catalog) -> FindingText:
    names = Counter(_short_name(check, catalog) for check in checks)
    parts = [name if n == 1 else catalog.key("met.times", name=name, count=n) for name, n in names.items()]
    ids = " ".join(dict.fromkeys(check.id for check in checks))
    lead = catalog.key("finding.met", count=len(checks))
    return FindingText(ids, Outcome.MEETS, "", lead, ", ".join(parts) + ".", ())


def _short_name(check: Check, catalog: Catalog) -> str:
    """What a check is about in a word or two; one without a short name is said in full."""
    key = f"met.{check.id}"
    name = catalog.key(key) if catalog.has(key) else catalog.say(check.say).rstrip(".")
    marked = any(cite.marked for cite in check.cites)
    return catalog.key("met.marked", name=name, mark=catalog.key("mark.memory")) if marked else name


def finding_text(check: Check, catalog: Catalog) -> FindingText:
    """A Check in the order a foreman would say it."""
    more = []
    if check.remedy is not None and check.outcome is Outcome.FAILS:
        more.append(catalog.key("finding.remedy", remedy=check.remedy))
    if check.outcome is Outcome.CANNOT_TELL:
        more += [catalog.key("finding.missing", what=m.what, how=m.how) for m in check.missing[:MOST_MISSING]]
        if len(check.missing) > MOST_MISSING:
            more.append(catalog.key("finding.missing_more", count=len(check.missing) - MOST_MISSING))
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
