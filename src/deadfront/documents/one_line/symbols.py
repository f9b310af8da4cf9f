"""The symbols, in plain geometry after the forms of IEC 60617 (IEEE 315 is inactive).

Each stands with its upper terminal at (0, 0) and its lower one at (0, height), in points.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, pi, sin

from deadfront.documents.one_line.marks import Circle, Mark, Path, Words


@dataclass(frozen=True, slots=True)
class Symbol:
    """A symbol: its marks, half its width, its height.

    Args:
        left, right: How far it reaches from the line of its terminals.
        beside: Where its other upper terminal is, for equipment with one.
    """

    marks: tuple[Mark, ...]
    left: float
    right: float
    height: float
    beside: float = 0.0


def _line(*points: float, width: float = 0.9) -> Path:
    return Path(tuple(zip(points[::2], points[1::2], strict=True)), width=width)


def _closed(*points: float) -> Path:
    return Path((*zip(points[::2], points[1::2], strict=True), (points[0], points[1])))


def _filled(*points: float) -> Path:
    return Path(tuple(zip(points[::2], points[1::2], strict=True)), filled=True)


def _arc(x: float, y: float, radius: float, start: float, end: float, steps: int = 10) -> Path:
    turns = [start + (end - start) * n / steps for n in range(steps + 1)]
    return Path(tuple((x + radius * cos(t * pi / 180), y + radius * sin(t * pi / 180)) for t in turns))


def _letters(y: float, say: str, size: float, *, bold: bool = False) -> Words:
    return Words(0, y, say, size, bold, "middle", "symbols")


def _wave(x: float, y: float, half: float) -> Path:
    steps = 12
    return Path(
        tuple((x - half + 2 * half * n / steps, y - 0.5 * half * sin(2 * pi * n / steps)) for n in range(steps + 1))
    )


def _box(half: float, height: float) -> Path:
    return _closed(-half, 0, half, 0, half, height, -half, height)


def transformer() -> Symbol:
    """Two circles that cut each other."""
    return Symbol((Circle(0, 8, 8), Circle(0, 18, 8)), 8, 8, 26)


def meter() -> Symbol:
    """Energy meter: a square with a strip above the unit."""
    return Symbol((_box(11, 20), _line(-11, 6, 11, 6), _letters(15.6, "kWh", 7)), 11, 11, 20)


def _blade() -> tuple[Mark, ...]:
    return (_line(0, 0, 0, 7), _line(-7, 9, 0, 20), _line(0, 20, 0, 26))


def breaker() -> Symbol:
    """A contact with the cross of a circuit breaker."""
    return Symbol((*_blade(), _line(-3, 4, 3, 10), _line(-3, 10, 3, 4)), 8, 4, 26)


def disconnect() -> Symbol:
    """A contact with the bar and ring of a switch-disconnector."""
    return Symbol((*_blade(), _line(-3.5, 7, 3.5, 7), Circle(0, 9, 2)), 8, 4, 26)


def fused_disconnect() -> Symbol:
    """The same with a fuse below its blade."""
    fuse = _closed(-3, 22, 3, 22, 3, 34, -3, 34)
    return Symbol((*disconnect().marks, fuse, _line(0, 26, 0, 38)), 8, 4, 38)


def transfer() -> Symbol:
    """A two-way contact: normal above, alternate beside it, load below."""
    frame = Path(((-9, 0), (21, 0), (21, 30), (-9, 30), (-9, 0)), width=0.7)
    arms = (_line(0, 0, 0, 8), _line(12, 0, 12, 8), _line(0, 9, 6, 22), _line(6, 22, 6, 26, 0, 26, 0, 30))
    return Symbol((frame, *arms, Circle(0, 8, 1.3), Circle(12, 8, 1.3), Circle(6, 22, 1.3)), 9, 21, 30, 12)


def isolation() -> Symbol:
    """An isolation device: a contact in a frame that opens toward the utility."""
    frame = Path(((-11, 0), (9, 0), (9, 28), (-11, 28), (-11, 0)), width=0.7)
    return Symbol((frame, *disconnect().marks, _line(0, 26, 0, 28)), 11, 9, 28)


def generator() -> Symbol:
    """A circle with G above the wave of alternating current."""
    return Symbol((Circle(0, 12, 12), _letters(13, "G", 11, bold=True), _wave(0, 18, 5)), 12, 12, 24)


def inverter() -> Symbol:
    """A square: alternating current above its diagonal, direct current below."""
    marks = (_box(11, 22), _line(-11, 22, 11, 0), _wave(-4.5, 6, 4), _line(1, 15, 8, 15), _line(1, 18, 8, 18))
    return Symbol(marks, 11, 11, 22)


def array() -> Symbol:
    """Solar cells: a cell in a frame, light falling on it."""
    cell = (_line(0, 0, 0, 12), _line(-8, 12, 8, 12), _line(-4, 16, 4, 16, width=2), _line(0, 16, 0, 20))
    light = [
        mark for x in (-22.0, -17.0) for mark in (_line(x, 2, x + 7, 9), _filled(x + 7, 9, x + 3.2, 8, x + 6, 5.2))
    ]
    return Symbol((*cell, *light), 22, 9, 20)


def cells() -> Symbol:
    """A battery: long and short plates."""
    plates = (_line(-8, 5, 8, 5), _line(-4, 9, 4, 9, width=2), _line(-8, 13, 8, 13), _line(-4, 17, 4, 17, width=2))
    return Symbol((_line(0, 0, 0, 5), *plates, _line(0, 17, 0, 20)), 8, 8, 20)


def inlet() -> Symbol:
    """A plug and socket: the pin below, the half circle above."""
    pin = _filled(-2, 12, 2, 12, 2, 22, -2, 22)
    return Symbol((_line(0, 0, 0, 5), _arc(0, 12, 7, 180, 360), pin), 8, 8, 22)


def vehicle() -> Symbol:
    """A vehicle as a source: cells in a frame."""
    return Symbol((_box(11, 22), *cells().marks), 11, 11, 22)


def evse() -> Symbol:
    """Charging equipment: a frame with its letters."""
    return Symbol((_box(12, 16), _letters(10.8, "EV", 8, bold=True)), 12, 12, 16)


def load() -> Symbol:
    """The end of a circuit: an arrow."""
    return Symbol((_line(0, 0, 0, 8), _filled(-4, 7, 4, 7, 0, 15)), 4, 4, 15)


def circuits() -> Symbol:
    """Several circuits in one: an arrow with a stroke across its line."""
    return Symbol((*load().marks, _line(-4, 5.5, 4, 1.5)), 4, 4, 15)


def unknown() -> Symbol:
    """Nobody knows yet: a question mark in a ring."""
    return Symbol((Circle(0, 9, 9), _letters(13, "?", 11, bold=True)), 9, 9, 18)


def point() -> Symbol:
    """A joint: a dot."""
    return Symbol((_line(0, 0, 0, 6), Circle(0, 3, 2, filled=True)), 2.5, 2.5, 6)


def reference() -> Symbol:
    """It goes on elsewhere in the drawing: a flag."""
    return Symbol((_closed(-8, 0, 8, 0, 8, 8, 0, 14, -8, 8),), 8, 8, 14)


def earth(x: float, y: float) -> tuple[Mark, ...]:
    """The ground symbol at the end of a short line to the left of a place."""
    at = x - 9
    return (_line(x, y, at, y), _line(at, y, at, y + 6), _line(at - 5, y + 6, at + 5, y + 6),
             _line(at - 3.2, y + 8, at + 3.2, y + 8), _line(at - 1.4, y + 10, at + 1.4, y + 10))  # fmt: skip


SYMBOLS: dict[str, Callable[[], Symbol]] = {
    "transformer": transformer, "meter": meter, "breaker": breaker, "disconnect": disconnect,
    "fused_disconnect": fused_disconnect, "transfer": transfer, "isolation": isolation, "generator": generator,
    "inverter": inverter, "array": array, "cells": cells, "inlet": inlet, "vehicle": vehicle, "evse": evse,
    "load": load, "circuits": circuits, "unknown": unknown, "point": point, "reference": reference,
}  # fmt: skip
