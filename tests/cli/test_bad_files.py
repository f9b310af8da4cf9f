"""Bad files of every kind: words and an exit code, never a traceback, never a silent pass."""

from __future__ import annotations

import random
import re
import zipfile
from pathlib import Path

import pytest

from deadfront.app.demo import demo_text
from tests.cli.calling import call

ROUNDS = 60


def spoiled(text: str, rng: random.Random) -> bytes:
    """A job file with something wrong: bytes changed, cut, doubled, lines swapped, values replaced."""
    lines = text.splitlines(keepends=True)
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(lines))
        match rng.randrange(7):
            case 0:
                lines[at] = lines[at].replace("=", rng.choice(["", "==", ":"]), 1)
            case 1:
                del lines[at:]
                lines.append("[")
            case 2:
                lines.insert(at, lines[rng.randrange(len(lines))])
            case 3:
                other = rng.randrange(len(lines))
                lines[at], lines[other] = lines[other], lines[at]
            case 4:
                key = lines[at].partition("=")[0]
                value = rng.choice(
                    ["-1", "1e999", '"x"', "{}", "[[]]", "nan", "true", '"9999999999 kW"', "[1, 2, 3]", "0"]
                )
                lines[at] = f"{key}= {value}\n" if "=" in lines[at] else lines[at]
            case 5:
                lines[at] = lines[at][: rng.randrange(len(lines[at]))] + "\n"
            case _:
                lines[at] = lines[at].replace("-", "\x00" if rng.random() < 0.3 else "é", 1)
        if not lines:
            return b""
    data = bytearray("".join(lines).encode())
    if data and rng.random() < 0.2:
        data[rng.randrange(len(data))] = rng.randrange(256)
    return bytes(data)


@pytest.mark.parametrize("seed", range(ROUNDS))
def test_a_spoiled_job_file_is_answered_in_words(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "house.toml"
    path.write_bytes(spoiled(demo_text(), random.Random(seed)))
    for command in ("check", "assess"):
        done = call(command, path)
        assert done.code in (1, 3, 4, 5), f"{command}: {done.code}\n{done.err}"
        assert "Traceback" not in done.out + done.err
        assert not re.search(r"\[job\.(?!permit_on\b)", done.out + done.err), "a message without words"
        assert done.out or done.err


def test_most_spoiled_files_are_still_read_in_part() -> None:
    """Otherwise the test above would only try one message."""
    from deadfront.errors import DeadfrontError
    from deadfront.job.read import read_job

    read = set()
    for seed in range(ROUNDS):
        try:
            read.add(bool(read_job(spoiled(demo_text(), random.Random(seed))).problems))
        except DeadfrontError:
            read.add(None)
    assert read == {True, False, None}


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty.toml", b""),
        ("binary.toml", bytes(range(256))),
        ("wide.toml", "[job]".encode("utf-16")),
        ("deep.toml", b"x = " + b"[" * 5000),
        ("no_job.toml", b'[before]\ncomplete.loads = "yes"\n'),
        ("newer.toml", b'[job]\nformat = 99\nname = "A"\ncode.edition = "2023"\n'),
        ("edition.toml", b'[job]\nname = "A"\ncode.edition = "1999"\n'),
        ("no_zip.zip", b"not a zip at all"),
        ("table.csv", b"a,b\n"),
    ],
)
def test_a_file_that_is_no_job_is_refused_in_words(tmp_path: Path, name: str, data: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    for command in (["check"], ["assess"], ["import", "--library", str(tmp_path / "lib.db")]):
        done = call(*command, path)
        assert (done.code, done.out) == (4, ""), command
        assert (
            any(each in done.err for each in (name, "job.toml"))
            and "Traceback" not in done.err
            and not done.err.startswith("[")
        )


def test_a_zip_that_climbs_out_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "bad.zip"
    with zipfile.ZipFile(path, "w") as made:
        made.writestr("../job.toml", demo_text())
    assert call("assess", path).code == 4
    assert not (tmp_path.parent / "job.toml").exists()


def test_an_empty_folder_is_no_job(tmp_path: Path) -> None:
    assert call("assess", tmp_path).code == 4


def test_a_library_that_is_none_is_refused_in_words(tmp_path: Path) -> None:
    path = tmp_path / "lib.db"
    path.write_bytes(b"not a library" * 100)
    done = call("jobs", "--library", path)
    assert done.code == 4 and "not a database" in done.err and path.read_bytes().startswith(b"not a library")
