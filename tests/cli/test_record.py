"""`deadfront record`: what it says, what it asks, how it ends. Figures: hand, from tests/recordings_made.py."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.calling import call
from tests.cli.conftest import FULL
from tests.recordings_made import made_year

WANTED = ("--measures", "L1", "--heavier-leg", "yes", "--occupied", "yes", "--season-va", 0, "--added-since-va", 0,
          "--power-factor", 1, "--zone", "America/Denver")  # fmt: skip


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A job of a library, and a recording of 31 days beside it."""
    monkeypatch.setenv("DEADFRONT_LIBRARY", str(tmp_path / "library.db"))
    monkeypatch.chdir(tmp_path)
    text = FULL.replace('complete.loads = "yes"', 'complete.loads = "yes"\ncomplete.sources = "yes"')
    (tmp_path / "elm.toml").write_text(text, encoding="utf-8")
    (tmp_path / "usage.csv").write_text(made_year(31), encoding="utf-8")
    done = call("import", "elm.toml")
    assert done.code == 0, done.err
    return next(word.strip(",.") for word in done.out.split() if word.startswith("j-"))


def test_a_question_open_is_said_and_nothing_is_kept(job: str) -> None:
    done = call("record", job, "usage.csv")
    assert done.code == 3 and "Where is the house?" in done.err
    assert "usage.csv" not in call("history", job).out


def test_it_is_added_and_the_answer_takes_it_in(job: str, tmp_path: Path) -> None:
    """6,260 W on L1: 52.17 A on 120 V, 12,520 VA at 240 V, times 1.25: 15,650 VA, 65.2 A."""
    done = call("record", job, "usage.csv", *WANTED)
    assert done.code == 0, done.err
    assert "31 days" in done.out and "6,260 W" in done.out and "energy in the interval, in kWh" in done.err
    data = json.loads(call("assess", job, "--json").out)
    method = next(each for each in data["methods"] if each["key"] == "measured")
    assert method["admissible"] == "meets", method
    assert "65" in json.dumps(method)
    assert call("packet", job, "--html", "-o", "elm.html").code == 0
    assert "Measured demand: the evidence" in (tmp_path / "elm.html").read_text(encoding="utf-8")


def test_the_mapping_shown_can_be_given_back(job: str, tmp_path: Path) -> None:
    shown = call("record", job, "usage.csv", "--show")
    assert shown.code == 0
    mapping = json.loads(shown.out)
    assert mapping["zone"] == ""
    (tmp_path / "usage.json").write_text(json.dumps({**mapping, "zone": "America/Denver"}), encoding="utf-8")
    assert call("record", job, "usage.csv", "--mapping", "usage.json", "--taken", "utility").code == 0
    (tmp_path / "usage.json").write_text("{", encoding="utf-8")
    assert call("record", job, "usage.csv", "--mapping", "usage.json").code == 4


def test_refusals_say_what_to_do(job: str, tmp_path: Path) -> None:
    assert call("record", "none.toml", "usage.csv").code == 4
    assert call("record", job).code == call("record", job, "usage.csv", "--again").code == 2
    (tmp_path / "bad.csv").write_text("no readings here\n", encoding="utf-8")
    done = call("record", job, "bad.csv")
    assert done.code == 4 and "Traceback" not in done.err
    assert call("record", "j-none", "usage.csv").code == 4


def test_again_reduces_what_is_stale(job: str, monkeypatch: pytest.MonkeyPatch) -> None:
    assert call("record", job, "usage.csv", *WANTED).code == 0
    assert "0 recordings were reduced" in call("record", job, "--again").out
    for module in ("deadfront.app.reductions", "deadfront.app.recordings"):
        monkeypatch.setattr(f"{module}.__version__", "0.0.0+other")
    assert "to be reduced" in call("assess", job).out
    done = call("record", job, "--again")
    assert (done.code, "One recording was reduced" in done.out) == (0, True), done
    assert "to be reduced" not in call("assess", job).out
