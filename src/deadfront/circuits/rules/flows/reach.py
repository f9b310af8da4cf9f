"""What the work does with the service: told by the panels that it feeds and by their mains."""

from __future__ import annotations

from deadfront.circuits.rules.facts import Facts
from deadfront.job.thing import Thing
from deadfront.worksheet.check import Reach


def service_reach(facts: Facts) -> Reach:
    """The most far-reaching of what the work does with panels at the service and with main breakers in them."""
    if "service" in facts.at.changed:
        return Reach.REPLACED
    panels = [p for p in facts.at.house.panels if len(facts.graph.feeds.get(p.id, ())) == 1]
    ids = {each.id for each in panels}
    mains: list[Thing] = [b for b in facts.at.house.breakers if b.role == "main" and b.panel in ids]
    return facts.reach_of(*panels, *mains)
