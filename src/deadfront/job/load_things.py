"""What uses power and what is measured or managed: loads, dwelling units, sources, energy management, recordings."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints

from deadfront.job.thing import Amount, Count, Horsepower, Id, Name, Positive, Sha256, Text, Thing


class Load(Thing):
    """Something that uses power, with what its nameplate says."""

    kind: Annotated[str, StringConstraints(pattern=r"^[a-z_]{2,30}$")]
    circuit: Id | None = None
    unit: Id | Literal["house"] | None = Field(None, description="Dwelling unit, or house; left out: the only unit")
    quantity: Annotated[int, Field(ge=1, le=500)] = 1
    nameplate_w: Positive | None = None
    nameplate_va: Positive | None = None
    nameplate_a: Positive | None = None
    minimum_circuit_ampacity_a: Positive | None = None
    volts: Positive | None = Field(None, description="Marked volts; left out: usual for the kind and system")
    hp: Horsepower | None = None
    motor: bool | None = None
    neutral: bool | None = None
    fastened: bool | None = None
    supplemental_w: Amount | None = Field(None, description="Heat pump: electric supplemental heat [W]")
    together: bool | None = Field(None, description="Heat pump: compressor and supplemental heat can run together")
    separate_units: Annotated[int, Field(ge=1, le=100)] | None = Field(
        None, description="Electric heat: separately controlled units (thermostats); a furnace is one"
    )
    continuous_rated: bool | None = Field(None, description="Thermal storage or heat expected to run continuously")
    setting_a: Positive | None = Field(None, description="EVSE: adjusted to this current [A]")
    setting_restricted: bool | None = Field(
        None, description="EVSE: the setting can be changed by qualified people only"
    )
    managed_by: Id | None = None
    continuous: bool | None = Field(None, description="Expected to run three hours or more; left out: by its kind")
    maximum_overcurrent_a: Positive | None = Field(None, description="Largest breaker or fuse on its nameplate [A]")
    power_factor: Annotated[Decimal, Field(gt=0, le=1, max_digits=6, allow_inf_nan=False)] | None = None
    locked_rotor_a: Positive | None = None
    cord_and_plug: bool | None = None
    replaces: bool | None = Field(None, description="Put in place of equipment of the same kind")
    listed: bool | None = Field(None, description="Listed equipment, by the mark on it")
    charging_disconnect: bool | None = Field(
        None, description="EVSE: a disconnect in a readily accessible place, lockable open where the code asks for it"
    )


class Unit(Thing):
    """A dwelling unit, or several that are alike."""

    count: Annotated[int, Field(ge=1, le=500)] = 1
    floor_area_ft2: Positive | None = None
    small_appliance_circuits: Count | None = None
    laundry_circuits: Count | None = None
    one_feeder: bool | None = Field(None, description="Each such unit is supplied by one feeder")
    gas_cooking: bool | None = Field(None, description="Cooks with gas")
    mobile_home: bool | None = Field(None, description="A mobile home: its load has rules of its own")
    laundry_shared: bool | None = Field(None, description="Laundry provided for all tenants on the premises")
    garage: bool | None = Field(None, description="Has an attached garage, or a detached one with power")


class EnergyManagement(Thing):
    """An energy management system (2026: power control system) and the facts that let its limit count."""

    listed: bool | None = Field(None, description="Listed for overload control")
    set_point_a: Positive | None = None
    restricted_access: bool | None = None
    lost_signal: Literal["holds limit", "stops loads", "no limit"] | None = None
    monitors: Id | Literal["service"] | None = Field(
        None, description="Conductors monitored: service, or a feeder breaker"
    )
    controls: tuple[Id, ...] = ()


class Recording(Thing):
    """Interval data of demand: one channel of a file, or several added together, as registered for this job."""

    file: Text | None = Field(None, description="Name of the file it came in")
    sha256: Sha256 | None = Field(None, description="Checksum of that file: the recording itself stays outside the job")
    form: Literal["csv", "parquet", "espi"] | None = None
    mapping: dict[str, Any] | None = Field(None, description="What the columns mean; left out where the file says so")
    channels: Annotated[tuple[Name, ...], Field(max_length=2)] = Field(
        (), description="Channels of the file; two are added together; left out: its only channel"
    )
    measures: Literal["both legs", "L1", "L2"] | None = Field(
        None, description="Conductors measured; the data of a utility meter are the total of both legs"
    )
    whole_service: bool | None = Field(
        None, description="It holds all that the service supplies, every meter; asked where there are several"
    )
    heavier_leg: bool | None = Field(None, description="This leg was found to be the more heavily loaded one")
    taken: Literal["utility", "recorder"] | None = None
    occupied: bool | None = Field(None, description="The house was lived in as usual the whole time")
    season_load_va: Amount | None = Field(
        None, description="Load to add for the season not covered, by measurement or calculation; 0: none [VA]"
    )
    added_since_va: Amount | None = Field(
        None, description="Load connected since the recording ended and before this work, by nameplate; 0: none [VA]"
    )
    power_factor: Annotated[Decimal, Field(gt=0, le=1, max_digits=6, allow_inf_nan=False)] | None = Field(
        None, description="Power factor at the maximum demand, only if measured"
    )
