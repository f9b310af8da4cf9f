"""What goes over into the next job when one is closed, and what stays behind."""

from __future__ import annotations

from deadfront.app.closing import next_text
from deadfront.job.read import read_job
from tests.commissioning.made_up import HEAD, record

TORQUE = """
[[work.add.torques]]
id = "tq-1a"
thing = "b-1aa"
applied_lbf_in = 36
"""


def test_tests_and_torques_stay_with_the_job_they_were_made_for() -> None:
    readings = {"l1_l2": "240", "l1_n": "120", "l2_n": "120"}
    text = HEAD.format(edition="2023", system="120/240 1ph 3w") + record("bus_voltage", "p-1aa", readings) + TORQUE
    old = read_job(text)
    assert old.job.work[0].add.records and old.job.work[0].add.torques
    following = read_job(next_text(old))
    assert not following.problems
    before = following.job.before
    assert (before.records, before.torques, following.job.work) == ((), (), ())
    assert [each.id for each in before.instruments] == ["ins-1m", "ins-2i", "ins-3t"]
    assert [each.id for each in before.circuits if each.id == "c-1aa"] == ["c-1aa"]
