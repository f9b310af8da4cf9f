"""What the output conductors of a source may carry [A], by the tables; a range where facts are missing."""

from __future__ import annotations

from deadfront.codebook.conductors import ambient_factor, bundling_percent, insulation_of
from deadfront.codebook.lookup import ampacity
from deadfront.errors import DeadfrontError
from deadfront.job.panel_things import Cable
from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.quantities import UNKNOWN
from deadfront.sources.rules.facts import SourceFacts
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

HOT = ("attic", "roof")
TERMINALS = (60, 75)


def source_ampacity(facts: SourceFacts, source: Source) -> Step:
    """Ampacity of the output conductors of a source [A], all parallel sets."""
    cable, ident = source.cable, f"source/{source.id}/ampacity"
    unknown = None if cable.size is not None and cable.metal is not None else (
        "cable.size" if cable.size is None else "cable.metal")  # fmt: skip
    if unknown is None and cable.type is None:
        unknown = "cable.type"
    if unknown is None and cable.ambient_c is None and set(cable.runs) & set(HOT):
        unknown = "cable.ambient_c"
    if unknown is not None:
        return build.fact(ident, "source.ampacity", UNKNOWN, "A", facts.at.path(source, unknown),
                          missing=facts.lack(source, unknown))  # fmt: skip
    one = _one(facts, source, cable, ident)
    if (cable.sets or 1) == 1:
        return one
    sets = build.fact(f"{ident}/sets", "source.sets", cable.sets or 1, "", facts.at.path(source, "cable.sets"))
    return build.product(f"{ident}/all", "source.ampacity", (sets, one), unit="A")


def _one(facts: SourceFacts, source: Source, cable: Cable, ident: str) -> Step:
    if cable.terminals_c is not None:
        return _at(facts, source, cable, f"{ident}/{cable.terminals_c}", cable.terminals_c)
    low, high = (_at(facts, source, cable, f"{ident}/{each}", each) for each in TERMINALS)
    if low.value == high.value:
        return low
    return build.between_cases(ident, "source.ampacity", low, high, unit="A",
                               missing=(facts.lack(source, "cable.terminals_c"),))  # fmt: skip


def _at(facts: SourceFacts, source: Source, cable: Cable, ident: str, terminals_c: int) -> Step:
    """With terminals of one marking: their column, the cable's own limit, air and neighbors."""
    size, metal = str(cable.size), str(cable.metal)
    try:
        kind = insulation_of(facts.book, cable.type or "")
        insulation = cable.insulation_c or int(str(kind["insulation_min_c"]))
        column = min(terminals_c, insulation, int(str(kind["limit_c"] or terminals_c)))
        end = _column(facts, f"{ident}/column", size, metal, column)
        parts = [_column(facts, f"{ident}/insulation", size, metal, insulation)]
        if cable.ambient_c is not None:
            air = ambient_factor(facts.book, cable.ambient_c, insulation)
            parts.append(build.lookup(f"{ident}/air", "source.air_factor", air.value, "", air.cite,
                                      table="ambient_correction", row=air.row, inline=True))  # fmt: skip
    except DeadfrontError:
        return build.fact(ident, "source.ampacity", UNKNOWN, "A", facts.at.path(source, "cable.type"),
                          missing=facts.lack(source, "cable.type"))  # fmt: skip
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
