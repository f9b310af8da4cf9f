"""Four wires to a panel that stands behind an outside service disconnect: its feeder needs a ground of its own."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.places import places
from deadfront.circuits.rules.service.telling import lacks, name_of, tell
from deadfront.worksheet.check import Check, Outcome, Severity

ID = "grounding.feeder_ground"
IDS = (ID,)


def checks(facts: Facts) -> Iterator[Check]:
    """Every feeder panel of the house itself; separate structures have a rule of their own."""
    by_id = facts.panels
    for place in places(facts):
        if place.kind != "panel" or place.roles != {"feeder"}:
            continue
        panel = by_id[place.thing]
        ground = panel.feeder.ground
        if ground is None and panel.feeder.ground_size is not None:
            ground = "wire"
        outcome = Outcome.CANNOT_TELL if ground is None else Outcome.FAILS if ground == "none" else Outcome.MEETS
        behind = panel.fed_by in (None, "service")
        how = f"{outcome.name.lower()}{'_behind' if behind and outcome is Outcome.FAILS else ''}"
        yield from tell(ID, panel.id, outcome, place.reach, how, name_of(facts, panel),
                        cites=(facts.cite("feeder_ground"),), hazard=Severity.DANGER, severity=Severity.DANGER,
                        caution="neutral", missing=lacks(facts, panel, "feeder.ground"))  # fmt: skip
