"""A job goes out as a file and comes back the same; nothing unsafe comes in with it."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from deadfront.app.library import Desk
from deadfront.errors import DeadfrontError, JobUnreadable, NotAllowed, NotFound, UnsafeFile
from deadfront.store.files import bytes_hash
from deadfront.store.trouble import LibraryTrouble
from tests.app.desk import HOUSE, house_job
from tests.store.pictures import PLACE, jpeg, phone_jpeg, png
from tests.store.test_archive import zipped


@pytest.mark.parametrize("name", ["out.zip", "out"])
def test_out_and_back(desk: Desk, tmp_path: Path, name: str) -> None:
    job_id = house_job(desk, tmp_path)
    desk.attach(job_id, phone_jpeg(), "image/jpeg", "ph-31")
    desk.attach(job_id, png(), "image/png", "ph-32")
    desk.attach(job_id, b"time,kw\n" * 100_000, "text/csv", "rec-1")
    desk.export_job(job_id, tmp_path / name)
    back = desk.import_job(tmp_path / name, "A")
    assert (back.problems, back.kept, back.notes) == ((), (), ())
    assert back.job_id != job_id
    assert desk.open_job(back.job_id).text == HOUSE
    assert desk.library.attachments(back.job_id) == desk.library.attachments(job_id)
    assert desk.history(back.job_id)[0].say.params == {"file": name}
    desk.export_job(back.job_id, tmp_path / "again.zip")
    desk.export_job(back.job_id, tmp_path / "again.zip")  # takes the place of the old one


def test_an_earlier_revision_can_go_out(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    desk.apply(job_id, 1, [{"do": "set", "path": "job.name", "value": "Other"}])
    desk.export_job(job_id, tmp_path / "one.zip", 1)
    assert desk.open_job(desk.import_job(tmp_path / "one.zip").job_id).text == HOUSE
    with pytest.raises(NotFound):
        desk.export_job(job_id, tmp_path / "nine.zip", 9)
    assert not (tmp_path / "nine.zip").exists()


def test_where_a_job_cannot_go(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    (tmp_path / "used").mkdir()
    (tmp_path / "used" / "mine.txt").write_text("mine")
    (tmp_path / "folder.zip").mkdir()
    for name, key in {"a.rar": "ending", "used": "in_use", "folder.zip": "is_folder"}.items():
        with pytest.raises(NotAllowed, match=f"app.export.{key}"):
            desk.export_job(job_id, tmp_path / name)
    with pytest.raises(LibraryTrouble):
        desk.export_job(job_id, tmp_path / "used" / "mine.txt" / "a.zip")
    assert (tmp_path / "used" / "mine.txt").read_text() == "mine"


def test_photos_lose_their_place_on_the_way_in(desk: Desk, tmp_path: Path) -> None:
    files = {"job.toml": HOUSE.encode(), "attachments/ph-31.jpeg": phone_jpeg(), "notes.txt": b"not ours"}
    back = desk.import_job(zipped(tmp_path / "a.zip", files))
    data = desk.library.attachment_named(back.job_id, "ph-31").data
    assert PLACE not in data and data.startswith(b"\xff\xd8\xff")
    assert [(note.key, note.params) for note in back.notes] == [("app.import.ignored", {"name": "notes.txt"})]
    desk.export_job(back.job_id, tmp_path / "b.zip")
    with zipfile.ZipFile(tmp_path / "b.zip") as out:
        assert not any(PLACE in out.read(name) for name in out.namelist())


@pytest.mark.parametrize(
    ("file", "data", "key"),
    [
        ("attachments/ph-31.jpg", jpeg()[:-4], "store.photo.cut_short"),
        ("attachments/ph-31.jpg", b"GIF89a", "store.photo.kind"),
        ("attachments/ph-31.heic", b"x", "app.attachment.kind"),
        ("attachments/ph-31", b"x", "app.attachment.kind"),
        ("attachments/rec-1.csv", phone_jpeg(), "app.attachment.hidden_photo"),
        ("attachments/a b.csv", b"x", "store.attachment.bad_name"),
        ("attachments/deep/rec-1.csv", b"x", "store.attachment.bad_name"),
    ],
)
def test_attachments_that_are_refused_bring_no_job_with_them(
    desk: Desk, tmp_path: Path, file: str, data: bytes, key: str
) -> None:
    path = zipped(tmp_path / "a.zip", {"job.toml": HOUSE.encode(), "attachments/rec-0.csv": b"fine", file: data})
    with pytest.raises(UnsafeFile) as found:
        desk.import_job(path)
    assert found.value.msg.key == key
    assert desk.library.jobs() == []


def test_two_files_of_one_name(desk: Desk, tmp_path: Path) -> None:
    files = {"job.toml": HOUSE.encode(), "attachments/rec-1.csv": b"x", "attachments/rec-1.txt": b"y"}
    with pytest.raises(NotAllowed, match="name_taken"):
        desk.import_job(zipped(tmp_path / "a.zip", files))
    assert desk.library.jobs() == []


@pytest.mark.parametrize("name", ["../../etc/cron.d/x", "/etc/x"])
def test_paths_that_lead_out_write_nothing(desk: Desk, tmp_path: Path, name: str) -> None:
    with pytest.raises(UnsafeFile, match="store.archive.name"):
        desk.import_job(zipped(tmp_path / "a.zip", {"job.toml": HOUSE.encode(), name: b"x"}))
    assert desk.library.jobs() == [] and sorted(each.name for each in tmp_path.iterdir()) == ["a.zip", "library.db"]


def test_a_job_with_unreadable_blocks_comes_in_whole(desk: Desk, tmp_path: Path) -> None:
    broken = HOUSE.replace("nameplate_w = 12000", "nameplate_w = = 12000")
    back = desk.import_job(zipped(tmp_path / "a.zip", {"job.toml": broken.encode()}))
    assert back.problems and back.kept
    opened = desk.open_job(back.job_id)
    assert opened.text == broken and opened.problems == back.problems
    assert opened.job.before.complete.loads == "unknown"
    desk.apply(back.job_id, 1, [{"do": "set", "path": "before/p-k3m.bus_a", "value": 200}])
    assert "nameplate_w = = 12000" in desk.open_job(back.job_id).text
    desk.export_job(back.job_id, tmp_path / "b.zip")
    assert desk.open_job(desk.import_job(tmp_path / "b.zip").job_id).kept == opened.kept


def test_what_is_no_job_is_refused(desk: Desk, tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("what = 1\n")
    (tmp_path / "b.toml").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "c.toml").write_bytes(b"x" * 10_000_001)
    (tmp_path / "d.txt").write_text(HOUSE)
    (tmp_path / "e.zip").write_text(HOUSE)
    (tmp_path / "f").mkdir()
    zipped(tmp_path / "g.zip", {"attachments/a.txt": b"x"})
    zipped(tmp_path / "h.zip", {"job.toml": b"what = 1\n"})
    for name in ("a.toml", "b.toml", "d.txt", "e.zip", "f", "g.zip", "h.zip"):
        with pytest.raises(JobUnreadable):
            desk.import_job(tmp_path / name)
    with pytest.raises(UnsafeFile):
        desk.import_job(tmp_path / "c.toml")
    with pytest.raises(NotFound):
        desk.import_job(tmp_path / "missing.zip")
    assert desk.library.jobs() == []


def test_a_file_changed_on_the_way_is_named(desk: Desk, tmp_path: Path) -> None:
    desk.export_job(house_job(desk, tmp_path), tmp_path / "a")
    toml = tmp_path / "a" / "job.toml"
    toml.write_text(toml.read_text().replace("12000", "1200"))
    with pytest.raises(JobUnreadable) as found:
        desk.import_job(tmp_path / "a")
    assert (found.value.msg.key, found.value.msg.params["name"]) == ("store.archive.hash", "job.toml")
    assert desk.open_job(desk.import_job(toml).job_id).job.before.loads[0].nameplate_w == 1200  # on purpose: by itself


def test_attach_refuses_what_it_does_not_know(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    for media, data in (("image/heic", b"x"), ("text/csv", png()), ("image/png", b"x"), ("text/html", b"<p>")):
        with pytest.raises(DeadfrontError):
            desk.attach(job_id, data, media)
    digest = desk.attach(job_id, b"a,b\n", "text/csv")
    assert digest == bytes_hash(b"a,b\n") and desk.library.attachments(job_id)[0].name == digest[:16]


def test_a_file_read_in_is_named_in_what_is_wrong_with_it(desk: Desk, tmp_path: Path) -> None:
    path = tmp_path / "elm-street.toml"
    path.write_text(HOUSE.replace("nameplate_w = 12000", 'nameplate_w = "heavy"'), encoding="utf-8")
    done = desk.import_job(path)
    assert done.problems and "elm-street.toml" in str(done.problems[0].located.params)
