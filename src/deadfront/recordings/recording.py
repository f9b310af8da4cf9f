"""A file as read: its channels with every reading as it stood there, and what could not be read."""

from __future__ import annotations

from dataclasses import dataclass, field

from deadfront.recordings.mapping import Mapping
from deadfront.recordings.pack import Pack
from deadfront.recordings.trouble import RecordingUnreadable
from deadfront.recordings.zone import OffsetTable

MAX_CHANNELS = 2_000
SHOWN_LINES = 10


@dataclass(slots=True)
class Channel:
    """One column, meter or circuit of a recording, not yet judged.

    Args:
        name: As the file or the mapping calls it.
        unit: One of mapping.UNITS.
        kind: mean, energy, register or instant.
        leg: L1, L2, both or "".
        direction: "delivered", "received", "net", "total" or "" where the file does not say.
        scale: Factor from the stored value to the unit.
        pack: The readings.
        utc: Whether times are UTC; else clock readings of the place.
        ends: Whether a time is the end of its interval.
        interval_s: Interval the file declares [s]; 0 where it does not.
    """

    name: str
    unit: str
    kind: str
    leg: str = ""
    direction: str = ""
    scale: float = 1.0
    pack: Pack = field(default_factory=Pack)
    utc: bool = False
    ends: bool = False
    interval_s: int = 0


@dataclass(slots=True)
class Unread:
    """What of a file could not be read: counts, and the first line numbers from 1."""

    rows: int = 0
    cells: int = 0
    lines: list[int] = field(default_factory=list)

    def row(self, line: int, count: int = 1) -> None:
        """A row left out; line 0 where its number is not known."""
        self.rows += count
        if line and len(self.lines) < SHOWN_LINES:
            self.lines.append(line)


@dataclass(slots=True)
class Recording:
    """A whole file: where it came from, its clock, its channels.

    Args:
        form: "csv", "parquet" or "espi".
        sha256: Checksum of the file.
        mapping: What its columns were said to mean; None for ESPI, which says so itself.
        clock: The clock of its place.
        clock_rule: How the hour that comes twice is read.
        channels: By order of appearance.
        unread: What could not be read.
        rows: Rows or readings seen.
        reader: "columns" or "lines": how a CSV file was read.
    """

    form: str
    sha256: str
    mapping: Mapping | None
    clock: OffsetTable
    clock_rule: str
    channels: list[Channel]
    unread: Unread
    rows: int = 0
    reader: str = ""

    def channel(self, name: str) -> Channel:
        """The channel of that name.

        Raises:
            RecordingUnreadable: there is none.
        """
        for each in self.channels:
            if each.name == name:
                return each
        names = tuple(each.name for each in self.channels[:20])
        raise RecordingUnreadable("recordings.no_channel", name=name[:80], names=names)
