"""The output circuit of a source: how it joins, its overcurrent device, its conductors, its listing."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.codebook.conductors import small_conductor_rating
from deadfront.codebook.lookup import standard_ratings
from deadfront.job.source_things import Source
from deadfront.sources.rules.amounts import plain
from deadfront.sources.rules.conductors import source_ampacity
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.paths import Joint, joints
from deadfront.sources.rules.supply_side import first_device
from deadfront.sources.rules.tell import tell
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, at_most
from deadfront.worksheet.step import Step

JOIN, DEVICE, CONDUCTORS, LISTED = "source.join", "source.device", "source.conductors", "source.listed"
IDS = (JOIN, DEVICE, CONDUCTORS, LISTED)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every source but an inlet, whose set is not known."""
    for joint in joints(facts):
        yield from _join(facts, joint)
        if joint.source.kind == "inlet":
            continue
        if continuous(joint):
            yield from _device(facts, joint.source)
        yield from _conductors(facts, joint)
        yield from _listed(facts, joint)


def continuous(joint: Joint) -> bool:
    """Whether a source may give its whole output for hours; a generator kept apart gives what its loads draw."""
    return joint.source.kind != "generator" or joint.parallel is not False


def _join(facts: SourceFacts, joint: Joint) -> Iterator[Check]:
    """Where a source joins is recorded, so that its path can be followed."""
    source = joint.source
    lacking = {None: "joins", "breaker": "breaker", "feeder": "feeder_of"}.get(joint.way)
    if joint.way == "supply side" or joint.panel is not None or (joint.way == "transfer" and joint.transfer):
        return
    missing = (facts.lack(source, lacking or "joins"),)
    if joint.breaker is not None and joint.panel is None:
        missing = (facts.lack(joint.breaker, "panel"),)
    yield from tell(JOIN, source.id, Outcome.CANNOT_TELL, facts.reach_of(source, joint.breaker), "cannot_tell",
                    facts.name_of(source), cites=(facts.cite("source_output_circuit"),), missing=missing)  # fmt: skip


def _device(facts: SourceFacts, source: Source) -> Iterator[Check]:
    """The overcurrent device carries 125 percent of the continuous output."""
    least, device = plain(facts, source), first_device(facts, source)
    outcome = at_most(least.value, device.value)
    standard = build.next_standard(f"source/{source.id}/device/least", "source.device_least", least,
                                   standard_ratings(facts.book),
                                   cite=facts.book.table("standard_ratings").cite)  # fmt: skip
    missing = (*least.all_missing(), *device.all_missing())
    yield from tell(DEVICE, source.id, outcome, facts.reach_of(source, facts.breakers.get(source.breaker or "")),
                    outcome.name.lower(), facts.name_of(source), cites=(facts.cite("source_output_circuit"),),
                    step=standard, hazard=True, missing=missing, device=device.value, least=least.value,
                    standard=standard.value)  # fmt: skip


def _conductors(facts: SourceFacts, joint: Joint) -> Iterator[Check]:
    """The conductors carry 125 percent of an output given for hours, and their device protects them."""
    source = joint.source
    carried, device = source_ampacity(facts, source), first_device(facts, source)
    most = protected_by(facts, source, carried)
    least = plain(facts, source) if continuous(joint) else device
    enough = at_most(least.value, carried.value) if continuous(joint) else Outcome.MEETS
    guarded = at_most(device.value, most.value)
    outcome = next(each for each in (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS) if each in (enough, guarded))
    how = "small" if enough is Outcome.FAILS else "unprotected" if outcome is Outcome.FAILS else outcome.name.lower()
    if outcome is Outcome.MEETS and not continuous(joint):
        how = "guarded"
    missing = {each.path: each for step in (least, carried, device) for each in step.all_missing()}
    yield from tell(CONDUCTORS, source.id, outcome, facts.reach_of(source), how, facts.name_of(source), hazard=True,
                    cites=(facts.cite("source_output_circuit"), *most.cites), step=carried,
                    missing=tuple(missing.values()), carried=carried.value, least=least.value, device=device.value,
                    most=most.value)  # fmt: skip


def protected_by(facts: SourceFacts, source: Source, carried: Step) -> Step:
    """The largest overcurrent device for the output conductors [A]: the next standard one, small ones held lower."""
    cite = facts.book.value("next_size_up_upto_a").cite
    most = build.next_standard(f"source/{source.id}/protected", "source.device_most", carried,
                               standard_ratings(facts.book), cite=cite)  # fmt: skip
    size, metal = source.cable.size, source.cable.metal
    small = small_conductor_rating(facts.book, size, metal) if size is not None and metal is not None else None
    if small is None:
        return most
    limit = build.lookup(f"source/{source.id}/small", "source.small_limit", small.value, "A", small.cite,
                         table="small_conductor_protection", row=small.row)  # fmt: skip
    return build.least(f"source/{source.id}/most", "source.device_most", (most, limit), unit="A", cite=small.cite)


def _listed(facts: SourceFacts, joint: Joint) -> Iterator[Check]:
    """Equipment that runs with the utility is listed for it, and ceases when the utility is lost."""
    source = joint.source
    if joint.parallel is False:
        return
    known = (source.listed, source.interactive if joint.parallel else True)
    outcome = Outcome.FAILS if False in known else Outcome.CANNOT_TELL if None in known else Outcome.MEETS
    yield from tell(LISTED, source.id, outcome, facts.reach_of(source), outcome.name.lower(), facts.name_of(source),
                    cites=(facts.cite("listing_and_instructions"),), hazard=True,
                    missing=facts.missing(source, "listed", "interactive"))  # fmt: skip
