"""`deadfront panel`: judged in words, searched, stopped, refused in words."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from tests.cli.calling import call
from tests.panel.houses import breaker, house

RANGE = breaker("rng", "1, 3", 9600, poles=2, name="Range")
UNEVEN = [RANGE, breaker("kit", "2", 1800, name="Kitchen"), breaker("den", "5", 1200, name="Den"),
          breaker("hal", "6", 240, name="Hall")]  # fmt: skip


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Hand: Kitchen, Den and Hall stand in rows 1 and 3, all on L1: 15 + 10 + 2 = 27 A, nothing on L2."""
    path = tmp_path / "house.toml"
    path.write_text(house(*UNEVEN), encoding="utf-8")
    return path


def test_a_panel_is_judged_in_words(job: Path) -> None:
    done = call("panel", job)
    assert done.code == 0, done.err
    assert "Main panel: 8 spaces, 4 breakers, free: 4, 7 and 8" in done.out
    assert "the legs differ by 27 A (all loads on), more than 10 A" in done.out
    assert "The line side stays live with the main open." in done.out


def test_the_curve_and_the_moves_in_order(job: Path) -> None:
    """Hand: moving 15 A leaves 12 and 15 (3 A apart); 10 A leaves 17 and 10 (7 A); 12 of two moves leaves 3 A too;
    nothing comes within 2 A."""
    done = call("panel", job, "--solve", "--limit", 5)
    assert done.code == 0, done.err
    lines = [" ".join(line.split()) for line in done.out.splitlines()]
    assert "10.0 A 1 3.0 A proven fewest" in lines or "10.0 A 1 7.0 A proven fewest" in lines
    assert "5.0 A 1 3.0 A proven fewest" in lines and "3.0 A 1 3.0 A proven fewest" in lines
    assert "2.0 A – – proven impossible" in lines and "1.0 A – – proven impossible" in lines
    assert "Move Kitchen from 2 to 4. Check first that its conductors reach." in done.out
    assert "prove it dead at the point of work" in " ".join(lines)


def test_spanish(job: Path) -> None:
    done = call("panel", job, "--solve", "--limit", 5, "--language", "es")
    assert "Mueva Kitchen de 2 a 4." in done.out and "probado imposible" in done.out


def test_a_limit_that_nothing_keeps_names_the_rules(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    stays = breaker("kit", "2", 1800, "fixed = true", name="Kitchen")
    path.write_text(house(stays, breaker("den", "5", 1200, "fixed = true", name="Den")), encoding="utf-8")
    done = call("panel", path, "--solve", "--limit", 5)
    assert "No layout keeps all of these rules together" in done.out
    assert "Kitchen stays in 2" in done.out and "Den stays in 5" in done.out
    assert "The legs differ by at most 5 A. Way out: allow more" in done.out


def test_an_overfull_panel_says_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    more = "".join(
        f'[[work]]\nid = "w-{n}{n}"\nsay = "Add"\nadd.breakers = [{{ id = "b-n{n}", panel = "p-k3m", rating_a = 40, '
        "poles = 2 }]\n" for n in range(1, 5)
    )  # fmt: skip
    path.write_text(house(*UNEVEN, more=more), encoding="utf-8")
    done = call("panel", path, "--solve")
    assert done.code == 1
    assert "the breakers need at least 13 spaces, and there are 8" in " ".join(done.out.split())


def test_what_is_wrong_ends_with_something_to_correct(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    path.write_text(house(RANGE, breaker("kit", "3", 1200, name="Kitchen")), encoding="utf-8")
    done = call("panel", path)
    assert done.code == 1 and "said to be in the same space, 3" in done.out


def test_no_such_panel_and_none_at_all(job: Path, tmp_path: Path) -> None:
    done = call("panel", job, "attic")
    assert done.code == 4 and "There is no panel attic" in done.err and "p-k3m" in done.err
    assert call("panel", job, "Main panel").code == 0
    bare = tmp_path / "bare.toml"
    bare.write_text('[job]\nformat = 1\nname = "x"\ncode.edition = "2023"\n', encoding="utf-8")
    assert "No panel is entered" in call("panel", bare).err


def test_a_panel_without_its_spaces_cannot_be_told(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    path.write_text(house(RANGE).replace("spaces = 8\n", "", 1), encoding="utf-8")
    done = call("panel", path, "--solve")
    assert done.code == 3 and "Count them, or read the label" in done.out


def test_without_the_solvers_the_extra_is_named(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("deadfront.app.panel_race.find_spec", lambda name: None)
    done = call("panel", job, "--solve")
    assert done.code == 5 and "deadfront[solve]" in done.err


def test_ctrl_c_ends_the_search_and_shows_what_was_found(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from deadfront.app import panels

    real = panels.curve

    def then_ctrl_c(*arguments: object) -> object:
        for number, point in enumerate(real(*arguments)):  # type: ignore[arg-type]
            yield point
            if number == 0:
                threading.Timer(0.0, os.kill, (os.getpid(), signal.SIGINT)).start()
                threading.Event().wait(0.3)

    monkeypatch.setattr(panels, "curve", then_ctrl_c)
    done = call("panel", job, "--solve", "--limit", 7)
    assert "Stopped. What was found until then:" in done.out
    assert "10.0 A" in done.out and "1.0 A " not in done.out


def test_judging_loads_no_solver(job: Path) -> None:
    """In a program of its own, for what is loaded stays loaded."""
    asked = "import sys; from deadfront.cli.root import run; run(['panel', sys.argv[1]]); " \
            "print([name for name in ('numpy', 'highspy', 'ortools') if name in sys.modules])"  # fmt: skip
    done = subprocess.run([sys.executable, "-c", asked, str(job)], capture_output=True, text=True, timeout=60)
    assert done.stdout.splitlines()[-1] == "[]", done.stderr
    assert "Main panel: 8 spaces" in done.stdout


def test_searching_prints_nothing_of_the_solvers_own(job: Path) -> None:
    """A solver writes past Python to the output itself: only a program of its own shows that."""
    command = [sys.executable, "-m", "deadfront.cli", "panel", str(job), "--solve"]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    assert "HiGHS" not in done.stdout and done.stderr == ""


def test_a_label_that_was_not_read_is_no_right_and_names_are_told(tmp_path: Path) -> None:
    half = [breaker("kit", "2", 300, 'half = "a"', name="Kids"), breaker("den", "2", 300, 'half = "b"', name="Den")]
    path = tmp_path / "house.toml"
    path.write_text(house(*half), encoding="utf-8")
    told = call("panel", path).out
    assert "as far as is known; what is open follows" in told and "Nothing is wrong" not in told
    assert "of half size: Kids and Den" in told
    assert "names that depend on who lives there: Kids" in told
    known = house(*half, panel="half_spaces = [2]")
    path.write_text(known, encoding="utf-8")
    assert "Nothing is wrong with where the breakers stand." in call("panel", path).out
