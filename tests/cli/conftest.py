"""What the tests of the command line share: a job file of the example house, and running the program."""

from __future__ import annotations

from pathlib import Path

import pytest

from deadfront.app.demo import demo_text

FULL = """\
[job]
name = "9 Elm St"
code.edition = "2023"
existing = true

[before]
complete.loads = "yes"

[before.service]
system = "120/240 1ph 3w"
disconnect = { rating_a = 100 }
conductors = { size = "2 Al", needs_correction = false }
utility.limit = "none"

[[before.meters]]
id = "m-1aa"
socket_a = 125

[[before.panels]]
id = "p-1aa"
fed_by = "service"
bus_a = 125

[[before.units]]
id = "u-1aa"
floor_area_ft2 = 1400
small_appliance_circuits = 2
laundry_circuits = 1

[[before.loads]]
id = "l-1ra"
kind = "range"
nameplate_w = 8800
"""


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """The example house as a job file."""
    path = tmp_path / "house.toml"
    path.write_text(demo_text(), encoding="utf-8")
    return path


@pytest.fixture
def full(tmp_path: Path) -> Path:
    """A small house with every fact known, whose service carries its load."""
    path = tmp_path / "full.toml"
    path.write_text(FULL, encoding="utf-8")
    return path
