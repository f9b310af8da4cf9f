"""What a walk found is offered and kept: whose conductor, which leg, in a job file and in a library."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from deadfront.app.answers import answer
from deadfront.app.library import Desk
from deadfront.app.metering import walk_proof, walk_rows
from deadfront.app.walk_keeping import kept_text, offers
from deadfront.cli.ending import Ending
from deadfront.cli.root import run
from deadfront.errors import NotAllowed
from deadfront.job.house import house_at
from deadfront.job.model import Job
from deadfront.job.read import read_job
from deadfront.job.write import write_job
from deadfront.results.proof import Conductor
from deadfront.store.library import open_library
from tests.metering.metered import CATALOGS, GOOD, job

SECOND = GOOD | {"id": "ch-aa2", "input": "4", "measures": "c-kk2", "leg": "L2", "voltage_leg": "L2",
                 "name": "Hall lights"}  # fmt: skip
EXCHANGED = """circuit,watts,clamp_a,channel,before_w,after_w
Kitchen counter,1500,12.5,ch-aa1,0,0
,,,ch-aa2,0,-1500
Hall lights,1200,10,ch-aa1,0,-1200
,,,ch-aa2,0,0
Water heater,4500,18.8,ch-aa1,0,0
,,,ch-aa2,0,0
"""


def channels_of(made: Job) -> dict[str, tuple[str | None, str | None, str | None]]:
    return {each.id: (each.measures, each.leg, each.name) for each in house_at(made, None).house.channels}


WANTED = {"ch-aa1": ("c-kk2", "L2", None), "ch-aa2": ("c-kk1", "L1", "Kitchen counter")}
"""Both on the circuit of the other; the name that was a circuit's goes with it."""


@pytest.mark.parametrize("new", [True, False], ids=["new work", "as found"])
def test_what_was_found_elsewhere_is_offered_and_kept(new: bool) -> None:
    made = job([GOOD, SECOND], new=new)
    answered = answer(made)
    verdicts = walk_proof(answered, walk_rows(EXCHANGED))
    assert [each.key for each in verdicts] == ["exchanged", "exchanged"]
    offered = offers(answered, verdicts)
    assert [each.found for each in offered] == [Conductor("c-kk2", "L2"), Conductor("c-kk1", "L1")]
    for catalog in CATALOGS:
        assert "Hall lights" in catalog.say(offered[0].say) and "{" not in catalog.say(offered[0].say)
    after = read_job(kept_text(write_job(made), answered, offered)).job
    assert channels_of(after) == WANTED
    assert {each.origin for each in after.origins} == {"measured"} and len(after.origins) == 4
    # kept, the same walk finds nothing more to keep, and nobody exchanged
    again = walk_proof(answer(after), walk_rows(EXCHANGED))
    assert offers(answer(after), again) == () and "exchanged" not in {each.key for each in again}


def test_a_channel_of_no_conductor_is_given_one_and_then_reads_right() -> None:
    bare = {key: value for key, value in GOOD.items() if key not in ("measures", "leg")}
    walk = walk_rows("""circuit,watts,clamp_a,channel,before_w,after_w
Kitchen counter,1500,12.5,ch-aa1,0,1500
Hall lights,1200,10,ch-aa1,0,0
Water heater,4500,18.8,ch-aa1,0,0
""")
    made = job([bare])
    (offer,) = offers(answer(made), walk_proof(answer(made), walk))
    after = read_job(kept_text(write_job(made), answer(made), [offer])).job
    assert channels_of(after) == {"ch-aa1": ("c-kk1", "L1", None)}
    assert [each.key for each in walk_proof(answer(after), walk)] == ["right"]


def test_what_is_right_or_not_decided_offers_nothing() -> None:
    made = job([GOOD, SECOND])
    for walk in (EXCHANGED.split("Hall")[0], EXCHANGED.replace("0,-1500", "0,0").replace("0,-1200", "0,0")):
        assert offers(answer(made), walk_proof(answer(made), walk_rows(walk))) == ()


def test_what_a_step_of_the_work_sets_is_not_kept_under_it() -> None:
    made = job([GOOD, SECOND], new=False)
    step = made.work[0].model_copy(update={"set": {"ch-aa1": {"measures": "c-kk1"}, "ch-aa2": {"measures": "c-kk2"}}})
    made = made.model_copy(update={"work": (step,)})
    answered = answer(made)
    offered = offers(answered, walk_proof(answered, walk_rows(EXCHANGED)))
    with pytest.raises(NotAllowed) as refused:
        kept_text(write_job(made), answered, offered)
    assert refused.value.msg.key == "proof.keep.by_work"
    assert replace(offered[0], edits=()) != offered[0]


def written(tmp_path: Path, *channels: dict[str, Any]) -> tuple[Path, Path]:
    (path := tmp_path / "elm.toml").write_text(write_job(job(list(channels))), encoding="utf-8")
    (walk := tmp_path / "walk.csv").write_text(EXCHANGED, encoding="utf-8")
    return path, walk


def test_the_command_offers_and_keeps_in_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, walk = written(tmp_path, GOOD, SECOND)
    before = path.read_bytes()
    assert run(["metering", str(path), "--steps", str(walk)]) == Ending.TO_CORRECT
    assert "--keep" in capsys.readouterr().out and path.read_bytes() == before, "offered is not kept"
    assert run(["metering", str(path), "--steps", str(walk), "--keep"]) == Ending.TO_CORRECT
    assert "Kept in the job" in capsys.readouterr().out
    assert channels_of(read_job(path.read_text("utf-8")).job) == WANTED
    run(["metering", str(path), "--steps", str(walk), "--keep"])
    assert "Nothing to keep" in capsys.readouterr().out
    assert run(["metering", str(path), "--keep"]) == Ending.WRONG_USE


def test_the_command_keeps_in_a_library_as_a_revision(tmp_path: Path) -> None:
    path, walk = written(tmp_path, GOOD, SECOND)
    store = tmp_path / "library.db"
    with open_library(store) as shelf:
        ident = Desk(shelf).import_job(path).job_id
    assert run(["metering", ident, "--steps", str(walk), "--keep", "--library", str(store)]) == Ending.TO_CORRECT
    with open_library(store) as shelf:
        opened = Desk(shelf).open_job(ident)
    assert channels_of(opened.job) == WANTED and opened.revision == 2


def test_a_folder_is_refused(tmp_path: Path) -> None:
    from deadfront.app.walk_keeping import keep_in_file

    made = job([GOOD, SECOND])
    offered = offers(answer(made), walk_proof(answer(made), walk_rows(EXCHANGED)))
    with pytest.raises(NotAllowed):
        keep_in_file(tmp_path, answer(made), offered)
