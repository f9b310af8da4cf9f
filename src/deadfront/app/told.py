"""Pieces that every answer given as plain data is made of: exact figures, ranges, places in a code book."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from deadfront.quantities import Interval
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.step import Step

Figure = Annotated[str, Field(pattern=r"^-?[0-9]+(\.[0-9]+)?$", description="An exact decimal number, as text")]
OutcomeWord = Literal["meets", "does not meet", "does not apply", "cannot tell"]


class Plain(BaseModel):
    """Base: frozen, nothing unknown."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Range(Plain):
    """All values that may still be true; both ends are one where it is exact."""

    low: Figure
    high: Figure | None = Field(description="null: no upper limit is known")


class Place(Plain):
    """Where a figure or rule stands."""

    code: str = Field(description="NEC, or the name of the local amendments")
    edition: str
    section: str
    status: Literal["verified", "partly", "memory"] = Field(description="How far public sources support it")
    confirmed_by: str | None = Field(description="License holder who compared it with the book, and the date")


def figure(value: Decimal) -> str:
    """A number as text, never with an exponent."""
    return f"{value:f}"


def told_range(value: Interval) -> Range:
    """A range as data."""
    return Range(low=figure(value.low), high=None if value.high is None else figure(value.high))


def range_of(step: Step | None) -> Range | None:
    """The range of a figure, null where there is none."""
    return None if step is None else told_range(step.value)


def places_of(cites: Iterable[Cite]) -> list[Place]:
    """Citations as data."""
    return [Place(code=c.code, edition=c.edition, section=c.section, status=c.status, confirmed_by=c.confirmed_by)
            for c in cites]  # fmt: skip
