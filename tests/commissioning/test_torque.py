"""The torque log: targets by marking and by table, tools, calibration, and the sequence that waits for it."""

from __future__ import annotations

import pytest

from deadfront.commissioning.rules.instruments import until
from deadfront.job.record_things import Instrument
from deadfront.results.commissioning import TorqueAnswer
from deadfront.worksheet.check import Outcome
from tests.commissioning.made_up import answered, record

MEETS, FAILS, TELL = Outcome.MEETS, Outcome.FAILS, Outcome.CANNOT_TELL


def entry(edition: str = "2023", **fields: str) -> TorqueAnswer:
    """One terminal of the new breaker."""
    told = {"tool": '"ins-3t"', "on": "2026-06-01", "terminal": '"load"', "who": '"J. R."', "nothing_marked": "true",
            **fields}  # fmt: skip
    lines = "\n".join(f"{key} = {value}" for key, value in told.items() if value)
    result = answered(f'[[work.add.torques]]\nid = "tq-1a"\nthing = "b-1aa"\n{lines}\n', edition=edition)
    return next(each for each in result.torques if each.id == "tq-1a")


@pytest.mark.parametrize(
    ("size", "screw", "target"),
    # Annex I, Table I.1 (two public copies): slotted and split-bolt columns
    [("12", "slotted narrow", 20), ("10", "slotted wide", 35), ("8", "slotted narrow", 25), ("6", "slotted wide", 45),
     ("4", "hex split bolt", 165), ("2", "slotted wide", 50), ("2/0", "hex other", 180), ("4/0", "hex split bolt", 500),
     ("250", "hex other", 325)],
)  # fmt: skip
def test_targets_by_the_table(size: str, screw: str, target: int) -> None:
    found = entry(size=f'"{size}"', screw=f'"{screw}"', applied_lbf_in=str(target))
    assert found.target is not None and found.target.value.low == target
    assert found.outcome is (MEETS if 20 <= target <= 80 else TELL)  # the driver goes from 20 to 80 lbf-in


def test_no_figure_where_the_table_prints_none() -> None:
    assert entry(size='"1"', screw='"slotted narrow"', applied_lbf_in="35").outcome is TELL


def test_the_marking_goes_before_the_table() -> None:
    marked = entry(marked_lbf_in="36", size='"12"', screw='"slotted narrow"', applied_lbf_in="36")
    assert (marked.outcome, marked.target and marked.target.value.low) == (MEETS, 36)
    assert entry(marked_lbf_in="36", applied_lbf_in="34").say.key == "commission.torque.low"
    assert entry(marked_lbf_in="36", applied_lbf_in="45").say.key == "commission.torque.high"
    assert entry(applied_lbf_in="36").outcome is TELL
    assert entry(marked_lbf_in="36").outcome is TELL


def test_the_table_counts_only_where_nothing_is_marked() -> None:
    assert entry(size='"12"', screw='"slotted narrow"', applied_lbf_in="20", nothing_marked="").outcome is TELL
    # Annex I, Table I.3 (two public copies): a 5/32 in socket asks 100 lbf-in, a 5/16 in one 275
    for across, target in (("5/32", 100), ("5/16", 275)):
        found = entry(screw='"socket"', socket_in=f'"{across}"', applied_lbf_in=str(target))
        assert found.target is not None and found.target.value.low == target


def test_nobody_and_nowhere_is_no_pass() -> None:
    good = {"marked_lbf_in": "36", "applied_lbf_in": "36"}
    assert entry(**good, who="").outcome is TELL
    assert entry(**good, terminal="").outcome is TELL


def test_a_terminal_made_anew_stands_for_itself_and_one_line_is_not_all() -> None:
    def line(ident: str, applied: int) -> str:
        return (f'[[work.add.torques]]\nid = "{ident}"\nthing = "b-1aa"\nterminal = "load"\nmarked_lbf_in = 35\n'
                f'applied_lbf_in = {applied}\ntool = "ins-3t"\nwho = "J. R."\non = 2026-06-01\n')  # fmt: skip

    result = answered(line("tq-1a", 20), line("tq-2b", 35))
    own = [each for each in result.torques if each.thing == "b-1aa"]
    assert [each.outcome for each in own if each.id] == [MEETS]
    assert [each.outcome for each in own if not each.id] == [TELL]  # hot, neutral and ground: three terminals


def test_the_tool() -> None:
    good = {"marked_lbf_in": "36", "applied_lbf_in": "36"}
    assert entry(**good, tool="").outcome is TELL
    assert entry(**good, on="2027-03-01").outcome is TELL  # out of calibration
    assert entry(**good, on="").outcome is TELL
    assert entry(marked_lbf_in="250", applied_lbf_in="250").outcome is TELL  # beyond the driver


def test_the_rule_is_cited_from_2017_on() -> None:
    good = {"marked_lbf_in": "36", "applied_lbf_in": "36"}
    assert entry("2014", **good).cites == ()
    assert {cite.section for cite in entry("2017", **good).cites} == {"110.14(D)"}


def test_calibration_ends_on_the_same_day_of_a_later_month() -> None:
    tool = Instrument.model_validate({"id": "ins-9x", "kind": "torque tool", "calibrated_on": "2025-08-31",
                                      "calibration_months": 6})  # fmt: skip
    assert str(until(tool)) == "2026-02-28"


VISUAL = {"tight": "yes", "no_debris": "yes", "covers_ready": "yes", "marked": "yes", "directory": "yes"}
TORQUE = "".join(
    f"""
[[work.add.torques]]
id = "tq-{number}a"
thing = "b-1aa"
terminal = "{terminal}"
marked_lbf_in = 36
applied_lbf_in = 36
tool = "ins-3t"
who = "J. R."
on = 2026-06-01
"""
    for number, terminal in enumerate(("load", "neutral", "ground"), start=1)
)


def test_the_sequence_waits_and_stops() -> None:
    states = {each.key: each.state for each in answered().sequence}
    assert states["dead"] == "next"
    assert {state for key, state in states.items() if key != "dead"} == {"waits"}
    dead = {"proved_before": "yes", **dict.fromkeys(("l1_l2", "l1_n", "l2_n", "l1_g", "l2_g", "n_g"), "0"),
            "proved_after": "yes"}  # fmt: skip
    done = (TORQUE, record("visual", "p-1aa", VISUAL), record("dead", "p-1aa", dead, ident="rec-2b"))
    states = {each.key: each.state for each in answered(*done).sequence}
    assert (states["dead"], states["inspected"], states["breakers_open"]) == ("done", "done", "next")
    opened = record("breakers_open", "p-1aa", {"all_open": "yes", "loads_off": "yes"}, ident="rec-3c")
    states = {each.key: each.state for each in answered(*done, opened).sequence}
    assert (states["breakers_open"], states["dead_tests"]) == ("done", "next")
    live = {**dead, "l1_n": "120"}
    stopped = answered(TORQUE, record("visual", "p-1aa", VISUAL), record("dead", "p-1aa", live, ident="rec-2b"))
    states = {each.key: each.state for each in stopped.sequence}
    assert states["dead"] == "stopped"
    assert {states[key] for key in ("inspected", "utility_on", "main_closed", "neutral")} == {"stopped"}


def test_nothing_is_done_where_nothing_was_recorded() -> None:
    assert all(each.state != "done" for each in answered().sequence)
