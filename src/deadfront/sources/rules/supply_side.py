"""Sources that join ahead of the service disconnect: their sum against the service."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from deadfront.codebook.lookup import ampacity
from deadfront.job.source_things import Source
from deadfront.msg import said
from deadfront.quantities import UNKNOWN
from deadfront.results.sources import BusAnswer
from deadfront.sources.rules.amounts import has_setting, output_of
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.options import Tried, held, known_ways, larger_bus
from deadfront.sources.rules.paths import joints
from deadfront.worksheet import build
from deadfront.worksheet.step import Step

FULL = Decimal(100)
IDENT = "service/supply_side"


def service_answers(facts: SourceFacts) -> Iterator[BusAnswer]:
    """The service, where a source joins on its supply side."""
    ahead = tuple(each.source for each in joints(facts) if each.way == "supply side")
    if not ahead:
        return
    rule = facts.book.rule("supply_side_source")
    if rule.params["sums"] == "overcurrent devices":
        parts = [first_device(facts, each) for each in ahead]
        name = "source.supply_sum_devices"
        limit = facts.fact(f"{IDENT}/rating", "source.service_rating", None, "disconnect.rating_a")
    else:
        every = [each.source for each in joints(facts) if each.parallel is not False]
        parts = [_output(facts, each) for each in every]
        name, limit = "source.supply_sum_outputs", _service_ampacity(facts)
    used = build.total(f"{IDENT}/sum", name, parts, unit="A")
    option = held(Tried("supply_side", IDENT, used, limit, (rule.cite,)), known_ways(larger_bus(IDENT, used, FULL)))
    yield BusAnswer("service", "service", said("thing.service"), tuple(each.id for each in ahead), option.outcome,
                    (option,), None, used, facts.reach_of(*ahead))  # fmt: skip


def _output(facts: SourceFacts, source: Source) -> Step:
    if has_setting(facts, source):
        return facts.fact(f"{IDENT}/setting/{source.id}", "source.setting", source, "control_limit_a")
    return output_of(facts, source)


def first_device(facts: SourceFacts, source: Source) -> Step:
    """The overcurrent device of a source: its breaker, its fused disconnect, else the device at the source."""
    ident = f"source/{source.id}/device"
    breaker = facts.breakers.get(source.breaker or "")
    if breaker is not None:
        return facts.fact(ident, "source.own_device", breaker, "rating_a")
    for each in reversed(source.disconnects):
        if each in facts.breakers:
            return facts.fact(ident, "source.own_device", facts.breakers[each], "rating_a")
        if each in facts.switches and facts.switches[each].fuse_a is not None:
            return facts.fact(ident, "source.own_device", facts.switches[each], "fuse_a")
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
