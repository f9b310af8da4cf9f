"""Reading ESPI (the public schema of utility usage feeds) as it streams by: a pull of small parts, within limits.

A feed is Atom: entries tell by links what belongs to what, in any order, so readings are kept as raw whole numbers
until the feed has ended and it is known what they are. Any document type is refused: entities can swell or fetch.
"""

from __future__ import annotations

from typing import Any
from xml.parsers import expat

from deadfront.recordings.espi_feed import (
    MAX_PARTS,
    Blocks,
    Feed,
    Loose,
    ReadingType,
    channels_of,
    clock_of,
    tidy,
    whole,
)
from deadfront.recordings.marks import ESPI_GOOD, ESPI_QUALITY, Mark
from deadfront.recordings.recording import Recording, Unread
from deadfront.recordings.source import Source
from deadfront.recordings.trouble import RecordingUnreadable, RecordingUnsafe
from deadfront.recordings.zone import fixed

NAMESPACE = "http://naesb.org/espi"
ATOM = "http://www.w3.org/2005/Atom"
CHUNK = 1 << 18
MAX_DEPTH = 64
MAX_TEXT = 65_536
MAX_TOKEN = 4 << 20
FIRST_S, LAST_S = 631_152_000, 4_133_980_800
TEXT_PIECE = 8_192
_ESPI, _ATOM = NAMESPACE + " ", ATOM + " "
_READING, _QUALITY = _ESPI + "IntervalReading", _ESPI + "quality"
_LEAVES = {_ESPI + name: name for name in ("value", "start", "duration")}


class _Parser:
    """The state of one reading of a feed: where in the tree we are, and the part being filled."""

    def __init__(self) -> None:
        self.feed, self.unread = Feed(), Unread()
        self.path: list[str] = []
        self.text: list[str] = []
        self.depth = 0
        self.links: dict[str, list[str]] = {}
        self.title = ""
        self.fields: dict[str, str] | None = None
        self.meters: list[str] = []
        self.block: Blocks | None = None
        self.block_fields: dict[str, str] = {}
        self.block_first = 0
        self.reading: dict[str, str] = {}
        self.mark = Mark(0)
        self.in_reading = False
        self.any_espi = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """An element opens."""
        self.text = []
        self.depth += 1
        if self.depth > MAX_DEPTH:
            raise RecordingUnsafe("recordings.xml.deep", allowed=MAX_DEPTH)
        if self.in_reading:
            return
        short = name.rpartition(" ")[2]
        self.path.append(short)
        if name == _READING:
            self.reading, self.mark, self.in_reading = {}, Mark(0), True
        elif name.startswith(_ESPI):
            self.any_espi = True
            self._open(short)
        elif name == _ATOM + "entry":
            self.links, self.title = {}, ""
        elif name == _ATOM + "link":
            self._link(attributes)

    def _link(self, attributes: dict[str, str]) -> None:
        relation, target = attributes.get("rel", ""), attributes.get("href", "")
        if relation in ("self", "up", "related") and target:
            self._part()
            self.links.setdefault(relation, []).append(tidy(target))

    def _part(self) -> None:
        self.feed.parts += 1
        if self.feed.parts > MAX_PARTS * 10:
            raise RecordingUnsafe("recordings.xml.parts", allowed=MAX_PARTS * 10)

    def _open(self, short: str) -> None:
        if short in ("ReadingType", "TimeConfiguration", "LocalTimeParameters"):
            self._part()
            self.fields = {}
        elif short == "MeterReading":
            self.meters.append(self._own() if "MeterReading" not in self.path[:-1] else "")
        elif short == "IntervalBlock":
            self._part()
            key = self._block_key()
            self.block = self.feed.blocks.setdefault(key, Blocks(nested_in=self.meters[-1] if self.meters else ""))
            self.block_fields, self.block_first = {}, self.block.pack.count

    def _own(self) -> str:
        return (self.links.get("self") or [f"part {self.feed.parts}"])[0]

    def _block_key(self) -> str:
        if self.meters:
            return self.meters[-1] + "/IntervalBlock"
        if up := self.links.get("up"):
            return up[0]
        own = self._own()
        return own.rpartition("/")[0] or own

    def words(self, data: str) -> None:
        """Text inside an element, in pieces."""
        self.text.append(data)
        if (len(data) > TEXT_PIECE or len(self.text) * TEXT_PIECE > MAX_TEXT) and sum(map(len, self.text)) > MAX_TEXT:
            raise RecordingUnsafe("recordings.xml.long_text", allowed=MAX_TEXT)

    def end(self, name: str) -> None:
        """An element closes."""
        self.depth -= 1
        if self.in_reading:
            if (leaf := _LEAVES.get(name)) is not None:
                self.reading[leaf] = "".join(self.text)
            elif name == _READING:
                self.path.pop()
                self._take()
            elif name == _QUALITY:
                self.mark |= _mark("".join(self.text))
            self.text = []
            return
        short = self.path.pop()
        if name.startswith(_ESPI):
            self._close(short)
        elif name == _ATOM + "title" and self.path and self.path[-1] == "entry":
            self.title = "".join(self.text).strip()[:120]
        self.text = []

    def _close(self, short: str) -> None:
        if self.block is not None:
            if short == "IntervalBlock":
                self._end_block()
            elif short in ("start", "duration") and self.path[-1] == "interval":
                self.block_fields[short] = "".join(self.text)
        elif short == "ReadingType" and self.fields is not None:
            kind = ReadingType(self.fields)
            if self.meters:
                self.feed.nested_types[self.meters[-1]] = kind
            else:
                self.feed.types[self._own()] = kind
            self.fields = None
        elif short in ("TimeConfiguration", "LocalTimeParameters") and self.fields is not None:
            self.feed.times.append(self.fields)
            self.fields = None
        elif self.fields is not None:
            self.fields.setdefault(short, "".join(self.text)[:80])
        elif short == "MeterReading":
            own = self.meters.pop()
            if not self.meters:
                self._named(self.feed.meters, own)
        elif short == "UsagePoint":
            self._named(self.feed.points, self._own())

    def _named(self, kept: dict[str, list[str]], own: str) -> None:
        self._part()
        kept.setdefault(own, []).extend(self.links.get("related", []))
        self.feed.titles.setdefault(own, self.title)

    def _take(self) -> None:
        """One reading: its raw figure, its time, or its place in the block."""
        self.in_reading = False
        value = whole(self.reading.get("value", ""), 2**62)
        start = whole(self.reading.get("start", ""), 0)
        length = whole(self.reading.get("duration", ""), 0)
        if self.block is None or value == 2**62 or ("start" in self.reading and not FIRST_S <= start <= LAST_S):
            self.unread.row(0)
            return
        length = length if 0 < length <= 31_622_400 else 0
        self.block.short |= not length
        self.block.pack.add(start, length, float(value), int(self.mark))
        if not start:
            self._loose()

    def _loose(self) -> None:
        assert self.block is not None
        if self.block.loose and self.block.loose[-1].first == self.block_first:
            self.block.loose[-1].count += 1
        else:
            self.block.loose.append(Loose(self.block_first, 1, 0, 0))

    def _end_block(self) -> None:
        block = self.block
        self.block = None
        assert block is not None
        if not (block.loose and block.loose[-1].first == self.block_first):
            return
        start, length = (whole(self.block_fields.get(name, ""), 0) for name in ("start", "duration"))
        whole_block = block.loose[-1].count == block.pack.count - self.block_first
        if not whole_block or not FIRST_S <= start <= LAST_S or not 0 <= length <= LAST_S:
            raise RecordingUnreadable("recordings.espi.no_time", reading=block.pack.count)
        block.loose[-1].start_s, block.loose[-1].length_s = start, length


def _mark(text: str) -> Mark:
    code = whole(text, -1)
    return Mark(0) if code in ESPI_GOOD else ESPI_QUALITY.get(code, Mark.QUESTIONED)


def _refuse_dtd(*_: Any) -> int:
    raise RecordingUnsafe("recordings.xml.dtd")


def read_espi(source: Source) -> Recording:
    """Read a feed; memory grows by a few bytes a reading.

    Raises:
        RecordingUnsafe: it declares a document type or an entity, nests too deep, or holds too large a part.
        RecordingUnreadable: it is no well-formed XML, no ESPI, or holds no reading.
    """
    state = _Parser()
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.buffer_size = TEXT_PIECE
    parser.StartElementHandler, parser.EndElementHandler = state.start, state.end
    parser.CharacterDataHandler = state.words
    parser.StartDoctypeDeclHandler = _refuse_dtd
    parser.EntityDeclHandler = _refuse_dtd
    parser.ExternalEntityRefHandler = _refuse_dtd
    fed = 0
    try:
        while data := source.read(CHUNK):
            parser.Parse(data, False)
            fed += len(data)
            if fed - parser.CurrentByteIndex > MAX_TOKEN:
                raise RecordingUnsafe("recordings.xml.long_text", allowed=MAX_TOKEN)
        parser.Parse(b"", True)
    except expat.ExpatError as problem:
        raise RecordingUnreadable("recordings.xml.broken", line=problem.lineno, column=problem.offset + 1) from problem
    except (LookupError, ValueError) as problem:  # an encoding that is not known, or cannot be
        raise RecordingUnreadable("recordings.xml.encoding") from problem
    if not state.any_espi:
        raise RecordingUnreadable("recordings.espi.none", namespace=NAMESPACE)
    channels = channels_of(state.feed)
    if not channels:
        raise RecordingUnreadable("recordings.espi.no_readings", left_out=state.unread.rows)
    rows = sum(channel.pack.count for channel in channels) + state.unread.rows
    clock = clock_of(state.feed) if state.feed.times else fixed(0)
    return Recording("espi", source.sha256(), None, clock, "changes", channels, state.unread, rows)
