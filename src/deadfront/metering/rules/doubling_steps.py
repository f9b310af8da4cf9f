"""How far off one current transformer is that stands for two hots, as Steps."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.msg import said
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

HUNDRED = Decimal(100)
TANGENT_30 = Decimal("0.57735")
"""Tangent of 30 degrees: the angle between a leg's voltage and that between two legs of a wye."""


def _percent(ident: str, share: Step) -> Step:
    whole = build.given(f"{ident}.percent", said("figure.metering.percent"), HUNDRED, "%", None)
    return build.product(ident, said("figure.metering.error"), [share, whole], unit="%")


def legs_error(facts: Facts, channel: Channel) -> Step:
    """Most that doubled watts are off on legs of a healthy service: one at its highest, the other at its lowest.

    (V1 - V2)/(V1 + V2) grows with V1 and falls with V2: the worst is one pair of ends, not the ends of both parts.
    """
    ident = f"metering.{channel.id}.legs"
    legs = []
    for end in ("high", "low"):
        found = facts.book.value(f"leg_volts_{end}")
        legs.append(build.given(f"{ident}.{end}", said(f"codebook.subject.leg_volts_{end}"), found.number, "V",
                                replace(found.cite, edition="", code="ANSI")))  # fmt: skip
    apart = build.apart(f"{ident}.apart", said("figure.metering.apart"), *legs)
    both = build.total(f"{ident}.sum", said("figure.metering.sum"), legs, unit="V")
    return _percent(ident, build.quotient(f"{ident}.share", said("figure.metering.share"), apart, both, unit=""))


def whole_load(facts: Facts, channel: Channel) -> Step | None:
    """All of what it measures, by nameplates [W]; None where one is not known."""
    loads = facts.loads_on(channel.measures or "")
    if not loads or any(each.nameplate_w is None for each in loads):
        return None
    ident = f"metering.{channel.id}.neutral"
    all_ = [build.fact(f"{ident}.{each.id}", said("figure.metering.nameplate"), (each.nameplate_w or 0) * each.quantity,
                       "W", facts.at.path(each, "nameplate_w")) for each in loads]  # fmt: skip
    return build.total(f"{ident}.whole", said("figure.metering.whole"), all_, unit="W")


def neutral_error(facts: Facts, channel: Channel) -> Step | None:
    """How far off a doubled reading is by the part between one hot and neutral, above or below by the leg it is on."""
    whole = whole_load(facts, channel)
    if channel.neutral_w is None or whole is None:
        return None
    ident = f"metering.{channel.id}.neutral"
    part = build.fact(f"{ident}.part", said("figure.metering.neutral_part"), channel.neutral_w, "W",
                      facts.at.path(channel, "neutral_w"))  # fmt: skip
    return _percent(ident, build.quotient(f"{ident}.share", said("figure.metering.share"), part, whole, unit=""))


def wye_error(facts: Facts, channel: Channel) -> Step:
    """How far off one doubled leg of a 208 V load is, above on one leg and below on the other: tan(phi) tan(30)."""
    ident = f"metering.{channel.id}.wye"
    usual = facts.book.value("usual_power_factor")
    loads = facts.loads_on(channel.measures or "")
    load = min(loads, key=lambda each: usual.number if each.power_factor is None else each.power_factor, default=None)
    if load is not None and load.power_factor is not None:
        factor = build.fact(f"{ident}.pf", said("figure.metering.power_factor"), load.power_factor, "",
                            facts.at.path(load, "power_factor"))  # fmt: skip
    else:
        factor = build.given(f"{ident}.pf", said("figure.metering.power_factor"), usual.number, "",
                             replace(usual.cite, edition="", code="UFC"))  # fmt: skip
    one = build.given(f"{ident}.one", said("figure.metering.apparent"), 1, "", None)
    across = build.triangle_leg(f"{ident}.reactive", said("figure.metering.reactive"), one, factor)
    tangent = build.quotient(f"{ident}.tangent", said("figure.metering.tangent"), across, factor, unit="")
    thirty = build.given(f"{ident}.thirty", said("figure.metering.thirty"), TANGENT_30, "", None)
    share = build.product(f"{ident}.share", said("figure.metering.share"), [tangent, thirty], unit="")
    return _percent(ident, share)
