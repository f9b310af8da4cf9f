"""What the tests of the desk share: a desk with a clock that steps and chance from a seed, and a small house."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from pathlib import Path

from deadfront.app.library import Desk
from deadfront.store.library import open_library

HOUSE = """\
# Notes of the first call stay where they are.
[job]
format = 1
name = "14 Hollow Creek Rd"
permit = "MF-2026-0117"
code.edition = "2023"

[before.service]
system = "120/240 1ph 3w"
disconnect.rating_a = 100

[[before.panels]]
id = "p-k3m"
name = "Main panel"
fed_by = "service"
bus_a = 125   # from the label

[[before.breakers]]
id = "b-0xe"
panel = "p-k3m"
spaces = [1, 3]
rating_a = 50
poles = 2

[[before.circuits]]
id = "c-7qd"
name = "Range"
breaker = "b-0xe"

[[before.loads]]
id = "l-2xf"
kind = "range"
circuit = "c-7qd"
nameplate_w = 12000

[[work]]
id = "w-4c1"
say = "Charger in the garage, range taken out"
remove = ["l-2xf"]
[work.move]
b-0xe = { spaces = [5, 7] }
[[work.add.breakers]]
id = "b-44t"
panel = "p-k3m"
spaces = [6, 8]
rating_a = 40
poles = 2
[[work.add.circuits]]
id = "c-9pw"
name = "EV charger, garage"
breaker = "b-44t"
[[work.add.loads]]
id = "l-5rt"
kind = "evse"
circuit = "c-9pw"
nameplate_a = 32

[[origins]]
of = "before/l-2xf.nameplate_w"
from = "nameplate"
photo = "ph-31"

[[origins]]
of = "before/b-0xe.spaces"
from = "seen"

[[origins]]
of = "w-4c1/b-0xe.spaces"
from = "plans"

[[origins]]
of = "w-4c1/l-5rt.nameplate_a"
from = "nameplate"
who = "J. R."
"""
START = datetime(2026, 5, 12, 8, 0, tzinfo=UTC)


class Stepping:
    """A clock that moves on a minute each time it is asked."""

    def __init__(self) -> None:
        self.at = START

    def __call__(self) -> datetime:
        self.at += timedelta(minutes=1)
        return self.at


def new_desk(folder: Path, seed: int = 1) -> Desk:
    """A desk on a new library."""
    return Desk(open_library(folder / "library.db"), Stepping(), random.Random(seed))


def house_job(desk: Desk, folder: Path, text: str = HOUSE) -> str:
    """The small house as a job of the desk."""
    path = folder / "house.toml"
    path.write_text(text, encoding="utf-8")
    return desk.import_job(path, "J. R.").job_id


def bus(desk: Desk, job_id: str) -> str:
    """The bus rating of the main panel as it stands."""
    return str(desk.open_job(job_id).job.before.panels[0].bus_a)


def set_bus(value: int) -> dict[str, object]:
    """The edit that sets it."""
    return {"do": "set", "path": "before/p-k3m.bus_a", "value": value}
