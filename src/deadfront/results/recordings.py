"""What a recording hands on: the Reduction and its parts, and their JSON.

The classes themselves stand in deadfront.recordings.answer, since that room makes them and may import none below it.
"""

from __future__ import annotations

import types
import typing
from dataclasses import asdict, fields, is_dataclass

from deadfront.recordings.answer import (
    Coverage,
    DayHours,
    Demand,
    Finding,
    Gaps,
    Month,
    Occupancy,
    Peak,
    Phase,
    PlotPoint,
    Provenance,
    QualityReport,
    Reduction,
    SourceSigns,
    Span,
    SuspectUnit,
    ThirtyDays,
)

__all__ = [
    "Coverage",
    "DayHours",
    "Demand",
    "Finding",
    "Gaps",
    "Month",
    "Occupancy",
    "Peak",
    "Phase",
    "PlotPoint",
    "Provenance",
    "QualityReport",
    "Reduction",
    "SourceSigns",
    "Span",
    "SuspectUnit",
    "ThirtyDays",
    "reduction_from_json",
    "reduction_to_json",
]


def reduction_to_json(reduction: Reduction) -> dict[str, typing.Any]:
    """Plain values for storing."""
    return asdict(reduction)


def reduction_from_json(data: dict[str, typing.Any]) -> Reduction:
    """A stored Reduction, the same as it was.

    Raises:
        KeyError, TypeError: the data were not written by `reduction_to_json` of this version.
    """
    made = _made(Reduction, data)
    assert isinstance(made, Reduction)
    return made


def _made(kind: typing.Any, data: typing.Any) -> typing.Any:
    if data is None:
        return None
    if typing.get_origin(kind) in (types.UnionType, typing.Union):
        return _made(next(each for each in typing.get_args(kind) if each is not type(None)), data)
    if is_dataclass(kind):
        hints = typing.get_type_hints(kind)
        made = {each.name: _made(hints[each.name], data[each.name]) for each in fields(kind)}
        return typing.cast(typing.Any, kind)(**made)
    if typing.get_origin(kind) is tuple:
        inner = typing.get_args(kind)
        if inner[-1] is Ellipsis:
            return tuple(_made(inner[0], each) for each in data)
        return tuple(_made(each, value) for each, value in zip(inner, data, strict=True))
    return data
