"""Strings of solar modules in the cold, against the input of the inverter and the limit at dwellings; their fuses."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.source_things import Source
from deadfront.quantities import UNKNOWN, point
from deadfront.results.sources import StringAnswer
from deadfront.sources.rules.array import lack_of, lacking
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome, Severity, at_most

VOLTS, FUSE = "source.array_voltage", "source.array_fuse"
IDS = (VOLTS, FUSE)
NEED_NO_FUSE = 2
WORST = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS, Outcome.NOT_APPLICABLE)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """The worst kind of string of each source; a solar source without strings entered is asked for them."""
    for source in facts.at.house.sources:
        if source.kind != "solar":
            continue
        mine = [each for each in facts.strings if each.source == source.id]
        for make in (_volts, _fuse):
            found = [check for each in mine for check in make(facts, source, each)]
            yield from sorted(found, key=lambda check: WORST.index(check.outcome))[:1]
        if not mine:
            yield from tell(VOLTS, source.id, Outcome.CANNOT_TELL, facts.reach_of(source), "none",
                            facts.name_of(source), cites=(facts.cite("array_voltage"),),
                            missing=(facts.lack(source, "modules"),))  # fmt: skip


def _volts(facts: SourceFacts, source: Source, string: StringAnswer) -> Iterator[Check]:
    how = string.outcome.name.lower()
    missing = lacking(facts, source, string.number)
    if string.outcome is Outcome.CANNOT_TELL and not missing:
        how = "colder"
    yield from tell(
        VOLTS, source.id, string.outcome, facts.reach_of(source), how, string.name, step=string.volts,
        cites=(facts.cite("array_voltage"), facts.book.value("array_volts_max").cite), severity=Severity.DANGER,
        hazard=True, missing=missing, volts=UNKNOWN if string.volts is None else string.volts.value,
        limit=UNKNOWN if string.limit is None else string.limit.value, lowest=source.lowest_c,
    )  # fmt: skip


def _fuse(facts: SourceFacts, source: Source, string: StringAnswer) -> Iterator[Check]:
    """Three strings or more in parallel can feed a fault in one of them: its fuse fits the modules' largest."""
    modules, reach = source.modules[string.number - 1], facts.reach_of(source)
    cites = (facts.cite("array_fuse"), facts.cite("array_conductors"))
    if modules.strings is not None and modules.strings <= NEED_NO_FUSE:
        yield from tell(FUSE, source.id, Outcome.NOT_APPLICABLE, reach, "few", string.name, cites=cites)
        return
    lacks = [name for name in ("strings", "short_circuit_a", "fuse_max_a") if getattr(modules, name) is None]
    least, most = string.least_ampacity, modules.fuse_max_a
    outcome = Outcome.CANNOT_TELL
    if not lacks and least is not None and most is not None:
        outcome = at_most(least.value, point(most))
    missing = tuple(lack_of(facts, source, string.number, name) for name in lacks)
    yield from tell(FUSE, source.id, outcome, reach, outcome.name.lower(), string.name, cites=cites, step=least,
                    hazard=True, missing=missing, least=UNKNOWN if least is None else least.value,
                    most=most)  # fmt: skip
