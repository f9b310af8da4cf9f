"""The program as others run it: pipes, terminals without the shapes, Ctrl-C, faults of our own."""

from __future__ import annotations

import json
import os
import select
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from deadfront.cli import assess, jobs
from deadfront.cli.ending import MEANINGS, Ending
from tests.cli.calling import call

PROGRAM = [sys.executable, "-m", "deadfront.cli"]


def run(*arguments: object, **settings: str) -> subprocess.CompletedProcess[bytes]:
    """The program in a process of its own, its output as bytes."""
    env = {**os.environ, "COLUMNS": "100", **settings}
    return subprocess.run([*PROGRAM, *map(str, arguments)], capture_output=True, env=env, timeout=60, check=False)


def test_a_terminal_without_the_shapes_gets_plain_ascii(house: Path) -> None:
    done = run("assess", house, "--language", "es", PYTHONIOENCODING="ascii")
    text = done.stdout.decode("ascii")
    assert done.returncode == 1 and "# no cumple" in text and "\n? " in text and "Metodo opcional" in text


@pytest.mark.parametrize("encoding", ["utf-8", "ascii", "cp1252", "latin-1", "cp437"])
def test_every_encoding_can_be_printed(house: Path, encoding: str) -> None:
    done = run("assess", house, "--matters", PYTHONIOENCODING=encoding)
    assert done.returncode == 1 and not done.stderr
    assert "does not meet" in done.stdout.decode(encoding)


def test_json_is_json_in_every_encoding(house: Path) -> None:
    done = run("assess", house, "--json", "--language", "es", PYTHONIOENCODING="ascii")
    wide = run("assess", house, "--json", "--language", "es", PYTHONIOENCODING="utf-8")
    assert json.loads(done.stdout.decode("ascii")) == json.loads(wide.stdout.decode("utf-8"))


def test_nothing_but_text_goes_into_a_pipe(house: Path) -> None:
    assert b"\x1b" not in run("assess", house).stdout


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are not there on Windows")
@pytest.mark.parametrize(("settings", "bold"), [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)])
def test_bold_only_on_a_terminal_that_may_show_it(house: Path, settings: dict[str, str], bold: bool) -> None:
    import pty

    here, there = pty.openpty()
    env = {key: value for key, value in os.environ.items() if key != "NO_COLOR"} | {"TERM": "xterm"} | settings
    child = subprocess.Popen([*PROGRAM, "assess", str(house)], stdout=there, stderr=subprocess.DEVNULL, env=env)
    os.close(there)
    printed = b""
    try:
        while part := os.read(here, 65536):
            printed += part
    except OSError:
        pass
    child.wait(timeout=60)
    os.close(here)
    assert b"Findings" in printed and (b"\x1b[1m" in printed) == bold


def test_a_closed_pipe_ends_quietly() -> None:
    child = subprocess.Popen([*PROGRAM, "codebook", "list"], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert child.stdout is not None and child.stderr is not None
    child.stdout.close()
    assert child.wait(timeout=60) == 0 and child.stderr.read() == b""
    child.stderr.close()


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent another way on Windows")
def test_ctrl_c_ends_cleanly() -> None:
    child = subprocess.Popen([*PROGRAM, "first-look", "--edition", "2023"], stdin=subprocess.PIPE,
                             stdout=subprocess.PIPE, stderr=subprocess.PIPE)  # fmt: skip
    assert child.stderr is not None
    asked, until = b"", time.monotonic() + 30
    while b"not known" not in asked and time.monotonic() < until:
        if select.select([child.stderr], [], [], 1)[0]:
            asked += os.read(child.stderr.fileno(), 4096)
    child.send_signal(signal.SIGINT)
    out, err = child.communicate(timeout=60)
    assert child.returncode == 130 and err.decode().rstrip().endswith("Stopped.")
    assert b"Traceback" not in err + out


def test_a_fault_of_our_own_is_one_sentence_and_a_report(house: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("a fault")

    monkeypatch.setattr(jobs, "answered", broken)
    assert assess.jobs is jobs
    done = call("assess", house)
    assert done.code == Ending.FAULT and done.out == "" and "Traceback" not in done.err
    report = Path(done.err.split("report for whoever mends it is in ")[1].split(". It may")[0])
    assert "ZeroDivisionError: a fault" in report.read_text(encoding="utf-8")
    report.unlink()
    shown = call("--debug", "assess", house)
    assert "ZeroDivisionError: a fault" in shown.err
    Path(shown.err.split("report for whoever mends it is in ")[1].split(". It may")[0]).unlink()


def test_every_exit_code_has_a_meaning() -> None:
    assert set(MEANINGS) == set(Ending)


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent another way on Windows")
def test_the_demo_opens_its_library_in_the_browser_until_ctrl_c(tmp_path: Path) -> None:
    """The browser is a program that only notes the address it is given."""
    noted = tmp_path / "address"
    browser = tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\nprintf %s "$1" > {noted}\n', encoding="utf-8")
    browser.chmod(0o755)
    child = subprocess.Popen([*PROGRAM, "demo", "--out", str(tmp_path / "demo")], stdout=subprocess.PIPE,
                             stderr=subprocess.PIPE, env={**os.environ, "BROWSER": str(browser)})  # fmt: skip
    until = time.monotonic() + 30
    while not noted.exists() or not noted.read_text("utf-8"):
        assert time.monotonic() < until and child.poll() is None
        time.sleep(0.05)
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    with opener.open(noted.read_text("utf-8"), timeout=20) as page:
        assert page.status == 200 and b"14 Hollow Creek Rd" in page.read()
    child.send_signal(signal.SIGINT)
    out, err = child.communicate(timeout=30)
    assert child.returncode == 130 and b"Traceback" not in err
    assert b"14 Hollow Creek Rd" in out


def test_an_address_that_cannot_be_had_is_refused_in_words(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        done = call("serve", "--library", tmp_path, "--no-open", "--port", port)
    assert done.code == 5 and f"127.0.0.1:{port} cannot be listened on" in done.err


def test_a_first_look_asks_again_where_an_answer_is_not_allowed() -> None:
    given = "100\nabc\n1500\nrange\n\n\n\n\n\n\nevse_32\n"
    done = subprocess.run([*PROGRAM, "first-look", "--edition", "2023"], input=given.encode(), capture_output=True,
                          timeout=60, env={**os.environ, "PYTHONIOENCODING": "utf-8"}, check=False)  # fmt: skip
    text = done.stdout.decode()
    assert done.returncode == 3 and "Found abc" in " ".join(text.split())
    assert "Nothing is connected but what is listed." in " ".join(text.split())
