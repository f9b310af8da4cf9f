"""Sources of power, how they join, what transfers, what disconnects, and the signals between them."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field

from deadfront.job.thing import Amount, Cable, Count, Id, Known, Model, Percent, Positive, Text, Thing

Temperature = Annotated[Decimal, Field(ge=-80, le=150, max_digits=8, decimal_places=3, allow_inf_nan=False)]
Coefficient = Annotated[Decimal, Field(ge=-2, le=2, max_digits=8, decimal_places=5, allow_inf_nan=False)]
Location = Literal["roof", "ground", "garage", "utility room", "basement", "outdoors", "living space", "other"]


class Modules(Model):
    """Solar modules in series, by their nameplate, and how many such strings there are."""

    in_series: Count | None = Field(None, description="Modules in series in the longest string")
    strings: Count | None = Field(None, description="Strings in parallel; left out: not known")
    open_volts_v: Positive | None = Field(None, description="Open-circuit voltage of a module [V]")
    open_percent_per_c: Coefficient | None = Field(
        None, description="Change of that voltage by temperature, in percent for a degree C, negative as printed"
    )
    short_circuit_a: Positive | None = Field(None, description="Short-circuit current of a module [A]")
    fuse_max_a: Positive | None = Field(None, description="Largest series fuse on the nameplate [A]")
    crystalline: bool | None = Field(None, description="Crystalline or multicrystalline silicon")


class Source(Thing):
    """A source of power other than the utility."""

    kind: Literal["solar", "battery", "generator", "vehicle", "inlet"]
    output_a: Amount | None = Field(None, description="Output current, continuous, marked on it [A]")
    output_w: Amount | None = Field(None, description="Output, continuous [W]")
    volts: Positive | None = None
    breaker: Id | None = Field(None, description="Breaker it ends on: in a panel, fed from its load side")
    joins: Literal["breaker", "supply side", "feeder", "transfer"] | None = Field(
        None,
        description="breaker: on the bus of a panel; supply side: ahead of the service disconnect; feeder: on the "
        "conductors of a feeder; transfer: at the alternate side of transfer equipment; left out: by its breaker",
    )
    feeder_of: Id | None = Field(None, description="Joins on a feeder: the panel which that feeder feeds")
    at_far_end: bool | None = Field(None, description="Joins on a feeder: at the end away from its supply")
    load_side_overcurrent_a: Positive | None = Field(
        None, description="Joins on a feeder: overcurrent device on the load side of the joint [A]"
    )
    tap_ft: Amount | None = Field(None, description="Length of tap or supply-side conductors to the first device [ft]")
    disconnects: tuple[Id, ...] = Field((), description="Its disconnects, from the source outward")
    cable: Cable = Cable()
    grid_forming: bool | None = Field(None, description="Can supply without the utility")
    interactive: bool | None = Field(None, description="Listed to run with the utility, ceasing when it is lost")
    listed: bool | None = None
    control_limit_a: Positive | None = Field(
        None, description="Setting of a listed power control system for it, where one limits it [A]"
    )
    managed_by: Id | None = Field(None, description="Energy management or power control system that limits it")
    automatic: bool | None = Field(None, description="Starts or connects by itself")
    inhibit: Text | None = Field(None, description="How its automatic start or connection is kept off")
    kept_off: bool | None = Field(
        None, description="While an engine feeds its bus: kept off by a listed means that acts by itself"
    )
    shutdown_s: Amount | None = Field(None, description="Marked time until stored energy is gone [s]")
    fault_current_a: Positive | None = Field(None, description="Current it gives into a short circuit when alone [A]")
    surge_a: Positive | None = Field(None, description="Current it gives for the start of a motor [A]")
    location: Location | None = None
    marked: bool | None = Field(None, description="Directory of sources and labels at each are there")
    fuel_hours: Amount | None = Field(None, description="Hours it runs on its fuel at this load [h]")
    # solar
    modules: tuple[Modules, ...] = ()
    lowest_c: Temperature | None = Field(None, description="Lowest expected ambient temperature [C]")
    input_max_v: Positive | None = Field(None, description="Largest input voltage of inverter or controller [V]")
    rapid_shutdown: Literal["listed array", "80 V in 30 s", "no exposed wiring", "none"] | None = Field(
        None, description="How conductors inside the array boundary are brought down"
    )
    rapid_shutdown_outside: bool | None = Field(
        None, description="Conductors outside the boundary come down to 30 V in 30 s"
    )
    rapid_shutdown_switch: Literal["outdoors", "indoors", "service disconnect", "none"] | None = None
    # battery
    energy_kwh: Positive | None = None
    listed_for_location: bool | None = None
    emergency_shutdown_outdoors: bool | None = Field(
        None, description="Emergency shutdown outdoors, readily accessible"
    )
    vehicle_impact: bool | None = Field(None, description="Where a vehicle may strike it: protected")
    # generator
    portable: bool | None = None
    neutral_bonded: bool | None = Field(None, description="Neutral joined to its frame at the set")
    ground_fault_protected: bool | None = Field(None, description="Its outlets trip on a ground fault")
    bonding_sign: bool | None = Field(
        None,
        description="Standby source: a sign where the ground of its neutral would be lost with a disconnected wire",
    )
    system_grounded: bool | None = Field(
        None, description="Its neutral, where joined to ground at it, is connected to the grounding electrodes"
    )
    output_breaker_a: Positive | None = Field(None, description="Overcurrent device at the set [A]")
    shutdown_outdoors: bool | None = Field(None, description="Emergency shutdown outdoors, readily accessible")
    from_opening_ft: Amount | None = Field(None, description="From the nearest opening of a building [ft]")
    from_wall_ft: Amount | None = Field(None, description="From the nearest wall that can burn [ft]")
    subtransient_percent: Percent | None = Field(None, description="Reactance X'd of the set [%]")
    rated_kva: Positive | None = None


class Transfer(Thing):
    """Transfer equipment: what it may connect to the loads, one at a time."""

    kind: Literal["manual switch", "automatic switch", "interlock", "meter-mounted", "isolation device"]
    normal: Id | Literal["service"] | None = Field(
        None, description="What feeds its normal side: a breaker or a disconnect; service: the service conductors"
    )
    alternate: tuple[Id, ...] = Field((), description="What feeds its alternate side: sources, breakers, disconnects")
    held_apart: tuple[Id | Literal["service"], ...] = Field(
        (), description="Interlock: breakers of which only one can be closed; service: the main"
    )
    excludes: bool | None = Field(None, description="Its two sides can never be closed together, by listed means")
    off_position: bool | None = Field(None, description="Has a position with neither side connected")
    lockable_off: bool | None = Field(None, description="Can be locked in that position")
    lockable_normal: bool | None = Field(None, description="Its normal side can be locked open")
    lockable_alternate: bool | None = Field(None, description="Its alternate side can be locked open")
    neutral_switched: bool | None = None
    neutral_joined: Known = Field("unknown", description="Neutral joined to ground in it by a bonding jumper")
    neutral_joined_at: Literal["normal side", "load side", "alternate side"] | None = Field(
        None, description="Where in it neutral and ground are joined, if it switches the neutral"
    )
    service_equipment: bool | None = Field(None, description="Holds and is marked as the service disconnect")
    rating_a: Positive | None = None
    sccr_ka: Positive | None = None
    control_feeds: tuple[Id | Literal["service"], ...] = Field(
        (), description="What its control power or sensing leads come from: sources, breakers, service"
    )
    no_control_feeds: bool | None = Field(
        None, description="Looked at: no control power and no sensing leads come into it from outside"
    )
    inhibit: Text | None = Field(None, description="How its automatic transfer is kept off")
    managed_by: Id | None = Field(None, description="System that limits the load it transfers")
    load_connected: Literal["by hand", "automatically"] | None = Field(
        None, description="Whether its load is put on the source by hand or by itself"
    )
    listed: bool | None = None


class Switch(Thing):
    """A disconnect that is no breaker in a panel: a switch, fused or not, of alternating or direct current."""

    fed_by: Id | Literal["service"] | None = Field(
        None, description="What feeds its line side: a breaker, a source, transfer equipment, another disconnect"
    )
    rating_a: Positive | None = None
    fuse_a: Positive | None = None
    sccr_ka: Positive | None = None
    direct_current: bool | None = None
    lockable: bool | None = Field(None, description="Can be locked open by means that stay in place")
    blades_visible: bool | None = None
    outdoors: bool | None = None
    readily_accessible: bool | None = None
    within_sight_ft: Amount | None = Field(None, description="From the equipment it disconnects, in sight of it [ft]")
    place: Text | None = None
    marked: Text | None = Field(None, description="Words marked on it")


class Signal(Thing):
    """A control signal between two pieces of equipment: engine start, shedding, a stop."""

    purpose: Literal["engine start", "shed load", "inhibit transfer", "emergency stop", "rapid shutdown", "other"]
    sender: Id | None = None
    receiver: Id | None = None
    acts: Literal["closes to act", "opens to act"] | None = Field(None, description="Contact sense of the sender")
    expects: Literal["closed to act", "open to act"] | None = Field(None, description="What the receiver acts on")
    voltage_free: bool | None = Field(None, description="The sender gives a contact without voltage")
    receiver_volts: Amount | None = Field(None, description="Voltage that the receiver puts on the wires [V]")
    contact_volts: Amount | None = Field(None, description="Largest voltage that the sender's contact is rated for [V]")
    rests: Literal["open", "closed"] | None = Field(
        None, description="The sender's contact when its own supply is lost, by its instructions"
    )
    relay: bool | None = Field(None, description="An isolation relay stands between them")
    relay_sense: Literal["same sense", "opposite sense"] | None = Field(
        None, description="Its contact against its coil: same sense, closed with the coil energized"
    )
    supervised: bool | None = Field(None, description="A fault of its wires or network raises an alarm")
    powered_by: Id | None = Field(None, description="What the sender's power comes from: a circuit, a source")
    over_network: bool | None = Field(None, description="Goes over a data network instead of wires of its own")
    on_loss: Literal["acts", "does not act", "holds"] | None = Field(
        None, description="What the receiver does when the signal is lost"
    )
    loads: tuple[Id, ...] = Field((), description="Circuits that it sheds, in their order")
    never: tuple[Id, ...] = Field((), description="Circuits that are never shed")
