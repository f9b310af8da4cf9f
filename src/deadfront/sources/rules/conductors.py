"""What the output conductors of a source may carry [A], by the tables; a range where facts are missing."""

from __future__ import annotations

from typing import NamedTuple

from deadfront.codebook.conductors import ambient_factor, bundling_percent, insulation_of
from deadfront.codebook.lookup import ampacity
from deadfront.errors import DeadfrontError
from deadfront.job.panel_things import Cable
from deadfront.job.source_things import Source
from deadfront.job.thing import Thing
from deadfront.msg import said
from deadfront.quantities import UNKNOWN
from deadfront.sources.rules.facts import SourceFacts
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

HOT = ("attic", "roof")
TERMINALS = (60, 75)


def source_ampacity(facts: SourceFacts, source: Source) -> Step:
    """Ampacity of the output conductors of a source [A], all parallel sets."""
    return wires_ampacity(facts, source, "cable", source.cable)


def wires_ampacity(facts: SourceFacts, thing: Thing, field: str, cable: Cable) -> Step:
    """Ampacity of the conductors of a thing [A], all parallel sets; `field` is where they stand in it."""
    wires = Wires(facts, thing, field, cable, f"{thing.id}/{field}/ampacity")
    unknown = next((name for name in ("size", "metal", "type") if getattr(cable, name) is None), None)
    if unknown is None and cable.ambient_c is None and set(cable.runs) & set(HOT):
        unknown = "ambient_c"
    if unknown is not None:
        return wires.open(unknown)
    one = _one(wires)
    if (cable.sets or 1) == 1:
        return one
    sets = build.fact(f"{wires.ident}/sets", "source.sets", cable.sets or 1, "", wires.path("sets"))
    return build.product(f"{wires.ident}/all", "source.ampacity", (sets, one), unit="A")


class Wires(NamedTuple):
    """A set of conductors: the thing they belong to, the field of it where they stand, themselves."""

    facts: SourceFacts
    thing: Thing
    field: str
    cable: Cable
    ident: str

    def path(self, name: str) -> str:
        """Where a fact of them stands in the job."""
        return self.facts.at.path(self.thing, f"{self.field}.{name}")

    def lack(self, name: str) -> Missing:
        """A fact of them to find out."""
        return self.facts.lack(self.thing, f"{self.field}.{name}")

    def open(self, name: str, end: str = "") -> Step:
        """Their ampacity while a fact of them is not known [A]."""
        return build.fact(
            f"{self.ident}{end}", "source.ampacity", UNKNOWN, "A", self.path(name), missing=self.lack(name)
        )


def _one(wires: Wires) -> Step:
    if wires.cable.terminals_c is not None:
        return _at(wires, wires.cable.terminals_c)
    low, high = (_at(wires, each) for each in TERMINALS)
    if low.value == high.value:
        return low
    return build.between_cases(wires.ident, "source.ampacity", low, high, unit="A",
                               missing=(wires.lack("terminals_c"),))  # fmt: skip


def _at(wires: Wires, terminals_c: int) -> Step:
    """With terminals of one marking: their column, the cable's own limit, air and neighbors."""
    facts, cable, ident = wires.facts, wires.cable, f"{wires.ident}/{terminals_c}"
    size, metal = str(cable.size), str(cable.metal)
    try:
        kind = insulation_of(facts.book, cable.type or "")
        insulation = cable.insulation_c or int(str(kind["insulation_min_c"]))
        own = kind["limit_c"] or (kind["limit_in_insulation_c"] if "insulation" in cable.runs else None)
        column = min(terminals_c, insulation, int(str(own or terminals_c)))
        end = _column(facts, f"{ident}/column", size, metal, column)
        parts = [_column(facts, f"{ident}/insulation", size, metal, insulation)]
        if cable.ambient_c is not None:
            air = ambient_factor(facts.book, cable.ambient_c, insulation)
            parts.append(build.lookup(f"{ident}/air", "source.air_factor", air.value, "", air.cite,
                                      table="ambient_correction", row=air.row, inline=True))  # fmt: skip
    except DeadfrontError:
        return wires.open("type", f"/{terminals_c}")
    carried = parts[0] if len(parts) == 1 else build.product(f"{ident}/corrected", "source.corrected", parts, unit="A")
    percent = bundling_percent(facts.book, cable.bundled or 0)
    if percent is not None:
        carried = build.percent_of(f"{ident}/bundled", said("source.bundled", count=cable.bundled), carried,
                                   percent.value, unit="A", cite=percent.cite)  # fmt: skip
    return build.least(ident, "source.ampacity", (end, carried), unit="A")


def _column(facts: SourceFacts, ident: str, size: str, metal: str, celsius: int) -> Step:
    found = ampacity(facts.book, size, metal, celsius)
    name = said("source.column", size=size, metal=said(f"metal.{metal}"), celsius=celsius)
    return build.lookup(ident, name, found.value, "A", found.cite, table="conductor_ampacity", row=found.row)
