"""The proof by load steps against a model of nature: every wiring of the mains pair, every fault of a channel.

What is decided is right, and the truth is always among the causes. The counts are those of the theory: 64 wirings of a
split-phase mains pair show only 16 distinct pairs of readings, four causes each.
"""

from __future__ import annotations

import itertools
import random
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.metering.rules.steps import directory, proof
from deadfront.results.proof import Cause, ChannelVerdict, Conductor
from deadfront.worksheet.check import Outcome
from tests.metering.wiring_model import CIRCUITS, PARTNERS, SPLIT, WYE, Fitted, Nature, Walk, plan_of, planned, whole

CATALOGS = tuple(Catalog(language, strict=True) for language in ("en", "es"))
STEPS = {"c-k1": 1500.0, "c-h2": 1200.0, "c-m1": 1400.0, "c-m2": 1000.0, "c-rg": 3000.0, "c-wh": 4500.0, "c-g1": 1100.0,
         "c-g2": 1300.0}  # fmt: skip
BACKGROUND = {("c-k1", "L1"): 300 + 60j, ("c-h2", "L2"): 140 + 0j, ("c-g1", "L1"): 220 + 90j}
LOADS = {("c-k1", "L1"): 4200 + 0j, ("c-h2", "L2"): 3300 + 675j}
"""The loads of the theory's table: 4200 W on L1; 3300 W and 675 var on L2."""


def said_well(verdicts: tuple[ChannelVerdict, ...]) -> None:
    for verdict in verdicts:
        for catalog in CATALOGS:
            texts = [catalog.say(verdict.say), *(catalog.say(each.say) for each in verdict.causes[:6])]
            texts += [catalog.say(verdict.test)] if verdict.test else []
            assert all(texts) and not any("{" in text or "[" in text for text in texts), texts
        assert (verdict.outcome is Outcome.MEETS) is (verdict.key == "right")
        assert verdict.outcome is not Outcome.CANNOT_TELL or verdict.test is not None


def is_so(of: str, leg: str, turned: int, voltage: str) -> Callable[[Cause], bool]:
    """Whether a cause is that conductor, turned so, with that voltage, at the scale set."""
    return lambda cause: (
        cause.kind == "conductor" and cause.conductors == (Conductor(of, leg),)
        and cause.reversed is (turned < 0) and cause.reference == voltage and not cause.scale_of
    )  # fmt: skip


def pair(first: tuple[str, int, str], second: tuple[str, int, str]) -> dict[str, Fitted]:
    """A mains pair fitted so: leg it is on, turned, voltage."""
    return {ident: Fitted([("service", leg, 1)], turned, voltage)
            for ident, (leg, turned, voltage) in (("m1", first), ("m2", second))}  # fmt: skip


# --- the mains pair -----------------------------------------------------------------------------------------------
@pytest.mark.parametrize("wye", [False, True], ids=["split phase", "208Y/120"])
def test_all_64_wirings_of_the_mains_pair(wye: bool) -> None:
    volts = WYE if wye else Nature().volts
    plan = plan_of([planned("m1", "service", "L1"), planned("m2", "service", "L2")], wye=wye)
    ways = list(itertools.product(("L1", "L2"), (1, -1), ("L1", "L2")))
    alike: dict[object, list[object]] = defaultdict(list)
    outcomes: Counter[str] = Counter()
    decided = 0
    for first, second in itertools.product(ways, ways):
        fitted = pair(first, second)
        nature = Nature(volts, dict(LOADS))
        alike[whole([nature.power(each) for each in fitted.values()])].append((first, second))
        walk = Walk({c: w for c, w in STEPS.items() if wye is False or len(CIRCUITS[c]) == 1}, volts, var=wye)
        verdicts = proof(plan, walk.taken(fitted, BACKGROUND))
        said_well(verdicts)
        for verdict, way in zip(verdicts, (first, second), strict=True):
            assert verdict.placed == Conductor("service", way[0]), "whose current is always decided"
            assert any(is_so("service", *way)(cause) for cause in verdict.causes), "the truth is among the causes"
            shown = way[1] * (1 if way[0] == way[2] else -1)
            if wye:
                # theory 5d: conductor and rotation are unique, so cause and cure are fully identified
                assert len(verdict.causes) == 1
            else:
                assert verdict.sign == shown and len(verdict.causes) == 2
            decided += len(verdict.causes) == 1
            outcomes[verdict.key] += 1
    counts = Counter(len(each) for each in alike.values())
    print(f"wye={wye}: {len(alike)} distinct pairs of readings, wirings for each: {dict(counts)}, "
          f"causes decided: {decided} of 128, verdicts: {dict(outcomes)}")  # fmt: skip
    if wye:
        assert len(alike) == 64 and decided == 128
    else:
        assert len(alike) == 16 and counts == {4: 16}  # theory 5c
        assert outcomes["right"] == 32 and decided == 0  # hand: per channel 2 of 8 ways read right, 16 times each


def test_the_printed_table_of_signatures() -> None:
    """Theory 5a, worked with 4200+j0 on L1 and 3300+j675 on L2."""
    nature = Nature(drawn=dict(LOADS))
    table = {
        (("L1", 1, "L1"), ("L2", 1, "L2")): ((4200, 0), (3300, 675)),
        (("L1", -1, "L1"), ("L2", 1, "L2")): ((-4200, 0), (3300, 675)),
        (("L2", 1, "L1"), ("L2", 1, "L2")): ((-3300, -675), (3300, 675)),
        (("L2", -1, "L1"), ("L2", 1, "L2")): ((3300, 675), (3300, 675)),
        (("L2", 1, "L1"), ("L1", 1, "L2")): ((-3300, -675), (-4200, 0)),
        (("L2", -1, "L1"), ("L1", -1, "L2")): ((3300, 675), (4200, 0)),
        (("L1", 1, "L2"), ("L2", 1, "L1")): ((-4200, 0), (-3300, -675)),
        (("L2", 1, "L2"), ("L1", 1, "L1")): ((3300, 675), (4200, 0)),
    }
    for ways, wanted in table.items():
        assert whole([nature.power(each) for each in pair(*ways).values()]) == wanted, ways


def test_the_voltage_measured_settles_the_cause() -> None:
    plan = plan_of([planned("m1", "service", "L1"), planned("m2", "service", "L2")])
    for turned, voltage in ((-1, "L1"), (1, "L2"), (-1, "L2")):
        steps = Walk(STEPS).taken(pair(("L1", turned, voltage), ("L2", 1, "L2")))
        before, after = proof(plan, steps)[0], proof(plan, steps, {"m1": voltage})[0]
        assert len(before.causes) == 2 and len(after.causes) == 1
        assert is_so("service", "L1", turned, voltage)(after.causes[0])
    assert proof(plan, steps, {"m1": "L2"})[0].key == "turned_reference", "two faults that cancel are found"
    assert proof(plan, steps)[0].key == "right", "and cannot be seen without that"


# --- every fault of a channel -------------------------------------------------------------------------------------
Fault = tuple[str, Fitted, Callable[[Cause], bool]]


def faults_of(of: str, leg: str) -> list[Fault]:
    """Every way that a channel planned on one conductor may truly be."""
    other = "L2" if leg == "L1" else "L1"
    own = [(of, leg, 1)]
    out: list[Fault] = [
        ("right", Fitted(own, 1, leg), is_so(of, leg, 1, leg)),
        ("turned", Fitted(own, -1, leg), is_so(of, leg, -1, leg)),
        ("reference", Fitted(own, 1, other), is_so(of, leg, 1, other)),
        ("turned and reference", Fitted(own, -1, other), is_so(of, leg, -1, other)),
        ("doubled", Fitted(own, 1, leg, doubled=True), lambda c: "doubled" in c.scale_of and not c.reversed),
        ("dead", Fitted([], 1, leg), lambda c: c.kind == "nothing"),
    ]
    for scale in (0.025, 0.05, 0.25, 0.5, 0.8, 1.25, 1.5, 2.0, 4.0):
        out.append((f"ratio {scale}", Fitted(own, 1, leg, scale), lambda c: "ratio" in c.scale_of and not c.reversed))
    for circuit, legs in CIRCUITS.items():
        for each in legs:
            if (circuit, each) == (of, leg):
                continue
            for turned, voltage in itertools.product((1, -1), (leg, other)):
                out.append((f"on {circuit} {each} {turned} {voltage}", Fitted([(circuit, each, 1)], turned, voltage),
                            is_so(circuit, each, turned, voltage)))  # fmt: skip
            if circuit != of:
                for way in (1, -1):
                    window = [*own, (circuit, each, way)]
                    told = (Conductor(of, leg), Conductor(circuit, each))
                    out.append((f"with {circuit} {each} {way}", Fitted(window, 1, leg),
                                lambda c, t=told: c.kind == "with other" and c.conductors == t))  # fmt: skip
    if len(CIRCUITS[of]) == 1 and of not in PARTNERS:
        out.append(("hot and neutral", Fitted([*own, (of, "N", 1)], 1, leg), lambda c: c.kind == "nothing"))
    if of in PARTNERS:
        out.append(
            (
                "shared neutral",
                Fitted([*own, (of, "N", 1)], 1, leg),
                lambda c: c.kind == "shared neutral" and not c.reversed and c.reference == leg,
            )
        )
    if len(CIRCUITS[of]) == 2:
        both = [*own, (of, other, -1)]
        out.append(("both, one turned", Fitted(both, 1, leg), lambda c: c.kind == "turned" and not c.scale_of))
        out.append(("both, same way", Fitted([*own, (of, other, 1)], 1, leg), lambda c: c.kind == "nothing"))
    return out


def reads_right(fitted: Fitted, of: str, leg: str, steps: Mapping[str, float] = STEPS, *, wye: bool = False) -> bool:
    """Whether nature shows the very same figures in every step as if all were right."""
    right = Fitted([(of, leg, 1)], 1, leg)
    walk = Walk(steps, WYE if wye else SPLIT, var=wye)
    shown = [[(one.before_w, one.after_w, one.before_var, one.after_var) for step in walk.taken({"x": each})
              for one in step.readings] for each in (fitted, right)]  # fmt: skip
    return shown[0] == shown[1]


@pytest.mark.parametrize(
    ("noise", "off", "wye"), [(0.0, 0.0, False), (4.0, 0.06, False), (0.0, 0.0, True), (4.0, 0.06, True)],
    ids=["clean", "noise and heaters off", "clean, 208Y/120", "noise and heaters off, 208Y/120"],
)  # fmt: skip
def test_every_fault_of_every_channel(noise: float, off: float, wye: bool) -> None:
    outcomes: Counter[str] = Counter()
    count = decided = 0
    for of, legs in CIRCUITS.items():
        for leg in legs:
            plan = plan_of([planned("x", of, leg), planned("m", "service", leg)], wye=wye)
            for name, fitted, truth in faults_of(of, leg):
                count += 1
                walk = Walk(STEPS, WYE if wye else SPLIT, noise_w=noise, off=off, seed=count, var=wye)
                fits = {"x": fitted, "m": Fitted([("service", leg, 1)], 1, leg)}
                verdicts = proof(plan, walk.taken(fits, BACKGROUND))
                said_well(verdicts)
                verdict = verdicts[0]
                assert any(truth(cause) for cause in verdict.causes), (of, leg, name, verdict.key)
                good = reads_right(fitted, of, leg, wye=wye)
                assert (verdict.outcome is Outcome.MEETS) is good, (of, leg, name, verdict.key)
                if verdict.placed is not None:
                    decided += 1
                    true = fitted.window[0]
                    assert true[0] == verdict.placed.of and verdict.placed.leg in ("", true[1]), (of, leg, name)
                assert verdicts[1].key == "right"
                outcomes[verdict.key] += 1
    print(f"{count} faults tried, conductor decided in {decided}, verdicts: {dict(outcomes)}")
    assert count > 500 and decided > 300
    assert {"right", "negative", "scale", "nothing", "other_conductor"} <= set(outcomes)
    # in split phase a load between both hots never tells which of them is in the window; in a wye var does
    assert ("other_leg" in outcomes) is wye


@pytest.mark.parametrize("seed", range(6))
def test_walks_by_chance_over_some_of_the_circuits(seed: int) -> None:
    """Some steps, noise, heaters off, any fault: nothing that shows is called right, no truth is left out."""
    chance = random.Random(seed)
    kinds: Counter[str] = Counter()
    for trial in range(120):
        of = chance.choice(list(CIRCUITS))
        leg = chance.choice(CIRCUITS[of])
        name, fitted, truth = chance.choice(faults_of(of, leg))
        some = {each: STEPS[each] for each in chance.sample(list(STEPS), chance.randint(1, len(STEPS)))}
        walk = Walk(some, noise_w=chance.choice([0.0, 3.0, 12.0]), off=0.05, seed=1000 * seed + trial,
                    amperes=chance.random() < 0.3)  # fmt: skip
        plan = plan_of([planned("x", of, leg), planned("m", "service", leg)])
        fits = {"x": fitted, "m": Fitted([("service", leg, 1)], 1, leg)}
        verdict = proof(plan, walk.taken(fits, BACKGROUND if not walk.amperes else {}))[0]
        kinds[verdict.key] += 1
        if verdict.outcome is Outcome.MEETS:
            assert reads_right(fitted, of, leg, some), (of, leg, name, some)
        stepped = {c for c, _, _ in fitted.window} <= {*some, "service"} and of in some
        if stepped and verdict.causes and "with" not in name:
            assert any(truth(each) for each in verdict.causes), (of, leg, name, verdict.key, some)
    print(dict(kinds))
    assert len(kinds) >= 5


def test_amperes_tell_a_ratio_from_doubling() -> None:
    plan = plan_of([planned("x", "c-wh", "L1"), planned("m", "service", "L1")])
    mains = Fitted([("service", "L1", 1)])
    hot = [("c-wh", "L1", 1)]
    cases = (
        (Fitted(hot, doubled=True), ("doubled",), "scale"),
        # both hots in the window, one turned, show twice the amperes as well: that is looked at, not read
        (Fitted(hot, scale=2.0), ("ratio", "amperes doubled"), "several"),
    )
    for fitted, wanted, key in cases:
        blind = proof(plan, Walk(STEPS).taken({"x": fitted, "m": mains}))[0]
        assert set(blind.simplest[0].scale_of) == {"ratio", "doubled", "amperes doubled"}
        told = proof(plan, Walk(STEPS, amperes=True).taken({"x": fitted, "m": mains}))[0]
        assert told.key == key
        assert {each.scale_of for each in told.simplest if each.conductors == (Conductor("c-wh", "L1"),)} == {wanted}


def test_doubling_as_planned_and_left_out() -> None:
    plan = plan_of([planned("x", "c-wh", "L1", doubled=True), planned("m", "service", "L1")])
    mains, hot = Fitted([("service", "L1", 1)]), [("c-wh", "L1", 1)]
    assert proof(plan, Walk(STEPS).taken({"x": Fitted(hot, doubled=True), "m": mains}))[0].outcome is Outcome.MEETS
    out = proof(plan, Walk(STEPS).taken({"x": Fitted(hot), "m": mains}))[0]
    assert out.key == "scale" and set(out.simplest[0].scale_of) == {"ratio", "not doubled"}


def test_two_that_are_exchanged_are_named_and_the_directory_is_filled() -> None:
    plan = plan_of([planned("a", "c-k1", "L1"), planned("b", "c-g1", "L1"), planned("c", "c-h2", "L2")])
    fitted = {"a": Fitted([("c-g1", "L1", 1)]), "b": Fitted([("c-k1", "L1", 1)]),
              "c": Fitted([("c-h2", "L2", 1)], voltage="L2")}  # fmt: skip
    verdicts = proof(plan, Walk(STEPS, amperes=True).taken(fitted))
    assert [each.key for each in verdicts] == ["exchanged", "exchanged", "right"]
    assert directory(verdicts) == {
        "a": Conductor("c-g1", "L1"), "b": Conductor("c-k1", "L1"), "c": Conductor("c-h2", "L2")
    }  # fmt: skip


# --- what cannot be told is said ----------------------------------------------------------------------------------
def test_what_steps_do_not_tell_is_said() -> None:
    plan = plan_of([planned("x", "c-k1", "L1"), planned("y", "c-g2", "L2")])
    good = {"x": Fitted([("c-k1", "L1", 1)]), "y": Fitted([("c-g2", "L2", 1)], voltage="L2")}

    def keys(walk: Walk, **kept: Fitted) -> list[str]:
        verdicts = proof(plan, walk.taken(kept or good))
        said_well(verdicts)
        return [each.key for each in verdicts]

    assert keys(Walk({})) == ["not_read", "not_read"]
    assert keys(Walk({"c-k1": 1500.0})) == ["place_unsure", "not_stepped"], "the service carried the same step"
    both = {"c-k1": 1500.0, "c-m1": 1000.0}
    assert keys(Walk(both)) == ["place_unsure", "not_stepped"], "nothing shows that the second step moved anything"
    assert keys(Walk(both, amperes=True)) == ["right", "not_stepped"], "the clamp meter does"
    assert keys(Walk({"c-k1": 60.0, "c-m1": 60.0}, noise_w=10, amperes=True)) == ["small", "small"]
    assert keys(Walk(STEPS, amperes=True), x=good["x"]) == ["right", "not_read"]
    said_well(proof(replace(plan, wye=None), Walk(STEPS).taken(good)))
    assert {each.key for each in proof(replace(plan, wye=None), Walk(STEPS).taken(good))} == {"system"}
    assert keys(Walk(STEPS), x=Fitted([]), y=Fitted([], voltage="L2")) == ["not_read", "not_read"], "nothing moved"
    noisy = Walk(
        {"c-k1": 150.0, "c-m1": 150.0}, noise_w=18, amperes=True
    )  # hand: 5 x 18 x 1.414 = 127 W is the least of use
    assert keys(noisy)[0] == "scale_unsure"


def test_watts_alone_are_not_enough_in_a_wye() -> None:
    plan = plan_of([planned("x", "c-k1", "L1")], wye=True)
    fitted = {"x": Fitted([("c-k1", "L1", 1)], -1, "L2")}  # theory 5b: reads +0.5 P, a poor power factor
    steps = Walk({"c-k1": 1500.0, "c-m1": 1000.0}, WYE)
    assert proof(plan, steps.taken(fitted))[0].key == "var"
    told = proof(plan, Walk({"c-k1": 1500.0, "c-m1": 1000.0}, WYE, var=True, amperes=True).taken(fitted))[0]
    assert told.key == "turned_reference" and len(told.causes) == 1


def test_every_turn_and_voltage_in_a_three_phase_wye() -> None:
    """18 ways of one channel on three legs: conductor, turn and voltage are all decided."""
    steps = {"c-k1": 1500.0, "c-h2": 1200.0, "c-m1": 1400.0, "c-m2": 1000.0}
    plan = plan_of([planned("m", "service", "L1")], wye=True)
    for leg, turned, voltage in itertools.product(("L1", "L2"), (1, -1), WYE):
        walk = Walk(steps, WYE, var=True, noise_w=3, off=0.05)
        (verdict,) = proof(plan, walk.taken({"m": Fitted([("service", leg, 1)], turned, voltage)}, BACKGROUND))
        assert [is_so("service", leg, turned, voltage)(each) for each in verdict.causes] == [True]
        assert (verdict.key == "right") is ((leg, turned, voltage) == ("L1", 1, "L1"))


def test_a_208_volt_heater_steps_both_legs_with_var() -> None:
    steps = {"c-k1": 1500.0, "c-m1": 1400.0, "c-wh": 4500.0, "c-rg": 3000.0}
    plan = plan_of([planned("x", "c-wh", "L1"), planned("y", "c-wh", "L2")], wye=True)
    walk = Walk(steps, WYE, var=True, amperes=True)
    good = {"x": Fitted([("c-wh", "L1", 1)]), "y": Fitted([("c-wh", "L2", 1)], voltage="L2")}
    assert [each.key for each in proof(plan, walk.taken(good))] == ["right", "right"]
    wrong = good | {"x": Fitted([("c-wh", "L1", 1)], -1)}
    assert [each.key for each in proof(plan, walk.taken(wrong))] == ["negative", "right"]
    # hand: the current of L2 is that of L1 the other way, so a CT on L2 with the voltage of L1 shows the very same
    told = {(each.conductors[0].leg, each.reversed) for each in proof(plan, walk.taken(wrong))[0].simplest}
    assert told == {("L1", True), ("L2", False)}


def test_the_sign_of_a_source_is_held_against_its_meters_convention() -> None:
    for production, turned, wanted in (("", 1, "source_sign"), ("negative", 1, "right"), ("positive", 1, "negative"),
                                       ("positive", -1, "right")):  # fmt: skip
        plan = plan_of([replace(planned("s", "c-g1", "L1", production=production), role="source")])
        fitted = {"s": Fitted([("c-g1", "L1", 1)], turned)}
        walk = Walk({"c-g1": -2000.0, "c-k1": 1500.0}, amperes=True)
        assert proof(plan, walk.taken(fitted))[0].key == wanted, (production, turned)
