"""What every thing of a house is made of: plain frozen models; a field left out is not known, never zero.

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
Key = Annotated[str, StringConstraints(pattern=r"^[a-z0-9_]{2,40}$")]
Percent = Annotated[Decimal, Field(ge=0, le=1000, max_digits=9, allow_inf_nan=False)]
System = Literal["120/240 1ph 3w", "208Y/120 1ph 3w", "208Y/120 3ph 4w"]
TradeSize = Annotated[str, StringConstraints(pattern=r"^([0-9]+-)?[0-9]+(/[0-9])?$", max_length=6)]
Horsepower = Annotated[str, StringConstraints(pattern=r"^([0-9]+-)?[0-9]+(/[0-9]+)?$", max_length=8)]


_ENDINGS = (
    ("_ft2", "ft2"), ("_in3", "in3"), ("_kva", "kVA"), ("_ohm", "ohm"), ("_percent", "%"), ("_dbm", "dB"),
    ("_lbf_in", "lbf-in"),
    ("_ka", "kA"), ("_va", "VA"), ("_ft", "ft"), ("_in", "in"), ("_a", "A"), ("_w", "VA"), ("_c", "C"), ("_v", "V"),
)  # fmt: skip


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
    seen: Annotated[dict[Key, Known], Field(max_length=100)] = Field(
        default_factory=dict, description="Answers to questions of the site list about this thing"
    )


class Conductors(Model):
    """A set of service conductors."""

    size: Size | None = None
    metal: Metal | None = None
    sets: Annotated[int, Field(ge=1, le=12)] | None = Field(None, description="Parallel sets; left out: one")
    kind: Text | None = Field(None, description="Cable or insulation: SE, USE-2, THWN-2 ...")
    terminals_c: Literal[60, 75] | None = Field(None, description="Temperature marking of the terminals [C]")
    needs_correction: bool | None = Field(None, description="Ambient above 30 C or bundling calls for correction")
    corrected_ampacity_a: Positive | None = Field(None, description="Ampacity after correction, worked by hand [A]")
    length_ft: Amount | None = None
    neutral_size: Size | None = Field(None, description="Grounded conductor; left out: not known")
    neutral_metal: Metal | None = Field(None, description="Left out: as the ungrounded conductors")
    raceway: Literal["none", "pvc", "aluminum", "steel"] | None = Field(None, description="Raceway they run in")


Run = Literal["wall", "attic", "roof", "insulation", "crawl space", "basement", "garage", "outdoors", "underground",
              "wet"]  # fmt: skip


class Cable(Model):
    """The cable or conductors of a circuit or feeder, and what surrounds them."""

    type: Text | None = Field(None, description="NM-B, UF-B, SE, SER, SEU, AC, MC, THWN-2 in raceway, ...")
    size: Size | None = None
    metal: Metal | None = None
    conductors: Annotated[int, Field(ge=2, le=4)] | None = Field(None, description="Insulated conductors")
    length_ft: Amount | None = None
    neutral_size: Size | None = Field(None, description="Left out: as the ungrounded conductors")
    neutral_covered: bool | None = Field(
        None, description="A bare neutral of service-entrance cable is insulated inside the panel it comes from"
    )
    ground_size: Size | None = Field(None, description="Equipment grounding conductor; left out: as the cable has it")
    ground: Literal["wire", "raceway", "armor", "none"] | None = Field(None, description="What serves as ground")
    sets: Annotated[int, Field(ge=1, le=12)] | None = Field(None, description="Parallel sets; left out: one")
    terminals_c: Literal[60, 75] | None = Field(None, description="Lowest marking of the terminals at both ends [C]")
    runs: tuple[Run, ...] = Field((), description="Where it runs; left out: not known")
    ambient_c: Amount | None = Field(None, description="Hottest air around it [C]; left out: by where it runs")
    insulation_c: Literal[60, 75, 90] | None = Field(
        None, description="Temperature marked on it [C]; left out: by type"
    )
    above_roof_in: Amount | None = Field(None, description="Height above a roof in the sun [in]")
    bundled: Count | None = Field(
        None, description="Current-carrying conductors together over 24 in; left out: its own"
    )
    raceway: Id | None = None
    staggered: bool | None = None
