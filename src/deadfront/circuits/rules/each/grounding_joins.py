"""Where neutral and ground join, in every arrangement of outside disconnects, panels and separate structures."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.places import Place, joined_nowhere, no_holder, places
from deadfront.circuits.rules.service.telling import SERVICE, lacks, name_of, tell
from deadfront.circuits.rules.service.work import service_work
from deadfront.worksheet.check import Check, Outcome, Severity

ID = "grounding.joins"
IDS = (ID,)


def checks(facts: Facts) -> Iterator[Check]:
    """Each enclosure by itself; then whether there is a join at all."""
    found = places(facts)
    for place in found:
        yield from _place(facts, place)
    if no_holder(facts, found):
        yield from tell(ID, SERVICE, Outcome.CANNOT_TELL, service_work(facts).equipment, "no_holder",
                        name_of(facts, None), cites=(facts.cite("main_bonding"),),
                        missing=lacks(facts, None, "outside.present"))  # fmt: skip
    if joined_nowhere(facts, found) and not any(p.outcome is Outcome.FAILS for p in found if "service" in p.roles):
        yield from tell(ID, SERVICE, Outcome.FAILS, service_work(facts).equipment, "nowhere", name_of(facts, None),
                        cites=(facts.cite("neutral_joins"),), hazard=Severity.DANGER, severity=Severity.DANGER,
                        caution="neutral")  # fmt: skip


def _place(facts: Facts, place: Place) -> Iterator[Check]:
    cites = (facts.cite("main_bonding" if place.roles == {"service"} else "neutral_joins"),)
    if place.kind == "structure":
        cites = (facts.cite("structure_ground"),)
    yield from tell(
        ID,
        place.thing,
        place.outcome,
        place.reach,
        _how(place),
        place.name,
        cites=cites,
        hazard=Severity.DANGER,
        severity=Severity.DANGER,
        caution="neutral",
        missing=place.missing,
    )


def _how(place: Place) -> str:
    if place.outcome is Outcome.CANNOT_TELL:
        return "open"
    ending = "met" if place.outcome is Outcome.MEETS else "wrong"
    if place.kind in ("meter", "submeter", "structure"):
        if place.kind == "structure":
            ending = f"{'joined' if place.joined == 'yes' else 'apart'}_{ending}"
        return f"{place.kind}_{ending}"
    role = next(iter(place.roles)) if len(place.roles) == 1 else "either"
    return f"{role.replace(' ', '_')}_{ending}"
