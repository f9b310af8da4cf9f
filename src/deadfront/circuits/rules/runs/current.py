"""What one load draws [A]: from its nameplate, its motor table, its setting; a range where facts are missing."""

from __future__ import annotations

from decimal import Decimal

from deadfront.circuits.rules.runs.case import LoadCase, RunCase
from deadfront.codebook.kinds import load_kinds
from deadfront.codebook.lookup import motor_current
from deadfront.errors import EditionNotEncoded, OutOfTable
from deadfront.msg import said
from deadfront.quantities import UNKNOWN, between
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


def lacks(load: LoadCase, field: str = "nameplate_w") -> Missing:
    """A nameplate fact of a load to find out."""
    if field == "nameplate_w":
        return Missing(f"{load.root}.{field}", said("todo.nameplate", thing=load.said_name),
                       said(f"todo.how.plate.{load.kind}"))  # fmt: skip
    what, how = said(f"todo.circuits.{field}", thing=load.said_name), said(f"todo.how.circuits.{field}")
    return Missing(f"{load.root}.{field}", what, how)


def volts_of(case: RunCase, load: LoadCase) -> Step:
    """Volts of a load: as marked, of its circuit, or usual for its kind."""
    ident = f"run/{case.of}/{load.id}/volts"
    if load.volts is not None:
        return build.fact(ident, "load.volts", load.volts, "V", f"{load.root}.volts", inline=True)
    kind = load_kinds().get(load.kind)
    poles = None if case.breaker is None else case.breaker.poles
    usual = "nominal_volts_120" if kind is not None and kind.volts == 120 else None
    if case.volts is not None and (poles == 1 or usual is None or case.alone is not None):
        return build.given(ident, "load.volts", case.volts, "V", case.book.value("nominal_volts_240").cite)
    if kind is None or (kind.volts_vary and case.alone is not None):
        missing = Missing(f"{load.root}.volts", said("todo.volts", thing=load.said_name), said("todo.how.volts"))
        return build.fact(ident, "load.volts", between(120, 240), "V", f"{load.root}.volts", missing=missing,
                          inline=True)  # fmt: skip
    if usual is None:
        return build.fact(ident, "load.volts", between(208, 240), "V", f"{load.root}.volts", inline=True)
    entry = case.book.value(usual)
    return build.given(ident, "load.volts", entry.number, "V", entry.cite)


def current_of(case: RunCase, load: LoadCase) -> Step:
    """Current of a load, all of its number [A]."""
    each = _evse(case, load) if load.kind == "evse" and load.setting_a is not None else _each(case, load)
    if load.quantity == 1:
        return each
    number = build.counted(f"run/{case.of}/{load.id}/number", "count.of_these", load.quantity)
    return build.product(f"run/{case.of}/{load.id}/all", load.said_name, (number, each), unit="A")


def _each(case: RunCase, load: LoadCase) -> Step:
    ident = f"run/{case.of}/{load.id}"
    if load.hp is not None:
        found = _by_table(case, load, ident)
        if found is not None:
            return found
    if load.nameplate_a is not None:
        return build.fact(ident, load.said_name, load.nameplate_a, "A", f"{load.root}.nameplate_a")
    for field in ("nameplate_va", "nameplate_w"):
        amount: Decimal | None = getattr(load, field)
        if amount is not None:
            va = build.fact(f"{ident}/{field}", load.said_name, amount, "VA", f"{load.root}.{field}", inline=True)
            amperes = build.quotient(ident, load.said_name, va, volts_of(case, load))
            return _at_power_factor(load, ident, amperes) if field == "nameplate_w" else amperes
    if load.minimum_circuit_ampacity_a is not None:
        field = "minimum_circuit_ampacity_a"
        return build.fact(ident, load.said_name, load.minimum_circuit_ampacity_a, "A", f"{load.root}.{field}")
    return build.fact(ident, load.said_name, UNKNOWN, "A", f"{load.root}.nameplate_w", missing=lacks(load))


def _at_power_factor(load: LoadCase, ident: str, amperes: Step) -> Step:
    """Watts are less than volt-amperes where the power factor is known to be below one."""
    if load.power_factor is None or load.power_factor == 1:
        return amperes
    factor = build.fact(f"{ident}/pf", "run.power_factor", load.power_factor, "", f"{load.root}.power_factor",
                        inline=True)  # fmt: skip
    return build.quotient(f"{ident}/va", load.said_name, amperes, factor)


def _by_table(case: RunCase, load: LoadCase, ident: str) -> Step | None:
    """Full-load current by horsepower, as motors are sized (430.6(A)(1)); None where the table has no such motor."""
    volts = volts_of(case, load).value
    try:
        found = [motor_current(case.book, str(load.hp), volt) for volt in {volts.low, volts.high or volts.low}]
    except OutOfTable:
        return None
    most = max(found, key=lambda each: each.value)
    return build.lookup(ident, load.said_name, most.value, "A", most.cite, table="motor_current_single_phase",
                        row=most.row)  # fmt: skip


def _evse(case: RunCase, load: LoadCase) -> Step:
    """An adjustable EVSE: its setting counts where the edition says so and only qualified people can change it."""
    ident = f"run/{case.of}/{load.id}"
    plate = _each(case, load._replace(setting_a=None))
    try:
        barred = case.book.barred("evse_adjustable")
        cite = None if barred else case.book.rule("evse_adjustable").cite
    except EditionNotEncoded:
        cite = None
    if cite is None or load.setting_restricted is False:
        return plate
    assert load.setting_a is not None
    setting = build.fact(f"{ident}/setting", "run.setting", load.setting_a, "A", f"{load.root}.setting_a", cite=cite)
    if plate.value.high is not None:
        setting = build.least(f"{ident}/set", load.said_name, (setting, plate), unit="A", cite=cite)
    if load.setting_restricted:
        return setting
    missing = Missing(f"{load.root}.setting_restricted", said("todo.setting_restricted", thing=load.said_name),
                      said("todo.how.setting_restricted"))  # fmt: skip
    high = None if plate.value.high is None else plate
    return build.between_cases(f"{ident}/rated", load.said_name, setting, high, unit="A", missing=(missing,))
