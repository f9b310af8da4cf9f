"""The load on a run: what each load draws, what part of it is continuous, and what conductors and breaker must hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from deadfront.circuits.rules.runs.case import LoadCase, RunCase
from deadfront.circuits.rules.runs.cooking import cooking_current, is_cooking
from deadfront.circuits.rules.runs.current import current_of, lacks, volts_of
from deadfront.codebook.kinds import load_kinds
from deadfront.quantities import Interval, between
from deadfront.worksheet import build
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

HERMETIC = ("air_conditioner", "heat_pump")
PUMPS = ("well_pump", "pool_pump", "sump_pump", "sewage_ejector")
OFTEN_CORDED = ("sump_pump", "sewage_ejector", "disposal", "compactor", "garage_door", "range_hood", "dishwasher",
                "central_vacuum", "other")  # fmt: skip
CONTINUOUS = {"evse": "evse_continuous_percent", "water_heater": "water_heater_percent",
              "space_heat": "space_heat_percent", "pool_heater": "pool_heater_percent",
              "spa": "pool_heater_percent"}  # fmt: skip
Sort = Literal["general", "motor", "hermetic"]


@dataclass(frozen=True, slots=True)
class Demand:
    """The load on a run.

    Args:
        sort: Whose rules protect it: general, motor, hermetic motor-compressor.
        load: What it draws [A], None where nothing is known to be on it.
        least: What conductors (before correction) and breaker must be good for [A].
        breaker_from: What the breaker itself must be good for [A], where it is not `least`.
    """

    sort: Sort
    load: Step | None
    least: Step | None
    breaker_from: Step | None = None

    @property
    def for_breaker(self) -> Step | None:
        """What the breaker must be good for [A]: the quarter of a motor among motors is asked of conductors only."""
        return self.least if self.breaker_from is None else self.breaker_from


def sort_of(case: RunCase) -> Sort:
    """Whose rules protect a run: a lone motor or motor-compressor has its own."""
    one = case.alone
    if one is None:
        return "general"
    if one.kind in HERMETIC and one.cord_and_plug is not True:
        return "hermetic"
    wired = one.cord_and_plug is False or (one.cord_and_plug is None and one.kind not in OFTEN_CORDED)
    runs = one.motor is not False and (one.motor or one.hp is not None or one.kind in PUMPS)
    return "motor" if wired and runs else "general"


def demand_of(case: RunCase) -> Demand:
    """The load on a branch circuit and what it asks for."""
    sort = sort_of(case)
    if sort == "hermetic":
        return _hermetic(case)
    if sort == "motor":
        return _motor(case)
    return _feeder(case) if case.kind == "feeder" else _general(case)


def _hermetic(case: RunCase) -> Demand:
    one = case.loads[0]
    ident, cite = f"run/{case.of}/load", case.book.rule("hermetic_nameplate").cite
    mca = one.minimum_circuit_ampacity_a
    if mca is not None:
        least = build.fact(f"run/{case.of}/least", "run.mca", mca, "A", f"{one.root}.minimum_circuit_ampacity_a",
                           cite=cite)  # fmt: skip
        load = build.least(ident, "run.load", (current_of(case, one) if one.nameplate_a else least,), unit="A")
        return Demand("hermetic", load, least)
    load = current_of(case, one)
    missing = lacks(one, "minimum_circuit_ampacity_a")
    percent = case.book.value("hermetic_conductor_percent")
    least = build.percent_of(f"run/{case.of}/least", "run.least", load, percent.number, unit="A", cite=percent.cite)
    if one.supplemental_w:
        least = _with_supplement(case, one, least)
    if load.value.high is None:
        least = build.fact(f"run/{case.of}/least", "run.mca", load.value, "A", f"{one.root}.minimum_circuit_ampacity_a",
                           missing=missing)  # fmt: skip
    return Demand("hermetic", load, least)


def _with_supplement(case: RunCase, one: LoadCase, least: Step) -> Step:
    """Least ampacity without MCA: the supplemental heat may be on the same circuit or on its own."""
    ident = f"run/{case.of}/supplement"
    watts = build.fact(f"{ident}/w", "run.supplement", one.supplemental_w or 0, "VA", f"{one.root}.supplemental_w",
                       inline=True)  # fmt: skip
    amperes = build.quotient(f"{ident}/a", "run.supplement", watts, volts_of(case, one), inline=True)
    percent = case.book.value("space_heat_percent")
    heat = build.percent_of(ident, "run.supplement", amperes, percent.number, unit="A", cite=percent.cite)
    both = build.total(f"{ident}/both", "run.least", (least, heat), unit="A")
    return build.between_cases(f"run/{case.of}/least", "run.least", least, both, unit="A",
                               missing=(lacks(one, "minimum_circuit_ampacity_a"),))  # fmt: skip


def _motor(case: RunCase) -> Demand:
    load = current_of(case, case.loads[0])
    percent = case.book.value("motor_conductor_percent")
    cites = (percent.cite, case.book.rule("motor_conductors").cite)
    least = build.percent_of(f"run/{case.of}/least", "run.least", load, percent.number, unit="A", cite=cites)
    return Demand("motor", build.least(f"run/{case.of}/load", "run.load", (load,), unit="A"), least)


def _general(case: RunCase) -> Demand:
    parts = _parts(case)
    if not parts:
        return Demand("general", None, None)
    load = build.total(f"run/{case.of}/load", "run.load", [part.amperes for part in parts], unit="A")
    asked = [part.asks(case) for part in parts]
    largest = _largest_motor(case, parts)
    cite = case.book.rule("branch_conductors").cite
    ident = f"run/{case.of}/least"
    plain = build.total(ident if largest is None else f"{ident}/breaker", "run.least", asked, unit="A", cite=cite)
    if largest is None:
        return Demand("general", load, _range_least(case, plain))
    least = build.total(ident, "run.least", [*asked, largest], unit="A", cite=cite)
    only_motors = all(part.motor for part in parts)  # with other load the quarter counts for the circuit as a whole
    return Demand("general", load, _range_least(case, least), plain if only_motors else None)


def _feeder(case: RunCase) -> Demand:
    """A feeder: as calculated; else at least its largest load, at most all together, as no demand factor is taken."""
    if case.feeder_load_a is not None:
        path = f"{case.root}.feeder_load_a"
        load, least = (build.fact(f"run/{case.of}/{end}", "run.feeder_load", case.feeder_load_a, "A", path)
                       for end in ("load", "least"))  # fmt: skip
        return Demand("general", load, least)
    parts = _parts(case)
    missing = (*((case.lacks_loads(),) if case.unlisted else ()), case.lacks_feeder_load())
    if not parts:
        return Demand("general", None, None)
    largest = _largest_motor(case, parts)
    amperes, asked = [each.amperes for each in parts], [each.asks(case) for each in parts]
    made = []
    for end, steps, more in (("load", amperes, None), ("least", asked, largest), ("least/breaker", asked, None)):
        ident, name = f"run/{case.of}/{end}", f"run.{end.partition('/')[0]}"
        cite = case.book.rule("feeder_conductors").cite
        low = build.largest(f"{ident}/largest", "run.largest_load", steps, unit="A", cite=cite)
        whole = steps if more is None else [*steps, more]
        high = None if case.unlisted else build.total(f"{ident}/all", "run.all_loads", whole, unit="A", cite=cite)
        made.append(build.between_cases(ident, name, low, high, unit="A", missing=missing))
    return Demand("general", made[0], made[1], None if largest is None else made[2])


@dataclass(frozen=True, slots=True)
class _Part:
    """One load, the percent at which it counts, and whether it is a motor."""

    amperes: Step
    percent: Decimal
    cite: Cite | None
    motor: bool = False

    def asks(self, case: RunCase) -> Step:
        """What it asks for [A]."""
        if self.percent == 100:
            return self.amperes
        return build.percent_of(f"{self.amperes.id}/continuous", "run.continuous", self.amperes, self.percent, unit="A",
                                cite=self.cite, inline=True)  # fmt: skip


def _parts(case: RunCase) -> list[_Part]:
    cooking = [load for load in case.loads if is_cooking(load)]
    parts = [_part(case, load) for load in case.loads if load not in cooking]
    if cooking:
        parts.append(_Part(cooking_current(case, cooking), Decimal(100), None))
    return parts + _entered(case)


def _part(case: RunCase, load: LoadCase) -> _Part:
    percent, cite = continuous_percent(case, load)
    kind = load_kinds().get(load.kind)
    motor = bool(load.motor) if load.motor is not None else bool(kind and kind.motor)
    return _Part(current_of(case, load), percent, cite, motor and load.kind not in HERMETIC)


def continuous_percent(case: RunCase, load: LoadCase) -> tuple[Decimal, Cite | None]:
    """Percent at which a load counts, and where that stands: by its kind, or as entered."""
    hundred = Decimal(100)
    rule = CONTINUOUS.get(load.kind)
    if rule is None and not (load.continuous or load.continuous_rated):
        return hundred, None
    if rule is None:
        rule = "branch_continuous_percent" if case.kind == "circuit" else "feeder_continuous_percent"
        if case.breaker is not None and case.breaker.listed_full_load:
            return hundred, None
    value = case.book.value(rule)
    return value.number, value.cite


def _run_volts(case: RunCase) -> Step:
    """Volts of the run; 120 to 240 V while poles or system are not known."""
    ident = f"run/{case.of}/volts"
    if case.volts is not None:
        return build.given(ident, "run.volts", case.volts, "V", None)
    return build.fact(ident, "run.volts", between(120, 240), "V", case.root, missing=case.lacks_poles(), inline=True)


def _entered(case: RunCase) -> list[_Part]:
    """The load entered for the circuit as a whole, its continuous part apart."""
    if case.load_va is None:
        return []
    ident, volts = f"run/{case.of}/entered", _run_volts(case)
    made = []
    lasting = min(case.continuous_va or Decimal(0), case.load_va)
    entry = case.book.value("branch_continuous_percent")
    full = bool(case.breaker and case.breaker.listed_full_load)
    for name, field, amount in (("run.entered", "load_va", case.load_va - lasting),
                                ("run.entered_continuous", "continuous_va", lasting)):  # fmt: skip
        if amount or (field == "load_va" and not lasting):
            va = build.fact(f"{ident}/{field}/va", name, amount, "VA", f"{case.root}.{field}", inline=True)
            amperes = build.quotient(f"{ident}/{field}", name, va, volts, inline=True)
            percent = entry.number if field == "continuous_va" and not full else Decimal(100)
            made.append(_Part(amperes, percent, entry.cite if percent != 100 else None))
    return made


def _largest_motor(case: RunCase, parts: Sequence[_Part]) -> Step | None:
    """A quarter of the largest motor; None where there is no motor."""
    motors = [part.amperes for part in parts if part.motor and part.percent == 100]
    if not motors:
        return None
    value = case.book.value("largest_motor_percent")
    largest = build.largest(f"run/{case.of}/largest_motor", "run.largest_motor", motors, unit="A", inline=True)
    return build.percent_of(f"run/{case.of}/motor_adder", "run.motor_adder", largest, value.number, unit="A",
                            cite=value.cite, inline=True)  # fmt: skip


def _range_least(case: RunCase, least: Step) -> Step:
    """A range of 8-3/4 kW or more is on a circuit of at least 40 A."""
    from_va, min_a = case.book.value("range_circuit_from_va"), case.book.value("range_circuit_min_a")
    ratings = [load.nameplate_va or load.nameplate_w for load in case.loads if load.kind == "range"]
    if not any(rating is not None and rating >= from_va.number for rating in ratings):
        return least
    given = build.given(f"run/{case.of}/range", "value.range_circuit_min_a", min_a.number, "A", min_a.cite)
    return build.largest(f"run/{case.of}/least", "run.least", (least, given), unit="A")


def known(step: Step | None) -> bool:
    """True for a figure with an upper end."""
    return step is not None and step.value.high is not None


def missing_of(*steps: Step | None) -> tuple[Missing, ...]:
    """Facts that any of several figures waits for."""
    found: dict[str, Missing] = {}
    for step in steps:
        if step is not None:
            found |= {each.path: each for each in step.all_missing()}
    return tuple(found.values())


def upper(value: Interval) -> Decimal:
    """The upper end, or a figure above every rating where there is none."""
    return Decimal(10**9) if value.high is None else value.high
