"""Writes ESPI feeds to the public schema for the tests: links, both time forms, quality, scale."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<feed xmlns="http://www.w3.org/2005/Atom">\n<title>Usage</title>\n'
BASE = "https://utility.example/espi/1_1/resource/Subscription/5/UsagePoint/1"
US_START, US_END = "360E2000", "B40E2000"


@dataclass
class Meter:
    """One meter reading: its type's fields and its readings (start, length, value, quality codes)."""

    readings: list[tuple[int | None, int | None, int, tuple[int, ...]]]
    fields: dict[str, str] = field(default_factory=lambda: {"uom": "72", "powerOfTenMultiplier": "0"})
    title: str = "Electric meter"
    number: int = 1
    per_block: int = 96


def entry(inside: str, own: str, up: str, related: Iterable[str] = (), title: str = "") -> str:
    """One Atom entry with its links."""
    links = f'<link rel="self" href="{own}"/><link rel="up" href="{up}"/>'
    links += "".join(f'<link rel="related" href="{each}"/>' for each in related)
    return f"<entry><id>urn:x</id>{links}<title>{title}</title><content>{inside}</content></entry>\n"


def espi(name: str, inside: str) -> str:
    """An element of the ESPI namespace."""
    return f'<{name} xmlns="http://naesb.org/espi">{inside}</{name}>'


def tags(fields: dict[str, str]) -> str:
    """Fields as elements."""
    return "".join(f"<{name}>{value}</{name}>" for name, value in fields.items())


def reading(start: int | None, length: int | None, value: int, quality: tuple[int, ...]) -> str:
    """One IntervalReading; start or length None leaves them out."""
    period = {"duration": length, "start": start}
    inside = tags({name: str(each) for name, each in period.items() if each is not None})
    marks = "".join(f"<ReadingQuality><quality>{code}</quality></ReadingQuality>" for code in quality)
    told = f"<timePeriod>{inside}</timePeriod>" if inside else ""
    return f"<IntervalReading>{marks}{told}<value>{value}</value></IntervalReading>"


def blocks(meter: Meter) -> list[str]:
    """The interval blocks of a meter, each in an entry."""
    base = f"{BASE}/MeterReading/{meter.number:02}"
    found = []
    for at in range(0, len(meter.readings), meter.per_block):
        part = meter.readings[at : at + meter.per_block]
        first = part[0][0] or 0
        head = f"<interval><duration>{900 * len(part)}</duration><start>{first}</start></interval>"
        inside = espi("IntervalBlock", head + "".join(reading(*each) for each in part))
        found.append(entry(inside, f"{base}/IntervalBlock/{at}", f"{base}/IntervalBlock"))
    return found


def time_entry(kind: str, offset_s: int = -25_200, dst_s: int = 3_600) -> str:
    """A TimeConfiguration or LocalTimeParameters with the rules of the USA."""
    fields = {"dstEndRule": US_END, "dstOffset": str(dst_s), "dstStartRule": US_START, "tzOffset": str(offset_s)}
    own = f"https://utility.example/espi/1_1/resource/{kind}/01"
    return entry(espi(kind, tags(fields)), own, own.rpartition("/")[0])


def feed(*meters: Meter, time: str = "LocalTimeParameters", types_last: bool = False) -> bytes:
    """A whole feed; with `types_last` the reading types follow the readings they belong to."""
    points = [f"{BASE}/MeterReading"]
    parts = [entry(espi("UsagePoint", "<ServiceCategory><kind>0</kind></ServiceCategory>"), BASE,
                   BASE.rpartition("/")[0], points, "House")]  # fmt: skip
    if time:
        parts.append(time_entry(time))
    late = []
    for meter in meters:
        base = f"{BASE}/MeterReading/{meter.number:02}"
        kind = f"https://utility.example/espi/1_1/resource/ReadingType/{meter.number:02}"
        parts.append(entry(espi("MeterReading", ""), base, f"{BASE}/MeterReading", [f"{base}/IntervalBlock", kind],
                           meter.title))  # fmt: skip
        late.append(entry(espi("ReadingType", tags(meter.fields)), kind, kind.rpartition("/")[0]))
        if not types_last:
            parts.append(late.pop())
        parts += blocks(meter)
    return (HEAD + "".join(parts + late) + "</feed>\n").encode()
