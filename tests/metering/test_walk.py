"""A typed walk: rows understood with their units and resolution, what is wrong said by row; the command on a file."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from deadfront.app.answers import answer
from deadfront.app.metering import naming_file, walk_proof, walk_rows
from deadfront.cli.ending import Ending
from deadfront.cli.root import run
from deadfront.codebook import open_book
from deadfront.documents.catalog import Catalog
from deadfront.errors import NotAllowed
from deadfront.job.house import house_at
from deadfront.job.write import write_job
from deadfront.metering.rules.proof_plan import proof_plan
from deadfront.metering.rules.step_signal import clamp_fits, stepped
from deadfront.metering.rules.typed_steps import walk_of
from deadfront.results.proof import LoadStep
from tests.metering.metered import GOOD, job

SECOND = GOOD | {"id": "ch-aa2", "input": "4", "measures": "c-kk2", "leg": "L2", "voltage_leg": "L2", "name": "Hall"}
WALK = """circuit,leg,watts,clamp_a,channel,before_w,after_w
Kitchen counter,L1,1500,12.5,3,40,"1,530"
,,,,Hall,12,12
c-kk2,L2,1.20 kW,10 A,ch-aa1,40,41
,,,,hall,12 W,-1.185 kW
"""
PLAN = proof_plan(open_book("2023"), house_at(job([GOOD, SECOND]), None))


def test_rows_become_steps_with_their_resolution() -> None:
    first, second = walk_of(PLAN, walk_rows(WALK))
    assert (first.circuit, first.legs, first.watts, first.clamp_a) == ("c-kk1", ("L1",), 1500, Decimal("12.5"))
    assert [(each.channel, each.after_w) for each in first.readings] == [("ch-aa1", 1530), ("ch-aa2", 12)]
    assert second.watts == 1200 and second.watts.as_tuple().exponent == 1, "1.20 kW is told to 10 W"
    assert second.readings[1].after_w == -1185


@pytest.mark.parametrize(("typed", "wanted"), [("1,500", "1500"), ("1,500.5", "1500.5"), ("1.5 kW", "1500")])
def test_thousands_are_parted_by_a_comma(typed: str, wanted: str) -> None:
    (step,) = walk_of(PLAN, [{"circuit": "Kitchen counter", "watts": typed}])
    assert step.watts == Decimal(wanted)


def test_amperes_that_cannot_be_the_load_narrow_nothing() -> None:
    fitting, torn = (stepped(PLAN, LoadStep("c-kk1", ("L1",), Decimal(1500), (), Decimal(a))) for a in ("12.1", "0.5"))
    assert (fitting.clamped, fitting.share) == (True, 0.05)
    assert (torn.clamped, torn.share) == (False, 0.10)
    two = LoadStep("c-rr1", ("L1", "L2"), Decimal(3000), (), Decimal("12.5"))  # hand: 3000 W at 240 V
    assert clamp_fits(two, wye=False) and not clamp_fits(replace(two, clamp_a=Decimal(25)), wye=False)


def test_the_walk_gives_verdicts() -> None:
    verdicts = walk_proof(answer(job([GOOD, SECOND])), walk_rows(WALK))
    assert [each.key for each in verdicts] == ["place_unsure", "negative"]  # one step on L1: the service carried it too


BAD: list[tuple[dict[str, str], str]] = [
    ({"circuit": "Ballroom"}, "Ballroom"),
    ({"circuit": "Kitchen counter", "leg": "L2", "watts": "1500"}, "L2"),
    ({"circuit": "Kitchen counter", "watts": "many"}, "many"),
    ({"circuit": "Kitchen counter", "watts": "1500 V"}, "1500 V"),
    ({"circuit": "Kitchen counter", "watts": "0"}, "0"),
    ({"circuit": "Kitchen counter", "watts": ""}, "watts"),
    ({"circuit": "Kitchen counter", "watts": "1500", "clamp_a": "-3"}, "-3"),
    ({"circuit": "Kitchen counter", "watts": "1,5 kW"}, "1,5 kW"),  # a decimal comma is refused, never ten times
    ({"circuit": "Kitchen counter", "watts": "15,00"}, "15,00"),
    ({"circuit": "Kitchen counter", "watts": "1500", "clamp_a": "12,5"}, "12,5"),
    # hand: 1500 W at 120 V is 12.5 A
    ({"circuit": "Kitchen counter", "watts": "1500", "clamp_a": "0.5 A"}, "12.5"),
    ({"circuit": "Kitchen counter", "watts": "1500", "channel": "99", "before_w": "1", "after_w": "2"}, "99"),
    ({"circuit": "Kitchen counter", "watts": "1500", "channel": "3", "before_w": "1"}, "after_w"),
    ({"circuit": "Kitchen counter", "watts": "1500", "channel": "3", "before_w": "1", "after_w": "9999 kW"}, "9999 kW"),
    ({"channel": "3", "before_w": "1", "after_w": "2"}, "1"),
]


@pytest.mark.parametrize(("row", "told"), BAD)
@pytest.mark.parametrize("language", ["en", "es"])
def test_what_is_not_understood_is_said_by_row(row: dict[str, str], told: str, language: str) -> None:
    with pytest.raises(NotAllowed) as refused:
        walk_of(PLAN, [row])
    text = Catalog(language, strict=True).say(refused.value.msg)
    assert told in text and ("Row 1" in text or "Fila 1" in text) and "{" not in text


def test_one_channel_twice_in_a_step_and_unknown_columns_are_refused() -> None:
    twice = {"circuit": "Kitchen counter", "watts": "1500", "channel": "3", "before_w": "1", "after_w": "2"}
    with pytest.raises(NotAllowed):
        walk_of(PLAN, [twice, {k: v for k, v in twice.items() if k != "circuit" and k != "watts"}])
    with pytest.raises(NotAllowed):
        walk_rows("circuit,flavor\nx,y\n")


# --- the command --------------------------------------------------------------------------------------------------
def written(tmp_path: Path, *channels: dict[str, Any]) -> Path:
    path = tmp_path / "elm.toml"
    path.write_text(write_job(job(list(channels))), encoding="utf-8")
    return path


def test_the_command_lists_writes_and_proves(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path, GOOD, SECOND)
    assert run(["metering", str(path)]) == Ending.OK
    listed = capsys.readouterr().out
    assert "Kitchen counter" in listed and "Never open a current-output CT under load." in listed
    out = tmp_path / "names.csv"
    assert run(["metering", str(path), "-o", str(out)]) == Ending.OK and "Hall" in out.read_text("utf-8")
    assert run(["metering", str(path), "-o", str(tmp_path / "names.xlsx")]) == Ending.OK
    assert run(["metering", str(path), "-o", str(tmp_path / "names.doc")]) == Ending.REFUSED
    capsys.readouterr()
    (walk := tmp_path / "walk.csv").write_text(WALK, encoding="utf-8")
    assert run(["metering", str(path), "--steps", str(walk)]) == Ending.TO_CORRECT
    proved = capsys.readouterr().out
    assert "shows it the wrong way" in proved and "Never open" in proved and "A screen is not a test" in proved
    walk.write_text(WALK.replace("Kitchen", "Ballroom"), encoding="utf-8")
    assert run(["metering", str(path), "--steps", str(walk)]) == Ending.REFUSED
    assert "Row 1" in capsys.readouterr().err
    walk.write_bytes(b"circuit\n\xff\xfe")
    assert run(["metering", str(path), "--steps", str(walk)]) == Ending.UNREADABLE


def test_a_job_without_channels_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["metering", str(written(tmp_path))]) == Ending.OK
    assert "no metering channel" in capsys.readouterr().out


def test_another_kind_of_file_is_refused() -> None:
    from datetime import date

    with pytest.raises(NotAllowed):
        naming_file((), Catalog("en"), ".doc", on=date(2026, 5, 12))
