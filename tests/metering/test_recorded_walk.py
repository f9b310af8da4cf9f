"""The walk from its records: one line a channel decides every channel; what is wired wrong is found.

Expected verdicts: independent; the readings are made by Kirchhoff's law from the wiring, not by the proof.
"""

from __future__ import annotations

import random

from deadfront.codebook import open_book
from deadfront.job.house import house_at
from deadfront.job.record_things import Record
from deadfront.metering.rules.proof_plan import proof_plan
from deadfront.metering.rules.recorded_walk import STEP, WalkLine, steps_of, walk_lines
from deadfront.metering.rules.steps import proof
from deadfront.results.proof import Conductor, ProofPlan
from tests.metering.metered import GOOD, job

BRANCHES, LOAD_W, SHOWN_W = 22, 1500, 1480


def metered(count: int = BRANCHES) -> ProofPlan:
    """A panel with so many metered 120 V circuits and the mains on both legs."""
    breakers = [{"id": f"b-x{i:02d}", "panel": "p-aa1", "spaces": [i + 1], "rating_a": 20, "poles": 1}
                for i in range(count)]  # fmt: skip
    circuits = [{"id": f"c-x{i:02d}", "name": f"Circuit {i + 1}", "breaker": f"b-x{i:02d}"} for i in range(count)]
    channels = [{**GOOD, "id": f"ch-x{i:02d}", "input": str(i + 1), "measures": f"c-x{i:02d}", "leg": leg_of(i + 1),
                 "voltage_leg": leg_of(i + 1)} for i in range(count)]  # fmt: skip
    channels += [{**GOOD, "id": f"ch-m{n}", "input": f"M{n}", "measures": "service", "role": "mains", "leg": f"L{n}",
                  "voltage_leg": f"L{n}", "rating_a": 200, "primary_a": 200, "set_primary_a": 200}
                 for n in (1, 2)]  # fmt: skip
    made = job(channels, breakers=breakers, circuits=circuits)
    return proof_plan(open_book("2023"), house_at(made))


def leg_of(space: int) -> str:
    """Rows of a panel alternate: spaces 1 and 2 on L1, 3 and 4 on L2."""
    return "L1" if (space + 1) // 2 % 2 else "L2"


def walked(plan: ProofPlan, wired: dict[str, Conductor] | None = None, turned: tuple[str, ...] = ()) -> list[Record]:
    """Records of a walk: every channel shows the loads of what its CT really sits on, plus a load of its own."""
    chance, records = random.Random(7), []
    idle = {each.channel.id: chance.randint(5, 60) for each in walk_lines(plan)}
    sits = {each.channel.id: each.channel.conductor for each in walk_lines(plan)} | (wired or {})

    def shows(channel: str, line: WalkLine) -> int:
        path = plan.paths[Conductor(line.circuit, line.legs[0])]
        return (-SHOWN_W if channel in turned else SHOWN_W) if sits[channel] in path else 0

    for line in walk_lines(plan):
        own, beside = line.channel.id, line.beside
        read = {"watts": str(LOAD_W), "circuit": line.circuit, "beside": beside, "off": str(idle[own]),
                "on": str(idle[own] + shows(own, line)),
                "meanwhile": str(idle[beside] + shows(beside, line))}  # fmt: skip
        records.append(Record(id=f"rec-{own[3:]}a", test=STEP, thing=own, readings=read))
    return records


def verdicts(plan: ProofPlan, records: list[Record]) -> dict[str, str]:
    steps, wrong = steps_of(plan, records)
    assert not wrong
    return {each.channel: each.key for each in proof(plan, steps)}


def test_one_line_a_channel_proves_all_twenty_four() -> None:
    plan = metered()
    lines = walk_lines(plan)
    assert len(lines) == BRANCHES + 2 and {each.channel.id for each in lines} == {each.id for each in plan.channels}
    assert all(each.beside and each.beside != each.channel.id for each in lines)
    assert set(verdicts(plan, walked(plan)).values()) == {"right"}


def test_a_turned_transformer_is_found_and_no_other_blamed() -> None:
    plan = metered()
    found = verdicts(plan, walked(plan, turned=("ch-x05",)))
    assert found.pop("ch-x05") == "negative" and set(found.values()) == {"right"}


def test_two_swapped_transformers_do_not_pass() -> None:
    plan = metered()
    swapped = {"ch-x04": Conductor("c-x05", "L1"), "ch-x05": Conductor("c-x04", "L1")}
    assert leg_of(5) == leg_of(6) == "L1"
    found = verdicts(plan, walked(plan, swapped))
    assert found["ch-x04"] != "right" and found["ch-x05"] != "right"
    assert {key for each, key in found.items() if each not in swapped} <= {"right", "place_unsure"}, (
        "no other is blamed"
    )


def test_a_line_not_understood_is_said_and_the_others_stand() -> None:
    plan = metered(4)
    records = walked(plan)
    bad = records[0].model_copy(update={"readings": {**records[0].readings, "on": "1480 V"}})
    steps, wrong = steps_of(plan, [bad, *records[1:]])
    assert set(wrong) == {records[0].thing} and len(steps) == len(records) - 1


def test_lines_not_read_yet_are_no_steps() -> None:
    plan = metered(4)
    assert steps_of(plan, [Record(id="rec-1aa", test=STEP, thing="ch-x00", readings={"off": "3"})]) == ((), {})
