"""Each test by readings worked by hand: the verdict, and that nothing passes by being skipped."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest

from deadfront.codebook.book import open_book
from deadfront.commissioning.rules.answer import commissioning_answer
from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.registry import modules
from deadfront.job.house import house_at
from deadfront.job.read import read_job
from deadfront.results.circuits import CircuitsResult
from deadfront.worksheet.check import Outcome, Severity
from tests.commissioning.made_up import HEAD, answered, one, record

WYE = "208Y/120 1ph 3w"
MEETS, FAILS, TELL = Outcome.MEETS, Outcome.FAILS, Outcome.CANNOT_TELL


def volts(l1_l2: str, l1_n: str, l2_n: str) -> dict[str, str]:
    return {"l1_l2": l1_l2, "l1_n": l1_n, "l2_n": l2_n}


@pytest.mark.parametrize(
    ("readings", "outcome", "key"),
    [
        # ANSI C84.1 (published case VOL-03): Range A service 114 to 126 V and 228 to 252 V; B 110 to 127, 220 to 254
        (volts("228", "114", "114"), MEETS, "meets"), (volts("252", "126", "126"), MEETS, "meets"),
        (volts("227", "113.5", "113.5"), FAILS, "range_b"), (volts("253", "126.5", "126.5"), FAILS, "range_b"),
        (volts("220", "110", "110"), FAILS, "range_b"), (volts("219", "109.5", "109.5"), FAILS, "outside"),
        (volts("255", "127.5", "127.5"), FAILS, "outside"),
        (volts("240", "121.2", "118.8"), FAILS, "legs_apart"), (volts("240", "148", "92"), FAILS, "neutral"),
        (volts("208", "120", "120"), FAILS, "other_system"), (volts("1.2", "121", "121"), FAILS, "one_leg"),
        (volts("240", "115", "115"), FAILS, "sum"),
    ],
)  # fmt: skip
def test_voltage_at_the_bus(readings: dict[str, str], outcome: Outcome, key: str) -> None:
    found = one("bus_voltage", "p-1aa", readings)
    assert (found.outcome, found.say.key) == (outcome, f"commission.bus_voltage.{key}")


def test_a_moved_neutral_is_a_danger() -> None:
    assert one("bus_voltage", "p-1aa", volts("240", "148", "92")).severity is Severity.DANGER


@pytest.mark.parametrize(
    ("readings", "key"),
    # ANSI C84.1 prints 208Y/120 as 197 to 218 V (A) and 191 to 220 V (B), from memory
    [(volts("197", "114", "114"), "meets"), (volts("218", "126", "126"), "meets"),
     (volts("191", "110", "110"), "range_b"),
     (volts("240", "120", "120"), "other_system")],
)  # fmt: skip
def test_voltage_on_two_legs_of_a_wye(readings: dict[str, str], key: str) -> None:
    assert one("bus_voltage", "p-1aa", readings, system=WYE).say.key == f"commission.bus_voltage.{key}"


def test_under_load_the_point_of_use_counts() -> None:
    """ANSI C84.1 (VOL-03): 114 V at the service's own panel, 108 V beyond a feeder, Range A."""
    on = {"l1_a": "30", "l2_a": "25"}
    assert one("loaded_voltage", "p-2bb", {**volts("216", "108", "108"), **on}).outcome is MEETS
    assert one("loaded_voltage", "p-2bb", {**volts("214", "107", "107"), **on}).say.key.endswith(".range_b")
    assert one("loaded_voltage", "p-1aa", {**volts("228", "114", "114"), **on}).outcome is MEETS
    assert one("loaded_voltage", "p-1aa", {**volts("218", "109", "109"), **on}).say.key.endswith(".outside")
    assert one("loaded_voltage", "p-1aa", {**volts("239", "116", "123"), **on}).say.key.endswith(".legs_apart")
    idle = one("loaded_voltage", "p-1aa", {**volts("240", "120", "120"), "l1_a": "0", "l2_a": "0"})
    assert idle.say.key.endswith(".no_load")


def test_a_leg_reads_to_ground_as_to_neutral() -> None:
    for ground in ("0", "60"):
        found = one("bus_voltage", "p-1aa", {**volts("240", "120", "120"), "l1_g": ground})
        assert (found.say.key, found.severity) == ("commission.bus_voltage.ground", Severity.DANGER)
    assert one("bus_voltage", "p-1aa", {**volts("240", "120", "120"), "l1_g": "120.3"}).outcome is MEETS


DEAD = {"proved_before": "yes", "l1_l2": "0", "l1_n": "0", "l2_n": "0", "l1_g": "0", "l2_g": "0", "n_g": "0",
        "proved_after": "yes"}  # fmt: skip


def test_dead_only_with_the_tester_proved_twice() -> None:
    assert one("dead", "p-1aa", DEAD).outcome is MEETS
    for key in ("proved_before", "proved_after"):
        found = one("dead", "p-1aa", {**DEAD, key: "no"})
        assert (found.outcome, found.severity) == (FAILS, Severity.DANGER)
        missing = one("dead", "p-1aa", {name: value for name, value in DEAD.items() if name != key})
        assert missing.outcome is TELL
    live = one("dead", "p-1aa", {**DEAD, "n_g": "4.2"})
    assert (live.outcome, live.severity) == (FAILS, Severity.DANGER)


RIGHT = {"l_n": "119.0", "l_g": "119.6", "n_g": "0.6", "l_remote": "119.5", "g_remote": "0.3", "load_a": "8"}


@pytest.mark.parametrize(
    ("readings", "key"),
    [
        (RIGHT, "meets"),
        ({**RIGHT, "load_a": ""}, "no_load"),  # a join in the box is seen under load only
        ({**RIGHT, "n_g": "0.00"}, "bootleg"),
        ({**RIGHT, "l_g": "0", "n_g": "119"}, "reversed"),
        ({**RIGHT, "l_g": "31"}, "open_ground"),
        ({**RIGHT, "l_n": "2", "l_g": "119", "n_g": "3"}, "open_neutral"),
        ({**RIGHT, "l_n": "0", "l_g": "0", "n_g": "0"}, "no_power"),
        ({**RIGHT, "g_remote": "119", "n_g": "0"}, "reversed_bootleg"),  # a three-light tester shows it as right
        ({**RIGHT, "g_remote": "47"}, "ground_live"),
        ({**RIGHT, "n_g": "7", "l_n": "113"}, "neutral_high"),
        ({**RIGHT, "l_g": "95"}, "open_ground"),
        ({**RIGHT, "l_n": "150", "l_g": "150"}, "high"),  # a moved neutral, or two hots
        ({**RIGHT, "l_n": "240", "l_g": "120", "n_g": "120"}, "high"),  # a hot on the neutral slot
        ({**RIGHT, "l_n": "60", "l_g": "120", "n_g": "60"}, "open_neutral"),
        ({**RIGHT, "l_n": "85", "l_g": "120", "n_g": "35"}, "open_neutral"),
        ({**RIGHT, "l_n": "118", "l_g": "125", "n_g": "1"}, "disagree"),
        ({**RIGHT, "l_n": "100", "l_g": "101"}, "voltage"),
        ({**RIGHT, "l_remote": "1.2"}, "lead"),  # the lead hangs in the air
    ],
)
def test_receptacle(readings: dict[str, str], key: str) -> None:
    found = one("polarity", "x-1aa", {name: value for name, value in readings.items() if value})
    assert found.say.key == f"commission.polarity.{key}"


def test_what_endangers_is_said_though_something_is_missing() -> None:
    """Hand: each by the readings named alone; nothing that is missing, mistyped or waived hides it."""
    for test, thing, some in (
        ("dead", "p-1aa", {"l1_n": "120"}), ("dead", "p-1aa", {"l1_n": "120", "l2_n": "potato"}),
        ("backfeed", "p-1aa", {"l1_l2": "240"}), ("polarity", "x-1aa", {"l_n": "0", "l_g": "120"}),
        ("utility_loss", "p-1aa", {"does": "keeps on"}), ("ground_fault", "b-1aa", {"trips": "no"}),
        ("no_short", "p-1aa", {"l1_n_ohm": "2"}),
    ):  # fmt: skip
        for more in ({}, {"not_applicable": '"there is no time for it"'}):
            found = one(test, thing, some, **more)
            assert (found.outcome, found.severity) == (FAILS, Severity.DANGER), (test, some, more)
    assert one("insulation", "c-1aa", {"l_g_mohm": "0.05"}).outcome is FAILS


def test_a_receptacle_without_remote_earth_is_not_told() -> None:
    assert (
        one("polarity", "x-1aa", {"l_n": "120", "l_g": "120", "n_g": "0.4", "l_remote": "120", "load_a": "9"}).outcome
        is TELL
    )


def test_neutral_by_a_step() -> None:
    """Hand: 12.5 A on L1; L2 rises 0.3 V, L1 falls 0.9 V: neutral 0.024 ohm, leg (0.9 - 0.3) / 12.5 = 0.048 ohm."""
    steady = {"leg": "L1", "l1_idle": "121.00 121.00 121.00", "l2_idle": "121.00 121.00 121.00",
              "l1_loaded": "120.10 120.10 120.10", "l2_loaded": "121.30 121.30 121.30", "step_a": "12.50"}  # fmt: skip
    found = one("neutral_step", "service", steady)
    neutral, line = found.steps[0].value, found.steps[3].value
    assert found.outcome is MEETS
    assert neutral.low <= Decimal("0.024") <= neutral.high
    assert line.low <= Decimal("0.048") <= line.high
    loose = {**steady, "l1_loaded": "117.00 117.10 117.00", "l2_loaded": "124.00 124.10 124.00"}
    assert (one("neutral_step", "service", loose).outcome, one("neutral_step", "service", loose).severity) == (
        FAILS, Severity.DANGER)  # fmt: skip
    few = {**steady, "l1_idle": "121.00", "l2_idle": "121.00"}
    assert one("neutral_step", "service", few).say.key == "commission.neutral_step.few"
    coarse = {**steady, "l1_idle": "120 122 121", "l2_idle": "121 123 120", "l2_loaded": "121 122 122"}
    assert one("neutral_step", "service", coarse).say.key.startswith("commission.neutral_step.wide")
    both = {**steady, "l2_loaded": "120.20 120.20 120.20"}
    assert one("neutral_step", "service", both).say.key == "commission.neutral_step.both_fell"
    hot = {**steady, "l1_loaded": "109.00 109.00 109.00"}
    assert one("neutral_step", "service", hot).say.key == "commission.neutral_step.hot_loose"
    other = {**steady, "leg": "L2"}
    assert one("neutral_step", "service", other).say.key == "commission.neutral_step.other_leg"
    assert one("neutral_step", "service", steady, system=WYE).say.key == "commission.neutral_step.wye"


def test_multiwire_hots_are_on_different_legs() -> None:
    assert one("multiwire", "c-7aa", {"hot_to_hot": "241"}).outcome is MEETS
    found = one("multiwire", "c-7aa", {"hot_to_hot": "0.4"})
    assert (found.outcome, found.severity) == (FAILS, Severity.DANGER)
    assert one("multiwire", "c-7aa", {"hot_to_hot": "206"}, system=WYE).outcome is MEETS
    for odd in ("190", "690"):
        assert one("multiwire", "c-7aa", {"hot_to_hot": odd}).say.key == "commission.multiwire.odd"


def test_where_neutral_and_ground_belong() -> None:
    assert one("neutral_ground", "p-1aa", {"belongs": "joined", "n_g_ohm": "0.1"}).outcome is MEETS
    assert one("neutral_ground", "p-1aa", {"belongs": "joined", "n_g_ohm": "OL"}).severity is Severity.DANGER
    assert one("neutral_ground", "p-2bb", {"belongs": "apart", "n_g_ohm": "OL"}).outcome is MEETS
    assert one("neutral_ground", "p-2bb", {"belongs": "apart", "n_g_ohm": "3"}).outcome is FAILS
    assert one("neutral_ground", "p-2bb", {"belongs": "joined", "n_g_ohm": "0.1"}).outcome is FAILS


def test_what_belongs_is_told_by_the_drawing() -> None:
    """Joined in the service equipment alone: an outside service disconnect makes the panel a feeder's."""
    outside = '[before.service.outside]\npresent = "yes"\nmarked = "service disconnect"\n'
    joined = {"belongs": "joined", "n_g_ohm": "0.1"}
    behind = answered(record("neutral_ground", "p-1aa", joined), outside=outside).of("neutral_ground", "p-1aa")[0]
    assert (behind.say.key, behind.severity) == ("commission.neutral_ground.joined_twice", Severity.DANGER)
    none = '[before.service.outside]\npresent = "no"\n'
    bare = answered(record("neutral_ground", "p-1aa", {"belongs": "apart", "n_g_ohm": "OL"}), outside=none)
    assert bare.of("neutral_ground", "p-1aa")[0].say.key == "commission.neutral_ground.not_joined"


def test_insulation_and_the_odd_one() -> None:
    good = {"disconnected": "yes", "test_v": "500", "l_n_mohm": "550", "l_g_mohm": "OL", "n_g_mohm": ">2000"}
    assert one("insulation", "c-1aa", good).outcome is MEETS
    assert one("insulation", "c-1aa", {**good, "l_g_mohm": "0.4"}).outcome is FAILS
    assert one("insulation", "c-1aa", {**good, "disconnected": "no"}).outcome is TELL
    assert one("insulation", "c-1aa", {**good, "test_v": "9"}).outcome is TELL
    assert one("insulation", "c-1aa", {**good, "l_n_mohm": ">0.5"}).outcome is TELL
    assert one("insulation", "b-9ff", good).outcome is MEETS
    more = [record("insulation", thing, good, ident=f"rec-{n}b") for n, thing in enumerate(("c-7aa", "c-7bb", "p-2bb"))]
    odd = answered(*more, record("insulation", "c-1aa", {**good, "l_n_mohm": "12"}))
    assert odd.of("insulation", "c-1aa")[0].say.key == "commission.insulation.odd"


def test_buttons() -> None:
    assert one("ground_fault", "b-1aa", {"trips": "yes", "power_off": "yes", "resets": "yes"}).outcome is MEETS
    assert one("arc_fault", "b-1aa", {"trips": "no", "power_off": "no", "resets": "no"}).severity is Severity.DANGER


def test_what_is_due_and_not_done_is_open() -> None:
    """Nothing passes by being skipped: every test due has its answer, open until it is done."""
    result = answered()
    due = {(each.test, each.thing) for each in result.tests if each.stage == "as left"}
    assert {("dead", "p-1aa"), ("visual", "p-1aa"), ("insulation", "c-1aa"), ("polarity", "x-1aa"),
            ("ground_fault", "b-1aa"), ("arc_fault", "b-1aa"), ("service_voltage", "service"),
            ("neutral_step", "service")} <= due  # fmt: skip
    assert {each.outcome for each in result.tests} == {TELL}
    assert all(each.missing for each in result.tests)
    assert result.checks == ()


@pytest.mark.parametrize("module", modules(), ids=lambda module: str(module.kind.key))
def test_no_test_passes_on_missing_or_foolish_readings(module) -> None:  # type: ignore[no-untyped-def]
    kind = module.kind
    thing = {"service_voltage": "service", "neutral_step": "service"}.get(kind.key, "p-1aa")
    assert one(kind.key, thing, {}).outcome is TELL
    foolish = {each.key: "potato" for each in kind.asked}
    assert one(kind.key, thing, foolish).outcome in (TELL, FAILS)
    waived = Outcome.NOT_APPLICABLE if kind.waived else TELL
    assert one(kind.key, thing, {}, not_applicable='"there is none"').outcome is waived
    for more in ({"who": ""}, {"on": ""}, {"not_applicable": '"-"'}):
        assert one(kind.key, thing, {}, **{"not_applicable": '"there is none"', **more}).outcome is TELL
    for typed in ("OL", ">5", "0,5", "1,23", "-3", "1e9", "∞", "120 120"):
        found = one(kind.key, thing, {each.key: typed for each in kind.asked})
        open_circuit = kind.key == "no_short" and typed in ("OL", "∞")  # there it is what one wants to see
        assert found.outcome is not MEETS or open_circuit
    for lacking in (each for each in kind.asked if each.needed):
        some = {each.key: _plausible(each) for each in kind.asked if each is not lacking}
        assert one(kind.key, thing, some).outcome is not MEETS


def _plausible(asked) -> str:  # type: ignore[no-untyped-def]
    if asked.kind == "yes":
        return "yes"
    if asked.kind == "choice":
        return str(asked.choices[0])
    return "Workshop" if asked.kind == "text" else str(max(asked.low, min(asked.high, Decimal(60))))


def test_a_pass_needs_an_instrument_in_calibration() -> None:
    readings = volts("240", "120", "120")
    none = one("bus_voltage", "p-1aa", readings, instruments="")
    late = one("bus_voltage", "p-1aa", readings, on="2027-02-01")
    wrong = one("bus_voltage", "p-1aa", readings, instruments='["ins-2i"]')
    dateless = one("bus_voltage", "p-1aa", readings, on="")
    assert {each.outcome for each in (none, late, wrong, dateless)} == {TELL}
    assert [note.key for note in late.notes] == ["commission.doubt.calibration"]
    bad = one("bus_voltage", "p-1aa", volts("240", "148", "92"), instruments="")
    assert bad.outcome is FAILS  # a danger stays one, whatever shows it


def test_a_record_that_fits_nothing_is_said() -> None:
    result = answered(record("levitation", "p-1aa", {}))
    assert [each.id for each in result.checks] == ["commission.record"]


def test_every_number_has_an_answer_whatever_is_typed() -> None:
    """Seeded: foolish and sensible readings of every test; none ends in an error."""
    dice = random.Random(20261126)
    pool = ["0", "120", "240", "OL", ">5", "0,5", "1.5", "yes", "no", "L2", "potato", "", "121.2 121.3", "1,234",
            "joined", "keeps on", "islands", "no such point", "there is one", "300", "-60", "99999999999"]  # fmt: skip
    for _ in range(600):
        kind = dice.choice(modules()).kind
        thing = dice.choice(("p-1aa", "p-2bb", "c-1aa", "x-1aa", "b-1aa", "service"))
        typed = {each.key: said for each in kind.asked if (said := dice.choice(pool))}
        system = dice.choice(("120/240 1ph 3w", WYE))
        assert one(kind.key, thing, typed, system=system).outcome in Outcome


def test_a_later_failure_stands_though_its_hour_is_not_known() -> None:
    good, bad = (
        record("dead", "p-1aa", DEAD, time='"14:00"'),
        record("dead", "p-1aa", {**DEAD, "l1_n": "118"}, "rec-2b"),
    )
    assert answered(good, bad).of("dead", "p-1aa")[0].outcome is FAILS
    assert answered(bad, good).of("dead", "p-1aa")[0].outcome is FAILS


def test_a_pass_before_the_dead_test_is_taken_again() -> None:
    early = record("bus_voltage", "p-1aa", volts("240", "120", "120"), time='"08:00"')
    late = record("dead", "p-1aa", DEAD, "rec-2b", time='"16:00"')
    found = answered(early, late).of("bus_voltage", "p-1aa")[0]
    assert (found.outcome, found.say.key) == (TELL, "commission.again")


def test_what_the_work_opens_is_tested_and_a_new_name_opens_nothing() -> None:
    def due(more: str) -> set[tuple[str, str]]:
        head = HEAD.partition("[[work]]")[0].format(edition="2023", system="120/240 1ph 3w")
        found = read_job(head + more)
        assert not found.problems, found.problems
        facts = Facts(open_book("2023"), house_at(found.job), CircuitsResult())
        return {(each.test, each.thing) for each in commissioning_answer(facts).tests if each.stage == "as left"}

    work = '[[work]]\nid = "w-1aa"\nsay = "x"\n'
    assert due(work + '[work.set.c-7aa]\nname = "Disposer"\n') == set()
    gear = due(work + '[[work.add.gear]]\nid = "g-1aa"\nkind = "metering"\npanel = "p-1aa"\n')
    assert {("dead", "p-1aa"), ("visual", "p-1aa"), ("breakers_open", "p-1aa"), ("neutral_ground", "p-1aa")} <= gear
    outlet = due(work + '[[work.add.outlets]]\nid = "x-9zz"\ncircuit = "c-7aa"\nkind = "receptacle"\n')
    assert ("dead", "c-7aa") in outlet and ("dead", "p-1aa") not in outlet
    assert ("service_voltage", "service") not in outlet
    switch = due(work + '[[work.add.transfers]]\nid = "t-1aa"\nkind = "automatic switch"\n')
    assert {("dead", "t-1aa"), ("visual", "t-1aa"), ("transfer", "t-1aa")} <= switch
    old = '[[before.breakers]]\nid = "b-8gg"\npanel = "p-1aa"\nspaces = [5]\nrating_a = 20\npoles = 1\n'
    assert ("dead", "p-1aa") in due(old + work + 'remove = ["b-8gg"]\n')
