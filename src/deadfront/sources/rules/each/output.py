"""The output circuit of a source: how it joins, its overcurrent device, its conductors, its listing."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.codebook.conductors import small_conductor_rating
from deadfront.codebook.lookup import standard_ratings
from deadfront.job.source_things import Source
from deadfront.sources.rules.amounts import apart_by, plain
from deadfront.sources.rules.conductors import source_ampacity
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.paths import Joint, joints
from deadfront.sources.rules.supply_side import device_of, first_device, on_path
from deadfront.sources.rules.tell import tell
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, at_most
from deadfront.worksheet.step import Step

JOIN, DEVICE, CONDUCTORS, LISTED = "source.join", "source.device", "source.conductors", "source.listed"
IDS = (JOIN, DEVICE, CONDUCTORS, LISTED)


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every source; of an inlet, whose set is not known, what stands between it and the panel."""
    for joint in joints(facts):
        yield from _join(facts, joint)
        if joint.source.kind == "inlet":
            yield from _inlet(facts, joint)
            continue
        if continuous(joint):
            yield from _device(facts, joint)
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


def _device(facts: SourceFacts, joint: Joint) -> Iterator[Check]:
    """The overcurrent device carries 125 percent of the continuous output of every source on it."""
    source, others = joint.source, sharing(facts, joint)
    least, device = plain(facts, source), first_device(facts, source)
    if others:
        every = [least, *(plain(facts, each) for each in others)]
        least = build.total(f"source/{source.id}/shared", "source.shared_counted", every, unit="A")
    outcome = at_most(least.value, device.value)
    standard = build.next_standard(f"source/{source.id}/device/least", "source.device_least", least,
                                   standard_ratings(facts.book),
                                   cite=facts.book.table("standard_ratings").cite)  # fmt: skip
    missing = (*least.all_missing(), *device.all_missing())
    if outcome is Outcome.FAILS and not sure(joint):
        outcome, missing = Outcome.CANNOT_TELL, (apart_by(facts, joint),)
    how = f"shared_{outcome.name.lower()}" if others else outcome.name.lower()
    reach = facts.reach_of(source, *others, facts.breakers.get(source.breaker or ""))
    yield from tell(DEVICE, source.id, outcome, reach, how, facts.name_of(source),
                    cites=(facts.cite("source_output_circuit"),), step=standard, hazard=True, missing=missing,
                    device=device.value, least=least.value, standard=standard.value,
                    others=tuple(facts.name_of(each) for each in others))  # fmt: skip


def sure(joint: Joint) -> bool:
    """Whether it is known that a set gives its whole output for hours: one kept apart gives what its loads draw."""
    return joint.source.kind != "generator" or joint.parallel is not None


def sharing(facts: SourceFacts, joint: Joint) -> tuple[Source, ...]:
    """Other sources that give their whole output through the overcurrent device of this one."""
    device = device_of(facts, joint.source)
    return tuple(each.source for each in joints(facts)
                 if each.source is not joint.source and device is not None and device.id in on_path(each.source)
                 and continuous(each) and each.source.kind != "inlet")  # fmt: skip


def _conductors(facts: SourceFacts, joint: Joint) -> Iterator[Check]:
    """The conductors carry 125 percent of an output given for hours, and their device protects them."""
    source = joint.source
    carried, device = source_ampacity(facts, source), first_device(facts, source)
    most = protected_by(facts, source, carried)
    least = plain(facts, source) if continuous(joint) else device
    enough = at_most(least.value, carried.value) if continuous(joint) else Outcome.MEETS
    if enough is Outcome.FAILS and not sure(joint):
        enough = Outcome.CANNOT_TELL
    guarded = at_most(device.value, most.value)
    outcome = next(each for each in (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS) if each in (enough, guarded))
    how = "small" if enough is Outcome.FAILS else "unprotected" if outcome is Outcome.FAILS else outcome.name.lower()
    if outcome is Outcome.MEETS and not continuous(joint):
        how = "guarded"
    missing = {each.path: each for step in (least, carried, device) for each in step.all_missing()}
    if not sure(joint):
        missing |= {each.path: each for each in (apart_by(facts, joint),)}
    yield from tell(CONDUCTORS, source.id, outcome, facts.reach_of(source), how, facts.name_of(source), hazard=True,
                    cites=(facts.cite("source_output_circuit"), *most.cites), step=carried,
                    missing=tuple(missing.values()), carried=carried.value, least=least.value, device=device.value,
                    most=most.value)  # fmt: skip


def _inlet(facts: SourceFacts, joint: Joint) -> Iterator[Check]:
    """The device of an inlet is no larger than the inlet and its conductors allow; without one, the plug fits."""
    source = joint.source
    name, breaker = facts.name_of(source), device_of(facts, source)
    rating = facts.fact(f"source/{source.id}/inlet", "source.inlet_rating", source, "output_a")
    plugged = breaker is None and joint.way == "transfer" and source.output_breaker_a is None
    device = rating if plugged else first_device(facts, source)
    if breaker is not None:
        outcome = at_most(device.value, rating.value)
        yield from tell(DEVICE, source.id, outcome, facts.reach_of(source, breaker),
                        f"inlet_{outcome.name.lower()}", name, cites=(facts.cite("listing_and_instructions"),),
                        step=device, hazard=True, missing=(*device.all_missing(), *rating.all_missing()),
                        device=device.value, rating=rating.value)  # fmt: skip
    carried = source_ampacity(facts, source)
    most = protected_by(facts, source, carried)
    outcome = at_most(device.value, most.value)
    missing = {each.path: each for step in (carried, device) for each in step.all_missing()}
    how = {Outcome.MEETS: "guarded", Outcome.FAILS: "inlet_unprotected"}.get(outcome, "cannot_tell")
    yield from tell(CONDUCTORS, source.id, outcome, facts.reach_of(source, breaker), how, name, hazard=True,
                    cites=most.cites, step=carried, missing=tuple(missing.values()), carried=carried.value,
                    device=device.value, most=most.value)  # fmt: skip


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
    """Equipment that runs with the utility is listed for it, and ceases when the utility is lost; a set wired in place
    is listed."""
    source = joint.source
    if joint.parallel is False and not joint.unguarded:
        yield from _set_listed(facts, source)
        return
    known = (source.listed, source.interactive)
    outcome = Outcome.FAILS if False in known else Outcome.CANNOT_TELL if None in known else Outcome.MEETS
    missing = facts.missing(source, "listed", "interactive")
    if joint.unguarded and source.interactive is None:
        outcome = Outcome.FAILS
    elif joint.parallel is None and source.listed is not False and not source.interactive:
        outcome = Outcome.CANNOT_TELL
        missing = (apart_by(facts, joint), *missing)
    yield from tell(LISTED, source.id, outcome, facts.reach_of(source), outcome.name.lower(), facts.name_of(source),
                    cites=(facts.cite("listing_and_instructions"),), hazard=True,
                    missing=tuple({each.path: each for each in missing}.values()))  # fmt: skip


def _set_listed(facts: SourceFacts, source: Source) -> Iterator[Check]:
    """A source kept from the utility and wired in place."""
    if source.portable or source.kind not in ("generator", "battery"):
        return
    outcome = {True: Outcome.MEETS, False: Outcome.FAILS, None: Outcome.CANNOT_TELL}[source.listed]
    yield from tell(LISTED, source.id, outcome, facts.reach_of(source), f"set_{outcome.name.lower()}",
                    facts.name_of(source), cites=(facts.cite("listing_and_instructions"),),
                    missing=facts.missing(source, "listed"))  # fmt: skip
