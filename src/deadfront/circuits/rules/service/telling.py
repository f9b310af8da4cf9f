"""How the rules on service and grounding say what they found: reach first, then outcome, words and remedy."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.sizes import kind_name
from deadfront.job.service_things import Electrode
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

Caution = Literal["bond", "dig", "neutral", "meter", "line_side", "drop", ""]
SERVICE = "service"


def tell(
    ident: str, thing: str, outcome: Outcome, reach: Reach, how: str, name: Msg, *,
    cites: tuple[Cite, ...], hazard: Severity | None = None, severity: Severity = Severity.CORRECT,
    caution: Caution = "", remedy: str = "", missing: tuple[Missing, ...] = (), step: Step | None = None,
    **params: object,
) -> Iterator[Check]:  # fmt: skip
    """One check; none where the work leaves the thing alone and the facts show no hazard.

    Args:
        how: Ending of the words' key: check.IDENT.HOW.
        hazard: How bad a failure is where the work does not touch it; None: a rule of today alone, nothing is said.
        severity: How bad a failure is in what the work touches.
        caution: Caution that stands before the remedy.
        remedy: Ending of the remedy's key: remedy.IDENT.REMEDY; "" for the same as `how`.
    """
    touched = reach in TOUCHED
    if not touched and (outcome is Outcome.CANNOT_TELL or (outcome is Outcome.FAILS and hazard is None)):
        return
    bad = severity if touched or hazard is None else hazard
    if outcome is Outcome.CANNOT_TELL:
        bad = Severity.CORRECT
    say = said(f"check.{ident}.{how}", name=name, **params)
    cure = _cure(ident, remedy or how, caution, params) if outcome is Outcome.FAILS else None
    lacking = missing if outcome is Outcome.CANNOT_TELL else ()
    yield Check(ident, thing, outcome, bad, say, reach, step, lacking, cites, cure)


def _cure(ident: str, remedy: str, caution: Caution, params: dict[str, object]) -> Msg:
    plain = said(f"remedy.{ident}.{remedy}", **params)
    return said("grounding.cautioned", caution=said(f"caution.service.{caution}"), remedy=plain) if caution else plain


def name_of(facts: Facts, thing: Thing | None) -> Msg:
    """What a thing is called; None for the service."""
    if thing is None:
        return said("thing.service")
    if isinstance(thing, Electrode) and not thing.name:
        alike = [each.id for each in facts.at.house.electrodes if each.kind == thing.kind]
        return said("grounding.numbered", kind=kind_name(thing.kind), number=alike.index(thing.id) + 1)
    return facts.name_of(thing, "thing.by_id")


def lacks(facts: Facts, thing: Thing | None, *fields: str) -> tuple[Missing, ...]:
    """The named facts of a thing, or of the service, each with how to get it ("grounding.conductor_size")."""
    name = name_of(facts, thing)
    found = []
    for field in fields:
        key = field.rpartition(".")[2]
        path = f"before/service.{field}" if thing is None else facts.at.path(thing, field)
        found.append(Missing(path, said(f"todo.grounding.{key}", thing=name), said(f"todo.how.grounding.{key}")))
    return tuple(found)


def list_open(collection: Literal["electrodes", "structures", "panels", "circuits"]) -> Missing:
    """That a collection is not known to be complete."""
    path = f"before/complete.{collection}"
    return Missing(path, said(f"todo.grounding.all_{collection}"), said(f"todo.how.grounding.all_{collection}"))
