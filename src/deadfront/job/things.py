"""The things of a house: plain frozen models; a field left out is not known, never zero.

Quantity names end in their unit. Ids are short and never used twice. Things are called what the trade calls them.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

from deadfront.quantities import SIZES, typed, typed_size

Id = Annotated[str, StringConstraints(pattern=r"^[a-z]{1,3}-[0-9a-z]{2,16}$")]
Text = Annotated[str, StringConstraints(max_length=400)]
Name = Annotated[str, StringConstraints(min_length=1, max_length=120)]
Amount = Annotated[Decimal, Field(ge=0, le=10_000_000, max_digits=14, decimal_places=6, allow_inf_nan=False)]
Positive = Annotated[Decimal, Field(gt=0, le=10_000_000, max_digits=14, decimal_places=6, allow_inf_nan=False)]
Count = Annotated[int, Field(ge=0, le=1000)]
Size = Annotated[Literal[SIZES], Field()]  # type: ignore[valid-type]
Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Metal = Literal["copper", "aluminum"]
Known = Literal["yes", "no", "unknown"]
System = Literal["120/240 1ph 3w", "208Y/120 1ph 3w", "208Y/120 3ph 4w"]
Horsepower = Annotated[str, StringConstraints(pattern=r"^([0-9]+-)?[0-9]+(/[0-9]+)?$", max_length=8)]


_ENDINGS = (("_ft2", "ft2"), ("_ka", "kA"), ("_va", "VA"), ("_ft", "ft"), ("_a", "A"), ("_w", "VA"))


def unit_of(field: str) -> str | None:
    """The unit that a field's name ends in (VA also for W), None for a field that is no quantity."""
    if field == "volts":
        return "V"
    return next((unit for ending, unit in _ENDINGS if field.endswith(ending)), None)


class Model(BaseModel):
    """Base: frozen, refuses fields it does not know, understands quantities as typed ("4.5 kW", "3/0 Al")."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)

    @model_validator(mode="before")
    @classmethod
    def _as_typed(cls, data: Any) -> Any:
        if not isinstance(data, dict):
            return data
        changed: dict[str, Any] = {}
        for field, value in data.items():
            if isinstance(value, str):
                changed |= _typed_field(field, value, data)
            elif isinstance(value, bool) and field in cls.__pydantic_fields__:
                kind = str(cls.__pydantic_fields__[field].annotation)
                if "bool" not in kind and "str" not in kind:
                    changed[field] = str(value).lower()  # yes and no are never 1 and 0
        return {**data, **changed} if changed else data


def _typed_field(field: str, value: str, data: dict[str, Any]) -> dict[str, Any]:
    """What a typed text gives its field, nothing where it is left for the field itself to judge."""
    unit = unit_of(field)
    try:
        if unit:
            return {field: typed(value, unit)}
        if field == "size" and value not in SIZES:
            size, metal = typed_size(value)
            if metal is None or data.get("metal") in (None, metal):
                return {"size": size} | ({"metal": metal} if metal else {})
    except ValueError:
        pass
    return {}


class Thing(Model):
    """Something with an id of its own."""

    id: Id
    name: Name | None = None
    note: Text | None = None


class Disconnect(Model):
    """The service disconnect."""

    rating_a: Positive | None = Field(None, description="Rating marked on the main [A]")
    sccr_ka: Positive | None = Field(None, description="Interrupting or short-circuit current rating [kA]")
    listed_full_load: bool | None = Field(None, description="Listed to carry 100 % of its rating continuously")


class Conductors(Model):
    """A set of conductors: service, feeder."""

    size: Size | None = None
    metal: Metal | None = None
    sets: Annotated[int, Field(ge=1, le=12)] | None = Field(None, description="Parallel sets; left out: one")
    kind: Text | None = Field(None, description="Cable or insulation: SE, USE-2, THWN-2 ...")
    terminals_c: Literal[60, 75] | None = Field(None, description="Temperature marking of the terminals [C]")
    needs_correction: bool | None = Field(None, description="Ambient above 30 C or bundling calls for correction")
    corrected_ampacity_a: Positive | None = Field(None, description="Ampacity after correction, worked by hand [A]")
    length_ft: Amount | None = None


class Utility(Model):
    """What the utility allows and supplies."""

    limit: Literal["none", "limited"] | None = Field(None, description="none: the utility sets no limit")
    limit_a: Positive | None = None
    fault_current_ka: Positive | None = None


class Service(Model):
    """The service of the house."""

    system: System | None = None
    disconnect: Disconnect = Disconnect()
    conductors: Conductors = Conductors()
    utility: Utility = Utility()


class Meter(Thing):
    """A meter or its socket."""

    purpose: Literal["utility", "solar", "submeter", "other"] = "utility"
    socket_a: Positive | None = Field(None, description="Continuous rating marked in the socket [A]")


class Panel(Thing):
    """A panelboard."""

    fed_by: Id | Literal["service"] | None = Field(None, description="Breaker id, or service")
    bus_a: Positive | None = Field(None, description="Bus rating on the label [A]")
    spaces: Annotated[int, Field(ge=1, le=84)] | None = None
    circuits_max: Annotated[int, Field(ge=1, le=84)] | None = None
    main_at: Literal["top", "bottom", "center", "none"] | None = None
    place: Text | None = None


class Breaker(Thing):
    """A breaker; replacing one is a removal and an addition."""

    panel: Id | None = None
    spaces: tuple[Annotated[int, Field(ge=1, le=84)], ...] = ()
    half: Literal["a", "b"] | None = Field(None, description="Half of a space, for a tandem breaker")
    rating_a: Positive | None = None
    poles: Literal[1, 2] | None = None
    protection: Literal["plain", "ground fault", "arc fault", "both"] | None = None
    role: Literal["branch", "main", "feeder", "source"] = "branch"
    controllable: bool | None = None
    tied_with: Id | None = None


class Cable(Model):
    """The cable or conductors of a circuit."""

    type: Text | None = None
    size: Size | None = None
    metal: Metal | None = None
    conductors: Annotated[int, Field(ge=2, le=4)] | None = None
    length_ft: Amount | None = None


class Circuit(Thing):
    """A branch circuit."""

    breaker: Id | None = None
    place: Text | None = None
    cable: Cable = Cable()
    shares_neutral_with: Id | None = None


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


class Source(Thing):
    """A source of power other than the utility."""

    kind: Literal["solar", "battery", "generator", "vehicle", "inlet"]
    output_a: Amount | None = None
    output_w: Amount | None = None
    volts: Positive | None = None
    breaker: Id | None = None


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
    heavier_leg: bool | None = Field(None, description="This leg was found to be the more heavily loaded one")
    taken: Literal["utility", "recorder"] | None = None
    occupied: bool | None = Field(None, description="The house was lived in as usual the whole time")
    season_load_va: Amount | None = Field(
        None, description="Load to add for the season not covered, by measurement or calculation; 0: none [VA]"
    )
    power_factor: Annotated[Decimal, Field(gt=0, le=1, max_digits=6, allow_inf_nan=False)] | None = Field(
        None, description="Power factor at the maximum demand, only if measured"
    )


class Complete(Model):
    """Whether a collection holds all there is: 'none here' differs from 'not looked'."""

    units: Known = "unknown"
    panels: Known = "unknown"
    breakers: Known = "unknown"
    circuits: Known = "unknown"
    loads: Known = "unknown"
    sources: Known = "unknown"
    meters: Known = "unknown"
    energy_management: Known = "unknown"
    recordings: Known = "unknown"


class House(Model):
    """A house at one moment."""

    complete: Complete = Complete()
    service: Service = Service()
    meters: tuple[Meter, ...] = ()
    panels: tuple[Panel, ...] = ()
    breakers: tuple[Breaker, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    units: tuple[Unit, ...] = ()
    loads: tuple[Load, ...] = ()
    sources: tuple[Source, ...] = ()
    energy_management: tuple[EnergyManagement, ...] = ()
    recordings: tuple[Recording, ...] = ()


COLLECTIONS: dict[str, type[Thing]] = {
    "meters": Meter,
    "panels": Panel,
    "breakers": Breaker,
    "circuits": Circuit,
    "units": Unit,
    "loads": Load,
    "sources": Source,
    "energy_management": EnergyManagement,
    "recordings": Recording,
}
"""Every collection of a House and the model of its things."""
