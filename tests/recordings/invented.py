"""Invented recordings of every shape: clocks, gaps, duplicates, jitter, copied days, bad cells; each by its number."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from deadfront.recordings.mapping import Column, Mapping

FORMS = {"%Y-%m-%d %H:%M:%S": "ymd", "%Y-%m-%dT%H:%M": "ymd", "%m/%d/%Y %I:%M %p": "mdy", "%m/%d/%Y %H:%M": "mdy",
         "%d.%m.%Y %H:%M": "dmy"}  # fmt: skip
UNITS = {"mean": "kW", "instant": "W", "energy": "Wh", "register": "kWh"}
DAY = 1_440


@dataclass(frozen=True)
class Shape:
    """What a recording is like: shares of gaps, duplicates, shifted stamps, bad cells, readings below zero."""

    step_s: int
    count: int
    zone: str
    form: str
    kind: str
    gaps: float
    twice: float
    shifted: float
    bad: float
    below: float
    few_values: bool


def shape_of(dice: random.Random) -> Shape:
    """A shape."""
    step = dice.choice([60, 60, 60, 30, 300, 900, 1800, 3600, 7, 10, 70, 1200])
    return Shape(
        step, dice.choice([3, 50, 700, 4000]), dice.choice(["UTC", "America/Denver", "Australia/Sydney"]),
        "%Y-%m-%d %H:%M:%S" if step % 60 else dice.choice(list(FORMS)), dice.choice(["mean", *UNITS]),
        dice.choice([0, 0, 0.002, 0.02, 0.2]), dice.choice([0, 0, 0.002, 0.02]), dice.choice([0, 0, 0, 0.01, 0.3]),
        dice.choice([0, 0, 0.01]), dice.choice([0, 0, 0, 0.01]), dice.random() < 0.3,
    )  # fmt: skip


def rows_of(shape: Shape, dice: random.Random) -> Iterator[tuple[str, str, str]]:
    """Stamp, figure and quality of each row."""
    place = ZoneInfo(shape.zone)
    month = dice.choice([1, 3, 10, 11])
    start = int(datetime(2025, month, dice.randint(1, 9), dice.randint(0, 23), tzinfo=place).timestamp())
    power, register, skipped = 300.0, 1000.0, 0
    for number in range(shape.count):
        power = dice.choice([0, 300, 900, 1800, 5200]) if dice.random() < 0.1 else power
        value = power + (0 if shape.few_values else dice.random() * 60)
        register = 0.0 if dice.random() < 0.0005 else register + value / 1e4
        skipped = dice.choice([1, 2, 5, 100, 1000]) if not skipped and dice.random() < shape.gaps else skipped
        if skipped:
            skipped -= 1
            continue
        value = register if shape.kind == "register" else -value if dice.random() < shape.below else value
        shift = dice.choice([-3, 4, 60, -60]) if dice.random() < shape.shifted else 0
        stamp = datetime.fromtimestamp(start + shape.step_s * number + shift, place).strftime(shape.form)
        stamp = stamp.lstrip("0") if "%I" in shape.form and number % 3 == 0 else stamp
        stamp = dice.choice(["", "junk", "2025-02-31 00:00"]) if dice.random() < shape.bad else stamp
        cell = dice.choice(["", "x", "NaN", "1e99"]) if dice.random() < shape.bad else f"{value:.2f}"
        quality = "Estimated" if dice.random() < 0.05 else ""
        yield stamp, cell, quality
        if dice.random() < shape.twice:
            yield stamp, cell if dice.random() < 0.5 else f"{value * 1.5:.2f}", quality


def recording(number: int) -> tuple[bytes, Mapping]:
    """A table and what it means."""
    dice = random.Random(number)
    shape = shape_of(dice)
    rows = list(rows_of(shape, dice))
    if dice.random() < 0.1:
        rows.reverse()
    if dice.random() < 0.2 and len(rows) > 2 * DAY:  # a day copied over the next
        rows[DAY : DAY + 700] = [
            (stamp, rows[at][1], mark) for at, (stamp, _, mark) in enumerate(rows[DAY : DAY + 700])
        ]
    if dice.random() < 0.1:
        half = len(rows) // 2
        rows = rows[half:] + rows[:half]
    text = "t,v,w,q\n" + "".join(f"{stamp},{cell},{120 + len(cell)},{mark}\n" for stamp, cell, mark in rows)
    use = dice.choice(["start", "start", "end"])
    columns = (Column("t", use), Column("v", "value", UNITS[shape.kind], shape.kind), Column("q", "quality"))
    mapping = Mapping(columns, zone=shape.zone, date_order=FORMS[shape.form], stamps=use,
                      clock=dice.choice(["changes", "standard", "first", "second"]))  # fmt: skip
    if dice.random() < 0.3:
        mapping = replace(mapping, columns=(*columns, Column("w", "value", "V", "mean")))
    return text.encode(), mapping
