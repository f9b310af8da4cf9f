"""Times and sizes, each as a ratio to a yardstick measured in the same run; `python3 start.py bench`.

A limit counts as broken only where it is broken by more than the noise of the run. No part of the tests.
"""

from __future__ import annotations

import argparse
import gc
import importlib
import json
import random
import statistics
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from deadfront.app.answers import answer, packet
from deadfront.app.library import Desk
from deadfront.documents.catalog import Catalog
from deadfront.job.read import read_job
from deadfront.store.library import open_library

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))  # so that tests.bench is found when run as a script
KINDS = ("range", "dryer", "water_heater", "dishwasher", "disposal", "microwave", "garage_door", "sump_pump", "evse",
         "air_conditioner", "space_heat", "range_hood", "pool_pump", "spa", "well_pump")  # fmt: skip
EMPTY = "import click\n@click.group()\ndef main(): pass\nmain(['--help'])\n"


@dataclass(frozen=True)
class Row:
    """One line of the table.

    Args:
        what: What was measured.
        value: Its figure, in `unit`.
        noise: Spread of the runs, in the same unit.
        ratio: The figure as a multiple of the yardstick, in words.
        limit: The most it may be; None where it is only shown.
    """

    what: str
    value: float
    unit: str
    noise: float
    ratio: str
    limit: float | None = None

    @property
    def broken(self) -> bool:
        """Over its limit by more than the noise."""
        return self.limit is not None and self.value - self.noise > self.limit


def large_house() -> str:
    """A job file of a house with 42 circuits and 30 loads."""
    lines = ['[job]\nname = "Bench"\ncode.edition = "2023"\nexisting = true\n\n[before]\ncomplete.loads = "yes"\n',
             '[before.service]\nsystem = "120/240 1ph 3w"\ndisconnect = { rating_a = 200 }\n'
             'conductors = { size = "4/0 Al", needs_correction = false }\nutility.limit = "none"\n',
             '[[before.meters]]\nid = "m-00"\nsocket_a = 200\n',
             '[[before.panels]]\nid = "p-00"\nfed_by = "service"\nbus_a = 200\nspaces = 60\n',
             '[[before.units]]\nid = "u-00"\nfloor_area_ft2 = 2600\n']  # fmt: skip
    for n in range(42):
        lines.append(
            f'[[before.breakers]]\nid = "b-{n:02}"\npanel = "p-00"\nspaces = [{n + 1}]\nrating_a = 20\npoles = 1\n'
        )
        lines.append(f'[[before.circuits]]\nid = "c-{n:02}"\nname = "Circuit {n}"\nbreaker = "b-{n:02}"\n')
    for n in range(30):
        kind = KINDS[n % len(KINDS)]
        lines.append(
            f'[[before.loads]]\nid = "l-{n:02}"\nkind = "{kind}"\ncircuit = "c-{n:02}"\nnameplate_w = {1200 + 70 * n}\n'
        )
    return "\n".join(lines)


def taken(work: Callable[[], object], times: int) -> tuple[float, float]:
    """Best time of several runs, and how far the middle one lies above it [s]."""
    runs = []
    gc.collect()
    for _ in range(times):
        started = time.perf_counter()
        work()
        runs.append(time.perf_counter() - started)
    return min(runs), statistics.median(runs) - min(runs)


def program(*arguments: str) -> Callable[[], object]:
    """A Python program as something to time."""
    return lambda: subprocess.run([sys.executable, *arguments], check=True, capture_output=True, timeout=60)


def assessing(text: str) -> Iterator[Row]:
    """Assessing, editing and printing a large house."""
    toml_s, _ = taken(lambda: tomllib.loads(text), 30)
    job = read_job(text).job
    variants = iter(
        [read_job(text.replace("floor_area_ft2 = 2600", f"floor_area_ft2 = {2600 + n}")).job for n in range(31)]
    )
    answer(next(variants))
    best, noise = taken(lambda: answer(next(variants)), 30)
    yard = "x tomllib.loads of its job file"
    yield Row("assess, warm: 42 circuits, 30 loads", best * 1e3, "ms", noise * 1e3, f"{best / toml_s:.1f} {yard}", 20)
    best, noise = taken(lambda: read_job(text), 10)
    yield Row("read its job file", best * 1e3, "ms", noise * 1e3, f"{best / toml_s:.1f} {yard}")
    with tempfile.TemporaryDirectory() as folder, open_library(Path(folder) / "library.db") as library:
        file = Path(folder) / "bench.toml"
        file.write_text(text, encoding="utf-8")
        desk = Desk(library, lambda: datetime.now(UTC), random.Random(1))
        job_id = desk.import_job(file).job_id

        def edit() -> None:
            base = desk.open_job(job_id).revision
            desk.apply(job_id, base, [{"do": "set", "path": "before/l-00.nameplate_w", "value": 8000 + base}])

        edit()
        best, noise = taken(edit, 10)
        yield Row("edit one fact and save it", best * 1e3, "ms", noise * 1e3, f"{best / toml_s:.1f} {yard}")
    answered, catalog, on = answer(job), Catalog("en"), date(2026, 5, 12)
    packet(answered, catalog, revision=1, on=on)
    best, noise = taken(lambda: packet(answered, catalog, revision=1, on=on), 3)
    yield Row("packet as PDF, warm", best * 1e3, "ms", noise * 1e3, f"{best / toml_s:.0f} {yard}", 1000)


def checking() -> Iterator[Row]:
    """Every check of a 40-circuit house, against the loads alone."""
    from tests.bench.circuits import checking as measured

    (_, whole, noise), (_, circuits, more), (_, loads, loads_noise) = measured(taken)
    said = f"{whole / loads:.1f} x its loads alone, the layout of its panel judged too"
    yield Row("40 circuits, all answers, one edited", whole * 1e3, "ms", noise * 1e3, said, 60)
    spread = (more + loads_noise) / loads
    yield Row("its loads and circuits", circuits / loads, "x", spread, "the loads alone", 3)


def starting() -> Iterator[Row]:
    """How fast the command line answers."""
    empty, _ = taken(program("-c", EMPTY), 7)
    best, noise = taken(program("-m", "deadfront.cli", "--help"), 7)
    ratio = best / empty
    yield Row("deadfront --help", ratio, "x", noise / empty, "an empty click program", 2.5)


def sizes() -> Iterator[Row]:
    """The size of a core installation."""
    command = [sys.executable, "-m", "tools.install_size", "--json"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    try:
        found = json.loads(done.stdout)
    except json.JSONDecodeError:
        raise SystemExit(f"The installed size could not be measured:\n{done.stdout}{done.stderr}") from None
    share = found["core_mb"] / found["ceiling_mb"]
    yield Row(
        "core installation, without pip", found["core_mb"], "MB", 0, f"{share:.2f} of the ceiling", found["ceiling_mb"]
    )


def measured_by(name: str) -> Iterator[Row]:
    """The rows of a script beside this one: the panel's, the browser's, the recordings'."""
    module = importlib.import_module(f"tests.bench.{name}")
    for what, value, unit, noise, ratio, limit in module.rows():
        yield Row(what, value, unit, noise, ratio, limit)


def main() -> int:
    """Print the table; 1 where a limit is broken by more than noise."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--no-size", action="store_true", help="leave out the installed size, which takes a minute")
    options = parser.parse_args()
    groups: list[Callable[[], Iterator[Row]]] = [lambda: assessing(large_house()), checking, starting]
    groups += [lambda: measured_by("panel"), lambda: measured_by("edit_to_totals"), lambda: measured_by("recordings")]
    groups += [lambda: measured_by("isolation"), lambda: measured_by("one_line"), lambda: measured_by("metering")]
    groups += [lambda: measured_by("records")]
    if not options.no_size:
        groups.append(sizes)
    rows = []
    for group in groups:
        for row in group():
            rows.append(row)
            limit = "" if row.limit is None else f"limit {row.limit:g} {row.unit}"
            mark = "BROKEN" if row.broken else ""
            print(
                f"{row.what:38} {row.value:8.1f} {row.unit:3} +-{row.noise:5.1f}  {limit:15} {row.ratio} {mark}",
                flush=True,
            )
    broken = [row.what for row in rows if row.broken]
    print(f"Limits broken: {', '.join(broken)}" if broken else "All limits kept")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
