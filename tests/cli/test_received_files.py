"""A job file from somebody else: it steers no terminal, stalls nothing, replaces nothing unasked."""

from __future__ import annotations

import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from deadfront.cli.stream import harmless
from deadfront.job.read import read_job
from deadfront.store.library import open_library

HEAD = '[job]\nname = "Received"\ncode.edition = "2023"\n'


def run(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """The program as a person starts it."""
    return subprocess.run([sys.executable, "-m", "deadfront.cli", *arguments], cwd=cwd, capture_output=True, text=True)


def test_letters_that_steer_a_terminal_are_replaced_and_our_bold_is_not() -> None:
    assert harmless("a\x1b]0;x\x07b\x9b31m") == "a\ufffd]0;x\ufffdb\ufffd31m"
    assert harmless("\x1b[1mbold\x1b[0m") == "\x1b[1mbold\x1b[0m"
    assert harmless("\u202emirrored") == "\ufffdmirrored"


@pytest.mark.parametrize("text", ['"a\\u001b]0;X\\u0007" = 1\n' + HEAD, HEAD + "[[before.loads\x1b[31m]]\n"])
def test_no_escape_of_a_job_file_reaches_the_terminal(tmp_path: Path, text: str) -> None:
    (tmp_path / "got.toml").write_text(text, "utf-8")
    for command in ("check", "assess"):
        ended = run(command, "got.toml", cwd=tmp_path)
        assert "\x1b" not in ended.stdout + ended.stderr and "\x07" not in ended.stdout + ended.stderr


def test_no_escape_of_a_file_name_reaches_the_terminal(tmp_path: Path) -> None:
    assert "\x1b" not in run("check", "a\x1b[31mb.toml", cwd=tmp_path).stderr


def test_many_unknown_tables_do_not_stall_the_reader() -> None:
    """Linear work: 19,000 empty tables cost at most some 12 times what 4,000 cost, and seconds at most."""
    seconds = []
    for count in (4_000, 19_000):
        text = HEAD + "".join(f"[x{n}]\n" for n in range(count))
        started = time.monotonic()
        got = read_job(text)
        seconds.append(time.monotonic() - started)
        assert len(got.kept) == count
    assert seconds[1] < max(12 * seconds[0], 2) and seconds[1] < 20


def test_a_packet_named_by_a_received_file_replaces_nothing(tmp_path: Path) -> None:
    (tmp_path / "got.toml").write_text(HEAD, "utf-8")
    mine = tmp_path / "received.pdf"
    mine.write_text("mine")
    assert run("packet", "got.toml", cwd=tmp_path).returncode == 5
    assert mine.read_text() == "mine"


def test_a_packet_does_not_write_through_a_link(tmp_path: Path) -> None:
    (tmp_path / "got.toml").write_text(HEAD, "utf-8")
    (tmp_path / "victim").write_text("mine")
    (tmp_path / "out.pdf").symlink_to("victim")
    assert run("packet", "got.toml", "-o", "out.pdf", cwd=tmp_path).returncode == 0
    assert (tmp_path / "victim").read_text() == "mine"
    assert (tmp_path / "out.pdf").read_bytes().startswith(b"%PDF")


def test_a_new_library_is_its_owners_alone(tmp_path: Path) -> None:
    path = tmp_path / "mine" / "library.db"
    with open_library(path):
        pass
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


@pytest.mark.parametrize("host", ["0.0.0.0", "192.0.2.7"])
def test_the_pages_are_handed_out_to_this_computer_only(tmp_path: Path, host: str) -> None:
    ended = run("serve", "--library", "lib", "--host", host, "--no-open", cwd=tmp_path)
    assert ended.returncode == 5 and host in ended.stderr
