"""Panels and what leaves them: breakers, circuits, cables, raceways, boxes, outlets, openings."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from deadfront.job.thing import (
    Amount,
    Cable,
    Count,
    Id,
    Known,
    Model,
    Name,
    Positive,
    Size,
    Text,
    Thing,
    TradeSize,
)

Room = Literal[
    "kitchen", "dining", "living", "family", "parlor", "library", "den", "bedroom", "sunroom", "recreation", "closet",
    "hallway", "laundry", "bathroom", "garage", "accessory building", "outdoors", "crawl space", "basement",
    "unfinished basement", "boathouse", "attic", "utility", "stairway", "other",
]  # fmt: skip
Protection = Literal["plain", "ground fault", "arc fault", "both"]
RacewayKind = Literal["EMT", "ENT", "FMC", "IMC", "LFMC", "RMC", "PVC40", "PVC80"]
Insulation = Literal["THHN/THWN-2", "XHHW-2", "RHW-2", "RHW with cover", "other"]


class Panel(Thing):
    """A panelboard."""

    fed_by: Id | Literal["service"] | None = Field(
        None, description="Breaker, transfer equipment or disconnect it is fed from; or service"
    )
    feeder: Cable = Field(Cable(), description="Conductors that feed it, where a breaker does")
    feeder_load_a: Amount | None = Field(
        None, description="Load on its feeder by calculation, its continuous part at 125 % [A]; left out: by its loads"
    )
    neutral_load_a: Amount | None = Field(
        None, description="Largest unbalanced load on the neutral of its feeder [A]; left out: not known"
    )
    bus_a: Positive | None = Field(None, description="Bus rating on the label [A]")
    spaces: Annotated[int, Field(ge=1, le=84)] | None = None
    circuits_max: Annotated[int, Field(ge=1, le=84)] | None = None
    main_at: Literal["top", "bottom", "center", "none"] | None = None
    lugs_at: Literal["top", "bottom", "center"] | None = Field(
        None, description="Where its conductors come in, if it has no main breaker"
    )
    numbering: Literal["odd left", "down"] | None = Field(
        None,
        description="odd left: 1 and 2 in the first row; down: the left column, then the right; left out: odd left",
    )
    legs: Annotated[tuple[Literal["L1", "L2", "L3"], ...], Field(max_length=84)] = Field(
        (), description="Leg of each row from the top, repeated down the panel; left out: the legs take turns"
    )
    half_spaces: tuple[Annotated[int, Field(ge=1, le=84)], ...] = Field(
        (), description="Spaces that take half-size breakers, by the label; left out: not known"
    )
    controllable_spaces: tuple[Annotated[int, Field(ge=1, le=84)], ...] = Field(
        (), description="Spaces that take controllable breakers; left out: not known"
    )
    reserved: tuple[Annotated[int, Field(ge=1, le=84)], ...] = Field(
        (), description="Spaces kept for the breaker of a source"
    )
    place: Text | None = None
    location: Literal["basement", "garage", "hallway", "utility room", "outdoors", "kitchen", "bathroom",
                      "clothes closet", "over steps", "other"] | None = None  # fmt: skip
    mounting: Literal["surface", "flush", "outdoor"] | None = None
    structure: Id | None = Field(None, description="Separate structure it is in; left out: the house")
    sccr_ka: Positive | None = Field(None, description="Short-circuit current rating on its label [kA]")
    series_ka: Positive | None = Field(None, description="Series rating marked for its main and branch breakers [kA]")
    service_equipment: Known = Field("unknown", description="Marked and used as service equipment")
    neutral_joined: Known = Field("unknown", description="Neutral joined to ground in it")
    ground_bar: Known = Field("unknown", description="Has a ground bar apart from the neutral bar")
    working_width_in: Amount | None = None
    working_depth_in: Amount | None = None
    headroom_in: Amount | None = None
    highest_handle_in: Amount | None = Field(None, description="Center of the highest grip above the floor [in]")
    fuses: bool | None = Field(None, description="Fuses instead of breakers")
    fill_percent: Amount | None = Field(None, description="Fullest cross-section of its wiring space [%]")
    splices_percent: Amount | None = Field(None, description="The same with splices, taps, CTs and devices [%]")
    feed_through_labeled: bool | None = Field(
        None, description="A label names the closest disconnect of conductors that feed through; none do: true"
    )
    circuits_lengthened: bool | None = Field(
        None, description="The work makes circuits longer outside enclosures than the code lets pass; false: none"
    )
    signal_below_dbm: Amount | None = Field(
        None, description="Radio signal measured at the closed panel, in dB below 1 mW (67 for -67 dBm)"
    )
    signal_needed_dbm: Amount | None = Field(None, description="Weakest that the instructions allow, in dB below 1 mW")


class Breaker(Thing):
    """A breaker; replacing one is a removal and an addition."""

    panel: Id | None = None
    spaces: tuple[Annotated[int, Field(ge=1, le=84)], ...] = ()
    half: Literal["a", "b"] | None = Field(None, description="Half of a space, for a tandem breaker")
    rating_a: Positive | None = None
    poles: Literal[1, 2] | None = None
    protection: Protection | None = None
    role: Literal["branch", "main", "feeder", "source"] = "branch"
    controllable: bool | None = None
    tied_with: Id | None = None
    fixed: bool | None = Field(None, description="Stays where it is: short conductors, the owner's wish")
    group: Name | None = Field(None, description="Breakers with the same word stay near each other in the panel")
    interrupting_ka: Positive | None = Field(None, description="Interrupting rating marked on it [kA]")
    listed_for_panel: bool | None = Field(None, description="Of a type that the panel's label names")
    conductors_on_it: Count | None = Field(None, description="Conductors under one terminal of it")
    two_allowed: bool | None = Field(None, description="Marked for two conductors under a terminal")
    neutral_on: Literal["breaker", "bar"] | None = Field(None, description="Where its circuit's neutral ends")
    opens_with_partner: bool | None = Field(
        None, description="Opens together with the other hot of its multiwire circuit: two poles or a listed tie"
    )
    neutral_as_listed: bool | None = Field(None, description="That neutral ends as its instructions say")
    kept_apart: bool | None = Field(
        None,
        description="A listed interlock or transfer equipment keeps the source on it from ever meeting the utility",
    )
    held_down: bool | None = Field(None, description="Fastened in place, where it is fed from its load side")
    listed_full_load: bool | None = Field(None, description="Listed to carry 100 % of its rating continuously")
    lockable: bool | None = Field(None, description="Can be locked open by means that stay in place")


class Circuit(Thing):
    """A branch circuit."""

    breaker: Id | None = None
    place: Text | None = None
    cable: Cable = Cable()
    shares_neutral_with: Id | None = None
    neutral_alone: bool | None = Field(None, description="Its neutral is its own: shared with no other circuit")
    on_pole: Literal["upper", "lower"] | None = Field(
        None, description="Circuit of 120 V on a breaker of two poles: the pole its hot is on"
    )
    purpose: Literal["small appliance", "laundry", "bathroom", "garage", "general", "individual", "other"] | None = None
    outlet_kinds: tuple[Literal["receptacles", "lighting", "fixed equipment", "smoke alarms", "other"], ...] = Field(
        (), description="What its outlets are; left out: not known"
    )
    rooms: tuple[Room, ...] = Field((), description="Rooms it supplies; left out: not known")
    life_safety: (
        Literal["smoke alarms", "sprinkler pump", "sewage ejector", "stair lift", "medical equipment", "none"] | None
    ) = Field(None, description="Equipment on it that must never be shed; none: looked for")
    load_va: Amount | None = Field(None, description="Load on it, where its loads are not listed [VA]")
    continuous_va: Amount | None = Field(None, description="Of that, for three hours or more [VA]")
    extended_ft: Amount | None = Field(None, description="Length this work adds to it outside enclosures [ft]")
    outlets_added: Count | None = Field(None, description="Outlets or devices this work adds to it")
    first_outlet: Protection | None = Field(None, description="Protection given by the device at its first outlet")
    afci_combination_listed: bool | None = Field(
        None, description="Breaker and device at the first outlet are listed together, and wired as that listing asks"
    )
    hots_240_apart: bool | None = Field(None, description="240 V measured between its hot and that of its partner")
    multiwire_grouped: bool | None = Field(None, description="Grouped in the panel with its partner and their neutral")


class Outlet(Thing):
    """A point of a circuit where equipment is supplied: receptacle, lighting outlet, hard-wired equipment."""

    circuit: Id | None = None
    kind: Literal["receptacle", "lighting", "hard-wired", "switch"] | None = None
    room: Room | None = None
    volts: Positive | None = None
    rating_a: Positive | None = None
    load: Id | None = Field(None, description="Load it supplies, where it supplies one")
    at_counter: bool | None = Field(None, description="Serves a kitchen counter")
    within_6ft_of_sink: bool | None = None
    within_6ft_of_tub: bool | None = Field(None, description="Within 6 ft of a bathtub or shower")
    through_doorway: bool | None = Field(
        None, description="A cord to that sink, tub or shower would pass a doorway, door or window"
    )
    damp: bool | None = Field(None, description="In a damp or wet place indoors")
    tamper_resistant: bool | None = None
    weather_resistant: bool | None = None
    listed_for_charging: bool | None = Field(None, description="Receptacle listed for charging vehicles")
    protection: Protection | None = Field(None, description="Given by a device at or ahead of it, not by the breaker")
    exempt: Literal["snow melting", "exhaust fan", "security", "listed HVAC", "none"] | None = Field(
        None, description="Named exception that applies to it"
    )


class WireCount(Model):
    """Conductors of one size in a raceway or a box."""

    size: Size
    count: Annotated[int, Field(ge=1, le=200)]
    insulation: Insulation = "THHN/THWN-2"
    bare: bool = False


class Raceway(Thing):
    """A raceway and the conductors in it."""

    kind: RacewayKind | None = None
    trade_size: TradeSize | None = None
    length_ft: Amount | None = Field(None, description="24 in or less between enclosures is a nipple [ft]")
    wires: tuple[WireCount, ...] = Field((), description="All conductors in it, grounding conductors included")
    carrying: Count | None = Field(None, description="Current-carrying conductors in it; left out: all but the bare")


class Box(Thing):
    """An outlet, device or junction box and what is in it."""

    circuit: Id | None = None
    volume_in3: Positive | None = Field(None, description="Volume marked in it, with extension rings [in3]")
    standard: Text | None = Field(None, description="Standard metal box instead, such as square 4 x 1-1/2")
    wires: tuple[WireCount, ...] = Field((), description="Insulated conductors that end, are spliced or pass through")
    grounds: tuple[WireCount, ...] = Field((), description="Equipment grounding conductors")
    clamps: Count | None = Field(None, description="Internal cable clamps")
    supports: Count | None = Field(None, description="Luminaire studs or hickeys")
    yokes: tuple[WireCount, ...] = Field((), description="Devices on a yoke, by the largest conductor on each")
    wide_yokes: tuple[WireCount, ...] = Field((), description="Devices wider than a single box (2 in)")


class Opening(Thing):
    """A knockout or hole in an enclosure: what goes through it, or what closes it."""

    panel: Id | None = None
    trade_size: TradeSize | None = None
    diameter_in: Positive | None = Field(None, description="Of a hole that is cut [in]")
    side: Literal["top", "bottom", "left", "right", "back", "cover"] | None = None
    state: Literal["open", "closed", "used"] | None = None
    passes: Literal["cable", "raceway", "CT leads", "antenna", "control wires", "nothing"] | None = None
    fitting_listed: bool | None = Field(None, description="Fitting or plug listed for the hole and the place")
    sealed: bool | None = Field(None, description="Sealed against water, air or dust as its place asks")
