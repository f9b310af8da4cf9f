"""Conductors, splices, current transformers and devices in a panel's wiring space, and the leads among them."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.protect.tell import WORD, Told, all_of, distinct
from deadfront.job.found_things import Gear
from deadfront.job.panel_things import Panel
from deadfront.msg import said
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

IDS = ("gear.wiring_space", "gear.leads")


def checks(facts: Facts) -> Iterator[Check]:
    """Panels with gear, or whose fill is entered, that the work touches; then the leads of new gear."""
    for panel in facts.at.house.panels:
        inside = tuple(each for each in facts.at.house.gear if each.panel == panel.id)
        reach = facts.reach_of(panel, *inside)
        entered = panel.fill_percent is not None or panel.splices_percent is not None
        if reach in TOUCHED and (inside or entered):
            yield _space(facts, panel, bool(inside), reach)
    for gear in facts.at.house.gear:
        reach = facts.reach_of(gear)
        if reach in TOUCHED and gear.kind != "controllable breakers":
            yield _leads(facts, gear, reach)


def _space(facts: Facts, panel: Panel, gear_inside: bool, reach: Reach) -> Check:
    """Fill against the share that conductors alone, and all together, may take of any cross-section."""
    alone, every = facts.number("wiring_space_conductors_percent"), facts.number("wiring_space_all_percent")
    parts = (
        _share(facts, panel, "fill_percent", alone, wanted=False),
        _share(facts, panel, "splices_percent", every, wanted=True),
        Told(panel.feed_through_labeled, facts.missing(panel, "feed_through_labeled")),
    )
    truth = all_of(each.truth for each in parts)
    outcome = Outcome.CANNOT_TELL if truth is None else Outcome.MEETS if truth else Outcome.FAILS
    missing: tuple[Missing, ...] = ()
    if truth is None:
        missing = distinct(m for each in parts if each.truth is None for m in each.lacking)
    words = ("_conductors", "_all", "_label")
    word = next((w for w, each in zip(words, parts, strict=True) if each.truth is False), "")
    say = said(f"check.gear.wiring_space.{WORD[outcome]}{word if truth is False else ''}",
               name=facts.name_of(panel, "thing.by_id"), alone=alone, every=every, fill=panel.fill_percent,
               splices=panel.splices_percent)  # fmt: skip
    cites = [facts.cite("wiring_space_conductors")]
    if gear_inside and facts.book.has("wiring_space_monitoring"):
        cites.append(facts.cite("wiring_space_monitoring"))
    return Check("gear.wiring_space", panel.id, outcome, Severity.CORRECT, say, reach, _step(facts, panel), missing,
                 tuple(cites), said("remedy.gear.wiring_space") if truth is False else None)  # fmt: skip


def _share(facts: Facts, panel: Panel, field: str, limit: Decimal, *, wanted: bool) -> Told:
    value: Decimal | None = getattr(panel, field)
    if value is None:
        return Told(None if wanted else True, facts.missing(panel, field))
    return Told(value <= limit)


def _step(facts: Facts, panel: Panel) -> Step | None:
    field = "splices_percent" if panel.splices_percent is not None else "fill_percent"
    value = getattr(panel, field)
    if value is None:
        return None
    return build.fact(f"{panel.id}/{field}", f"protection.{field}", value, "%", facts.at.path(panel, field))


def _leads(facts: Facts, gear: Gear, reach: Reach) -> Check:
    """Leads among the panel's conductors: insulated for its volts; a Class 2 circuit only as its listing lets it."""
    volts = Decimal(240 if (facts.at.house.service.system or "120/240").startswith("120/240") else 208)
    rated = Told(None if gear.leads_insulation_v is None else gear.leads_insulation_v >= volts,
                 facts.missing(gear, "leads_insulation_v"))  # fmt: skip
    if gear.class_two is None:
        class_two = Told(None, facts.missing(gear, "class_two"))
    elif gear.class_two:
        class_two = Told(gear.listed_for_panel, facts.missing(gear, "listed_for_panel"))
    else:
        class_two = Told(True)
    truth = all_of((rated.truth, class_two.truth))
    outcome = Outcome.CANNOT_TELL if truth is None else Outcome.MEETS if truth else Outcome.FAILS
    word = "" if truth is not False else "_insulation" if rated.truth is False else "_class_two"
    say = said(f"check.gear.leads.{WORD[outcome]}{word}", name=facts.name_of(gear, "thing.by_id"), volts=volts,
               rated=gear.leads_insulation_v)  # fmt: skip
    missing = distinct((*rated.lacking, *class_two.lacking)) if truth is None else ()
    cites = (facts.cite("conductors_in_one_enclosure"), facts.cite("class_two_separation"))
    return Check("gear.leads", gear.id, outcome, Severity.CORRECT, say, reach, None, missing, cites,
                 said("remedy.gear.leads") if truth is False else None)  # fmt: skip
