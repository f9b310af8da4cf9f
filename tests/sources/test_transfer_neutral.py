"""Neutral and ground of standby sources: hand-made houses, and every state counted by another method."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product
from time import perf_counter
from typing import Any

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.sources.rules.each.transfer_neutral import checks
from deadfront.sources.rules.transfer.net import Join, NeutralLink, NeutralNet, grounded, states
from deadfront.sources.rules.transfer.neutral import neutral_answers
from deadfront.worksheet.check import Outcome, Severity
from tests.sources.full import added, check_of, judged, part
from tests.sources.standby_houses import SET, TRANSFER, facts_of_text, standby_facts, standby_text, text_of, thing

# Solid neutral: the set stands on the ground of the service. Switched neutral: it is a system of its own, joined once.
# Hand: by 250.30 and 702.11 as the trade tells them.
CASES: list[tuple[str, dict[str, Any], Outcome, str, str]] = [
    ("solid, not joined at the set", {}, Outcome.MEETS, "once", "service"),
    ("solid, joined at the set", {"source": {"neutral_bonded": True}}, Outcome.FAILS, "doubled", "service"),
    ("solid, set not looked at", {"source": {"neutral_bonded": None}}, Outcome.CANNOT_TELL, "open", "service"),
    ("solid, joined in the switch", {"transfer": {"neutral_joined": "yes"}}, Outcome.FAILS, "doubled", "service"),
    ("switched, joined at the set", {"transfer": {"neutral_switched": True}, "source": {"neutral_bonded": True}},
     Outcome.MEETS, "once", "own"),
    ("switched, joined nowhere", {"transfer": {"neutral_switched": True}}, Outcome.FAILS, "floating", "own"),
    ("switched, joined at set and panel",
     {"transfer": {"neutral_switched": True}, "source": {"neutral_bonded": True}, "panel": {"neutral_joined": "yes"}},
     Outcome.FAILS, "doubled", "own"),
    ("switched, joined on the alternate side of the switch",
     {"transfer": {"neutral_switched": True, "neutral_joined": "yes", "neutral_joined_at": "alternate side"}},
     Outcome.MEETS, "once", "own"),
    ("switched, joined in the switch, side not told",
     {"transfer": {"neutral_switched": True, "neutral_joined": "yes"}}, Outcome.CANNOT_TELL, "open", "own"),
    ("not known whether switched, joined at the set",
     {"transfer": {"neutral_switched": None}, "source": {"neutral_bonded": True}}, Outcome.CANNOT_TELL, "open", ""),
    ("no main bonding jumper", {"jumper": "no"}, Outcome.MEETS, "once", "service"),
]  # fmt: skip


@pytest.mark.parametrize(("changed", "outcome", "ground", "whose"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_neutral_of_a_generator(changed: dict[str, Any], outcome: Outcome, ground: str, whose: str) -> None:
    facts = standby_facts(**changed)
    (check,) = checks(facts)
    assert check.outcome is outcome and check.thing == "s-1ge"
    worst = next(a for a in neutral_answers(facts) if a.source == "s-1ge" and a.ground == ground)
    assert worst.positions == (("t-1aa", "alternate"),), "it feeds in that state only"
    if whose:
        assert worst.derived is (whose == "own")
    assert (check.outcome is Outcome.CANNOT_TELL) == bool(check.missing)
    assert check.severity is (Severity.CORRECT if outcome is Outcome.CANNOT_TELL else Severity.DANGER)
    for language in ("en", "es"):
        catalog = Catalog(language, strict=True)
        assert "[" not in catalog.say(check.say) and not catalog.lacking
        for missing in check.missing:
            assert catalog.say(missing.what) and catalog.say(missing.how) and not catalog.lacking


def test_a_service_joined_nowhere_leaves_the_set_floating() -> None:
    told = standby_facts(jumper="no")
    apart = told.panels["p-1ma"].model_copy(update={"neutral_joined": "no"})
    panels = tuple(apart if each.id == apart.id else each for each in told.at.house.panels)
    house = told.at.house.model_copy(update={"panels": panels})
    (check,) = checks(replace(told, at=replace(told.at, house=house)))
    assert check.outcome is Outcome.FAILS and check.say.key.endswith("floating_service")


def test_the_missing_facts_are_named_with_their_paths() -> None:
    (check,) = checks(standby_facts(transfer={"neutral_switched": None}, source={"neutral_bonded": None}))
    assert {each.path for each in check.missing} == {"w-1aa/t-1aa.neutral_switched", "w-1aa/s-1ge.neutral_bonded"}


def test_a_source_that_runs_only_with_the_utility_has_no_neutral_of_its_own() -> None:
    solar = thing("sources", {"id": "s-2pv", "kind": "solar", "grid_forming": False, "breaker": "b-1tr"})
    assert {each.source for each in neutral_answers(standby_facts(solar))} == {"service", "s-1ge"}


def test_an_old_battery_left_alone_waits_for_no_fact() -> None:
    battery = {"id": "s-2ba", "kind": "battery", "breaker": "b-1tr"}
    assert [each.thing for each in checks(standby_facts(found=thing("sources", battery, "before")))] == ["s-1ge"]
    told = [each for each in checks(standby_facts(thing("sources", battery))) if each.thing == "s-2ba"]
    assert told and told[0].outcome is Outcome.CANNOT_TELL, "new work: whether it supplies alone must be known"


# --- every state by another method --------------------------------------------------------------------------------
def counted(net: NeutralNet, place: str, positions: dict[str, str]) -> tuple[bool | None, str]:
    """Independent: the closure of a matrix of connections, then joins counted one by one over every guess."""
    names = sorted({p for link in net.links for p in (link.a, link.b)} | {j.place for j in net.joins} | {place})
    unknown = [name for name, value in net.switched.items() if value is None]
    seen = set()
    for guess in product((False, True), repeat=len(unknown)):
        opens = {**net.switched, **dict(zip(unknown, guess, strict=True))}
        meets = {(a, b): a == b for a in names for b in names}
        for link in net.links:
            closed = link.of == "" or opens[link.of] is False or positions[link.of] == link.at
            meets[link.a, link.b] |= closed
            meets[link.b, link.a] |= closed
        for middle, a, b in product(names, names, names):  # Warshall
            meets[a, b] |= meets[a, middle] and meets[middle, b]
        group = [name for name in names if meets[place, name]]
        derived = "service" not in group
        outcomes = set()
        open_joins = sorted({j.of for j in net.joins if j.place in group and j.there is None})
        for told in product((False, True), repeat=len(open_joins)):
            at = dict(zip(open_joins, told, strict=True))
            there = {j.of for j in net.joins if j.place in group and (j.there or (j.there is None and at[j.of]))}
            extra = {j.of for j in net.joins if j.of in there and j.role == "standby"}
            if derived:
                outcomes.add({0: "floating", 1: "once"}.get(len(there), "doubled"))
            elif extra:
                outcomes.add("doubled")
            else:
                base = {j.of for j in net.joins if j.of in there and j.role == "service"}
                outcomes.add("once" if base else "floating")
        seen.add((derived, outcomes.pop() if len(outcomes) == 1 else "open"))
    derived_ever, ground_ever = {each[0] for each in seen}, {each[1] for each in seen}
    one = ground_ever.pop() if len(seen) == 1 else "open"
    return (derived_ever.pop() if len(derived_ever) == 1 else None), one


def made(seed: int, most: int = 3) -> tuple[NeutralNet, str]:
    """A random network: up to three transfer switches or just `most`, sources, panels below, joins anywhere."""
    dice = random.Random(seed)
    ways = [True, False, None] if dice.random() < 0.5 else [True, False]
    transfers = [f"t-{n}" for n in range(dice.randint(0 if most == 3 else most, most))]
    places = ["service", *(f"panel-{n}" for n in range(dice.randint(1, 3)))]
    links = [NeutralLink(each, dice.choice(places[:n])) for n, each in enumerate(places) if n]
    uses: dict[str, frozenset[str]] = {}
    for name in transfers:
        load = f"{name}/load"
        links += [NeutralLink(load, f"{name}/normal", name, "normal"),
                  NeutralLink(load, f"{name}/alternate", name, "alternate"),
                  NeutralLink(f"{name}/normal", dice.choice(places))]  # fmt: skip
        places.append(load)
        for number in range(dice.randint(0, 2)):
            source = f"{name}-s{number}"
            links.append(NeutralLink(f"{name}/alternate", source))
            uses[source] = frozenset({name})
    uses |= {"always": frozenset()}
    links.append(NeutralLink("always", dice.choice(places)))
    joins = [Join("service", "service", dice.choice([True, True, False, None]), "service")]
    for source in uses:
        joins.append(Join(source, source, dice.choice([True, False, False, None]), "standby"))
    for place in places[1:]:
        there = dice.choice([True, False, False, None])
        joins.append(Join(place, place, there, "panel"))
    switched = {name: dice.choice(ways) for name in transfers}
    return NeutralNet(tuple(links), tuple(joins), switched, uses), dice.choice(["service", *uses])


def test_bonds_are_counted_alike_by_a_matrix_in_every_state_of_random_networks() -> None:
    """A join of role panel is a matter of the service's own check where the neutral goes there, so it is left out."""
    tally: dict[tuple[bool | None, str], int] = {}
    for seed in range(400):
        net, source = made(seed)
        for positions in states(net):
            found = grounded(net, source, positions)
            wanted = counted(net, source, dict(positions))
            assert (found.derived, found.ground) == wanted, (seed, positions)
            tally[wanted] = tally.get(wanted, 0) + 1
    print(tally)
    for case in ((True, "once"), (True, "floating"), (True, "doubled"), (False, "once"), (False, "doubled"),
                 (False, "floating"), (None, "open"), (True, "open"), (False, "open")):  # fmt: skip
        assert tally.get(case, 0) >= 3, (case, tally)


def test_parts_that_may_come_together_are_counted_alike_by_every_guess() -> None:
    """Five transfer switches, most of them not looked at: the matrix tries every guess of every one."""
    opened = 0
    for seed in range(25):
        net, source = made(1000 + seed, 5)
        net = replace(net, switched={name: None if n else told for n, (name, told) in enumerate(net.switched.items())})
        every = list(states(net))
        positions = every[seed % len(every)]
        found = grounded(net, source, positions)
        assert (found.derived, found.ground) == counted(net, source, dict(positions)), (seed, positions)
        opened += found.ground == "open"
    assert 3 <= opened <= 22, opened


def test_twelve_switches_on_one_set_are_quick_and_say_what_was_not_looked_at() -> None:
    """Twelve that are not looked at have 4096 states and as many guesses in each."""
    more = [thing("breakers", {"id": f"b-4{n:02d}", "panel": "p-1ma", "rating_a": 30, "poles": 2}) for n in range(12)]

    def switches(switched: bool | None) -> str:
        own = [{**TRANSFER, "id": f"t-4{n:02d}", "normal": f"b-4{n:02d}", "neutral_switched": switched}
               for n in range(12)]  # fmt: skip
        return standby_text(*more, *(thing("transfers", each) for each in own))

    facts = facts_of_text(switches(None))
    begun = perf_counter()
    answers = neutral_answers(facts)
    assert perf_counter() - begun < 0.1
    assert {each.ground for each in answers if each.source == "s-1ge"} == {"open", "once"}
    (left,) = [each for each in answers if each.source == "s-1ge" and each.rest]
    assert left.ground == "open" and len(left.missing) == 13, "each of the twelve, and that there are more positions"
    (check,) = checks(facts)
    assert check.outcome is Outcome.CANNOT_TELL and check.missing

    known = facts_of_text(switches(False))
    told = neutral_answers(known)
    assert {each.ground for each in told} == {"once"} and all(len(each.positions) == 0 for each in told)
    (check,) = checks(known)
    assert check.outcome is Outcome.MEETS


# --- arrangements of a whole house --------------------------------------------------------------------------------
def whole(transfer: dict[str, Any], source: dict[str, Any], *, apart: bool = False) -> dict[str, str]:
    """Grounds by source and position where transfer equipment stands ahead of the only panel.

    Args:
        apart: The panel is a feeder panel, its neutral apart from ground.
    """
    found = (thing("transfers", {**TRANSFER, **transfer}, "before"), thing("sources", {**SET, **source}, "before"))
    text = text_of(found="\n".join(found)).replace('fed_by = "service"', 'fed_by = "t-1aa"')
    if apart:
        joined = 'neutral_joined = "yes"\nservice_equipment = "yes"'
        assert joined in text
        text = text.replace(joined, 'neutral_joined = "no"\nservice_equipment = "no"')
    answers = neutral_answers(facts_of_text(text))
    return {f"{a.source} {a.positions[0][1]}": a.ground for a in answers}


def test_a_service_rated_switch_holds_the_main_bonding_jumper() -> None:
    """Hand: the join in the switch is that of the service; the panel behind it is a feeder panel."""
    rated = {"normal": "service", "service_equipment": True, "neutral_joined": "yes"}
    told = whole(rated, {}).items()
    assert dict(told) == {"service normal": "once", "service alternate": "once", "s-1ge alternate": "once"}
    assert whole(rated, {"neutral_bonded": True})["s-1ge alternate"] == "doubled"
    switched = {**rated, "neutral_switched": True}
    assert whole(switched, {"neutral_bonded": True})["s-1ge alternate"] == "doubled", "the old panel is joined too"
    assert whole(switched, {"neutral_bonded": True}, apart=True)["s-1ge alternate"] == "once"
    assert whole(switched, {}, apart=True)["s-1ge alternate"] == "floating"


def test_a_switch_at_the_meter_ahead_of_the_service_disconnect() -> None:
    """Hand: the panel holds the service disconnect and its jumper; the set is grounded there and nowhere else."""
    at_meter = {"kind": "meter-mounted", "normal": "service"}
    assert whole(at_meter, {})["s-1ge alternate"] == "once"
    assert whole(at_meter, {"neutral_bonded": True})["s-1ge alternate"] == "doubled"


def test_a_battery_behind_an_isolation_device_is_grounded_at_the_service_in_both_states() -> None:
    device = {"kind": "isolation device", "normal": "service", "alternate": None}
    battery = {"kind": "battery", "grid_forming": True, "interactive": True, "joins": "breaker", "breaker": "b-1tr"}
    found = whole(device, battery)
    assert found == {f"{who} {at}": "once" for at in ("normal", "alternate") for who in ("service", "s-1ge")}
    assert whole({**device, "neutral_switched": True}, battery)["s-1ge alternate"] == "once", "the panel's own join"


@pytest.mark.parametrize(
    "more", [{"joins": "transfer", "breaker": "b-1tr"}, {"joins": "breaker", "breaker": "b-1tr"}, {"joins": "transfer"}]
)
def test_an_inlet_on_an_interlock_is_grounded_at_the_service_however_it_is_entered(more: dict[str, Any]) -> None:
    alternate = ["b-1tr"] if "breaker" in more else ["s-1ge"]
    lock = {"id": "t-1aa", "kind": "interlock", "held_apart": ["b-1tr", "service"], "alternate": alternate}
    inlet = {**SET, "kind": "inlet", "joins": None, **more}
    facts = facts_of_text(text_of(thing("transfers", lock), thing("sources", inlet)))
    (check,) = checks(facts)
    assert (check.outcome, check.say.key) == (Outcome.MEETS, "check.transfer.neutral.once_service")


# --- what is recorded as fed from itself, and what is marked as service equipment -----------------------------------
@pytest.mark.parametrize(("thing_", "field", "value"), [("t-1au", "normal", "t-1au"), ("x-2ge", "fed_by", "x-2ge"),
                                                        ("p-1ma", "fed_by", "b-2ga")])  # fmt: skip
def test_a_way_that_goes_round_in_a_circle_is_asked_for_and_never_called_floating(
    thing_: str, field: str, value: str
) -> None:
    told = judged(lambda job: part(job, thing_).update({field: value}))
    assert {each.ground for each in told.sources.neutral if each.source == "s-2ge"} == {"open"}
    check = check_of(told, "transfer.neutral", "s-2ge")
    assert any(m.path.endswith(f"{thing_}.{field}") for m in check.missing), [m.path for m in check.missing]


def test_an_interlock_knows_a_disconnect_on_its_alternate_side() -> None:
    """Its neutral goes through the bus to the service: joined there once."""
    held = {"kind": "interlock", "held_apart": ["b-3tr", "b-ev0"]}
    told = judged(lambda job: part(job, "t-1au").update(held))
    assert {each.ground for each in told.sources.neutral if each.source == "s-2ge"} == {"once"}


def test_a_set_that_never_meets_a_service_is_said_in_words_of_its_own() -> None:
    def change(job: dict[str, Any]) -> None:
        part(job, "t-1au").update(normal="s-9ge")
        added(job, 0, "sources", {"id": "s-9ge", "kind": "generator", "joins": "transfer", "neutral_bonded": False})

    check = check_of(judged(change), "transfer.neutral", "s-2ge")
    assert check.outcome is Outcome.FAILS and check.say.key.endswith("floating_alone")


@pytest.mark.parametrize(("normal", "ground"), [("b-3tr", "doubled"), ("service", "once")])
def test_service_equipment_is_where_the_service_ends(normal: str, ground: str) -> None:
    """A switch behind a feeder may be marked so as often as it likes: a join in it is a second one."""

    def change(job: dict[str, Any]) -> None:
        part(job, "t-1au").update(normal=normal, service_equipment=True, neutral_joined="yes")

    told = judged(change)
    assert {each.ground for each in told.sources.neutral if each.source == "s-2ge"} == {ground}


def test_the_load_of_both_legs_on_a_set_of_one_voltage() -> None:
    """Hand: 30 A on each of two legs are 60 A at 120 V, more than 54 A; at 240 V they are 30 A."""
    for volts, outcome in ((120, Outcome.FAILS), (240, Outcome.MEETS)):

        def change(job: dict[str, Any], volts: int = volts) -> None:
            part(job, "s-2ge").update(volts=volts, output_w=54 * volts)
            part(job, "p-3bu").update(feeder_load_a=30)

        assert check_of(judged(change), "transfer.capacity", "t-1au").outcome is outcome
