"""Hazards of old houses: those recorded, each with its evidence, and those that the facts show by themselves.

A hazard is over when something is done about it. One that is left as it is, with who was told, stays in sight: as
something worth knowing, unless it can hurt or burn at once. A kind that ends only when the thing itself goes is not
over while that stands, whatever is said of it, and it counts in full again where the work puts something new on it.
"""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.codebook.data_files import data
from deadfront.codebook.site_entries import HazardKind
from deadfront.job.found_things import Hazard
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.job.problems import near
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity

IDS = (*(f"hazard.{kind}" for kind in data().hazards), "hazard.evidence", "hazard.unknown_kind")
ASKED = ("thing", "evidence", "photo", "action", "done")
KNOB_SHORT = ("k&t", "k+t", "kt", "k-t", "k/t", "kandt")
BRANCH_ALUMINUM = ("12", "10")


def checks(facts: Facts) -> Iterator[Check]:
    """Every hazard recorded, the evidence it lacks, and what the facts show beyond those."""
    kinds = {each.key: each for each in facts.book.hazards()}
    for hazard in facts.at.house.hazards:
        kind = kinds.get(hazard.kind)
        yield _recorded(facts, hazard, kind) if kind else _unknown_kind(facts, hazard, tuple(kinds))
        yield _evidence(facts, hazard)
    yield from _shown(facts, kinds)


def _recorded(facts: Facts, hazard: Hazard, kind: HazardKind) -> Check:
    severity = Severity(kind.severity)
    state = "done" if hazard.done else "left" if hazard.done is False and hazard.action else "open"
    stands, loaded = _stands(facts, hazard, kind)
    if stands and (state == "done" or (state == "left" and loaded)):
        state = "loaded" if loaded else "left" if hazard.action else "open"
    if state == "left" and severity is not Severity.DANGER:
        severity = Severity.NOTE
    say = {
        "done": said("check.hazard.done", name=said(f"hazard.{kind.key}.name"), action=hazard.action or ""),
        "left": said("check.hazard.left", found=said(f"hazard.{kind.key}.fails"), where=_where(facts, hazard),
                     action=hazard.action or ""),
        "loaded": said("check.hazard.loaded", found=said(f"hazard.{kind.key}.fails"), where=_where(facts, hazard)),
        "open": said("check.hazard.open", found=said(f"hazard.{kind.key}.fails"), where=_where(facts, hazard)),
    }[state]  # fmt: skip
    return Check(
        f"hazard.{kind.key}",
        hazard.id,
        Outcome.MEETS if state == "done" else Outcome.FAILS,
        severity,
        say,
        Reach.EXISTING,
        cites=kind.cites,
        remedy=None if state == "done" else _remedy(kind),
    )


def _stands(facts: Facts, hazard: Hazard, kind: HazardKind) -> tuple[bool, bool]:
    """Whether a thing that only its own end puts right still stands as found, and whether the work adds to it."""
    if not kind.add_nothing or hazard.thing is None or facts.at.tags.get(hazard.thing) is None:
        return False, False
    if facts.at.tag(hazard.thing) != "E":
        return False, False
    circuit = facts.circuits.get(hazard.thing)
    if circuit is not None and kind.add_nothing == "circuit":
        old = circuit.cable.type is None or _is_knob(circuit)
        return old, old and facts.reach_of(circuit, facts.breaker_of(circuit)) in TOUCHED
    if hazard.thing not in facts.panels or kind.add_nothing != "panel":
        return False, False
    inside = [each for each in facts.at.house.breakers if (p := facts.panel_of(each)) and p.id == hazard.thing]
    on = {each.id for each in inside}
    fed = [each for each in facts.at.house.circuits if each.breaker in on]
    return True, facts.reach_of(*inside, *fed) in TOUCHED


def _is_knob(circuit: Circuit) -> bool:
    """Whether a cable type says knob-and-tube, as an electrician writes it."""
    word = (circuit.cable.type or "").lower().replace(" ", "")
    return "knob" in word or word in KNOB_SHORT


def _remedy(kind: HazardKind) -> Msg:
    fix = said(f"hazard.{kind.key}.fix")
    return said("site.how", caution=said(f"site.caution.{kind.caution}"), how=fix) if kind.caution else fix


def _where(facts: Facts, hazard: Hazard) -> Msg:
    if hazard.thing in (None, "house", "service"):
        return said(f"hazard_place.{hazard.thing or 'unknown'}")
    known = {each.id: each for each in (*facts.at.house.panels, *facts.at.house.breakers, *facts.at.house.circuits)}
    thing = known.get(hazard.thing)
    return facts.name_of(thing, "thing.by_id") if thing else said("thing.by_id", id=hazard.thing)


def _evidence(facts: Facts, hazard: Hazard) -> Check:
    """Where it is, what shows it, and what becomes of it: a hazard without these is only an opinion."""
    missing = facts.missing(hazard, *ASKED)
    known = hazard.kind in data().hazards
    name = said("hazard.at", name=said(f"hazard.{hazard.kind if known else 'other'}.name"), where=_where(facts, hazard))
    key = f"hazard.{hazard.kind}.ask" if hazard.kind in data().hazards else "hazard.other.ask"
    outcome = Outcome.CANNOT_TELL if missing else Outcome.MEETS
    return Check(
        "hazard.evidence",
        hazard.id,
        outcome,
        Severity.CORRECT,
        said(f"check.hazard.evidence.{outcome.name.lower()}", hazard=name, ask=said(key)),
        Reach.EXISTING,
        missing=missing,
    )


def _unknown_kind(facts: Facts, hazard: Hazard, kinds: tuple[str, ...]) -> Check:
    like = near(hazard.kind, kinds)
    return Check(
        "hazard.unknown_kind",
        hazard.id,
        Outcome.FAILS,
        Severity.CORRECT,
        said(f"check.hazard.unknown_kind.{'near' if like else 'none'}", place=facts.at.path(hazard, "kind"),
             found=hazard.kind, near=like),
        Reach.EXISTING,
        remedy=said("remedy.hazard.unknown_kind"),
    )  # fmt: skip


def _shown(facts: Facts, kinds: dict[str, HazardKind]) -> Iterator[Check]:
    """Hazards that other facts show, where none of that kind is recorded there."""
    house = facts.at.house
    told = {(each.kind, each.thing) for each in house.hazards}
    found = [*_of_breakers(facts), *_of_circuits(facts)]
    found += [(each, "fuse_panel", Outcome.FAILS) for each in house.panels if each.fuses]
    for thing, key, outcome in found:
        if not told & {(key, thing.id), (key, "house"), (key, "service"), (key, None)}:
            yield _derived(facts, thing, kinds[key], outcome)


def _of_breakers(facts: Facts) -> Iterator[tuple[Breaker, str, Outcome]]:
    for breaker in facts.at.house.breakers:
        if (breaker.conductors_on_it or 0) > 1 and not breaker.two_allowed:
            unsure = breaker.two_allowed is None
            yield breaker, "double_tap", Outcome.CANNOT_TELL if unsure else Outcome.FAILS
        if breaker.listed_for_panel is False:
            yield breaker, "breaker_not_listed", Outcome.FAILS


def _of_circuits(facts: Facts) -> Iterator[tuple[Circuit, str, Outcome]]:
    for circuit in facts.at.house.circuits:
        cable = circuit.cable
        if cable.metal == "aluminum" and cable.size in BRANCH_ALUMINUM:
            yield circuit, "aluminum_branch", Outcome.FAILS
        if _is_knob(circuit):
            yield circuit, "knob_and_tube", Outcome.FAILS


def _derived(facts: Facts, thing: Thing, kind: HazardKind, outcome: Outcome) -> Check:
    unsure = outcome is Outcome.CANNOT_TELL
    reach = facts.reach_of(thing)
    severity = Severity.NOTE if unsure and reach not in TOUCHED else Severity(kind.severity)
    name = facts.name_of(thing, "thing.by_id")
    say = said("check.hazard.may_be" if unsure else "check.hazard.shown", thing=name,
               found=said(f"hazard.{kind.key}.fails"), name=said(f"hazard.{kind.key}.name"))  # fmt: skip
    return Check(
        f"hazard.{kind.key}",
        thing.id,
        outcome,
        severity,
        say,
        reach,
        missing=facts.missing(thing, "two_allowed") if unsure else (),
        cites=kind.cites,
        remedy=None if unsure else said("remedy.hazard.record", fix=_remedy(kind)),
    )
