"""Equipment with rules of its own alone on a circuit: motors, air conditioners and heat pumps, EVSE, water heaters."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.case import LoadCase, RunCase
from deadfront.circuits.rules.runs.checking import shown, touched, verdict, worst
from deadfront.circuits.rules.runs.current import current_of, lacks
from deadfront.circuits.rules.runs.demand import missing_of
from deadfront.circuits.rules.runs.sizing import Analysis, analysis
from deadfront.quantities import point
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Severity, at_most
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.step import Step

IDS = ("circuit.motor_protection", "circuit.hvac", "circuit.evse", "circuit.water_heater")
HEATERS = ("water_heater", "tankless_water_heater")


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each circuit with such equipment that the work touches; a breaker over a marking always."""
    for case in facts.cases.values():
        if case.loads and case.kind == "circuit":
            found = equipment_check(case)
            if found is not None:
                yield found


def _ident(case: RunCase) -> str | None:
    """The check that a circuit is for, None where it has no such equipment."""
    sort, one = analysis(case).demand.sort, case.alone
    if sort == "hermetic" or room_units(case):
        return "circuit.hvac"
    if sort == "motor":
        return "circuit.motor_protection"
    if any(load.kind == "evse" for load in case.loads):
        return "circuit.evse"
    return "circuit.water_heater" if one is not None and one.kind in HEATERS else None


def room_units(case: RunCase) -> tuple[LoadCase, ...]:
    """Room air conditioners with cord and plug."""
    return tuple(load for load in case.loads if load.kind == "air_conditioner" and load.cord_and_plug)


def _room_check(case: RunCase) -> Check | None:
    """Room air conditioners: at most 80 percent of a circuit to themselves, half of one with other load (440.62)."""
    if not touched(case):
        return None
    units = room_units(case)
    shared = case.general or len(units) < len(case.loads) or case.load_va is not None
    value = case.book.value("room_air_conditioner_shared_percent" if shared else "room_air_conditioner_percent")
    total = build.total(f"run/{case.of}/room_units", "run.room_units", [current_of(case, u) for u in units], unit="A")
    if case.rating_a is None:
        return verdict(case, "circuit.hvac", Outcome.CANNOT_TELL, step=total, missing=(case.lacks_rating(),))
    share = case.rating_a * value.number / 100
    outcome = at_most(total.value, point(share))
    which = {Outcome.FAILS: "fails_share", Outcome.MEETS: "meets_share"}.get(outcome, "")
    missing = missing_of(total) if outcome is Outcome.CANNOT_TELL else ()
    return verdict(case, "circuit.hvac", outcome, which=which, step=total, missing=missing, cites=(value.cite,),
                   load=shown(total), share=share)  # fmt: skip


@lru_cache(maxsize=4096)
def equipment_check(case: RunCase) -> Check | None:
    """The breaker of one such circuit against its equipment; None where nothing is to be said of it."""
    ident, done = _ident(case), analysis(case)
    if ident is None:
        return None
    if ident == "circuit.hvac" and done.demand.sort != "hermetic":
        return _room_check(case)
    most = Outcome.MEETS
    if case.rating_a is not None and done.equipment_allows is not None:
        most = at_most(point(case.rating_a), done.equipment_allows.value)
    if most is Outcome.FAILS:
        severity = Severity.DANGER if ident == "circuit.hvac" and touched(case) else Severity.CORRECT
        if touched(case) or ident == "circuit.hvac":
            allows = done.equipment_allows
            cites = _cites_of_most(case, ident, allows)
            return verdict(case, ident, most, severity, which="fails_most", step=allows, cites=cites,
                           rating=case.rating_a, most=shown(allows))  # fmt: skip
    return _touched(case, ident, done, most) if touched(case) else None


def _touched(case: RunCase, ident: str, done: Analysis, most: Outcome) -> Check:
    cites, least, missing = _cites(case, ident), done.demand.least, []
    if case.rating_a is None:
        missing.append(case.lacks_rating())
    if ident == "circuit.hvac":
        missing += [lacks(case.loads[0], field) for field in ("minimum_circuit_ampacity_a", "maximum_overcurrent_a")
                    if getattr(case.loads[0], field) is None]  # fmt: skip
    enough = Outcome.CANNOT_TELL
    if ident == "circuit.motor_protection":  # 125 percent is asked of a motor's conductors, not of its breaker
        enough = Outcome.CANNOT_TELL if done.equipment_allows is None else Outcome.MEETS
    elif case.rating_a is not None and least is not None:
        enough = at_most(least.value, point(case.rating_a))
    outcome = worst((most, enough, Outcome.CANNOT_TELL if missing else Outcome.MEETS))
    if outcome is Outcome.FAILS:
        severity = Severity.NOTE if ident == "circuit.hvac" else Severity.CORRECT
        return verdict(case, ident, outcome, severity, which="fails_least", step=least, cites=cites,
                       rating=case.rating_a, least=shown(least))  # fmt: skip
    if outcome is Outcome.CANNOT_TELL:
        missing += missing_of(least, done.equipment_allows)
        return verdict(case, ident, outcome, step=least, missing=dict.fromkeys(missing), cites=cites)
    return verdict(case, ident, outcome, step=least, cites=cites, rating=case.rating_a, least=shown(least),
                   most=shown(done.equipment_allows))  # fmt: skip


def _cites_of_most(case: RunCase, ident: str, allows: Step | None) -> tuple[Cite, ...]:
    """Where the largest breaker stands: of a water heater in a rule of its own."""
    own = allows.cites if allows is not None and ident == "circuit.water_heater" else ()
    return own or _cites(case, ident)


def _cites(case: RunCase, ident: str) -> tuple[Cite, ...]:
    names = {"circuit.motor_protection": ("motor_protection", "motor_conductors"), "circuit.hvac": (
        "hermetic_nameplate",), "circuit.evse": ("evse_continuous_percent",),
        "circuit.water_heater": ("water_heater_percent",)}[ident]  # fmt: skip
    return tuple((case.book.value(n) if n.endswith("percent") else case.book.rule(n)).cite for n in names)
