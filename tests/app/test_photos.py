"""Photos that a job names: found in the library, beside a bare file, in its folder and in its zip; nothing else is."""

from __future__ import annotations

from pathlib import Path

import pytest

from deadfront.app.photos import names_in, photos_beside, photos_of
from deadfront.job.read import read_job
from tests.app.desk import new_desk
from tests.documents.test_circuit_sheets import JOB, png


def test_the_same_photo_wherever_the_job_lies(tmp_path: Path) -> None:
    desk, bare = new_desk(tmp_path), tmp_path / "alder.toml"
    bare.write_text(JOB, encoding="utf-8")
    job = read_job(JOB).job
    assert names_in(job) == ("lug.png",)
    assert photos_beside(job, bare) == {}, "named, but not there"
    (tmp_path / "lug.png").write_bytes(png())
    beside = photos_beside(job, bare)
    assert list(beside) == ["lug.png"] and beside["lug.png"].startswith(b"\x89PNG")
    job_id = desk.import_job(bare).job_id
    assert photos_of(desk.library, job_id, job) == {}
    desk.attach(job_id, png(), "image/png", "lug")
    assert photos_of(desk.library, job_id, job) == beside
    for name in ("alder.zip", "alder"):
        desk.export_job(job_id, tmp_path / name)
        assert photos_beside(job, tmp_path / name) == beside


@pytest.mark.parametrize("name", ["../secret", "/etc/hostname", "a/b", "nothing"])
def test_a_photo_is_a_plain_name_beside_the_file(tmp_path: Path, name: str) -> None:
    (tmp_path / "secret.png").write_bytes(png())
    (folder := tmp_path / "job").mkdir()
    text = JOB.replace("lug.png", name)
    (path := folder / "x.toml").write_text(text, encoding="utf-8")
    assert photos_beside(read_job(text).job, path) == {}


def test_what_is_no_photo_is_left_out(tmp_path: Path) -> None:
    (path := tmp_path / "x.toml").write_text(JOB, encoding="utf-8")
    (tmp_path / "lug.png").write_bytes(b"\x89PNG\r\n\x1a\nno more")
    assert photos_beside(read_job(JOB).job, path) == {}
