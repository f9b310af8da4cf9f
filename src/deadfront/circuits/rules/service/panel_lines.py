"""The ground with the conductors to a panel behind an outside service disconnect: they are a feeder of four wires."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.ground_line import ground_line
from deadfront.circuits.rules.service.places import places
from deadfront.job.panel_things import Panel
from deadfront.results.circuits import Required


def behind(panel: Panel) -> bool:
    """Whether a panel is fed by the service itself, so that only what stands outdoors can be its disconnect."""
    return panel.fed_by in (None, "service")


def panel_lines(facts: Facts) -> Iterator[Required]:
    """One line for each such panel, by the rating of the outside disconnect."""
    service = facts.at.house.service
    field, rating_a = "outside.rating_a", service.outside.rating_a
    if rating_a is None:
        field, rating_a = "disconnect.rating_a", service.disconnect.rating_a
    for place in places(facts):
        panel = facts.panels.get(place.thing)
        if place.kind != "panel" or place.roles != {"feeder"} or panel is None or not behind(panel):
            continue
        if rating_a is not None and panel.feeder.ground not in ("none", "raceway", "armor"):
            yield ground_line(facts.book, panel.id, rating_a, f"before/service.{field}", panel.feeder)
