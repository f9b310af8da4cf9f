"""Four wires to a panel that stands behind an outside service disconnect: its feeder needs a ground of its own."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.service.panel_lines import behind
from deadfront.circuits.rules.service.places import Place, places
from deadfront.circuits.rules.service.sizes import of_metal, text
from deadfront.circuits.rules.service.telling import lacks, name_of, tell
from deadfront.job.panel_things import Panel
from deadfront.msg import said
from deadfront.results.circuits import Required
from deadfront.worksheet.check import Check, Outcome, Severity

ID = "grounding.feeder_ground"
IDS = (ID,)
PLASTIC = ("PVC40", "PVC80", "ENT")


def checks(facts: Facts) -> Iterator[Check]:
    """Feeder panels of the house itself; separate structures have a rule of their own.

    Where a breaker feeds the panel and the work touches that, the rule on runs says it.
    """
    lines = {line.of: line for line in facts.grounding if line.subject == "feeder_ground"}
    for place in places(facts):
        panel = facts.panels.get(place.thing)
        if panel is None or place.kind != "panel" or place.roles != {"feeder"}:
            continue
        if behind(panel) or place.reach not in TOUCHED:
            yield from _panel(facts, panel, place, lines.get(panel.id))
        if place.reach not in TOUCHED and panel.fed_by in facts.breakers and _bare_wire_open(panel):
            say = said(f"check.{ID}.old_open", name=name_of(facts, panel))
            yield Check(ID, panel.id, Outcome.CANNOT_TELL, Severity.NOTE, say, place.reach, None,
                        lacks(facts, panel, "feeder.ground"), (facts.cite("feeder_ground"),))  # fmt: skip


def _bare_wire_open(panel: Panel) -> bool:
    """Whether a feeder is of entrance cable whose bare wire may be neutral or ground."""
    kind = (panel.feeder.type or "").upper()
    known = panel.feeder.ground is not None or panel.feeder.ground_size is not None
    return kind.startswith("SE") and not kind.startswith("SER") and not known


def _panel(facts: Facts, panel: Panel, place: Place, line: Required | None) -> Iterator[Check]:
    ground = panel.feeder.ground or ("wire" if panel.feeder.ground_size is not None else None)
    raceway = facts.raceways.get(panel.feeder.raceway or "")
    field = "feeder.ground"
    if ground is None:
        outcome, how = Outcome.CANNOT_TELL, "cannot_tell"
    elif ground == "none" or (ground == "raceway" and raceway is not None and raceway.kind in PLASTIC):
        outcome, how = Outcome.FAILS, "fails_behind" if behind(panel) else "fails"
    elif line is not None and line.outcome is not Outcome.MEETS and place.reach in TOUCHED:
        outcome, field = line.outcome, "feeder.ground_size"
        how = "small" if outcome is Outcome.FAILS else "size_open"
    else:
        outcome, how = Outcome.MEETS, "meets"
    shown = of_metal(line.smallest, panel.feeder.metal) if line is not None else None
    bad = Severity.CORRECT if how == "small" else Severity.DANGER
    yield from tell(ID, panel.id, outcome, place.reach, how, name_of(facts, panel),
                    cites=(facts.cite("feeder_ground"),), hazard=Severity.DANGER, severity=bad, caution="neutral",
                    missing=lacks(facts, panel, field), step=shown.step if shown is not None else None,
                    found=line.found if line is not None else "",
                    least=text(line.smallest if line is not None else ()))  # fmt: skip
