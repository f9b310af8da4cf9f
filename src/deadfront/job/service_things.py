"""The service and its grounding: transformer, drop, conductors, disconnects, meter, electrodes, structures."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from deadfront.job.thing import (
    Amount,
    Conductors,
    Count,
    Id,
    Known,
    Metal,
    Model,
    Positive,
    Size,
    System,
    Thing,
)


class Disconnect(Model):
    """The service disconnect."""

    rating_a: Positive | None = Field(None, description="Rating marked on the main [A]")
    sccr_ka: Positive | None = Field(None, description="Interrupting or short-circuit current rating [kA]")
    listed_full_load: bool | None = Field(None, description="Listed to carry 100 % of its rating continuously")
    lockable: bool | None = Field(None, description="Can be locked open by means that stay in place")


class OutsideDisconnect(Model):
    """A disconnect outdoors ahead of the panel: service disconnect, meter disconnect or isolating switch."""

    present: Known = "unknown"
    marked: Literal["service disconnect", "meter disconnect", "not service equipment"] | None = Field(
        None, description="What it is marked as, after EMERGENCY DISCONNECT"
    )
    rating_a: Positive | None = None
    sccr_ka: Positive | None = Field(None, description="Short-circuit current rating [kA]")
    overcurrent: bool | None = Field(None, description="Holds a breaker or fuses, not a switch alone")
    lockable: bool | None = Field(None, description="Can be locked open by means that stay in place")
    neutral_joined: Known = Field("unknown", description="Neutral joined to ground in it by a bonding jumper")
    bonded_otherwise: bool | None = Field(
        None, description="Its enclosure is bonded by a supply-side bonding jumper instead, or is not of metal"
    )
    within_sight: bool | None = Field(None, description="On the dwelling or within sight of it")
    readily_accessible: bool | None = None


class Transformer(Model):
    """The utility's transformer; a letter of the utility is better than any of this."""

    kva: Positive | None = Field(None, description="Rating of the transformer [kVA]")
    impedance_percent: Positive | None = Field(None, description="Impedance on its nameplate [%]")
    x_over_r: Positive | None = Field(None, description="Reactance over resistance")
    primary_fault_mva: Positive | None = Field(None, description="Available at its primary [MVA]; left out: no limit")
    shared_by: Count | None = Field(None, description="Services it serves")


class Utility(Model):
    """What the utility allows and supplies."""

    limit: Literal["none", "limited"] | None = Field(None, description="none: the utility sets no limit")
    limit_a: Positive | None = None
    fault_current_ka: Positive | None = Field(None, description="Available fault current, leg to leg, by letter [kA]")
    fault_current_neutral_ka: Positive | None = Field(None, description="The same, leg to neutral [kA]")
    fault_at: Literal["transformer", "service"] | None = Field(
        None, description="Where the letter gives it; left out: at the line side of the service disconnect"
    )
    transformer: Transformer = Transformer()


class Drop(Conductors):
    """The utility's drop or lateral, from the transformer to the service point."""

    overhead: bool | None = None
    above_roof_ft: Amount | None = Field(None, description="Lowest clearance above a roof [ft]")
    above_grade_ft: Amount | None = Field(None, description="Lowest clearance above a walk or yard [ft]")
    above_driveway_ft: Amount | None = Field(None, description="Lowest clearance above a driveway [ft]")
    from_window_ft: Amount | None = Field(None, description="Distance from a window that opens, door, porch [ft]")
    roof_slope_in: Amount | None = Field(None, description="Rise of the roof in 12 in [in]")
    over_overhang_only: bool | None = Field(
        None, description="At most 6 ft of it over at most 4 ft of the overhang, ending at a mast through the roof"
    )
    above_window: bool | None = Field(None, description="Near a window only above its top")
    mast_supports_drop: bool | None = None
    mast_used_for_other: bool | None = Field(None, description="Something other than the drop is fastened to the mast")


class Grounding(Model):
    """Grounding and bonding of the service."""

    conductor_size: Size | None = Field(None, description="Grounding electrode conductor")
    conductor_metal: Metal | None = None
    conductor_spliced: bool | None = Field(
        None, description="Spliced otherwise than by a weld or a listed connector that cannot be undone"
    )
    bonding_jumper: Known = Field("unknown", description="Main bonding jumper is there and tight")
    bonding_jumper_size: Size | None = Field(None, description="Where it is a wire")
    bonding_jumper_kind: Literal["screw", "strap", "wire"] | None = None
    supply_jumper_size: Size | None = Field(None, description="Supply-side bonding jumper of the raceway")
    concentric_knockouts_jumped: Known = Field("unknown", description="Service raceway bonded round its knockouts")
    intersystem: Known = Field("unknown", description="Intersystem bonding termination is there")
    intersystem_terminals: Count | None = Field(None, description="Conductors it takes")
    water_pipe: Known = Field("unknown", description="Metal water piping in the building")
    water_bonded: Known = Field("unknown", description="A bonding conductor is connected to the water piping")
    water_bond_size: Size | None = None
    water_bond_metal: Metal | None = None
    water_bond_ft: Amount | None = Field(None, description="From where the pipe enters to its connection [ft]")
    water_meter_jumped: Known = "unknown"
    gas_pipe: Known = Field("unknown", description="Metal gas piping that may become energized")
    gas_bonded: Known = Field("unknown", description="By its own bond or the ground of the appliance it serves")
    structural_metal: Known = "unknown"
    structural_bonded: Known = "unknown"
    structural_bond_size: Size | None = Field(None, description="Copper bond to structural metal")
    concrete_steel_present: Known = Field("unknown", description="A footing with 20 ft of steel that can be reached")
    electrodes_resistance_ohm: Amount | None = Field(None, description="Measured, of a single rod, pipe or plate")


class Service(Model):
    """The service of the house."""

    system: System | None = None
    disconnect: Disconnect = Disconnect()
    disconnects: Count | None = Field(None, description="Throws of the hand to open the whole service; left out: one")
    disconnects_apart: bool | None = Field(
        None, description="Where there are several: each in an enclosure or compartment of its own"
    )
    nearest_entrance: Known = Field(
        "unknown", description="Disconnect outdoors, or indoors nearest the point where the conductors enter"
    )
    outside: OutsideDisconnect = OutsideDisconnect()
    conductors: Conductors = Conductors()
    drop: Drop = Drop()
    utility: Utility = Utility()
    grounding: Grounding = Grounding()
    surge: Literal["none", "type 1", "type 2", "type 3", "other"] | None = Field(
        None, description="Surge protective device at the service equipment"
    )
    surge_nominal_ka: Positive | None = Field(None, description="Its nominal discharge current [kA]")
    smoke_alarms: Literal["on a circuit", "battery alone", "none"] | None = Field(
        None, description="Smoke and CO alarms of the house"
    )
    seen: Annotated[dict[str, Known], Field(max_length=200)] = Field(
        default_factory=dict, description="Answers to questions of the site list about the service and the job"
    )


class Meter(Thing):
    """A meter or its socket."""

    purpose: Literal["utility", "solar", "submeter", "other"] = "utility"
    socket_a: Positive | None = Field(None, description="Continuous rating marked in the socket [A]")
    neutral_joined: Known = Field("unknown", description="Its enclosure is bonded by the neutral")
    bonded_otherwise: bool | None = Field(
        None, description="Its enclosure is bonded by a bonding jumper instead, or is not of metal"
    )
    beside_disconnect: bool | None = Field(
        None, description="On the load side of the service disconnect: right beside it"
    )


class Electrode(Thing):
    """A grounding electrode."""

    kind: Literal["rod", "pipe", "plate", "concrete-encased", "ground ring", "water pipe", "structural metal", "other"]
    structure: Id | None = Field(None, description="Separate structure it is at; left out: the service")
    length_ft: Amount | None = Field(None, description="Length in contact with earth [ft]")
    diameter_in: Positive | None = Field(None, description="Diameter of a rod [in]")
    listed: bool | None = Field(None, description="A rod that is listed, as one thinner than 5/8 in must be")
    ring_size: Size | None = None
    conductor_size: Size | None = Field(None, description="Conductor to it")
    conductor_metal: Metal | None = None
    only_to_it: bool | None = Field(None, description="That conductor serves this electrode alone and goes no further")
    apart_ft: Amount | None = Field(None, description="From the next electrode [ft]")
    resistance_ohm: Amount | None = Field(None, description="Measured to earth, of this electrode alone [ohm]")
    clamp_listed: bool | None = Field(None, description="Clamp listed for it, and for direct burial where buried")


class Structure(Thing):
    """A separate structure with power from this house: garage, barn, workshop."""

    fed_by: Id | None = Field(None, description="Breaker its feeder or branch circuit comes from")
    supply: Literal["branch circuit", "multiwire branch circuit", "feeder"] | None = None
    dwelling: bool | None = None
    supplies: Count | None = Field(None, description="Feeders and branch circuits that serve it; left out: one")
    supplies_allowed: bool | None = Field(None, description="A listed reason allows more than one supply")
    grounding_conductor: bool | None = Field(None, description="An equipment grounding conductor runs with the supply")
    neutral_joined: Known = Field("unknown", description="Neutral joined to ground at the structure")
    parallel_metal: Known = Field("unknown", description="Other metal path between the buildings: pipe, shield, duct")
    existing_three_wire: bool | None = Field(
        None, description="Feeder without grounding conductor, made under old rules"
    )
    disconnect_a: Positive | None = Field(None, description="Rating of its disconnect [A]")
    disconnects: Count | None = None
    disconnect_outdoors: bool | None = Field(
        None, description="Its disconnect is outdoors, readily accessible, on the building or within sight of it"
    )
