"""What was found or is brought into an old house: hazards with their evidence, metering and controllable gear."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from deadfront.job.thing import Amount, Id, Key, Positive, Text, Thing


class Hazard(Thing):
    """Something found that endangers or does not hold: what, where, how it was seen, what is done about it."""

    kind: Key = Field(description="One of the hazards of the reference list, or other")
    thing: Id | Literal["service", "house"] | None = Field(None, description="Where it is")
    evidence: Text | None = Field(None, description="What was seen, read or measured")
    photo: Text | None = Field(None, description="Photo that shows it")
    action: Text | None = Field(None, description="What is done about it, or who is told")
    done: bool | None = Field(None, description="Put right; no: left as it is, with who was told in the action")


class Gear(Thing):
    """Metering or controlling gear in or beside a panel, by the facts of its listing and instructions."""

    kind: Literal["metering", "controllable breakers", "controller", "other"]
    panel: Id | None = None
    listed: bool | None = Field(None, description="Listed for this use")
    listed_for_panel: bool | None = Field(None, description="Its listing or instructions name this panel")
    circuit: Id | None = Field(None, description="Circuit its own supply comes from")
    own_circuit_needed: bool | None = Field(None, description="Its instructions ask for a supply circuit of its own")
    supply_a: Positive | None = Field(None, description="Largest overcurrent device its instructions allow [A]")
    portable_generator_allowed: bool | None = Field(None, description="May be fed while a portable generator runs")
    on_portable_generator: bool | None = Field(None, description="Stands on what a portable generator feeds")
    may_not_serve: tuple[Text, ...] = Field((), description="Kinds of load its instructions forbid, by kind name")
    serves: tuple[Id, ...] = Field((), description="Circuits it opens or meters")
    instructions_read: bool | None = Field(
        None, description="Its instructions were read for loads it may not serve; may_not_serve holds all of them"
    )
    remote_opening: bool | None = Field(None, description="It opens circuits; left out: by its kind")
    leads_insulation_v: Amount | None = Field(None, description="Insulation rating of its CT and control leads [V]")
    class_two: bool | None = Field(None, description="Its leads are a Class 2 circuit")
    taps: Literal["a breaker", "fuses in the leads", "none"] | None = Field(  # words-ok
        None, description="What protects the leads that bring it the voltage it measures"
    )
    taps_breaker: Id | None = Field(None, description="Breaker that those leads come from, where it is one")
    taps_a: Positive | None = Field(None, description="Breaker or fuses of those leads [A]; left out: as that breaker")
    taps_max_a: Positive | None = Field(None, description="Largest that its instructions allow for them [A]")
