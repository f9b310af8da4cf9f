"""The largest motor that a standby source must start: a note on its voltage dip or its surge, no rule of a code."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.results.sources import StartAnswer
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.starts import MOST_PERCENT, TROUBLE_PERCENT, start_answers
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Severity

ID = "source.motor_start"
IDS = (ID,)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every standby source with a motor behind it."""
    for start in start_answers(facts):
        yield from _check(facts, start)


def _check(facts: SourceFacts, start: StartAnswer) -> Iterator[Check]:
    source = facts.sources[start.source]
    kind = "dip" if source.kind == "generator" else "surge"
    how = f"{kind}_{start.outcome.name.lower()}"
    known = start.figure.value.high is not None and not start.missing
    if kind == "dip" and how.endswith("cannot_tell") and known:
        how = "dip_between"
    yield from tell(ID, start.source, start.outcome, facts.reach_of(source), how, start.name, severity=Severity.NOTE,
                    cites=(facts.cite("listing_and_instructions"),), step=start.figure, missing=start.missing,
                    load=start.load_name, figure=start.figure.value, trouble=TROUBLE_PERCENT,
                    most=MOST_PERCENT)  # fmt: skip
