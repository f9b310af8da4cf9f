"""How the rules on sources say what they found: reach first, then outcome, words and remedy."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.msg import Msg, said
from deadfront.sources.rules.facts import TOUCHED
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


def tell(
    ident: str, thing: str, outcome: Outcome, reach: Reach, how: str, name: Msg, *, cites: tuple[Cite, ...],
    severity: Severity = Severity.CORRECT, hazard: bool = False, missing: tuple[Missing, ...] = (),
    step: Step | None = None, remedy: str = "", **params: object,
) -> Iterator[Check]:  # fmt: skip
    """One check; none where the work leaves the thing alone and the facts show nothing that endangers.

    Args:
        how: Ending of the words' key: check.IDENT.HOW.
        hazard: Said of what the work leaves alone too, where it fails.
        remedy: Ending of the remedy's key: remedy.IDENT.REMEDY; "" for the same as `how`.
    """
    touched = reach in TOUCHED
    if not touched and (outcome is Outcome.CANNOT_TELL or (outcome is Outcome.FAILS and not hazard)):
        return
    say = said(f"check.{ident}.{how}", name=name, **params)
    cure = said(f"remedy.{ident}.{remedy or how}", **params) if outcome is Outcome.FAILS else None
    lacking = missing if outcome is Outcome.CANNOT_TELL else ()
    bad = Severity.CORRECT if outcome is Outcome.CANNOT_TELL and severity is Severity.DANGER else severity
    yield Check(ident, thing, outcome, bad, say, reach, step, lacking, cites, cure)
