"""What the graph of the house shows: rings of feeders, things that nothing feeds, spaces taken twice."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.job.panel_things import Breaker, Circuit, Panel
from deadfront.msg import said
from deadfront.topology.rows import stacked
from deadfront.worksheet.check import Check, Outcome, Severity

IDS = ("feeder.ring", "circuit.orphan", "circuit.topology")


def checks(facts: Facts) -> Iterator[Check]:
    """Rings, orphans, breakers that cannot be where they are said to be."""
    yield from _rings(facts)
    ringed = {ident for ring in facts.graph.rings for ident in ring}
    for panel in facts.at.house.panels:
        if panel.id not in facts.graph.feeds and panel.id not in ringed:
            yield from _panel(facts, panel)
    for circuit in facts.at.house.circuits:
        if circuit.breaker not in facts.breakers:
            yield from _circuit(facts, circuit)
    for breaker in facts.at.house.breakers:
        panel_of = facts.panel_of(breaker)
        if panel_of is None or _impossible(breaker, panel_of):
            yield from _breaker(facts, breaker, panel_of)
    yield from _spaces(facts)


def _rings(facts: Facts) -> Iterator[Check]:
    """A panel fed from itself, or panels that feed each other: no main makes them dead."""
    for ring in facts.graph.rings:
        panels = tuple(facts.panels[each] for each in ring if each in facts.panels)
        names = tuple(facts.name_of(each, "thing.by_id") for each in panels)
        yield Check(
            "feeder.ring", panels[0].id, Outcome.FAILS, Severity.CORRECT if len(panels) == 1 else Severity.DANGER,
            said("check.feeder.ring.self" if len(panels) == 1 else "check.feeder.ring.several", things=names),
            facts.reach_of(*panels), None, (), (facts.cite("overcurrent_each_circuit"),), said("remedy.feeder.ring"),
        )  # fmt: skip


def _panel(facts: Facts, panel: Panel) -> Iterator[Check]:
    """A panel that nothing on file feeds."""
    name, reach = facts.name_of(panel, "thing.by_id"), facts.reach_of(panel)
    cites, remedy = (facts.cite("overcurrent_each_circuit"),), said("remedy.circuit.orphan_panel")
    if panel.fed_by is None:
        if reach in TOUCHED:
            yield Check("circuit.orphan", panel.id, Outcome.CANNOT_TELL, Severity.CORRECT,
                        said("check.circuit.orphan.panel_unknown", thing=name), reach, None,
                        facts.missing(panel, "fed_by"), cites, remedy)  # fmt: skip
        return
    key = "panel_above" if panel.fed_by in facts.breakers else "panel"
    yield Check("circuit.orphan", panel.id, Outcome.FAILS, Severity.CORRECT,
                said(f"check.circuit.orphan.{key}", thing=name, breaker=panel.fed_by), reach, None, (), cites,
                remedy)  # fmt: skip


def _circuit(facts: Facts, circuit: Circuit) -> Iterator[Check]:
    """A circuit whose breaker is not there, or not known though the work touches it."""
    name, reach = facts.name_of(circuit, "thing.by_id"), facts.reach_of(circuit)
    cites, remedy = (facts.cite("circuit_identified"),), said("remedy.circuit.orphan")
    if circuit.breaker is None:
        if reach in TOUCHED:
            yield Check("circuit.orphan", circuit.id, Outcome.CANNOT_TELL, Severity.CORRECT,
                        said("check.circuit.orphan.circuit_unknown", thing=name), reach, None,
                        facts.missing(circuit, "breaker"), cites, remedy)  # fmt: skip
    else:
        yield Check("circuit.orphan", circuit.id, Outcome.FAILS, Severity.CORRECT,
                    said("check.circuit.orphan.circuit", thing=name, breaker=circuit.breaker), reach, None, (), cites,
                    remedy)  # fmt: skip


def _breaker(facts: Facts, breaker: Breaker, panel: Panel | None) -> Iterator[Check]:
    """A breaker in no panel, or whose poles and spaces do not go together."""
    name, reach = facts.name_of(breaker, "thing.by_id"), facts.reach_of(breaker)
    cites = (facts.cite("circuit_identified"),)
    if panel is None:
        if breaker.panel is not None:
            yield Check("circuit.orphan", breaker.id, Outcome.FAILS, Severity.CORRECT,
                        said("check.circuit.orphan.breaker", thing=name, panel=breaker.panel), reach, None, (), cites,
                        said("remedy.circuit.orphan_breaker"))  # fmt: skip
        elif reach in TOUCHED:
            yield Check("circuit.orphan", breaker.id, Outcome.CANNOT_TELL, Severity.CORRECT,
                        said("check.circuit.orphan.breaker_unknown", thing=name), reach, None,
                        facts.missing(breaker, "panel"), cites, said("remedy.circuit.orphan_breaker"))  # fmt: skip
        return
    wrong = _impossible(breaker, panel)
    yield Check("circuit.topology", breaker.id, Outcome.FAILS, Severity.CORRECT,
                said(f"check.circuit.topology.{wrong}", thing=name, spaces=tuple(map(str, breaker.spaces)),
                     most=panel.spaces or 0), reach, None, (), cites, said("remedy.circuit.topology"))  # fmt: skip


def _impossible(breaker: Breaker, panel: Panel) -> str:
    """What is wrong with a breaker's spaces, "" for nothing."""
    spaces = sorted(breaker.spaces)
    if len(set(spaces)) != len(spaces):
        return "space_twice"
    if panel.spaces is not None and spaces and spaces[-1] > panel.spaces:
        return "beyond"
    if breaker.poles == 2 and len(spaces) == 2 and not stacked(panel, *spaces):
        return "not_adjacent"
    if breaker.poles == 2 and len(spaces) == 1 and breaker.half is None:
        return "too_few"
    wide = breaker.role == "main" or breaker.controllable
    return "too_many" if breaker.poles is not None and len(spaces) > breaker.poles and not wide else ""


def _spaces(facts: Facts) -> Iterator[Check]:
    """Spaces of a panel that two breakers are said to take."""
    by_place: dict[tuple[str, int, str], list[Breaker]] = {}
    for breaker in facts.at.house.breakers:
        panel = facts.panel_of(breaker)
        if panel is None:
            continue
        for space in breaker.spaces:
            for half in (breaker.half,) if breaker.half else ("a", "b"):
                place: tuple[str, int, str] = (panel.id, space, half)
                by_place.setdefault(place, []).append(breaker)
    seen: set[tuple[str, ...]] = set()
    for (_, space, _), there in by_place.items():
        ids = tuple(dict.fromkeys(each.id for each in there))
        if len(ids) > 1 and ids not in seen:
            seen.add(ids)
            names = tuple(facts.name_of(each, "thing.by_id") for each in there)
            yield Check("circuit.topology", ids[0], Outcome.FAILS, Severity.CORRECT,
                        said("check.circuit.topology.taken_twice", things=names, space=space),
                        facts.reach_of(*there), None, (), (facts.cite("circuit_identified"),),
                        said("remedy.circuit.topology"))  # fmt: skip
