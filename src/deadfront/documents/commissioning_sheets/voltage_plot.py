"""Voltages drawn to scale: each leg idle and under load within its range, and the neutral step as two slopes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from deadfront.codebook.test_limits import limits_of_tests
from deadfront.commissioning.rules.reading import Asked, understood
from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.msg import said
from deadfront.results.commissioning import TestAnswer
from deadfront.worksheet.sheet import Picture

WIDE, ROW, LEFT, RIGHT, SIZE = 640.0, 26.0, 236.0, 24.0, 13.0
LEG_V, AROUND_V = 120.0, 4.0
PLACES = ("service_voltage", "bus_voltage", "loaded_voltage", "transfer")
LEGS = (("l1_n", "L1"), ("l2_n", "L2"))
HUNDRED = 100


def mean_of(test: TestAnswer, key: str) -> Decimal | None:
    """Mean of a typed voltage; None where nothing that can be understood was typed."""
    typed = next((each.typed for each in test.readings if each.key == key), "")
    reading = understood(Asked(key, "V", high=Decimal(700), repeats=True), typed)
    return reading.mean if reading.known and reading.values else None


def voltage_picture(tests: Sequence[TestAnswer], catalog: Catalog) -> Picture | None:
    """Legs to neutral wherever they were read, within the range of the standard; None where none was."""
    rows: list[tuple[str, float]] = []
    for test in tests:
        if test.test in PLACES and test.record:
            for key, leg in LEGS:
                mean = mean_of(test, key)
                if mean is not None:
                    words = catalog.key("sheet.commissioning.plot.row", test=said(f"commission.test.{test.test}"),
                                        name=test.name, leg=leg)  # fmt: skip
                    rows.append((words, float(mean)))
    if not rows:
        return None
    low, high = (LEG_V * (1 + sign * float(limits_of_tests()[key].value) / HUNDRED)
                 for sign, key in ((-1, "service_low_percent"), (1, "service_high_percent")))  # fmt: skip
    least = min(low - AROUND_V, *(value for _, value in rows))
    most = max(high + AROUND_V, *(value for _, value in rows))
    title = catalog.key("sheet.commissioning.plot.title")
    parts = _rows(rows, least, most, round(low), round(high))
    height = ROW * (len(rows) + 1) + 22
    return Picture(svg.drawing(WIDE, height, parts, title=title, kind="voltages"),
                   said("sheet.commissioning.plot.title"))  # fmt: skip


def _rows(rows: Sequence[tuple[str, float]], least: float, most: float, low: int, high: int) -> Iterator[str]:
    def x(volts: float) -> float:
        return LEFT + (volts - least) / (most - least) * (WIDE - LEFT - RIGHT)

    bottom = ROW * len(rows) + 14
    for volts in (float(low), float(high)):
        yield svg.element("path", d=f"M{svg.short(x(volts))} 6V{svg.short(bottom)}", stroke=svg.SOFT, stroke_width=1.0,
                          stroke_dasharray="5 3", fill="none")  # fmt: skip
        yield svg.text(
            x(volts), bottom + 16, f"{volts:.0f} V", size=SIZE, anchor="middle", fill=svg.SOFT, face=svg.MONO
        )
    yield svg.element("path", d=f"M{svg.short(x(LEG_V))} 6V{svg.short(bottom)}", stroke=svg.SOFT, stroke_width=0.5,
                      fill="none")  # fmt: skip
    for number, (words, volts) in enumerate(rows):
        y = ROW * number + ROW / 2 + 10
        yield svg.text(LEFT - 12, y + 4.5, words, size=SIZE, anchor="end")
        mark = f"M{svg.short(x(volts))} {svg.short(y - 7)}V{svg.short(y + 7)}"
        yield svg.element("path", d=mark, stroke=svg.INK, stroke_width=4.0, fill="none")
        right = x(volts) < WIDE - RIGHT - 70
        yield svg.text(x(volts) + (8 if right else -8), y + 4.5, f"{volts:.1f} V", size=SIZE,
                       anchor="start" if right else "end", face=svg.MONO)  # fmt: skip


def neutral_picture(tests: Sequence[TestAnswer], catalog: Catalog) -> Picture | None:
    """The neutral step: a leg that falls under its load, the other that rises by what the neutral drops."""
    test = next((each for each in reversed(tests) if each.test == "neutral_step" and each.record), None)
    if test is None:
        return None
    pairs = [(leg.upper(), mean_of(test, f"{leg}_idle"), mean_of(test, f"{leg}_loaded")) for leg in ("l1", "l2")]
    known = [(leg, float(idle), float(loaded)) for leg, idle, loaded in pairs if idle is not None is not loaded
             and loaded is not None]  # fmt: skip
    if len(known) < len(pairs):
        return None
    title = catalog.key("sheet.commissioning.plot.neutral", name=test.name)
    parts = _slopes(known, catalog)
    return Picture(svg.drawing(WIDE, 190, parts, title=title, kind="neutral-step"),
                   said("sheet.commissioning.plot.neutral", name=test.name))  # fmt: skip


def _slopes(known: Sequence[tuple[str, float, float]], catalog: Catalog) -> Iterator[str]:
    volts = [value for _, idle, loaded in known for value in (idle, loaded)]
    least, most = min(volts) - 0.5, max(volts) + 0.5

    def y(value: float) -> float:
        return 150 - (value - least) / (most - least) * 130

    left, right = 190.0, 450.0
    for where, key in ((left, "idle"), (right, "loaded")):
        yield svg.element("path", d=f"M{svg.short(where)} 14V156", stroke=svg.SOFT, stroke_width=1.0, fill="none")
        yield svg.text(where, 176, catalog.key(f"sheet.commissioning.plot.{key}"), size=SIZE, anchor="middle",
                       fill=svg.SOFT)  # fmt: skip
    for number, (leg, idle, loaded) in enumerate(known):
        dash = "6 4" if number else None
        line = f"M{svg.short(left)} {svg.short(y(idle))}L{svg.short(right)} {svg.short(y(loaded))}"
        yield svg.element("path", d=line,
                          stroke=svg.INK, stroke_width=2.5, stroke_dasharray=dash, fill="none")  # fmt: skip
        apart = 0.0 if abs(y(known[0][1]) - y(known[1][1])) > SIZE else (-8.0 if number == 0 else 8.0)
        yield svg.text(left - 10, y(idle) + 4.5 + apart, f"{leg} {idle:.2f} V", size=SIZE, anchor="end", face=svg.MONO)
        yield svg.text(right + 10, y(loaded) + 4.5, f"{leg} {loaded:.2f} V", size=SIZE, face=svg.MONO)
