"""Leads and input together are no larger a burden than a current output is rated for."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.codebook.impedance import dc_resistance
from deadfront.job.metering_things import Channel
from deadfront.metering.rules.facts import Facts
from deadfront.metering.rules.found import found
from deadfront.msg import said
from deadfront.quantities import point
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, at_most
from deadfront.worksheet.step import Step

IDS = ("metering.burden",)
WANTED = ("burden_max_ohm", "burden_ohm", "lead_ft", "lead_size")
PER_FOOT = Decimal("0.001")


def checks(facts: Facts) -> Iterator[Check]:
    """Every channel."""
    yield from (_check(facts, each) for each in facts.channels)


def _check(facts: Facts, channel: Channel) -> Check:
    if channel.built_in_burden or channel.output == "voltage":
        return found(facts, IDS[0], channel, None, applies=False)
    waits = facts.missing(channel, "output", *WANTED)
    step = burden(facts, channel)
    if waits or step is None or channel.burden_max_ohm is None:
        return found(facts, IDS[0], channel, None, waits=waits, cites=("listing_and_instructions",))
    fits = at_most(step.value, point(channel.burden_max_ohm)) is Outcome.MEETS
    return found(facts, IDS[0], channel, fits, step=step, burden=round(step.value.low, 3),
                 most=channel.burden_max_ohm, cites=("listing_and_instructions",))  # fmt: skip


def burden(facts: Facts, channel: Channel) -> Step | None:
    """Resistance of both leads, of stranded copper at 75 C, and of the input [ohm]."""
    if channel.burden_ohm is None or channel.lead_ft is None or channel.lead_size is None:
        return None
    ident = f"metering.{channel.id}.burden"
    table = dc_resistance(facts.book, channel.lead_size, "copper")
    feet = build.fact(f"{ident}.feet", said("figure.metering.lead"), channel.lead_ft, "ft",
                      facts.at.path(channel, "lead_ft"))  # fmt: skip
    per_kft = build.lookup(f"{ident}.per", said("figure.metering.per_kft"), table.value, "ohm/kft", table.cite,
                           table="conductor_resistance_dc", row=table.row)  # fmt: skip
    both = build.counted(f"{ident}.two", said("figure.metering.both_leads"), 2)
    kilo = build.given(f"{ident}.kilo", said("figure.metering.per_foot"), PER_FOOT, "", None)
    leads = build.product(f"{ident}.leads", said("figure.metering.leads"), [both, feet, per_kft, kilo], unit="ohm")
    own = build.fact(f"{ident}.input", said("figure.metering.input"), channel.burden_ohm, "ohm",
                     facts.at.path(channel, "burden_ohm"))  # fmt: skip
    return build.total(ident, said("figure.metering.burden"), [leads, own], unit="ohm")
