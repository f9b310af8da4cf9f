"""Metering channels: one current transformer, the conductor in its window, and the input it ends on."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from deadfront.job.thing import Amount, Count, Id, Percent, Positive, Size, Text, Thing

Leg = Literal["L1", "L2", "L3"]
Way = Literal["source", "load"]
Window = Literal[
    "one hot", "two hots, one turned", "two hots, same way", "hot and neutral", "whole cable",  # words-ok
]  # fmt: skip


class Channel(Thing):
    """One current transformer (CT) and the input of the meter that it ends on."""

    gear: Id | None = Field(None, description="Metering gear that it ends on")
    input: Text | None = Field(None, description="Number or name of that input")
    role: Literal["load", "mains", "feeder", "source"] | None = Field(
        None, description="What it is counted as; left out: by what it measures"
    )
    measures: Id | Literal["service"] | None = Field(
        None, description="Whose conductor is in its window: a circuit, a panel (its feeder), a source, the service"
    )
    leg: Leg | None = Field(None, description="Leg of the conductor in its window")
    window: Window | None = Field(None, description="What passes through its window")
    turns: Count | None = Field(None, description="Times the conductor passes through; left out: once")
    conductor_in: Positive | None = Field(None, description="Measured outside diameter of what passes through [in]")
    opening_in: Positive | None = Field(None, description="Inside width of its window [in]")
    split_core: bool | None = Field(None, description="Opens to be fitted round a conductor in place")
    # what is marked on it
    rating_a: Positive | None = Field(None, description="Largest current it is rated for [A]")
    output: Literal["current", "voltage"] | None = Field(None, description="What its secondary gives")
    primary_a: Positive | None = Field(None, description="Marked ratio: primary current [A]")
    secondary_ma: Positive | None = Field(None, description="Marked ratio: secondary current, 5 A is 5000 [mA]")
    secondary_mv: Positive | None = Field(None, description="Marked ratio: secondary voltage, 333 mV is 333 [mV]")
    built_in_burden: bool | None = Field(None, description="Its burden is built in: it may be unplugged under load")
    burden_max_ohm: Positive | None = Field(None, description="Largest burden it is rated for [ohm]")
    accuracy_percent: Percent | None = Field(None, description="Accuracy marked [% of reading]")
    accurate_from_percent: Percent | None = Field(None, description="From this part of its rating on [%]")
    arrow_points_to: Way | None = Field(None, description="By its instructions, its arrow or mark points to this side")
    # how it is fitted and set
    arrow_fitted_to: Way | None = Field(
        None, description="The way it was fitted: its arrow or mark points to this side"
    )
    voltage_leg: Leg | None = Field(None, description="Leg of the voltage that its input multiplies by")
    set_primary_a: Positive | None = Field(
        None, description="Ratio the meter is set to: primary current at the marked secondary [A]"
    )
    doubled: Literal["none", "watts", "amperes"] | None = Field(
        None, description="What the meter doubles, where one CT stands for a 240 V load"
    )
    burden_ohm: Amount | None = Field(None, description="Burden of the input it ends on [ohm]")
    lead_ft: Amount | None = Field(None, description="One-way length of its leads [ft]")
    lead_size: Size | None = Field(None, description="Conductor size of its leads")
    shorting: bool | None = Field(
        None, description="A shorting block, or shorted by its own switch, before it is opened"
    )
    neutral_w: Amount | None = Field(None, description="Of a 240 V load, the part between one hot and neutral [W]")
    position: Literal["gross", "net"] | None = Field(
        None, description="Mains: gross, what the house uses; net, what the utility gives or takes"
    )
    production_reads: Literal["positive", "negative"] | None = Field(
        None, description="Of a source: the meter shows what it gives as positive or as negative"
    )
    sources_join: Literal["line side", "load side"] | None = Field(
        None, description="Mains: sources join on this side of it; left out: by how each source joins"
    )
