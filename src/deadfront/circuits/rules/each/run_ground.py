"""The equipment grounding conductor of a run: that there is one, of what, and how large."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.runs.case import RunCase
from deadfront.circuits.rules.runs.checking import TOUCHED, verdict
from deadfront.circuits.rules.runs.ground import grounds_of
from deadfront.circuits.rules.runs.sizing import analysis
from deadfront.quantities import size_rank
from deadfront.results.circuits import Sized
from deadfront.worksheet.check import Check, Outcome, Severity

IDS = ("circuit.ground", "feeder.ground")
PLASTIC = ("PVC40", "PVC80", "ENT")
STEEL = ("EMT", "IMC", "RMC")
FLEXIBLE_FT, FLEXIBLE_A = 6, 20
WITH_GROUND = ("NM-B", "NMC-B", "UF-B", "SER", "MC")


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each run that the work touches."""
    for case in facts.cases.values():
        found = ground_check(case)
        if found is not None:
            yield found


@lru_cache(maxsize=4096)
def ground_check(case: RunCase) -> Check | None:
    """The ground of one run; None where the work leaves its conductors as they are."""
    if case.wires_reach not in TOUCHED:
        return None
    ident = f"{case.kind}.ground"
    cites = (case.book.table("equipment_grounding_conductor").cite, case.book.rule("ground_path").cite)
    how = case.cable.ground
    if how == "none":
        return verdict(case, ident, Outcome.FAILS, which="fails_none", cites=cites)
    if case.rating_a is None:
        return verdict(case, ident, Outcome.CANNOT_TELL, missing=(case.lacks_rating(),), cites=cites)
    if how in ("raceway", "armor"):
        outcome = _raceway(case) if how == "raceway" else _armor(case)
        missing = (case.lacks("raceway" if how == "raceway" else "ground"),) if outcome is Outcome.CANNOT_TELL else ()
        which = {Outcome.FAILS: "fails_path", Outcome.MEETS: "meets_path"}.get(outcome, "")
        return verdict(case, ident, outcome, Severity.DANGER, which=which, missing=missing, cites=cites)
    return _wire(case, ident)


def _raceway(case: RunCase) -> Outcome:
    """Steel raceway is a ground path; plastic is none; flexible metal only short and on small circuits."""
    assert case.rating_a is not None
    if case.raceway_kind is None:
        return Outcome.CANNOT_TELL
    if case.raceway_kind in STEEL:
        return Outcome.MEETS
    if case.raceway_kind in PLASTIC or case.rating_a > FLEXIBLE_A:
        return Outcome.FAILS
    length_ft = case.cable.length_ft
    if length_ft is None:
        return Outcome.CANNOT_TELL
    return Outcome.MEETS if length_ft <= FLEXIBLE_FT else Outcome.FAILS


def _armor(case: RunCase) -> Outcome:
    """The armor of AC cable is a ground path; that of other cable is one where listed so."""
    return Outcome.MEETS if (case.cable.type or "").upper().startswith("AC") else Outcome.CANNOT_TELL


def _wire(case: RunCase, ident: str) -> Check:
    metal = case.cable.metal or "copper"
    wanted = next((each for each in grounds_of(case) if each.metal == metal), None)
    cites = tuple(dict.fromkeys(wanted.step.all_cites())) if wanted else ()
    if wanted is None:
        return verdict(case, ident, Outcome.CANNOT_TELL, missing=(case.lacks("ground_size"),), cites=cites)
    size = case.cable.ground_size
    if size is None:
        return _not_entered(case, ident, wanted)
    outcome = Outcome.MEETS if size_rank(size) >= size_rank(wanted.size) else Outcome.FAILS
    return verdict(case, ident, outcome, step=wanted.step, cites=cites, found=size, wanted=wanted.size)


def _not_entered(case: RunCase, ident: str, wanted: Sized) -> Check:
    """A cable made with a ground has one large enough for its conductors, unless those were enlarged."""
    kind = (case.cable.type or "").upper()
    enlarged = wanted.step.op == "product"
    made_with = any(kind.startswith(each) for each in WITH_GROUND)
    allow = analysis(case).conductors_allow
    if allow is not None and allow.value.low < (case.rating_a or 0):
        enlarged = True  # the ground in the cable goes with the conductors, not with a breaker that they do not allow
    if made_with and not enlarged:
        return verdict(case, ident, Outcome.MEETS, which="meets_cable", step=wanted.step, cites=wanted.step.all_cites(),
                       wanted=wanted.size)  # fmt: skip
    lacks = (case.lacks("ground_size" if made_with or case.cable.ground == "wire" else "ground"),)
    return verdict(case, ident, Outcome.CANNOT_TELL, step=wanted.step, missing=lacks, cites=wanted.step.all_cites())
