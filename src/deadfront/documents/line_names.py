"""What a line of a worksheet is called where that hangs on what it holds: heating, cooling, blowers, motor."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.msg import Msg, said
from deadfront.quantities import point
from deadfront.worksheet.step import Step

CLIMATE = "load.climate"
LARGER = ("load.larger_climate", "load.heats_or_cooling")
HEAT_PUMPS = ("load.heat_pumps", "load.supplement_or_compressor", "load.compressor")
PARTS = ("heat", "cooling", "blowers", "motor")


def line_name(step: Step) -> Msg:
    """The name of a line: that of its Step, but no heating, cooling or motor where there is none."""
    if step.name.key != CLIMATE or step.op not in ("sum", "interval"):
        return step.name
    held = set(_held(step))
    if held <= {"motor"}:
        return said("load.held.motor_alone" if held else "load.held.nothing")
    first, *rest = [part for part in PARTS if part in held]
    parts = (said(f"load.held.first.{first}"), *(said(f"load.held.{part}") for part in rest))
    return said("load.held.parts", parts=parts)


def _held(step: Step) -> Iterator[str]:
    """The parts of a heating and cooling line that are there."""
    for arg in step.args:
        key = arg.name.key
        if key in (CLIMATE, *LARGER):
            yield from _held(arg) if key == CLIMATE else _in_larger(arg)
        elif key in ("load.heat", "load.cooling"):
            yield from _one(key, arg)
        elif key == "load.motor_quarter":
            yield from ["motor"] if arg.value != point(0) else []
        elif key != "load.handlers" or arg.args:
            yield "blowers"


def _in_larger(step: Step) -> Iterator[str]:
    """What stands in a larger of heating and cooling; what is not cooling there is some heat."""
    for arg in step.args:
        if arg.name.key in LARGER:
            yield from _in_larger(arg)
        else:
            yield from _one(arg.name.key, arg)


def _one(key: str, step: Step) -> Iterator[str]:
    if not step.args and step.op != "fact":
        return
    if key != "load.cooling":
        yield "heat"
    if key in ("load.cooling", *HEAT_PUMPS):
        yield "cooling"
