"""`deadfront isolate` and the isolation sheet on the terminal: planned, others first, cannot tell, refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from deadfront.app.demo import demo_text
from tests.cli.calling import call

FULL = Path(__file__).parents[1] / "houses" / "full_house.toml"


def test_a_zone_of_ones_own_and_a_step_of_the_work() -> None:
    done = call("isolate", FULL, "p-1ma")
    assert done.code == 0 and "4 locks part it" in done.out and "Only the" in done.out
    order = [done.out.index(each) for each in ("Keep from starting", "Drop the load", "Lock and tag", "Prove dead")]
    assert order == sorted(order)
    assert "Main panel" in call("isolate", FULL, "w-2ba").out


def test_before_the_work_there_is_less_to_lock() -> None:
    done = call("isolate", FULL, "p-1ma", "--at", "before")
    assert done.code == 0 and "2 locks part it" in done.out and "Generator" not in done.out


def test_others_first_and_cannot_tell_end_otherwise(tmp_path: Path) -> None:
    done = call("isolate", FULL, "service", "--language", "es")
    assert done.code == 1 and "compañía eléctrica" in done.out
    house = tmp_path / "example.toml"
    house.write_text(demo_text(), encoding="utf-8")
    done = call("isolate", house, "w-4c1")
    assert done.code == 3 and "not known yet" in done.out and "can be" in done.out


@pytest.mark.parametrize("zone", ["p-zz", "nonsense", "../etc", ""])
def test_a_zone_that_is_not_there_is_refused_with_what_may_be_named(zone: str) -> None:
    done = call("isolate", FULL, zone)
    assert done.code == 5 and "by its id" in " ".join((done.out + done.err).split())


def test_the_sheet_of_all_steps(tmp_path: Path) -> None:
    done = call("sheet", FULL, "isolation")
    assert done.code == 0 and "Backed-up panel, transfer switch and generator" in " ".join(done.out.split())
    out = tmp_path / "packet.pdf"
    assert call("packet", FULL, "-o", out).code == 0 and out.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("zone", ["t-1au", "p-1ma", "w-1ge", "service"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_a_plan_fits_a_terminal_of_a_hundred_columns(zone: str, language: str) -> None:
    done = call("isolate", FULL, zone, "--language", language)
    assert max(map(len, done.out.splitlines())) <= 100
