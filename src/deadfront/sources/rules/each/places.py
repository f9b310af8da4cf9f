"""Where batteries and generators stand: questions of common practice; listing, fire code and authority decide."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.missing import Missing

BATTERY, GENERATOR = "source.battery_place", "source.generator_place"
IDS = (BATTERY, GENERATOR)
INDOORS = ("garage", "utility room", "basement", "living space")
# Common practice, from memory: a standing set 5 ft from openings and walls that can burn, where its listing does not
# allow less; a portable set 20 ft from the building, exhaust away from it.
STANDING_FT, PORTABLE_FT = Decimal(5), Decimal(20)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every battery, every generator."""
    for source in facts.at.house.sources:
        if source.kind == "battery":
            yield from _battery(facts, source)
        elif source.kind == "generator":
            yield from _generator(facts, source)


def _battery(facts: SourceFacts, source: Source) -> Iterator[Check]:
    """Not in rooms people live in, listed for its place, guarded where a vehicle may strike it (common practice)."""
    asked = ["location", "listed_for_location"] + (["vehicle_impact"] if source.location == "garage" else [])
    outcome, how = Outcome.MEETS, "meets"
    if source.location == "living space":
        outcome, how = Outcome.FAILS, "living"
    elif source.listed_for_location is False:
        outcome, how = Outcome.FAILS, "not_listed"
    elif source.location == "garage" and source.vehicle_impact is False:
        outcome, how = Outcome.FAILS, "vehicle"
    elif facts.missing(source, *asked):
        outcome, how = Outcome.CANNOT_TELL, "cannot_tell"
    yield from tell(BATTERY, source.id, outcome, facts.reach_of(source), how, facts.name_of(source), hazard=True,
                    cites=(facts.cite("listing_and_instructions"),), missing=facts.missing(source, *asked))  # fmt: skip


def _generator(facts: SourceFacts, source: Source) -> Iterator[Check]:
    """Never inside a building; nearer than common practice is a question to its listing, not an answer."""
    asked = ["location", "from_opening_ft"] + ([] if source.portable else ["from_wall_ft"])
    far = PORTABLE_FT if source.portable else STANDING_FT
    near = [each for each in (source.from_opening_ft, None if source.portable else source.from_wall_ft)
            if each is not None and each < far]  # fmt: skip
    outcome, how, missing = Outcome.MEETS, "meets", facts.missing(source, *asked)
    if source.location in INDOORS:
        outcome, how = Outcome.FAILS, "indoors"
    elif near:
        outcome, how = Outcome.CANNOT_TELL, "near"
        what = said("todo.sources.nearest_allowed", thing=facts.name_of(source))
        lacks = Missing(facts.at.path(source, "from_opening_ft"), what, said("todo.how.sources.nearest_allowed"))
        missing = (*missing, lacks)
    elif facts.missing(source, *asked):
        outcome, how = Outcome.CANNOT_TELL, "cannot_tell"
    yield from tell(GENERATOR, source.id, outcome, facts.reach_of(source), how, facts.name_of(source), hazard=True,
                    severity=Severity.DANGER, cites=(facts.cite("listing_and_instructions"),),
                    missing=missing, far=far)  # fmt: skip
