"""The overhead drop and its mast, as far as they were measured; what was not is asked on the site list."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.telling import SERVICE, lacks, name_of, tell
from deadfront.circuits.rules.service.work import service_work
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

CLEAR, MAST = "service.drop_clearance", "service.mast"
IDS = (CLEAR, MAST)
PLAIN = {"above_grade_ft": ("drop_walk_ft", "grade"), "above_driveway_ft": ("drop_driveway_ft", "driveway")}


def checks(facts: Facts) -> Iterator[Check]:
    """Clearances over ground, roof and beside windows; then what hangs on the mast."""
    drop = facts.at.house.service.drop
    if drop.overhead is False:
        return
    for field, (value, how) in PLAIN.items():
        measured: Decimal | None = getattr(drop, field)
        if measured is not None:
            fits = measured >= facts.number(value)
            yield from _clear(facts, Outcome.MEETS if fits else Outcome.FAILS, how, value, measured)
    yield from _roof(facts)
    yield from _window(facts)
    if drop.mast_used_for_other:
        yield from tell(MAST, SERVICE, Outcome.FAILS, service_work(facts).drop, "other", name_of(facts, None),
                        cites=(facts.cite("service_mast"),), hazard=Severity.CORRECT, caution="drop")  # fmt: skip
    elif drop.mast_used_for_other is False:
        yield from tell(MAST, SERVICE, Outcome.MEETS, service_work(facts).drop, "met", name_of(facts, None),
                        cites=(facts.cite("service_mast"),))  # fmt: skip


def _clear(
    facts: Facts, outcome: Outcome, how: str, value: str, measured: Decimal, missing: tuple[Missing, ...] = ()
) -> Iterator[Check]:
    yield from tell(CLEAR, SERVICE, outcome, service_work(facts).drop, f"{how}_{outcome.name.lower()}",
                    name_of(facts, None), cites=(facts.book.value(value).cite,), hazard=Severity.CORRECT,
                    caution="drop", remedy="raise", missing=missing, found=measured,
                    least=facts.number(value))  # fmt: skip


def _roof(facts: Facts) -> Iterator[Check]:
    """Over a roof: 8 ft, less over a steep one, least over an overhang alone."""
    drop = facts.at.house.service.drop
    measured = drop.above_roof_ft
    if measured is None:
        return
    steep = None if drop.roof_slope_in is None else drop.roof_slope_in >= facts.number("steep_roof_in")
    ways = (("drop_roof_ft", True, ""), ("drop_steep_roof_ft", steep, "drop.roof_slope_in"),
            ("drop_overhang_ft", drop.over_overhang_only, "drop.over_overhang_only"))  # fmt: skip
    fit = [(value, holds, field) for value, holds, field in ways if measured >= facts.number(value)]
    met = next((value for value, holds, _ in fit if holds), None)
    if met is not None:
        yield from _clear(facts, Outcome.MEETS, "roof", met, measured)
        return
    fields = tuple(field for _, holds, field in fit if holds is None)
    outcome = Outcome.CANNOT_TELL if fields else Outcome.FAILS
    yield from _clear(facts, outcome, "roof", "drop_roof_ft", measured, lacks(facts, None, *fields))


def _window(facts: Facts) -> Iterator[Check]:
    """Beside a window that opens: 3 ft, unless it runs above its top."""
    drop = facts.at.house.service.drop
    measured = drop.from_window_ft
    if measured is None:
        return
    if measured >= facts.number("window_ft") or drop.above_window:
        outcome = Outcome.MEETS
    else:
        outcome = Outcome.CANNOT_TELL if drop.above_window is None else Outcome.FAILS
    yield from _clear(facts, outcome, "window", "window_ft", measured, lacks(facts, None, "drop.above_window"))
