"""Large attachments go into a job file and are checked in it piece by piece; what is no plain file is refused."""

from __future__ import annotations

import io
import os
import random
import subprocess
import sys
import tracemalloc
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import pytest

from deadfront.app.parcels import parcel_of, receive, send
from deadfront.errors import JobUnreadable, UnsafeFile
from deadfront.msg import said
from deadfront.store.archive import Kept, Parcel, ZipFiles, check_hash, folder_files, hash_list, write_folder, write_zip
from deadfront.store.files import bytes_hash
from deadfront.store.library import Library, open_library
from deadfront.store.trouble import LibraryDamaged, NotAFile, guarded

NOON = datetime(2026, 5, 12, 12, 0, tzinfo=UTC)
LARGE = 24_000_000
PEAK = 8_000_000  # a few pieces of 1 MB, whatever the file holds
TEXT = '[job]\nname = "A"\ncode.edition = "2023"\n'


@pytest.fixture(scope="module")
def large(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A recording that packs to about a third."""
    path = tmp_path_factory.mktemp("large") / "recording.csv"
    dice = random.Random(4)
    path.write_bytes("".join(f"{dice.random():.9f}\n" for _ in range(LARGE // 12)).encode())
    return path


def peak_of(work: Callable[[], object]) -> int:
    """The most memory that a piece of work takes [bytes]."""
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def kept(path: Path) -> Kept:
    """A file as an attachment."""
    return Kept(bytes_hash(path.read_bytes()), partial(path.open, "rb"), path)


@pytest.mark.parametrize("form", ["zip", "folder"])
def test_a_large_attachment_is_never_whole_in_memory(form: str, large: Path, tmp_path: Path) -> None:
    parcel = Parcel(TEXT, {"recording-1.csv": kept(large)}, {"name": "A"})
    target = tmp_path / ("a.zip" if form == "zip" else "a")
    write = partial(write_zip, parcel, target, NOON) if form == "zip" else partial(write_folder, parcel, target)
    assert peak_of(write) < PEAK < large.stat().st_size / 2
    with closing(ZipFiles(target) if form == "zip" else folder_files(target)) as files:
        listed = hash_list(files)
        assert peak_of(lambda: [check_hash(files, listed, name) for name in listed]) < PEAK
        assert files.read("attachments/recording-1.csv") == large.read_bytes()


@pytest.fixture
def library(tmp_path: Path) -> Library:
    """A library of its own."""
    return open_library(tmp_path / "library.db")


def test_a_job_with_a_large_recording_is_sent_in_little_memory(large: Path, library: Library, tmp_path: Path) -> None:
    with library:
        job = "j-aa"
        library.create(TEXT, {"a": 1}, job_id=job, who="J. R.", at=NOON, say=said("app.change.created"))
        library.attach_file(job, large, bytes_hash(large.read_bytes()), "text/csv", "recording-1")
        target = tmp_path / "a.zip"

        def sent() -> None:
            send(parcel_of(library, job, 1, NOON), target, NOON)

        assert peak_of(sent) < PEAK
        seen = []
        assert peak_of(lambda: receive(target, lambda arrived, _: seen.append(arrived) or "taken")) < PEAK  # type: ignore[func-returns-value]
        assert [each[0] for each in seen[0].attachments] == ["attachments/recording-1.csv"]


def test_a_damaged_attachment_is_told_and_nothing_is_left(large: Path, tmp_path: Path) -> None:
    wrong = Kept("0" * 64, partial(large.open, "rb"), large)
    for write in (partial(write_zip, path=tmp_path / "a.zip", at=NOON), partial(write_folder, path=tmp_path / "a")):
        with pytest.raises(LibraryDamaged):
            write(Parcel(TEXT, {"recording-1.csv": wrong}, {}))
    assert list(tmp_path.iterdir()) == []


def test_a_file_changed_since_is_found_without_keeping_it(large: Path, tmp_path: Path) -> None:
    write_folder(Parcel(TEXT, {"r.csv": kept(large)}, {}), tmp_path / "a")
    path = tmp_path / "a" / "attachments" / "r.csv"
    data = bytearray(path.read_bytes())
    data[-2] ^= 1
    path.write_bytes(data)
    files = folder_files(tmp_path / "a")
    with pytest.raises(JobUnreadable):
        check_hash(files, hash_list(files), "attachments/r.csv")
    path.write_bytes(data + b"x")
    with pytest.raises(UnsafeFile):
        list(files.chunks("attachments/r.csv"))
    path.write_bytes(data[:-1])
    with pytest.raises(UnsafeFile):
        list(files.chunks("attachments/r.csv"))


def test_small_bytes_go_as_before() -> None:
    part = Kept(bytes_hash(b"abc"), lambda: io.BytesIO(b"abc"), Path("x"))
    assert Parcel(TEXT, {"a.txt": b"abc"}, {}).files() == Parcel(TEXT, {"a.txt": part}, {}).files()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are a thing of POSIX")
@pytest.mark.parametrize("name", ["house.toml", "house.zip"])
def test_a_pipe_is_refused_at_once(name: str, tmp_path: Path) -> None:
    """Opening a pipe that nobody writes to would wait forever."""
    pipe = tmp_path / name
    os.mkfifo(pipe)
    command = [sys.executable, "-m", "deadfront.cli", "check", str(pipe)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=30)
    assert done.returncode == 4 and "neither a plain file nor a folder" in done.stderr, done


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are a thing of POSIX")
def test_a_pipe_in_the_place_of_an_attachment(tmp_path: Path) -> None:
    write_folder(Parcel(TEXT, {"r.csv": b"a,b\n"}, {}), tmp_path / "a")
    files = folder_files(tmp_path / "a")
    path = tmp_path / "a" / "attachments" / "r.csv"
    path.unlink()
    os.mkfifo(path)
    with pytest.raises(UnsafeFile):
        files.read("attachments/r.csv")
    with pytest.raises(NotAFile), guarded(path):
        raise AssertionError("guarded lets a pipe through")
