"""One current transformer for both hots of a load: what a step proves of it, and what it leaves open."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from deadfront.app.answers import answer
from deadfront.app.metering import walk_proof
from deadfront.documents.catalog import Catalog
from deadfront.metering.rules.steps import proof
from deadfront.results.proof import Cause, ChannelVerdict, Conductor
from deadfront.worksheet.check import Outcome
from tests.metering.metered import GOOD, job
from tests.metering.test_steps import faults_of
from tests.metering.wiring_model import WYE, Fitted, Walk, plan_of, planned

HEATER = GOOD | {"measures": "c-wh1", "doubled": "none"}
STOVE = GOOD | {"measures": "c-rr1", "doubled": "watts"}
CATALOGS = tuple(Catalog(language, strict=True) for language in ("en", "es"))


def walked(channel: dict[str, Any], circuit: str, watts: int, shown: int, leg: str = "", **house: Any
           ) -> ChannelVerdict:  # fmt: skip
    """What one step on a circuit, and one elsewhere that it must not show, prove of a channel."""
    clamp = Decimal(watts) / (120 if leg or circuit.startswith("c-kk") else 240)
    rows = [
        {"circuit": circuit, "leg": leg, "watts": str(watts), "clamp_a": f"{clamp:.1f}", "channel": channel["id"],
         "before_w": "0", "after_w": str(shown)},
        *({"circuit": each, "watts": "1200", "clamp_a": "10", "channel": channel["id"], "before_w": "0", "after_w": "0"}
          for each in ("c-kk1", "c-kk2") if each != circuit),
    ]  # fmt: skip
    (verdict,) = walk_proof(answer(job([channel], **house)), rows)
    for catalog in CATALOGS:
        assert "{" not in catalog.say(verdict.say)
    assert verdict.test is not None or verdict.outcome is not Outcome.CANNOT_TELL
    return verdict


def test_half_a_load_is_not_right() -> None:
    """Theory 5d, two-leg step: the branch must show all of it; hand: one leg of 4,500 W is 2,250 W."""
    half = walked(HEATER, "c-wh1", 4500, 2250)
    assert (half.outcome, half.key) == (Outcome.FAILS, "scale")
    assert half.simplest[0].scale_of == ("not doubled",) and round(half.simplest[0].scale or 0, 2) == 0.5
    assert "doubling left out" in CATALOGS[0].say(half.say)
    whole = walked(HEATER | {"doubled": "watts"}, "c-wh1", 4500, 4500)
    assert (whole.outcome, whole.key) == (Outcome.MEETS, "right")
    left_out = walked(HEATER | {"doubled": "watts"}, "c-wh1", 4500, 2250)
    assert left_out.key == "scale" and "not doubled" in left_out.simplest[0].scale_of


def test_the_whole_load_with_nothing_doubled_by_the_plan_is_asked() -> None:
    found = walked(HEATER, "c-wh1", 4500, 4500)
    assert (found.outcome, found.key) == (Outcome.CANNOT_TELL, "undoubled")
    assert set(found.simplest[0].scale_of) == {"doubled", "ratio", "amperes doubled"}


def test_each_hot_with_a_channel_shows_its_half() -> None:
    second = HEATER | {"id": "ch-aa2", "input": "4", "leg": "L2", "voltage_leg": "L2"}
    rows = [{"circuit": "c-wh1", "watts": "4500", "clamp_a": "18.8", "channel": "ch-aa1", "before_w": "0",
             "after_w": "2250"}, {"channel": "ch-aa2", "before_w": "0", "after_w": "2250"},
            {"circuit": "c-kk1", "watts": "1200", "clamp_a": "10", "channel": "ch-aa1", "before_w": "0",
             "after_w": "0"}, {"channel": "ch-aa2", "before_w": "0", "after_w": "0"},
            {"circuit": "c-kk2", "watts": "1200", "clamp_a": "10", "channel": "ch-aa1", "before_w": "0",
             "after_w": "0"}, {"channel": "ch-aa2", "before_w": "0", "after_w": "0"}]  # fmt: skip
    verdicts = walk_proof(answer(job([HEATER, second])), rows)
    assert [each.key for each in verdicts] == ["right", "right"]


@pytest.mark.parametrize("neutral", [None, 400])
def test_the_oven_of_a_range_says_nothing_of_its_neutral_part(neutral: int | None) -> None:
    channel = STOVE | ({} if neutral is None else {"neutral_w": neutral})
    found = walked(channel, "c-rr1", 3000, 3000)
    assert (found.outcome, found.key) == (Outcome.CANNOT_TELL, "neutral_part")
    assert walked(STOVE | {"neutral_w": 0}, "c-rr1", 3000, 3000).outcome is Outcome.MEETS


def test_a_load_on_one_hot_alone_is_no_right() -> None:
    # theory 5a: a 120 V load on the sensed leg, doubled, shows exactly twice
    found = walked(STOVE | {"neutral_w": 0}, "c-rr1", 1000, 2000, leg="L1")
    assert (found.outcome, found.key) == (Outcome.FAILS, "one_leg")


def test_one_for_two_hots_of_a_wye_is_never_right() -> None:
    plan = plan_of([planned("x", "c-wh", "L1", doubled=True, alone=True)], wye=True)
    walk = Walk({"c-k1": 1500.0, "c-h2": 1400.0, "c-wh": 4500.0}, WYE, var=True, amperes=True)
    (found,) = proof(plan, walk.taken({"x": Fitted([("c-wh", "L1", 1)], doubled=True)}))
    assert (found.outcome, found.key) == (Outcome.CANNOT_TELL, "alone_wye")


def mirrored(cause: Cause) -> tuple[object, ...]:
    other = {"L1": "L2", "L2": "L1"}
    told = tuple(Conductor(each.of, other[each.leg]) for each in cause.conductors)
    return cause.kind, told, cause.reversed, other[cause.reference], cause.faults


def as_it_is(cause: Cause) -> tuple[object, ...]:
    return cause.kind, cause.conductors, cause.reversed, cause.reference, cause.faults


@pytest.mark.parametrize("shown", [3000, -3000, 1500, -1500, 750])
@pytest.mark.parametrize("doubled", ["none", "watts"])
def test_what_is_mirrored_comes_to_the_same(shown: int, doubled: str) -> None:
    one = walked(STOVE | {"doubled": doubled}, "c-rr1", 3000, shown)
    two = walked(STOVE | {"doubled": doubled, "leg": "L2", "voltage_leg": "L2"}, "c-rr1", 3000, shown)
    assert (one.key, one.outcome, one.placed, one.sign) == (two.key, two.outcome, two.placed, two.sign)
    assert {mirrored(each) for each in one.causes} == {as_it_is(each) for each in two.causes}
    if shown == -3000 and doubled == "watts":
        assert one.key == "negative" and len(one.simplest) == 3


@pytest.mark.parametrize("parts", [20, 40])
def test_a_ratio_far_off_is_among_the_causes_of_nothing(parts: int) -> None:
    found = walked(GOOD, "c-kk1", 1500, 1500 // parts)
    ratio = [each for each in found.causes if each.scale_of == ("ratio",)]
    assert found.key == "nothing" and [each.conductors for each in ratio] == [(Conductor("c-kk1", "L1"),)]
    assert "ratio or turns" in CATALOGS[0].say(found.say)


def test_a_channel_without_a_conductor_is_placed_by_its_steps() -> None:
    bare = {key: value for key, value in GOOD.items() if key not in ("measures", "leg")}
    rows = [{"circuit": each, "watts": "1200", "clamp_a": "10", "channel": "ch-aa1", "before_w": "0",
             "after_w": "1200" if each == "c-kk1" else "0"} for each in ("c-kk1", "c-kk2")]  # fmt: skip
    rows.append({"circuit": "c-wh1", "watts": "4500", "clamp_a": "18.8", "channel": "ch-aa1", "before_w": "0",
                 "after_w": "0"})  # fmt: skip
    (found,) = walk_proof(answer(job([bare])), rows)
    assert (found.outcome, found.key, found.placed) == (Outcome.CANNOT_TELL, "found", Conductor("c-kk1", "L1"))


@pytest.mark.parametrize("leg", ["L1", "L2"])
@pytest.mark.parametrize("doubled", [False, True], ids=["nothing doubled", "doubled"])
@pytest.mark.parametrize("of", ["c-wh", "c-rg"])
def test_it_is_right_only_where_it_shows_the_whole_load(of: str, doubled: bool, leg: str) -> None:
    """Every fault of a channel that stands alone: it meets only where nature shows all the watts, as they are set."""
    steps = {"c-k1": 1500.0, "c-h2": 1200.0, "c-m1": 1400.0, "c-m2": 1000.0, "c-rg": 3000.0, "c-wh": 4500.0}
    plan = plan_of([planned("x", of, leg, doubled=doubled, alone=True), planned("m", "service", leg)])
    mains = Fitted([("service", leg, 1)], 1, leg)
    keys: Counter[str] = Counter()
    for name, as_one, _ in faults_of(of, leg):
        for twice in {as_one.doubled, not as_one.doubled}:
            fitted = replace(as_one, doubled=twice)
            taken = Walk(steps).taken({"x": fitted, "m": mains})
            verdict = proof(plan, taken)[0]
            shown = [
                int(each.after_w - each.before_w) for step in taken for each in step.readings if each.channel == "x"
            ]
            whole = [round(watts) if circuit == of else 0 for circuit, watts in steps.items()]
            told = (of, leg, doubled, name, twice, verdict.key)
            assert (verdict.outcome is Outcome.MEETS) is (doubled and shown == whole), told
            if verdict.placed is not None:
                true = fitted.window[0]
                assert true[0] == verdict.placed.of and verdict.placed.leg in ("", true[1]), told
            keys[verdict.key] += 1
    print(dict(keys))
    assert keys["right" if doubled else "undoubled"] and keys["scale"] and keys["negative"] and keys["nothing"]
