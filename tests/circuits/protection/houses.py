"""Small houses for the rules on protection: a job as a dict, one rule's checks on it, all of them said in words."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from deadfront.assess.run import context_of, facts_of
from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.registry import rule_modules
from deadfront.codebook import open_book
from deadfront.documents.catalog import Catalog
from deadfront.job.model import Job
from deadfront.loads.rules.answer import load_answer
from deadfront.worksheet.check import Check

PANEL = {"id": "p-aa1", "name": "Main panel", "fed_by": "service", "spaces": 40}
BREAKER = {"id": "b-aa1", "panel": "p-aa1", "spaces": [1], "rating_a": 20, "poles": 1}


def job(
    edition: str, before: dict[str, Any] | None = None, add: dict[str, Any] | None = None, **work: Any
) -> dict[str, Any]:
    """A job in that edition: what was there, what one work step adds, and its other operations."""
    head: dict[str, Any] = {"format": 1, "name": "Test", "code": {"edition": edition}, "existing": True}
    for field in ("permit_on", "existing"):
        if field in work:
            head[field] = work.pop(field)
    found: dict[str, Any] = {"service": {"system": "120/240 1ph 3w"}, "panels": [PANEL], **(before or {})}
    step = {"id": "w-aa1", "say": "Work", "add": add or {}, **work}
    return {"job": head, "before": found, "work": [step]}


def new_circuit(
    breaker: dict[str, Any] | None = None, circuit: dict[str, Any] | None = None, **more: Any
) -> dict[str, Any]:
    """What a step adds for one new circuit with its breaker."""
    return {
        "breakers": [BREAKER | (breaker or {})],
        "circuits": [{"id": "c-aa1", "name": "Circuit 1", "breaker": "b-aa1", **(circuit or {})}],
        **more,
    }


def facts_for(data: dict[str, Any]) -> Facts:
    """What the rules are handed for a job given as a dict."""
    made = Job.model_validate(data)
    book = open_book(made.job.code.edition)
    context = context_of(made, book)
    return facts_of(context, load_answer(context, None), made.job.permit_on)


def from_text(text: str) -> dict[str, Any]:
    """A job written as TOML."""
    return tomllib.loads(text, parse_float=Decimal)


def found(data: dict[str, Any], ident: str) -> list[Check]:
    """The checks of one id; each is also said in both languages, so that no words are lacking."""
    facts = facts_for(data)
    made = [c for module in rule_modules() if ident in module.ids for c in module.checks(facts) if c.id == ident]
    say(made)
    return made


def say(checks: Sequence[Check]) -> list[str]:
    """All that checks say, in English; Spanish is said too."""
    told: list[str] = []
    for language in ("es", "en"):
        catalog = Catalog(language, strict=True)
        told = [catalog.say(each.say) for each in checks]
        for each in checks:
            for missing in each.missing:
                told += [catalog.say(missing.what), catalog.say(missing.how)]
            if each.remedy is not None:
                told.append(catalog.say(each.remedy))
    return told


def outcome(data: dict[str, Any], ident: str, thing: str = "c-aa1") -> str:
    """The outcome of one check on one thing: its name, or "none" where there is no such check."""
    outcomes = [each.outcome.name for each in found(data, ident) if each.thing == thing]
    return outcomes[0] if outcomes else "none"


def day(text: str) -> date:
    """A date as written."""
    return date.fromisoformat(text)
