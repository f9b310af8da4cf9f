"""Local amendments: a barred rule asks for nothing and says so; a value set by one is the one that counts."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.assess.run import context_of, facts_of
from deadfront.circuits.rules.registry import rule_modules
from deadfront.codebook import open_book
from deadfront.codebook.amendments import amendment_from_dict
from deadfront.job.model import Job
from deadfront.loads.rules.answer import load_answer
from tests.circuits.protection.houses import BREAKER, PANEL, job, new_circuit, say

HOUSE = new_circuit(
    {"protection": "plain"},
    {"rooms": ["kitchen", "outdoors"], "outlet_kinds": ["receptacles"], "first_outlet": "plain"},
    loads=[{"id": "l-aa1", "kind": "dishwasher", "circuit": "c-aa1"},
           {"id": "l-aa2", "kind": "pool_pump", "circuit": "c-aa1"}],
)  # fmt: skip


def told(data: dict[str, Any], ident: str, **amendment: Any) -> list[tuple[str, str]]:
    """Thing and outcome of the checks of one id under an amendment."""
    made = Job.model_validate(data)
    book = open_book(made.job.code.edition, amendments=(amendment_from_dict({"name": "Marlow Falls", **amendment}),))
    context = context_of(made, book)
    facts = facts_of(context, load_answer(context, None), None)
    checks = [c for module in rule_modules() if ident in module.ids for c in module.checks(facts) if c.id == ident]
    say(checks)
    return [(each.thing, each.outcome.name) for each in checks]


@pytest.mark.parametrize(
    ("ident", "rule"),
    [
        ("protection.ground_fault", "ground_fault_receptacles"),
        ("protection.arc_fault", "arc_fault_rooms"),
        ("protection.appliances", "ground_fault_appliances"),
        ("protection.outdoor_equipment", "ground_fault_outdoor"),
        ("protection.replaced_receptacle", "receptacle_replacement"),
    ],
)
def test_a_barred_rule_is_left_out_and_says_so(ident: str, rule: str) -> None:
    data = job("2023", add=HOUSE)
    assert told(data, ident, bar=[{"rule": rule}]) == [("", "NOT_APPLICABLE")]
    if ident != "protection.replaced_receptacle":
        assert ("", "NOT_APPLICABLE") not in told(data, ident)


def test_extensions_alone_can_be_let_off() -> None:
    old = {"panels": [PANEL], "breakers": [BREAKER | {"protection": "plain"}],
           "circuits": [{"id": "c-aa1", "breaker": "b-aa1", "rooms": ["bedroom"], "outlets_added": 1,
                         "first_outlet": "plain"}]}  # fmt: skip
    assert told(job("2023", old), "protection.arc_fault") == [("c-aa1", "FAILS")]
    barred = told(job("2023", old), "protection.arc_fault", bar=[{"rule": "arc_fault_extension"}])
    assert barred == [("c-aa1", "NOT_APPLICABLE")]


def test_a_longer_extension_may_be_let_pass() -> None:
    old = {"panels": [PANEL], "breakers": [BREAKER | {"protection": "plain"}],
           "circuits": [{"id": "c-aa1", "breaker": "b-aa1", "rooms": ["bedroom"], "outlets_added": 0,
                         "extended_ft": 10, "first_outlet": "plain"}]}  # fmt: skip
    setting = {"arc_fault_extension_ft": {"value": 12, "unit": "ft"}}
    assert told(job("2023", old), "protection.arc_fault") == [("c-aa1", "FAILS")]
    assert told(job("2023", old), "protection.arc_fault", set=setting) == [("c-aa1", "NOT_APPLICABLE")]
