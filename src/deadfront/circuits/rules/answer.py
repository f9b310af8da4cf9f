"""The circuits answer of a house: runs, drops, faults, grounding, the site list, then every rule of `each`."""

from __future__ import annotations

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.flows.drops import voltage_drops, with_drops
from deadfront.circuits.rules.flows.fault_points import fault_points
from deadfront.circuits.rules.registry import all_checks
from deadfront.circuits.rules.runs.answer import runs_of
from deadfront.circuits.rules.runs.cases import cases_of
from deadfront.circuits.rules.service.required import grounding, with_asked
from deadfront.circuits.rules.site import site_list
from deadfront.results.circuits import CircuitsResult


def circuits_answer(facts: Facts) -> CircuitsResult:
    """Every conductor, breaker, ground and box of a house held against the code in force."""
    facts = facts.holding(cases=cases_of(facts))
    facts = facts.holding(runs=runs_of(facts))
    site = site_list(facts)
    questions, site_checks = tuple(each.question for each in site), tuple(each.check for each in site)
    facts = facts.holding(questions=questions, site_checks=site_checks, grounding=grounding(facts))
    drops = voltage_drops(facts)
    facts = facts.holding(faults=fault_points(facts), drops=drops, runs=with_drops(facts.runs, drops))
    checks = all_checks(facts)
    lines = with_asked(facts.grounding, checks)
    return CircuitsResult(facts.runs, facts.drops, facts.faults, lines, facts.questions, checks)
