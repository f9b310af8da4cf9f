"""A Msg as JSON and back, with its numbers exact."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from deadfront.msg import Msg
from deadfront.quantities import Interval


def to_json(value: object) -> Any:
    """JSON for a Msg or a parameter of one.

    Raises:
        TypeError: a kind of value that no catalog could show.
    """
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, Decimal):
        return {"decimal": str(value)}
    if isinstance(value, float):
        return {"float": repr(value)}
    if isinstance(value, date):
        return {"date": value.isoformat()}
    if isinstance(value, Interval):
        return {"low": str(value.low), "high": None if value.high is None else str(value.high)}
    if isinstance(value, Msg):
        return {"key": value.key, "params": {name: to_json(each) for name, each in value.params.items()}}
    if isinstance(value, Mapping):
        return {"map": {str(name): to_json(each) for name, each in value.items()}}
    if isinstance(value, list | tuple | set | frozenset):
        return [to_json(each) for each in (sorted(value) if isinstance(value, set | frozenset) else value)]
    raise TypeError(f"a message cannot carry a {type(value).__name__}")


def from_json(value: Any) -> Any:
    """The value that `to_json` wrote; lists come back as tuples."""
    if isinstance(value, list):
        return tuple(from_json(each) for each in value)
    if not isinstance(value, dict):
        return value
    if "key" in value:
        return Msg(value["key"], {name: from_json(each) for name, each in value["params"].items()})
    if "decimal" in value:
        return Decimal(value["decimal"])
    if "float" in value:
        return float(value["float"])
    if "date" in value:
        return date.fromisoformat(value["date"])
    if "low" in value:
        return Interval(Decimal(value["low"]), None if value["high"] is None else Decimal(value["high"]))
    return {name: from_json(each) for name, each in value["map"].items()}


def msg_from_json(value: Any) -> Msg:
    """The Msg that `to_json` wrote."""
    found = from_json(value)
    if not isinstance(found, Msg):
        raise TypeError("not a stored message")
    return found
