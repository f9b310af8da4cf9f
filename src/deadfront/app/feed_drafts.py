"""A feed of a utility (ESPI) before it is read into a job: what each channel says of itself, its first rows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from deadfront.app.recording_drafts import HOUR_S, Amount, RowAsRead, clock_text
from deadfront.store.trouble import guarded

if TYPE_CHECKING:
    from deadfront.recordings.recording import Channel, Recording

# A feed of a year of quarter hours has 5 MB and is read in a third of a second; a larger one shows its rows once read.
MOST_BYTES = 12_000_000
ROWS = 3


@dataclass(frozen=True, slots=True)
class FeedChannel:
    """A channel as the feed tells of it.

    Args:
        name: What it is called.
        unit: Unit of its figures.
        kind: What they are: mean, energy, register or instant.
        direction: delivered, received, net, total or "".
        leg: L1, L2, both or "".
        scale: Factor from the figure that stands in the feed.
        readings: How many.
        rows: The first ones; their cells are start, seconds and figure as they stand in the feed.
    """

    name: str
    unit: str
    kind: str
    direction: str
    leg: str
    scale: float
    readings: int
    rows: tuple[RowAsRead, ...]


def feed_channels(path: Path) -> tuple[FeedChannel, ...]:
    """The channels of a feed; none where it is too large to be looked through while someone waits.

    Raises:
        RecordingUnreadable, RecordingUnsafe: it is broken, or no such feed.
    """
    from deadfront.recordings.read import read

    if path.stat().st_size > MOST_BYTES:
        return ()
    with guarded(path), path.open("rb") as file:
        found = read(file)
    return tuple(
        FeedChannel(
            each.name, each.unit, each.kind, each.direction, each.leg, each.scale, each.pack.count,
            tuple(_rows(found, each)),
        )
        for each in found.channels
    )  # fmt: skip


def _rows(found: Recording, channel: Channel) -> Iterator[RowAsRead]:
    times, lengths, values, _ = channel.pack.arrays()
    local = found.clock.to_local(times[:ROWS])
    for at, told, stored, seconds in zip(local, lengths[:ROWS], values[:ROWS], times[:ROWS], strict=True):
        length, value = int(told) or channel.interval_s, float(stored) * channel.scale
        start = int(at) - (length if channel.ends else 0)
        mean = value * HOUR_S / length if channel.kind == "energy" and length else None
        amount = Amount(value, channel.unit, mean, channel.unit.removesuffix("h") if mean is not None else "")
        end = clock_text(start + length) if length else ""
        yield RowAsRead((str(int(seconds)), str(int(told)), f"{stored:g}"), clock_text(start), end, (amount,))
