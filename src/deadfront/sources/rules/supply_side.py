"""Sources that join ahead of the service disconnect: their sum against the service."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.codebook.lookup import ampacity
from deadfront.job.panel_things import Breaker
from deadfront.job.source_things import Source, Switch
from deadfront.msg import said
from deadfront.quantities import UNKNOWN
from deadfront.results.sources import BusAnswer, OptionAnswer
from deadfront.sources.rules.amounts import Told, all_of, control_holds, has_setting, output_of
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.options import Tried, best, held, known_ways, larger_bus
from deadfront.sources.rules.paths import joints
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.step import Step

FULL = Decimal(100)
IDENT = "service/supply_side"


def service_answers(facts: SourceFacts) -> Iterator[BusAnswer]:
    """The service, where a source joins on its supply side."""
    ahead = tuple(each.source for each in joints(facts) if each.way == "supply side")
    if not ahead:
        return
    options = [_option(facts, ahead, controlled=False)]
    rule = facts.book.rule("supply_side_source")
    every = [each.source for each in joints(facts) if each.parallel is not False]
    if rule.params["sums"] != "overcurrent devices" and any(has_setting(facts, each) for each in every):
        options.append(_option(facts, ahead, controlled=True))
    order = (Outcome.MEETS, Outcome.CANNOT_TELL, Outcome.FAILS)
    options.sort(key=lambda each: order.index(each.outcome))
    yield BusAnswer("service", "service", said("thing.service"), tuple(each.id for each in ahead), best(options),
                    tuple(options), None, options[0].used, facts.reach_of(*ahead))  # fmt: skip


def _option(facts: SourceFacts, ahead: tuple[Source, ...], *, controlled: bool) -> OptionAnswer:
    """The sum by the edition's rule; a setting counts only where the facts let it."""
    rule, ident = facts.book.rule("supply_side_source"), f"{IDENT}/controlled" if controlled else IDENT
    holds = Told(True)
    if rule.params["sums"] == "overcurrent devices":
        parts = [first_device(facts, each) for each in ahead]
        name = "source.supply_sum_devices"
        limit = facts.fact(f"{IDENT}/rating", "source.service_rating", None, "disconnect.rating_a")
    else:
        every = [each.source for each in joints(facts) if each.parallel is not False]
        parts = [_output(facts, each, controlled) for each in every]
        name, limit = "source.supply_sum_outputs", _service_ampacity(facts)
        if controlled:
            told = [control_holds(facts, each) for each in every if has_setting(facts, each)]
            holds = Told(all_of(each.truth for each in told), tuple(m for each in told for m in each.lacking))
    used = build.total(f"{ident}/sum", name, parts, unit="A")
    why = None if holds.truth is True else said(f"source.why.control_{'open' if holds.truth is None else 'not'}")
    return held(Tried("supply_side", ident, used, limit, (rule.cite,), controlled, holds, why),
                known_ways(larger_bus(ident, used, FULL)))  # fmt: skip


def _output(facts: SourceFacts, source: Source, controlled: bool) -> Step:
    if controlled and has_setting(facts, source):
        return facts.fact(f"{IDENT}/setting/{source.id}", "source.setting", source, "control_limit_a")
    return output_of(facts, source)


def on_path(source: Source) -> frozenset[str]:
    """Ids of the devices that a source gives its output through."""
    return frozenset({*source.disconnects, *((source.breaker,) if source.breaker else ())})


def device_of(facts: SourceFacts, source: Source) -> Breaker | Switch | None:
    """The breaker or fused disconnect that is the overcurrent device of a source; None where it is at the source."""
    if source.breaker in facts.breakers:
        return facts.breakers[source.breaker or ""]
    for each in reversed(source.disconnects):
        if each in facts.breakers:
            return facts.breakers[each]
        if each in facts.switches and facts.switches[each].fuse_a is not None:
            return facts.switches[each]
    return None


def first_device(facts: SourceFacts, source: Source) -> Step:
    """The overcurrent device of a source: its breaker, its fused disconnect, else the device at the source."""
    ident, device = f"source/{source.id}/device", device_of(facts, source)
    if device is not None:
        field = "rating_a" if isinstance(device, Breaker) else "fuse_a"
        return facts.fact(ident, "source.own_device", device, field)
    switches = [facts.switches[each] for each in source.disconnects if each in facts.switches]
    if switches and source.output_breaker_a is None:
        return facts.fact(ident, "source.own_device", switches[-1], "fuse_a")
    return facts.fact(ident, "source.set_device", source, "output_breaker_a")


def _service_ampacity(facts: SourceFacts) -> Step:
    """Ampacity of the service conductors by the table, or as worked by hand; what the 83 percent rule lets them
    serve is no ampacity."""
    wires, name, ident = facts.at.house.service.conductors, "source.service_ampacity", f"{IDENT}/ampacity"
    if wires.corrected_ampacity_a is not None:
        return facts.fact(ident, name, None, "conductors.corrected_ampacity_a")
    lacking = facts.missing(None, "conductors.size", "conductors.metal", "conductors.terminals_c",
                            "conductors.needs_correction")  # fmt: skip
    if wires.needs_correction:
        lacking = (facts.lack(None, "conductors.corrected_ampacity_a"),)
    if lacking or wires.size is None or wires.metal is None or wires.terminals_c is None:
        return build.fact(ident, name, UNKNOWN, "A", lacking[0].path, missing=lacking[0])
    found = ampacity(facts.book, wires.size, wires.metal, wires.terminals_c)
    one = build.lookup(ident, name, found.value, "A", found.cite, table="conductor_ampacity", row=found.row)
    if (wires.sets or 1) == 1:
        return one
    sets = facts.fact(f"{IDENT}/sets", "source.sets", None, "conductors.sets", inline=True)
    return build.product(f"{IDENT}/all_sets", name, (sets, one), unit="A")
