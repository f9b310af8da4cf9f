"""What was measured and tightened, with what, by whom, when: instruments, records, torque log, corrections."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from deadfront.job.thing import Amount, Count, Id, Key, Metal, Positive, Size, Text, Thing

Typed = Annotated[str, StringConstraints(min_length=1, max_length=80)]
Time = Annotated[str, StringConstraints(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$")]
Stage = Literal["as found", "as left"]
Socket = Literal["1/8", "5/32", "3/16", "7/32", "1/4", "5/16", "3/8", "1/2", "9/16"]


class Instrument(Thing):
    """A measuring instrument or a torque tool, with what its calibration rests on."""

    kind: Literal["multimeter", "voltage tester", "clamp meter", "insulation tester", "torque tool",
                  "receptacle tester", "test load", "other"]  # fmt: skip
    serial: Text | None = Field(None, description="Serial number or tool number")
    calibrated_on: date | None = None
    calibration_months: Count | None = Field(None, description="Months that a calibration holds, by its owner's rule")
    category: Literal["CAT II", "CAT III", "CAT IV"] | None = Field(None, description="Measurement category marked")
    rated_v: Positive | None = Field(None, description="Voltage of that category [V]")
    accuracy_percent: Amount | None = Field(None, description="Accuracy of its reading [%]")
    from_lbf_in: Amount | None = Field(None, description="Torque tool: lowest setting [lbf-in]")
    upto_lbf_in: Positive | None = Field(None, description="Torque tool: highest setting [lbf-in]")


class Record(Thing):
    """One test of one thing: readings as typed; the verdict is worked out, never stored."""

    test: Key = Field(description="One of the tests of the list")
    thing: Id | Literal["service", "house"] | None = None
    stage: Stage | None = Field(None, description="Left out: as found where it stands in the house before the work")
    readings: Annotated[dict[Key, Typed], Field(max_length=40)] = Field(
        default_factory=dict, description="Readings as typed, by their names"
    )
    instruments: tuple[Id, ...] = ()
    who: Text | None = None
    on: date | None = None
    time: Time | None = Field(None, description="Hour and minute: 14:05")
    photo: Text | None = None
    not_applicable: Text | None = Field(None, description="Why this test does not apply here")


class Torque(Thing):
    """One terminal of the torque log."""

    thing: Id | Literal["service"] | None = None
    terminal: Text | None = Field(None, description="Which terminal: L1 line lug, neutral bar 4, ...")
    size: Size | None = Field(None, description="Conductor in it")
    metal: Metal | None = None
    marked_lbf_in: Positive | None = Field(None, description="Torque marked on the equipment or in its instructions")
    nothing_marked: bool | None = Field(None, description="Looked on equipment and instructions: nothing is marked")
    screw: Literal["slotted narrow", "slotted wide", "hex split bolt", "hex other", "socket"] | None = Field(
        None,
        description="Where nothing is marked: the screw of a wire connector; narrow: slot to 0.047 in wide and 1/4 in "
        "long; hex: driven from outside; socket: driven from inside",
    )
    socket_in: Socket | None = Field(None, description="Socket screw: across its flats [in]")
    applied_lbf_in: Positive | None = Field(None, description="Setting of the tool that clicked [lbf-in]")
    tool: Id | None = Field(None, description="Torque tool")
    who: Text | None = None
    on: date | None = None
    photo: Text | None = None


class Correction(Thing):
    """One item of an inspector's correction notice, and what was done about it."""

    given_on: date | None = Field(None, description="Day of the notice")
    section: Text | None = Field(None, description="Section the notice names")
    asks: Text | None = Field(None, description="What the notice asks")
    thing: Id | Literal["service", "house"] | None = Field(None, description="What it is about")
    done: Text | None = Field(None, description="What was done; left out: nothing yet")
    who: Text | None = Field(None, description="Who did it")
    on: date | None = Field(None, description="Day it was done")
    photo: Text | None = None
