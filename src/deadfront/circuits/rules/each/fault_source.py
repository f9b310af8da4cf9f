"""Whether the available fault current can be told at all, once the work touches what must interrupt it."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.circuits.rules.flows.source import source_case
from deadfront.circuits.rules.flows.told import whole_amperes
from deadfront.job.panel_things import Panel
from deadfront.msg import said
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing

IDS = ("fault.available", "fault.marking")


def checks(facts: Facts) -> Iterator[Check]:
    """One finding while neither letter nor transformer is known; the marking that dwellings are free of."""
    house = facts.at.house
    reach = facts.reach_of(*house.panels, *house.breakers)
    if reach not in TOUCHED:
        return
    service = house.service
    known = service.system is not None and source_case(facts.book, service.system, service.utility).known
    cite = facts.cite("interrupting_rating")
    at = next((each.largest for each in facts.faults if each.of == "service"), None)
    if not known:
        yield Check("fault.available", "service", Outcome.CANNOT_TELL, Severity.CORRECT,
                    said("check.fault.available"), reach, None, tuple(_missing(facts)), (cite,),
                    said("remedy.fault.available"))  # fmt: skip
    elif at is not None:
        yield Check("fault.available", "service", Outcome.MEETS, Severity.CORRECT,
                    said("check.fault_source.known", available=whole_amperes(at.value)), reach,
                    at, (), (cite,))  # fmt: skip
        yield from _unreached(facts, reach)
    rule = facts.cite("fault_current_marking")
    yield Check("fault.marking", "service", Outcome.NOT_APPLICABLE, Severity.NOTE, said("check.fault.marking"),
                reach, at, (), (rule,), said("remedy.fault.marking"))  # fmt: skip


def _missing(facts: Facts) -> Iterator[Missing]:
    """Letter or, where the transformer's rating is known and tells nothing usual, its impedance."""
    service = facts.at.house.service
    if service.system is None:
        yield Missing("before/service.system", said("todo.service.system"), said("todo.how.service.system"))
    if source_case(facts.book, service.system or "", service.utility).letter_ka is None:
        yield Missing("before/service.utility.fault_current_ka", said("todo.service.fault_current_ka"),
                      said("todo.how.service.fault_current_ka"))  # fmt: skip
    if service.utility.transformer.kva is not None:
        yield Missing("before/service.utility.transformer.impedance_percent", said("todo.service.impedance_percent"),
                      said("todo.how.service.impedance_percent"))  # fmt: skip


def _unreached(facts: Facts, reach: Reach) -> Iterator[Check]:
    """Panels that the work touches and that nothing known feeds: no fault current can be told there."""
    places = {each.of for each in facts.faults}
    for panel in facts.at.house.panels:
        inside = [b for b in facts.at.house.breakers if b.panel == panel.id]
        if panel.id not in places and facts.reach_of(panel, *inside) in TOUCHED:
            yield Check("fault.available", panel.id, Outcome.CANNOT_TELL, Severity.CORRECT,
                        said("check.fault_source.unreached", thing=facts.name_of(panel, "thing.by_id")), reach, None,
                        (_feed(facts, panel),), (facts.cite("interrupting_rating"),),
                        said("remedy.fault.available_unreached"))  # fmt: skip


def _feed(facts: Facts, panel: Panel) -> Missing:
    """What feeds a panel, as a fact to find out: also where what is on file leads nowhere."""
    name = facts.name_of(panel, "thing.by_id")
    return Missing(facts.at.path(panel, "fed_by"), said("todo.circuits.fed_by", thing=name),
                   said("todo.how.circuits.fed_by"))  # fmt: skip
