"""Signing freezes; looking again lists what changed. Closing makes the house after the work the next house found."""

from __future__ import annotations

from pathlib import Path

import pytest

from deadfront.app.library import Desk
from deadfront.app.signing import ChangedAnswer, changed_answers, digest_of
from deadfront.errors import NotAllowed, NotFound, StaleEdit
from deadfront.job.house import house_at
from tests.app.desk import HOUSE, house_job, set_bus

ANSWERS = {"load.total": "148.3 A", "load.fits": "meets", "panel.bus": "meets"}
SIGNED = {"signer": "J. R.", "license": "EL-0417", "answers": ANSWERS, "codebook_hash": "c" * 64}


def test_signing_and_looking_again(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    assert desk.reopened(job_id, ANSWERS, "c" * 64) is None
    record = desk.issue(job_id, 1, language="es", **SIGNED)  # type: ignore[arg-type]
    assert desk.library.issues(job_id) == [record]
    assert (record.revision, record.language, record.result_digest) == (1, "es", digest_of(ANSWERS))
    same = desk.reopened(job_id, dict(reversed(ANSWERS.items())), "c" * 64)
    assert same is not None and same.stands
    assert (same.revisions_since, same.codebook_changed, same.engine_changed) == (0, False, False)
    desk.apply(job_id, 1, [set_bus(200)])
    now = {"load.total": "150.1 A", "load.fits": "meets", "sources.bus": "cannot tell"}
    again = desk.reopened(job_id, now, "d" * 64)
    assert again is not None and not again.stands and again.codebook_changed and again.revisions_since == 1
    assert again.changed == (
        ChangedAnswer("load.total", "148.3 A", "150.1 A"),
        ChangedAnswer("panel.bus", "meets", None),
        ChangedAnswer("sources.bus", None, "cannot tell"),
    )


def test_only_what_was_looked_at_is_signed(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    desk.apply(job_id, 1, [set_bus(200)])
    with pytest.raises(StaleEdit):
        desk.issue(job_id, 1, **SIGNED)  # type: ignore[arg-type]
    for blank in ({"signer": " "}, {"license": ""}):
        with pytest.raises(NotAllowed, match="app.issue.signer"):
            desk.issue(job_id, 2, **(SIGNED | blank))  # type: ignore[arg-type]
    with pytest.raises(NotFound):
        desk.issue("j-zz", 1, **SIGNED)  # type: ignore[arg-type]
    assert desk.library.issues(job_id) == []


def test_the_digest_knows_every_answer() -> None:
    assert digest_of({"a": "1", "b": "2"}) == digest_of({"b": "2", "a": "1"})
    assert len({digest_of(d) for d in ({}, {"a": "1"}, {"a": "2"}, {"b": "1"}, {"a": "1", "b": ""})}) == 5
    assert changed_answers({}, {}) == ()


def test_closing(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    after = house_at(desk.open_job(job_id).job).house
    desk.attach(job_id, b"a,b\n", "text/csv", "rec-1")
    next_id = desk.close_job(job_id, "J. R.")
    opened = desk.open_job(next_id)
    assert opened.problems == ()
    assert opened.job.before == after
    assert [thing.id for thing in opened.job.before.loads] == ["l-5rt"]  # the range was taken out
    assert opened.job.before.breakers[0].spaces == (5, 7)  # moved by the work
    assert opened.job.work == () and opened.job.job.permit == "" and opened.job.job.existing is True
    house = house_at(opened.job)
    assert {tag.letter for tag in house.tags.values()} == {"E"}
    assert [(origin.of, origin.origin) for origin in opened.job.origins] == [
        ("before/b-0xe.spaces", "plans"),  # what the step said of it wins over what was seen before
        ("before/l-5rt.nameplate_a", "nameplate"),
    ]
    rows = {row.id: row for row in desk.library.jobs()}
    assert (rows[job_id].status, rows[next_id].follows) == ("closed", job_id)
    assert [row.name for row in desk.library.attachments(next_id)] == ["rec-1"]
    with pytest.raises(NotAllowed, match="not_open"):
        desk.close_job(job_id)
    with pytest.raises(NotAllowed, match="not_open"):
        desk.apply(job_id, 1, [set_bus(200)])
    assert desk.apply(next_id, 1, [set_bus(200)]) == 2


def test_a_job_whose_work_cannot_be_read_is_not_closed(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path, HOUSE.replace("nameplate_a = 32", "nameplate_a = = 32"))
    with pytest.raises(NotAllowed, match="app.close.unreadable_work"):
        desk.close_job(job_id)
    assert [row.status for row in desk.library.jobs()] == ["open"]


def test_an_unreadable_thing_as_found_goes_along(desk: Desk, tmp_path: Path) -> None:
    extra = '[[before.loads]]\nid = "l-bad"\nkind = = "dryer"\n\n[[work]]'
    job_id = house_job(desk, tmp_path, HOUSE.replace("[[work]]", extra, 1))
    opened = desk.open_job(desk.close_job(job_id))
    assert 'kind = = "dryer"' in opened.text and opened.job.before.complete.loads == "unknown"
    assert len(opened.kept) == 1
