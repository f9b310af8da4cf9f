"""Where neutral and ground join: every arrangement against a statement of the rule that shares nothing with the engine.

The statement: fill every fact that is not known in every way. In each such house it is plain which enclosure holds a
service disconnect, and so whether each enclosure stands as it must. An answer is right if it holds in all of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import product
from typing import Any, NamedTuple

import pytest

from deadfront.circuits.rules.service.places import Place, places
from deadfront.codebook import EDITIONS
from deadfront.worksheet.check import Outcome, Severity
from tests.circuits.service.houses import checks_of, facts_from, told

KNOWN = ("yes", "no", "unknown")
MAYBE = (True, False, None)
DEVICES = (("no", None), ("unknown", None), ("yes", None), ("yes", "service disconnect"),
           ("yes", "meter disconnect"), ("yes", "not service equipment"))  # fmt: skip


class Case(NamedTuple):
    """One arrangement of outside device and panel."""

    device: tuple[str, str | None]
    device_joined: str
    device_otherwise: bool | None
    used: str
    panel_joined: str
    disconnects: int
    breaker: bool | None = None
    edition: str = "2023"


def ways(known: str) -> tuple[bool, ...]:
    return {"yes": (True,), "no": (False,)}.get(known, (True, False))


def bools(known: bool | None) -> tuple[bool, ...]:
    return (True, False) if known is None else (known,)


def houses(case: Case) -> Iterator[dict[str, bool]]:
    """Every whole house that the facts allow: is each enclosure as it must be?"""
    present, marked = case.device
    if case.breaker and (marked == "meter disconnect" or (marked == "not service equipment" and case.edition < "2020")):
        marked = None  # the mark settles nothing: a breaker is no meter disconnect, and had no place ahead before 2020
    kinds = {"no": ("none",), "unknown": ("none", "service", "line")}.get(present, ("service", "line"))
    if marked is not None:
        kinds = ("service",) if marked == "service disconnect" else ("line",)
    if present == "unknown" and case.used == "yes":
        kinds = ("none", "line")  # what is said of the panel is believed while no device outdoors is known of
    for kind in kinds:
        behind: tuple[bool, ...] = (kind == "service",)
        if kind == "service" and case.disconnects > 1:  # panel and device may each be a disconnect of the service
            behind = {"yes": (False,), "no": (True,)}.get(case.used, (True, False))
        for panel_behind in behind:
            feeder: tuple[bool, ...] = (panel_behind,)
            if case.used == "no" and kind != "service":  # its disconnect is elsewhere, or what is said of it is wrong
                feeder = (True,) if present == "unknown" or marked is None and present == "yes" else (True, False)
            for joined, other, panel_joined, is_feeder in product(
                ways(case.device_joined), bools(case.device_otherwise), ways(case.panel_joined), feeder
            ):
                yield {
                    "outside": True if kind == "none" else joined if kind == "service" else joined or other,
                    "panel": panel_joined != is_feeder,
                }


def outcome_of(truths: list[bool]) -> Outcome:
    """Meets in every house, fails in every house, or cannot be told."""
    found = set(truths)
    return Outcome.CANNOT_TELL if len(found) > 1 else Outcome.MEETS if found == {True} else Outcome.FAILS


def arrangements() -> Iterator[Case]:
    for device, joined, other, used, panel, count in product(DEVICES, KNOWN, MAYBE, KNOWN, KNOWN, (1, 2)):
        if device[0] == "yes" or (joined == "unknown" and other is None):
            yield Case(device, joined, other, used, panel, count)


def with_breakers() -> Iterator[Case]:
    """Outside breakers and switches of each mark, before and since the editions that name emergency disconnects."""
    for case, breaker, edition in product(arrangements(), (True, False), ("2017", "2020")):
        if case.device[1] in ("meter disconnect", "not service equipment") and case.device_otherwise is None:
            yield case._replace(breaker=breaker, edition=edition)


def house_of(case: Case, **more: Any) -> dict[str, Any]:
    present, marked = case.device
    outside = {"present": present, "neutral_joined": case.device_joined}
    outside |= {"marked": marked} if marked else {}
    outside |= {} if case.breaker is None else {"overcurrent": case.breaker}
    outside |= {} if case.device_otherwise is None else {"bonded_otherwise": case.device_otherwise}
    return {
        "service": {"system": "120/240 1ph 3w", "disconnects": case.disconnects, "outside": outside},
        "panels": [{"id": "p-aa", "fed_by": "service", "service_equipment": case.used,
                    "neutral_joined": case.panel_joined}],
        **more,
    }  # fmt: skip


def by_kind(found: tuple[Place, ...]) -> dict[str, Place]:
    return {each.kind: each for each in found}


def test_every_arrangement_of_outside_device_and_panel() -> None:
    count: Counter[Outcome] = Counter()
    for case in (*arrangements(), *with_breakers()):
        facts = facts_from(house_of(case), case.edition, set_={"service": {"outside": {}}})
        found, truths = by_kind(places(facts)), list(houses(case))
        panel = outcome_of([each["panel"] for each in truths])
        assert found["panel"].outcome is panel, (case, found["panel"])
        count[panel] += 1
        if case.device[0] == "yes":
            outside = outcome_of([each["outside"] for each in truths])
            assert found["outside"].outcome is outside, (case, found["outside"])
            count[outside] += 1
        wrong = all(not (each["panel"] and each["outside"]) for each in truths)
        joins = [check for check in checks_of(facts, "grounding_joins") if check.outcome is Outcome.FAILS]
        assert bool(joins) == wrong, (case, joins)
        assert all(check.severity is Severity.DANGER for check in joins)
    assert sum(count.values()) == 684 + 648 + 2 * 432, count
    assert min(count[each] for each in (Outcome.MEETS, Outcome.FAILS, Outcome.CANNOT_TELL)) > 100, count


def test_an_untouched_house_is_only_told_what_is_known_to_be_wrong() -> None:
    for case in arrangements():
        facts = facts_from(house_of(case))
        assert all(c.outcome is not Outcome.CANNOT_TELL for c in checks_of(facts, "grounding_joins")), case


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_old_panel_becomes_a_feeder_panel_only_behind_a_marked_service_disconnect(edition: str) -> None:
    """Safety notes; 250.24, 250.142: by hand, the five things that stand outdoors."""

    def panel(marked: str | None, joined: str) -> list[str]:
        device = ("yes", marked) if marked else ("no", None)
        case = Case(device, "yes", None, "unknown", joined, 1)
        facts = facts_from(house_of(case), edition, set_={"service": {"outside": {"neutral_joined": "yes"}}})
        return told(facts, "grounding.joins", "p-aa")

    assert panel(None, "yes") == ["MEETS service_met"]
    assert panel("service disconnect", "yes") == ["FAILS feeder_wrong"]
    assert panel("service disconnect", "no") == ["MEETS feeder_met"]
    assert panel("meter disconnect", "yes") == ["MEETS service_met"]
    assert panel("meter disconnect", "no") == ["FAILS service_wrong"]
    assert panel("not service equipment", "yes") == ["MEETS service_met"]


def test_several_service_disconnects_have_a_jumper_each() -> None:
    """Two panels that the service feeds: a check that counts joins and wants one would pass the wrong house."""
    both = [{"id": f"p-{n}", "fed_by": "service", "neutral_joined": "yes"} for n in ("aa", "bb")]
    service = {"disconnects": 2, "disconnects_apart": True, "outside": {"present": "no"}}
    facts = facts_from({"service": service, "panels": both})
    assert told(facts, "grounding.joins", "p-aa") == told(facts, "grounding.joins", "p-bb") == ["MEETS service_met"]
    one = [both[0], {**both[1], "neutral_joined": "no"}]
    facts = facts_from({"service": service, "panels": one})
    assert told(facts, "grounding.joins", "p-bb") == ["FAILS service_wrong"]


@pytest.mark.parametrize(("joined", "other"), list(product(KNOWN, MAYBE)))
def test_a_meter_socket_is_bonded_by_the_neutral_or_otherwise(joined: str, other: bool | None) -> None:
    meter = {"id": "m-aa", "neutral_joined": joined} | ({} if other is None else {"bonded_otherwise": other})
    right = outcome_of([a or b for a, b in product(ways(joined), bools(other))])
    assert by_kind(places(facts_from({"meters": [meter]})))["meter"].outcome is right


@pytest.mark.parametrize(("joined", "beside"), list(product(KNOWN, MAYBE)))
def test_a_meter_on_the_load_side_joins_only_beside_the_disconnect(joined: str, beside: bool | None) -> None:
    meter = {"id": "m-aa", "purpose": "submeter", "neutral_joined": joined}
    meter |= {} if beside is None else {"beside_disconnect": beside}
    right = outcome_of([not a or b for a, b in product(ways(joined), bools(beside))])
    assert by_kind(places(facts_from({"meters": [meter]})))["submeter"].outcome is right


@pytest.mark.parametrize("joined", KNOWN)
def test_a_feeder_panel_keeps_them_apart(joined: str) -> None:
    panels = [{"id": "p-aa", "fed_by": "service"}, {"id": "p-bb", "fed_by": "b-bb", "neutral_joined": joined}]
    breakers = [{"id": "b-bb", "panel": "p-aa", "role": "feeder"}]
    found = {p.thing: p.outcome for p in places(facts_from({"panels": panels, "breakers": breakers}))}
    assert found["p-bb"] is outcome_of([not each for each in ways(joined)])


def structure_house(
    ground: bool | None, old: bool | None, parallel: str, protection: str | None, joined: str, size: str | None
) -> dict[str, Any]:
    structure = {"id": "s-aa", "fed_by": "b-bb", "supply": "feeder", "parallel_metal": parallel,
                 "neutral_joined": joined}  # fmt: skip
    structure |= {} if ground is None else {"grounding_conductor": ground}
    structure |= {} if old is None else {"existing_three_wire": old}
    breaker = {"id": "b-bb", "panel": "p-aa", "role": "feeder", "rating_a": 60}
    breaker |= {} if protection is None else {"protection": protection}
    feeder = {"size": size, "metal": "copper"} if size else {}
    panels = [{"id": "p-aa", "fed_by": "service"},
              {"id": "p-bb", "fed_by": "b-bb", "structure": "s-aa", "feeder": feeder}]  # fmt: skip
    return {"structures": [structure], "breakers": [breaker], "panels": panels}


def test_every_separate_structure() -> None:
    """250.32(B): a feeder with ground, apart; an old one without ground, joined while all of its terms hold.

    Neutral at least as a grounding conductor behind the 60 A breaker: 10 copper (Table 250.122), so 14 is too small.
    """
    count: Counter[Outcome] = Counter()
    ways_to_be = product(MAYBE, (True, None), KNOWN, ("plain", "ground fault", None), KNOWN, ("6", "14", None),
                         (True, False))  # fmt: skip
    for ground, old, parallel, protection, joined, size, touched in ways_to_be:
        if ground and old:
            continue
        facts = facts_from(structure_house(ground, old, parallel, protection, joined, size),
                           set_={"s-aa": {"note": "x"}} if touched else None)  # fmt: skip
        truths = []
        grounds = (False,) if old else bools(ground)
        protections = (True, False) if protection is None else (protection == "ground fault",)
        larges = (True, False) if size is None else (size == "6",)
        for has, pipe, trips, large, is_joined in product(grounds, ways(parallel), protections, larges, ways(joined)):
            stays = not has and not touched and not pipe and not trips and large
            truths.append(is_joined == stays)
        found = by_kind(places(facts))["structure"].outcome
        assert found is outcome_of(truths), (ground, old, parallel, protection, joined, size, touched)
        count[found] += 1
    assert min(count[each] for each in (Outcome.MEETS, Outcome.FAILS, Outcome.CANNOT_TELL)) > 50, count


def test_the_jumper_of_the_service_is_a_fact_about_its_only_enclosure() -> None:
    panel = {"id": "p-aa", "fed_by": "service", "service_equipment": "yes"}
    for jumper, ending in (("yes", ["MEETS service_met"]), ("no", ["FAILS service_wrong"]), ("unknown", [])):
        service = {"grounding": {"bonding_jumper": jumper}, "outside": {"present": "no"}}
        assert told(facts_from({"panels": [panel], "service": service}), "grounding.joins", "p-aa") == ending


def test_a_new_panel_in_an_old_garage_is_asked_about_and_its_old_feeder_may_stay() -> None:
    """The exception is for the wiring between the buildings; a new panel there is still looked at."""
    before = structure_house(None, True, "no", "plain", "unknown", "6")
    before["panels"][1] |= {"neutral_joined": "unknown"}
    assert told(facts_from(before), "grounding.joins", "s-aa") == []
    before["panels"] = before["panels"][:1]
    new = {"id": "p-cc", "fed_by": "b-bb", "structure": "s-aa", "feeder": {"size": "6", "metal": "copper"}}
    for joined, outcome in (("unknown", "CANNOT_TELL open"), ("yes", "MEETS structure_joined_met")):
        facts = facts_from(before, add={"panels": [{**new, "neutral_joined": joined}]})
        assert told(facts, "grounding.joins", "s-aa") == [outcome]


def test_a_panel_on_a_breaker_is_a_feeder_panel_whatever_is_said_of_it() -> None:
    panels = [{"id": "p-aa", "fed_by": "service"},
              {"id": "p-bb", "fed_by": "b-bb", "service_equipment": "yes", "neutral_joined": "yes"}]  # fmt: skip
    facts = facts_from({"panels": panels, "breakers": [{"id": "b-bb", "panel": "p-aa"}]})
    assert told(facts, "grounding.joins", "p-bb") == ["FAILS feeder_wrong"]
