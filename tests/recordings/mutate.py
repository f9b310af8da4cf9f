"""Small recordings, damaged at random: what must come back is a figure with its marks, or an error that says why."""

from __future__ import annotations

import io
import random
from dataclasses import dataclass, field, replace

from deadfront.errors import DeadfrontError
from deadfront.recordings.guess import guess_mapping, guess_parquet
from deadfront.recordings.mapping import Mapping, mapping_from_json
from deadfront.recordings.read import form_of, read
from deadfront.recordings.reduce import reduce_channel
from deadfront.recordings.series import series_of
from deadfront.results.recordings import Reduction
from tests.recordings.espi_file import Meter, feed
from tests.recordings.making import PLAIN, T0, minute_stamps, table

PIECES = [
    b"\n", b",", b";", b'"', b"\0", b"\xff", b"-", b"9" * 20, b"1e999", b"NaN", b"2025-11-02 01:30", b"24:00", b"\r\n",
    b"<",
    b">", b"&lt;", b"<value>", b"</value>", b"<!DOCTYPE a>", b"<IntervalBlock>", b"<start>", b"0", b"\xe2\x82\xac",
    b" ", b"1990-01-01 00:00", b"2100-12-31 23:59", b"kWh", b"\t", b"|", b"\xff\xfe", b"<duration>31536000</duration>",
]  # fmt: skip


@dataclass
class Tally:
    """What came back.

    Args:
        read: Files read to a figure.
        refused: Files refused, by the key of the message.
        wrong: What broke the law, in words.
    """

    read: int = 0
    refused: dict[str, int] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)


def seeds() -> list[tuple[bytes, Mapping | None]]:
    """The sound files that mutations start from, each with its mapping."""
    rows = list(zip(minute_stamps(40, 15), [round(0.3 + at * 7 % 11 / 4, 2) for at in range(40)], strict=True))
    us = table(((f"11/{1 + at // 20:02}/2025 {at % 20 // 4 + 1}:{at % 4 * 15:02} AM", f"{at}.5") for at in range(40)),
               ("Date/Time", "Demand kW"))  # fmt: skip
    eu = table(((f"{13 + at // 24}.03.2025 {at % 24:02}:00", f"{at},25") for at in range(40)), ("Zeit", "kWh"), ";")
    long = table(((stamp, name, value) for stamp, value in rows for name in "ab"), ("time", "circuit", "watts"))
    register = table(((stamp, 1000 + at) for at, (stamp, _) in enumerate(rows)), ("time", "total kWh"))
    espi = feed(Meter([(T0 + 900 * at, 900, 100 + at, (8,) if at % 9 == 0 else ()) for at in range(12)], per_block=6))
    found: list[tuple[bytes, Mapping | None]] = [(table(rows), PLAIN), (espi, None)]
    days = table(((f"2025-11-{day:02}", *(at / 8 for at in range(24)), "") for day in range(1, 5)),
                 ("date", *(f"Hour {number} kWh" for number in range(1, 26))))  # fmt: skip
    odd = table(((f"2025-03-09 01:{at * 7 // 6:02}:{at * 70 % 60:02}", f"{at}.5") for at in range(9)), ("time", "kW"))
    for data in (us, eu, long, register, us.decode().encode("utf-16"), days, odd):
        found.append((data, replace(guess_mapping(data, zone="America/Denver").mapping, zone="America/Denver")))
    return found


def mutated(data: bytes, dice: random.Random) -> bytes:
    """The file with one to four damages."""
    for _ in range(dice.randint(1, 4)):
        at = dice.randrange(len(data) + 1)
        to = min(at + dice.choice([0, 1, 1, 2, 8, 60]), len(data))
        kind = dice.randrange(4)
        if kind == 0:
            data = data[:at] + dice.choice(PIECES) + data[at:]
        elif kind == 1:
            data = data[:at] + data[to:]
        elif kind == 2:
            data = data[:at] + bytes(dice.randrange(256) for _ in range(to - at)) + data[to:]
        else:
            there = dice.randrange(len(data) + 1)
            data = data[:there] + data[at:to] + data[there:]
    return data


def without_marks(made: Reduction) -> str:
    """Which figure of a reduction lacks its quality mark, or is no figure at all; "" where none does."""
    for name, demand in (("demand", made.demand), ("undoubted", made.undoubted)):
        if demand is None:
            continue
        for peak in (demand.block, demand.sliding):
            if not peak.marks or peak.low != peak.low or abs(peak.low) == float("inf"):
                return name
            if peak.high is not None and not peak.low <= peak.high:
                return f"{name} bounds"
    if any(not point.marks for point in made.peak_week):
        return "peak week"
    return ""


def judge(data: bytes, mapping: Mapping | None) -> None:
    """Read, examine and reduce every channel.

    Raises:
        DeadfrontError: the file was refused.
        AssertionError: a figure lacks its mark.
    """
    recording = read(io.BytesIO(data), mapping)
    for channel in recording.channels[:4]:
        series = series_of(recording, channel)
        assert bool((series.marks != 0).all()), "a reading has no mark"
        if len(series.mean):
            lacking = without_marks(reduce_channel(recording, channel, with_others=False))
            assert not lacking, f"no mark: {lacking}"


def trial(dice: random.Random, files: list[tuple[bytes, Mapping | None]], tally: Tally) -> None:
    """One mutated file through the guess, or with a fixed mapping, to the end."""
    data, mapping = dice.choice(files)
    data = mutated(data, dice)
    try:
        if dice.random() < 0.3 and form_of(data) != "espi":
            guess = guess_parquet(io.BytesIO(data)) if form_of(data) == "parquet" else guess_mapping(data, zone="UTC")
            mapping = mapping_from_json(guess.mapping.to_json())
        judge(data, mapping)
        tally.read += 1
    except DeadfrontError as told:
        tally.refused[told.msg.key] = tally.refused.get(told.msg.key, 0) + 1
    except Exception as broken:  # what the law forbids: anything but an error that says why
        tally.wrong.append(f"{type(broken).__name__}: {broken} in {data[:3000]!r} with {mapping!r}")


def trials(count: int, seed: int) -> Tally:
    """Many mutated files."""
    dice, files, tally = random.Random(seed), seeds(), Tally()
    for _ in range(count):
        trial(dice, files, tally)
    return tally
