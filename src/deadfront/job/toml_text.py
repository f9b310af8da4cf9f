"""Values and tables as TOML text, numbers in plain figures."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from pydantic import BaseModel

_BARE = re.compile(r"[A-Za-z0-9_-]+\Z")
_ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t", "\r": "\\r", "\b": "\\b", "\f": "\\f"}
_ESCAPED = re.compile(r'[\\"\x00-\x1f\x7f]')


def text_of(text: str) -> str:
    """A text in quotes."""
    return '"' + _ESCAPED.sub(lambda m: _ESCAPES.get(m[0]) or f"\\u{ord(m[0]):04x}", text) + '"'


def key_of(key: str) -> str:
    """A key, in quotes where it must be."""
    return key if _BARE.match(key) else text_of(key)


def number_of(value: Decimal) -> str:
    """A number in plain figures; whole numbers without a point."""
    if not value.is_finite():
        return "nan" if value.is_nan() else ("-inf" if value < 0 else "inf")
    if value.adjusted() > 40 or int(value.as_tuple().exponent) < -40:
        return f"{value:e}"
    return f"{value:f}"


def value_of(value: Any) -> str:
    """Any value a job holds, on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return text_of(value)
    if isinstance(value, int):
        return str(value) if abs(value) < 10**40 else text_of(f"about 2^{value.bit_length()}")
    if isinstance(value, Decimal):
        return number_of(value)
    if isinstance(value, (datetime, date, time)):
        return value.isoformat()
    if isinstance(value, Mapping):
        inner = ", ".join(f"{key_of(k)} = {value_of(v)}" for k, v in value.items() if v is not None)
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(value_of(v) for v in value if v is not None) + "]"
    raise TypeError(f"a job holds no {type(value).__name__}")


def field_lines(model: BaseModel, prefix: str = "", leave: Iterable[str] = ()) -> list[str]:
    """The fields of a model that differ from their defaults, inner models as dotted keys."""
    lines: list[str] = []
    for name, info in type(model).__pydantic_fields__.items():
        value = getattr(model, name)
        if name in leave or (value == info.default and not info.is_required()):
            continue
        key = prefix + key_of(info.alias or name)
        if isinstance(value, BaseModel):
            lines += field_lines(value, key + ".")
        elif isinstance(value, dict):
            lines += [f"{key}.{key_of(k)} = {value_of(v)}" for k, v in value.items()]
        elif value is not None:
            lines.append(f"{key} = {value_of(value)}")
    return lines


def table_text(header: str, data: Mapping[str, Any]) -> str:
    """A block from plain data."""
    lines = [f"{key_of(key)} = {value_of(value)}" for key, value in data.items() if value is not None]
    return "\n".join([header, *lines]) + "\n"
