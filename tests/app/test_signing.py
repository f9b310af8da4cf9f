"""Signing freezes; looking again lists what changed. Closing makes the house after the work the next house found."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from deadfront.app.answers import Answered, answer, shares, sign
from deadfront.app.library import Desk
from deadfront.app.signing import ChangedAnswer, NotSignable, changed_answers, digest_of
from deadfront.assess import Standing
from deadfront.documents.catalog import Catalog
from deadfront.errors import NotAllowed, NotFound, StaleEdit
from deadfront.job.house import house_at
from deadfront.msg import said
from tests.app.desk import HOUSE, house_job, set_bus
from tests.cli.conftest import FULL

WHO = {"signer": "J. R.", "license": "EL-0417"}
READY = Standing(0, 0, said("standing.next.sign"), "", True)


def answered(desk: Desk, job_id: str, standing: Standing = READY) -> Answered:
    """The job's answers, with another standing before a signature: the small house itself lacks facts."""
    return replace(answer(desk.open_job(job_id).job), standing=standing)


def test_signing_and_looking_again(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    ready = answered(desk, job_id)
    book = ready.assessment.book.digest
    assert desk.reopened(job_id, ready.told, book) is None
    record = desk.issue(job_id, 1, language="es", answered=ready, **WHO)
    assert desk.library.issues(job_id) == [record]
    assert (record.revision, record.language, record.result_digest) == (1, "es", digest_of(ready.told))
    same = desk.reopened(job_id, dict(reversed(ready.told.items())), book)
    assert same is not None and same.stands
    assert (same.revisions_since, same.codebook_changed, same.engine_changed) == (0, False, False)
    desk.apply(job_id, 1, [set_bus(200)])
    now = {**ready.told, "relied": "existing", "sources.bus": "cannot tell"}
    gone = next(key for key in now if key.startswith("check."))
    was = now.pop(gone)
    again = desk.reopened(job_id, now, "d" * 64)
    assert again is not None and not again.stands and again.codebook_changed and again.revisions_since == 1
    assert again.changed == (
        ChangedAnswer("relied", ready.told["relied"], "existing"),
        ChangedAnswer(gone, was, None),
        ChangedAnswer("sources.bus", None, "cannot tell"),
    )


def test_only_what_was_looked_at_is_signed(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    desk.apply(job_id, 1, [set_bus(200)])
    with pytest.raises(StaleEdit):
        desk.issue(job_id, 1, answered=answered(desk, job_id), **WHO)
    for blank in ({"signer": " "}, {"license": ""}):
        with pytest.raises(NotAllowed, match="app.issue.signer"):
            desk.issue(job_id, 2, answered=answered(desk, job_id), **(WHO | blank))
    with pytest.raises(NotFound):
        desk.issue("j-zz", 1, answered=answered(desk, job_id), **WHO)
    assert desk.library.issues(job_id) == []


def test_what_is_barred_is_never_signed(desk: Desk, tmp_path: Path) -> None:
    """Not by the use case, not by the desk itself, not with answers of another text, not with a file half read."""
    job_id = house_job(desk, tmp_path)
    other = answered(desk, job_id)
    with pytest.raises(NotSignable, match="app.issue.barred") as refused:
        sign(desk, job_id, 1, **WHO)
    told = Catalog("en", strict=True).say(refused.value.msg)
    assert "to find out. Next: " in told
    with pytest.raises(NotSignable, match="app.issue.barred"):
        desk.issue(job_id, 1, answered=answer(desk.open_job(job_id).job), **WHO)
    desk.apply(job_id, 1, [set_bus(200)])
    with pytest.raises(NotSignable, match="app.issue.other"):
        desk.issue(job_id, 2, answered=other, **WHO)
    torn = house_job(desk, tmp_path, HOUSE.replace("nameplate_a = 32", "nameplate_a = = 32"))
    with pytest.raises(NotSignable, match="app.issue.file"):
        desk.issue(torn, 1, answered=answered(desk, torn), **WHO)
    assert desk.library.issues(job_id) == [] == desk.library.issues(torn)


def test_a_job_with_every_fact_is_signed_with_its_own_answers(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path, FULL)
    record = sign(desk, job_id, 1, signer=" J. R. ", license="EL-0417")
    assert (record.who, record.answers) == ("J. R.", dict(answer(desk.open_job(job_id).job).told))


def test_shares_are_of_the_step_asked_for(desk: Desk, tmp_path: Path) -> None:
    """As found there is the range; after the work it is out and the charger is in."""
    job = desk.open_job(house_job(desk, tmp_path)).job
    assert {share.load for share in shares(job, at="before")} == {"l-2xf"}
    assert {share.load for share in shares(job)} == {"l-5rt"}


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
