"""Fields of test records, of the torque log and of corrections as texts: as they stand, and as they may be typed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any, Literal, get_args, get_origin

from deadfront.commissioning.rules.answer import STEP
from deadfront.commissioning.rules.registry import modules
from deadfront.job.model import Job
from deadfront.job.record_things import Correction, Record, Torque
from deadfront.job.thing import Thing, unit_of
from deadfront.msg import Msg, said
from deadfront.quantities import SIZES, typed, typed_size

READINGS = "readings."
LONGEST = {"who": 80, "terminal": 80, "section": 80, "not_applicable": 400, "done": 400, "asks": 400, "thing": 20}
DAYS = ("on", "given_on")
MODELS: Mapping[str, type[Thing]] = {"records": Record, "torques": Torque, "corrections": Correction}


def choices_of(of: str, name: str) -> tuple[str, ...]:
    """What a field may be; empty for one that is typed."""
    found: set[Any] = {MODELS[of].model_fields[name].annotation} if name in MODELS[of].model_fields else set()
    while found:
        kind = found.pop()
        if get_origin(kind) is Literal:
            return tuple(str(each) for each in get_args(kind))
        if kind is bool:
            return YES_NO
        found |= {each for each in get_args(kind) if isinstance(each, type) or get_origin(each) is not None}
    return ()


YES_NO = ("yes", "no")
NOT_TYPED = ("id", "seen", "test", "stage", "photo", "name", "readings")
LONGEST_READING, MOST_READINGS = 80, 40
_ID = re.compile(r"[a-z]{1,3}-[0-9a-z]{2,16}")
_STEP_KEY = re.compile(r"leg|watts|clamp_a|off|on|meanwhile|circuit|beside")
_TIME = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]")

Cleaned = tuple[str, Mapping[str, str], Msg | None]
"""A text in the form it is kept in; other fields that it tells; what is wrong with it."""


def is_id(text: str, prefix: str) -> bool:
    """Whether a text may be the id of an entry."""
    return bool(_ID.fullmatch(text)) and text.startswith(f"{prefix}-")


@cache
def readings_of(test: str) -> tuple[str, ...]:
    """Names of the readings of a test; none of one that is not known."""
    return next((tuple(each.key for each in one.kind.asked) for one in modules() if one.kind.key == test), ())


def cleaned(job: Job, of: str, test: str, name: str, text: str) -> Cleaned:
    """A field as typed; readings are kept as typed, and judged, not corrected."""
    text = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    if name.startswith(READINGS):
        return text, {}, _reading_wrong(of, test, name.removeprefix(READINGS), text)
    if name in NOT_TYPED or name not in MODELS[of].model_fields:
        return text, {}, said("app.records.field", found=name[:60])
    if not text:
        return "", {}, None
    if name in LONGEST and len(text) > LONGEST[name]:
        return text, {}, said("app.records.long", most=LONGEST[name])
    reader = _READERS.get(name)
    if reader is not None:
        return reader(job, name, text)
    allowed = choices_of(of, name)
    if allowed:
        return text, {}, None if text in allowed else said("app.records.choice", found=text[:40], allowed=allowed)
    return _quantity(job, name, text) if unit_of(name) else (text, {}, None)


def _reading_wrong(of: str, test: str, key: str, text: str) -> Msg | None:
    known = readings_of(test)
    fits = bool(_STEP_KEY.fullmatch(key)) if test == STEP else key in known
    if of != "records" or not fits:
        return said("app.records.reading", found=key[:60], test=test[:60], allowed=known)
    return said("app.records.long", most=LONGEST_READING) if len(text) > LONGEST_READING else None


def _day(_: Job, name: str, text: str) -> Cleaned:
    try:
        return date.fromisoformat(text).isoformat(), {}, None
    except ValueError:
        return text, {}, said("app.records.day", found=text[:40])


def _time(_: Job, name: str, text: str) -> Cleaned:
    return text, {}, None if _TIME.fullmatch(text) else said("app.records.time", found=text[:40])


def _instruments(job: Job, name: str, text: str) -> Cleaned:
    there = {each.id for each in (*job.before.instruments, *(i for s in job.work for i in s.add.instruments))}
    wanted = [part.strip() for part in text.split(",") if part.strip()]
    gone = next((each for each in wanted if each not in there), None)
    return ",".join(dict.fromkeys(wanted)), {}, said("app.records.instrument", found=gone[:40]) if gone else None


def _quantity(_: Job, name: str, text: str) -> Cleaned:
    unit = unit_of(name) or ""
    try:
        value = typed(text, unit)
    except ValueError:
        return text, {}, said("app.records.quantity", found=text[:40], unit=unit)
    return _plain(value), {}, None if value > 0 else said("app.records.quantity", found=text[:40], unit=unit)


def _size(_: Job, name: str, text: str) -> Cleaned:
    try:
        size, metal = (text, None) if text in SIZES else typed_size(text)
    except ValueError:
        return text, {}, said("app.records.size", found=text[:40])
    return size, {"metal": metal} if metal else {}, None


def _thing(job: Job, name: str, text: str) -> Cleaned:
    there = {each.id for step in (job.before, *(s.add for s in job.work))
             for collection in type(step).model_fields for each in getattr(step, collection, ())
             if isinstance(each, Thing)} if text not in ("service", "house") else {text}  # fmt: skip
    return text, {}, None if text in there else said("app.records.thing", found=text[:40])


_READERS = {
    **dict.fromkeys(DAYS, _day), "time": _time, "instruments": _instruments, "tool": _instruments, "size": _size,
    "thing": _thing,
}  # fmt: skip


def _plain(value: Decimal) -> str:
    return f"{value:f}"


def texts(thing: Thing) -> dict[str, str]:
    """Every field of an entry as the text it is typed as."""
    found: dict[str, str] = {}
    for name in type(thing).model_fields:
        value = getattr(thing, name)
        if isinstance(value, Mapping):
            found |= {f"{name}.{key}": str(each) for key, each in value.items()}
        elif isinstance(value, tuple):
            found[name] = ",".join(map(str, value))
        elif isinstance(value, Decimal):
            found[name] = _plain(value)
        elif isinstance(value, bool):
            found[name] = YES_NO[0] if value else YES_NO[1]
        elif value is not None:
            found[name] = str(value)
    return found


def values(of: str, wanted: Mapping[str, str], now: Mapping[str, str]) -> dict[str, Any]:
    """Fields as an edit carries them; readings as a whole, None for what is cleared."""
    made: dict[str, Any] = {}
    for name, text in wanted.items():
        if name.startswith(READINGS):
            made["readings"] = {
                key.removeprefix(READINGS): each for key, each in now.items() if key.startswith(READINGS) and each
            }
        elif name == "instruments":
            made[name] = [part for part in text.split(",") if part]
        elif choices_of(of, name) == YES_NO:
            made[name] = text == YES_NO[0] if text else None
        else:
            made[name] = text or None
    return made
