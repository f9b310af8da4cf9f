"""The parts of an ESPI feed and how they belong together: Atom links first, nesting where there is any."""

from __future__ import annotations

from dataclasses import dataclass, field

from deadfront.recordings.mapping import UNITS
from deadfront.recordings.pack import Pack
from deadfront.recordings.recording import MAX_CHANNELS, Channel
from deadfront.recordings.zone import OffsetTable, fixed, table_of_rules

MAX_PARTS = 100_000
MAX_PIECES = 64
# Codes of the ESPI usage schema (NAESB REQ.21).
UOM = {"72": "Wh", "38": "W", "61": "VA", "63": "var", "71": "VAh", "73": "varh", "29": "V", "5": "A", "33": "Hz"}
FLOW = {"1": "delivered", "19": "received", "4": "net", "20": "total"}
CUMULATIVE = frozenset({"1", "3"})
INSTANT = frozenset({"6", "12"})
PHASE = {"528": "L1", "272": "L2", "512": "L1", "256": "L2", "769": "both", "768": "both"}


@dataclass(slots=True)
class ReadingType:
    """What the figures of a meter reading are; every field may be missing."""

    fields: dict[str, str] = field(default_factory=dict)

    def scale(self) -> float:
        """Ten to the power that the file gives."""
        power = whole(self.fields.get("powerOfTenMultiplier", ""), 0)
        return 10.0**power if -12 <= power <= 12 else float("nan")

    def unit(self) -> str:
        """The unit of the figures; "other" where the file does not say one we know."""
        return UOM.get(self.fields.get("uom", "").strip(), "other")

    def kind(self) -> str:
        """mean, energy, register or instant."""
        behavior = self.fields.get("accumulationBehaviour", "").strip()
        energy = self.unit() in ("Wh", "VAh", "varh")
        if energy and behavior in CUMULATIVE:
            return "register"
        if energy:
            return "energy"
        return "instant" if behavior in INSTANT else "mean"

    def interval_s(self) -> int:
        """Declared length of an interval [s], 0 where it is not given."""
        length = whole(self.fields.get("intervalLength", ""), 0)
        return length if 0 < length <= 31_622_400 else 0


@dataclass(slots=True)
class Loose:
    """A block whose readings carry no time of their own: they follow each other from its start."""

    first: int
    count: int
    start_s: int
    length_s: int


@dataclass(slots=True)
class Blocks:
    """The readings under one link, before it is known what they are; `short` where some tell no length."""

    pack: Pack = field(default_factory=Pack)
    loose: list[Loose] = field(default_factory=list)
    nested_in: str = ""
    short: bool = False


@dataclass(slots=True)
class Feed:
    """What has been met so far: by link of its own, its parent's, and those it points to.

    Args:
        types: Reading types by their own link.
        meters: Links that each meter reading points to, by its own link.
        points: The same for usage points.
        titles: Titles of entries by their own link.
        blocks: Readings by the link of the collection they stand in.
        nested_types: Reading types that stand inside a meter reading, by its key.
        times: Time settings by their own link.
        parts: How many parts there are, for the limit.
    """

    types: dict[str, ReadingType] = field(default_factory=dict)
    meters: dict[str, list[str]] = field(default_factory=dict)
    points: dict[str, list[str]] = field(default_factory=dict)
    titles: dict[str, str] = field(default_factory=dict)
    blocks: dict[str, Blocks] = field(default_factory=dict)
    nested_types: dict[str, ReadingType] = field(default_factory=dict)
    times: list[dict[str, str]] = field(default_factory=list)
    parts: int = 0


def whole(text: str, otherwise: int) -> int:
    """A whole number of at most 15 digits; `otherwise` where it is none."""
    if text.isascii() and text.isdigit() and len(text) <= 15:
        return int(text)
    text = text.strip()
    digits = text[1:] if text[:1] in "+-" else text
    return int(text) if digits.isascii() and digits.isdigit() and len(digits) <= 15 else otherwise


def tidy(link: str) -> str:
    """A link without what two spellings of it may differ in."""
    return link.strip().rstrip("/")


def clock_of(feed: Feed) -> OffsetTable:
    """The clock told by the first time setting of the feed, UTC where there is none."""
    for each in feed.times:
        offset, dst = whole(each.get("tzOffset", ""), 0), whole(each.get("dstOffset", ""), 0)
        if abs(offset) > 50_400 or not 0 <= dst <= 7_200:
            continue
        return table_of_rules(offset, dst, _rule(each.get("dstStartRule", "")), _rule(each.get("dstEndRule", "")))
    return fixed(0)


def _rule(text: str) -> int:
    text = text.strip()
    try:
        return int(text, 16) if 0 < len(text) <= 8 else 0
    except ValueError:
        return 0


class Links:
    """Which meter reading and usage point a link belongs to: looked up, since a feed may hold a great many."""

    def __init__(self, feed: Feed) -> None:
        self._feed = feed
        self._order = {own: number for number, own in enumerate((*feed.meters, *feed.points))}
        self._meter_of_link = _first_of(feed.meters)
        self._point_of_link = _first_of(feed.points)
        every = [*feed.types.values(), *feed.nested_types.values()]
        self._only_type = every[0] if len(every) == 1 else None
        self._types: dict[str, ReadingType | None] = {}

    def meter_of(self, key: str) -> str:
        """The meter reading that a collection of blocks belongs to, "" where no link tells."""
        found = [own for own in (key, *_above(key)) if own in self._feed.meters]
        if key in self._meter_of_link:
            found.append(self._meter_of_link[key])
        return min(found, key=self._order.__getitem__, default="")

    def point_of(self, meter: str) -> str:
        """The usage point that a meter reading belongs to, "" where no link tells."""
        if not meter:
            return ""
        above = _above(meter)
        found = [own for own in above if own in self._feed.points]
        found += [self._point_of_link[link] for link in (meter, *above) if link in self._point_of_link]
        return min(found, key=self._order.__getitem__, default="")

    def type_of(self, meter: str, blocks: Blocks) -> ReadingType | None:
        """The reading type of some blocks: nested, linked by their meter reading, or the only one there is."""
        for nested in (blocks.nested_in, meter):
            if nested in self._feed.nested_types:
                return self._feed.nested_types[nested]
        if meter not in self._types:
            links = self._feed.meters.get(meter, [])
            self._types[meter] = next((self._feed.types[link] for link in links if link in self._feed.types), None)
        return self._types[meter] or self._only_type


def _first_of(parts: dict[str, list[str]]) -> dict[str, str]:
    """For each link the first part that points to it."""
    found: dict[str, str] = {}
    for own, related in parts.items():
        for link in related:
            found.setdefault(link, own)
    return found


def _above(link: str) -> list[str]:
    """The links above a link, as its own text tells them, at most as many as a link sensibly has."""
    pieces = link.split("/")[:MAX_PIECES]
    return ["/".join(pieces[:count]) for count in range(1, len(pieces))]


def channels_of(feed: Feed) -> list[Channel]:
    """One channel for each collection of readings, named by the titles that links lead to."""
    found: list[Channel] = []
    links, taken = Links(feed), set[str]()
    for key, blocks in feed.blocks.items():
        if not blocks.pack.count or len(found) >= MAX_CHANNELS:
            continue
        meter = links.meter_of(key)
        kind = links.type_of(meter, blocks) or ReadingType()
        titles = [feed.titles.get(links.point_of(meter), ""), feed.titles.get(meter, "")]
        name = " / ".join(title for title in titles if title) or key.rsplit("/", 2)[0][-80:] or "1"
        name = name if name not in taken else f"{name} ({len(found) + 1})"
        taken.add(name)
        found.append(_channel(name, kind, blocks))
    return found


def _channel(name: str, kind: ReadingType, blocks: Blocks) -> Channel:
    flow = kind.fields.get("flowDirection", "").strip()
    pack = _placed(blocks, kind.interval_s())
    unit = kind.unit()
    assert unit in UNITS
    return Channel(
        name, unit, kind.kind(), PHASE.get(kind.fields.get("phase", "").strip(), ""), FLOW.get(flow, ""), kind.scale(),
        pack, utc=True, interval_s=0,
    )  # fmt: skip


def _placed(blocks: Blocks, interval_s: int) -> Pack:
    """The readings with times and lengths filled in where the file leaves them to the reading type."""
    import numpy as np

    if not blocks.loose and not (interval_s and blocks.short):
        return blocks.pack
    times, lengths, values, marks = blocks.pack.arrays()
    for each in blocks.loose:
        step = interval_s or (each.length_s // each.count if each.count else 0)
        rows = slice(each.first, each.first + each.count)
        times[rows] = each.start_s + step * np.arange(each.count)
        lengths[rows] = step
    lengths = np.where(lengths > 0, lengths, interval_s)
    pack = Pack()
    pack.add_all(times, lengths, values, marks.astype(np.int64))
    return pack
