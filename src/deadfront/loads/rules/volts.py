"""Volts that turn a load into amperes at the service, and a limit in amperes into a load."""

from __future__ import annotations

from decimal import Decimal

from deadfront.loads.rules.context import Context
from deadfront.msg import said
from deadfront.quantities import Interval
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

ROOT_OF_THREE = Decimal("1.7320508")


def service_volts(context: Context) -> Step:
    """Volts that turn a load into amperes at the service."""
    system = context.at.house.service.system
    if system is None:
        missing = Missing("before/service.system", said("todo.service.system"), said("todo.how.service.system"))
        return build.fact(
            "service/volts",
            "load.service_volts",
            Interval(Decimal(208), Decimal(240)),
            "V",
            "before/service.system",
            missing=missing,
            inline=True,
        )
    if system == "120/240 1ph 3w":
        return context.given("service/volts", "nominal_volts_240")
    line = context.given("service/volts_line", "nominal_volts_208")
    if system == "208Y/120 1ph 3w":
        return line
    root = build.given("service/root_three", "load.root_of_three", ROOT_OF_THREE, "", None)
    return build.product("service/volts", "load.service_volts", (line, root), unit="V", inline=True)
