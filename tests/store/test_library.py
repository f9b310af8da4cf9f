"""Revisions are only added, stale saves refused, and what was kept comes back as it was."""

from __future__ import annotations

import multiprocessing
import subprocess
import sys
from datetime import datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
import sqlalchemy as sa

from deadfront.errors import NotAllowed, NotFound, StaleEdit
from deadfront.msg import said
from deadfront.quantities import Interval
from deadfront.store.library import Library, open_library
from deadfront.store.rows import AskedResult, Issue, text_hash
from deadfront.store.said import from_json, msg_from_json, to_json
from deadfront.store.trouble import LibraryDamaged, StaleRevision
from tests.store.helping import NOON, new_job, parsed, save


def test_a_new_job_has_revision_1(library: Library) -> None:
    assert library.jobs() == []
    job = new_job(library, text="a = 1 # µ\n")
    head = library.head(job)
    assert (head.number, head.text, head.json) == (1, "a = 1 # µ\n", parsed())
    assert (head.row.parent, head.row.kind, head.row.who, head.row.at) == (None, "create", "J. R.", NOON)
    assert head.row.sha256 == text_hash(head.text)
    assert [(row.id, row.name, row.revision, row.status) for row in library.jobs()] == [
        (job, "14 Hollow Creek Rd", 1, "open")
    ]


def test_every_save_stays_readable(library: Library) -> None:
    job = new_job(library)
    for base in range(1, 6):
        assert save(library, job, base, f"text {base + 1}") == base + 1
    assert [library.revision(job, n).text for n in range(1, 7)] == ["first"] + [f"text {n}" for n in range(2, 7)]
    assert [row.number for row in library.history(job)] == [6, 5, 4, 3, 2, 1]
    assert library.history(job)[0].edits == [{"path": "before/p-k3m.bus_a", "value": "200"}]
    assert library.check() == []


def test_the_job_list_shows_the_last_changed_first_under_its_present_name(library: Library) -> None:
    new_job(library, "j-aa")
    new_job(library, "j-bb")
    library.save(
        "j-aa", 1, "x", parsed("16 Hollow Creek Rd"), kind="edit", say=said("x"), edits=[], touched=[], who="",
        at=NOON + timedelta(days=1),
    )  # fmt: skip
    assert [(row.id, row.name) for row in library.jobs()] == [
        ("j-aa", "16 Hollow Creek Rd"), ("j-bb", "14 Hollow Creek Rd"),
    ]  # fmt: skip


def test_a_stale_save_is_refused_and_says_what_changed_since(library: Library) -> None:
    job = new_job(library)
    save(library, job, 1, "second", touched=["before/p-k3m.bus_a"])
    save(library, job, 2, "third", touched=["before/l-2xf.nameplate_w", "before/p-k3m.bus_a"])
    with pytest.raises(StaleEdit) as refused:
        save(library, job, 1, "mine")
    assert isinstance(refused.value, StaleRevision)
    assert (refused.value.base, refused.value.current) == (1, 3)
    assert refused.value.touched == ("before/p-k3m.bus_a", "before/l-2xf.nameplate_w")
    assert [row.number for row in library.history(job)] == [3, 2, 1]


def test_a_base_from_the_future_is_refused(library: Library) -> None:
    job = new_job(library)
    with pytest.raises(StaleEdit):
        save(library, job, 7, "mine")


def test_only_an_open_job_takes_saves(library: Library) -> None:
    job = new_job(library)
    library.mark(job, "closed", at=NOON)
    with pytest.raises(NotAllowed, match="store.job.not_open"):
        save(library, job, 1, "x")
    library.mark(job, "deleted", at=NOON)
    assert library.jobs() == []
    assert [row.status for row in library.jobs(deleted=True)] == ["deleted"]
    assert library.head(job).text == "first"
    library.mark(job, "open", at=NOON)
    assert save(library, job, 1, "x") == 2


def test_a_job_that_follows_closes_the_one_before_and_takes_its_attachments(library: Library) -> None:
    new_job(library, "j-aa")
    digest = library.attach("j-aa", b"label", "text/plain", "ph-31")
    more = {"who": "", "at": NOON, "say": said("x")}
    with pytest.raises(StaleRevision):
        library.create("x", parsed(), job_id="j-bb", follows=("j-aa", 2), **more)
    own = [("ph-32", "text/plain", b"own")]
    library.create("x", parsed(), job_id="j-bb", follows=("j-aa", 1), attachments=own, **more)
    assert {row.id: (row.status, row.follows) for row in library.jobs()} == {
        "j-aa": ("closed", None), "j-bb": ("open", "j-aa"),
    }  # fmt: skip
    assert [row.name for row in library.attachments("j-bb")] == ["ph-31", "ph-32"]
    assert library.attachments("j-bb")[0].hash == digest
    with pytest.raises(NotAllowed, match="not_open"):
        library.create("x", parsed(), job_id="j-cc", follows=("j-aa", 1), **more)


def test_a_job_with_an_attachment_that_cannot_be_kept_is_not_made(library: Library) -> None:
    bad = [("fine", "text/plain", b"x"), ("../x", "text/plain", b"y")]
    with pytest.raises(NotAllowed, match="bad_name"):
        library.create("x", parsed(), job_id="j-aa", who="", at=NOON, say=said("x"), attachments=bad)
    assert library.jobs() == []


def test_what_is_not_there_is_said(library: Library) -> None:
    job = new_job(library)
    for call in (
        lambda: library.head("j-zz"), lambda: library.history("j-zz"), lambda: library.revision(job, 2),
        lambda: save(library, "j-zz", 1, "x"), lambda: library.attachment("0" * 64), lambda: library.job("j-zz"),
        lambda: library.attach("j-zz", b"x", "text/plain"), lambda: library.mark("j-zz", "closed", at=NOON),
        lambda: library.attachment_named(job, "ph-31"), lambda: library.attachments("j-zz"),
        lambda: library.issues("j-zz"),
    ):  # fmt: skip
        with pytest.raises(NotFound):
            call()
    with pytest.raises(NotAllowed, match="store.job.id_taken"):
        new_job(library, job)


def test_a_time_without_a_zone_is_a_fault_of_the_caller(library: Library) -> None:
    with pytest.raises(ValueError, match="zone"):
        library.create("x", parsed(), job_id="j-cc", who="", at=datetime(2026, 5, 12), say=said("x"))
    assert library.jobs() == []


@pytest.mark.parametrize("size", [0, 10, 300_000])  # the last is past what a row keeps: it stands in a file
def test_attachments_come_back_by_hash_and_by_name(library: Library, size: int) -> None:
    job, data = new_job(library), bytes(i % 251 for i in range(size))
    digest = library.attach(job, data, "text/csv", "rec-1")
    assert library.attach(job, data, "text/csv", "rec-1") == digest
    assert (library.attachment(digest).data, library.attachment(digest).media) == (data, "text/csv")
    assert library.attachment_named(job, "rec-1").data == data
    assert [(row.name, row.size) for row in library.attachments(job)] == [("rec-1", size)]
    assert library.shelf().path(digest).exists() == (size == 300_000)


def test_a_name_stands_for_one_attachment(library: Library) -> None:
    job = new_job(library)
    library.attach(job, b"one", "text/plain", "note")
    with pytest.raises(NotAllowed, match="name_taken"):
        library.attach(job, b"two", "text/plain", "note")
    for name in ("", "../x", "a/b", ".hidden", "a" * 65, "a.b"):
        with pytest.raises(NotAllowed, match="bad_name"):
            library.attach(job, b"x", "text/plain", name)


def test_a_changed_file_of_an_attachment_is_noticed(library: Library) -> None:
    digest = library.attach(new_job(library), b"x" * 300_000, "text/csv")
    library.shelf().path(digest).write_bytes(b"y" * 300_000)
    with pytest.raises(LibraryDamaged, match="store.attachment.damaged"):
        library.attachment(digest)
    library.shelf().path(digest).unlink()
    with pytest.raises(LibraryDamaged, match="store.attachment.damaged"):
        library.attachment(digest)


def test_issued_records_are_kept_as_signed(library: Library) -> None:
    job = new_job(library)
    first = Issue(job, 1, NOON, "J. R.", "EL-0417", "c" * 64, "0.1.0", "d" * 64, {"load.total": "148.3 A"}, "en")
    second = Issue(job, 1, NOON, "J. R.", "EL-0417", "c" * 64, "0.2.0", "e" * 64, {"load.total": "149.0 A"}, "es")
    library.issue(first)
    library.issue(second)
    assert library.issues(job) == [second, first]
    with pytest.raises(NotFound):
        library.issue(Issue(job, 2, NOON, "", "", "", "", "", {}, "en"))


def test_asked_results_are_found_by_their_input_and_engine(library: Library) -> None:
    job = new_job(library)
    old = AskedResult("layout", "a" * 64, "0.1.0", job, NOON, {"gap": "0"})
    new = AskedResult("layout", "b" * 64, "0.1.0", job, NOON + timedelta(hours=1), {"gap": "2 %"})
    for result in (old, new, old):
        library.put_result(result)
    assert library.get_result("layout", "a" * 64, "0.1.0") == old
    assert library.get_result("layout", "a" * 64, "0.2.0") is None
    assert library.last_result(job, "layout") == new
    assert library.last_result(job, "shedding") is None


def test_preferences(library: Library) -> None:
    assert library.get_preference("edition", "2023") == "2023"
    library.set_preference("edition", "2020")
    library.set_preference("edition", {"columns": ["time", "kw"]})
    assert library.get_preference("edition") == {"columns": ["time", "kw"]}


def test_a_message_comes_back_as_it_was() -> None:
    msg = said(
        "a.b", n=3, yes=True, none=None, d=Decimal("1.50"), f=0.1, i=Interval(Decimal(1), None), day=NOON.date(),
        inner=said("c", x="y"), many=("a", said("d")), table={"low": 1, "k": Decimal(2)},
    )  # fmt: skip
    assert msg_from_json(to_json(msg)) == msg
    assert from_json(to_json(frozenset({"b", "a"}))) == ("a", "b")
    with pytest.raises(TypeError, match="bytes"):
        to_json(said("x", data=b""))
    with pytest.raises(TypeError):
        msg_from_json("x")


def test_an_altered_text_is_noticed(library: Library) -> None:
    job = new_job(library)
    save(library, job, 1, "second")
    with library.writing() as connection:
        connection.execute(sa.text("UPDATE revisions SET toml = 'sec0nd' WHERE number = 2"))
    assert library.revision(job, 1).text == "first"
    with pytest.raises(LibraryDamaged, match="store.revision.damaged"):
        library.head(job)
    assert [found.key for found in library.check()] == ["store.check.text"]
    with library.writing() as connection:
        connection.execute(sa.text("DELETE FROM revisions WHERE number = 2"))
    assert [found.key for found in library.check()] == ["store.check.gap"]


def _save_one(path: str, base: int, text: str, barrier: object, outcome: object) -> None:
    with open_library(Path(path)) as library:
        barrier.wait()  # type: ignore[attr-defined]
        try:
            outcome.put(("saved", save(library, "j-aa", base, text)))  # type: ignore[attr-defined]
        except StaleRevision as stale:
            outcome.put(("stale", stale.current))  # type: ignore[attr-defined]


@pytest.mark.skipif(sys.platform == "win32", reason="needs fork")
def test_of_two_programs_saving_at_once_one_is_refused(library: Library) -> None:
    new_job(library)
    fork = multiprocessing.get_context("fork")
    for base in range(1, 9):
        barrier, outcome = fork.Barrier(2), fork.Queue()
        given = [(str(library.path), base, f"{base} by {who}", barrier, outcome) for who in ("A", "B")]
        programs = [fork.Process(target=_save_one, args=each) for each in given]
        for program in programs:
            program.start()
        found = sorted(outcome.get(timeout=20) for _ in programs)
        for program in programs:
            program.join(20)
        assert found == [("saved", base + 1), ("stale", base + 1)]
    assert [row.number for row in library.history("j-aa")] == list(range(9, 0, -1))
    assert library.check() == []


def test_nothing_of_the_database_is_imported_before_a_library_is_opened() -> None:
    code = (
        "import sys, deadfront.store.library, deadfront.store.archive, deadfront.store.photos\n"
        "print([m for m in ('sqlalchemy', 'alembic', 'pydantic') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_opening_an_up_to_date_library_does_not_import_alembic(tmp_path: Path) -> None:
    code = (
        "import sys, pathlib; from deadfront.store.library import open_library\n"
        "open_library(pathlib.Path(sys.argv[1])).close(); print('alembic' in sys.modules)"
    )
    command = [sys.executable, "-c", code, str(tmp_path / "deep" / "library.db")]
    found = [subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip() for _ in range(2)]
    assert found == ["True", "False"]  # the first makes the schema
