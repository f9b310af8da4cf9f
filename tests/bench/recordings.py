"""How fast recordings are read and reduced, against a bare read of the same file; and in what memory.

python -m tests.bench.recordings            the figures
python -m tests.bench.recordings csv FILE   one measurement as JSON, in a process of its own
"""

from __future__ import annotations

import json
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

ROOT = Path(__file__).resolve().parents[2]
MINUTES = 525_600
RUNS = 9
ZONE = "America/Denver"
CSV_RATIO, CSV_MB = 3.0, 500.0
ESPI_MB = 300.0
ESPI_BYTES = 300_000_000
FIVE_GB = 5_000_000_000


def write_year(path: Path) -> None:
    """A year of one house by the minute: stamp, power of the whole service, volts."""
    dice = random.Random(1)
    at = datetime(2025, 1, 1)
    power = 400.0
    with path.open("w", encoding="utf-8") as file:
        file.write("time,total W,volts\n")
        for _ in range(MINUTES):
            power = dice.choice([300, 900, 1800, 5200, 9400]) if dice.random() < 0.1 else power
            file.write(f"{at:%Y-%m-%d %H:%M:%S},{power + dice.random() * 60:.1f},{120 + dice.random():.2f}\n")
            at += timedelta(minutes=1)


def write_broken_year(path: Path) -> None:
    """The same on the clock of a place, with gaps, rows that stand twice and both clock changes."""
    dice, place = random.Random(2), ZoneInfo(ZONE)
    at, power, skipped = int(datetime(2025, 1, 1, tzinfo=place).timestamp()), 400.0, 0
    with path.open("w", encoding="utf-8") as file:
        file.write("time,total W,volts\n")
        for number in range(MINUTES):
            power = dice.choice([300, 900, 1800, 5200, 9400]) if dice.random() < 0.1 else power
            skipped = dice.choice([1, 3, 20, 300]) if dice.random() < 0.0005 else max(skipped - 1, 0)
            stamp = datetime.fromtimestamp(at + 60 * number, place)
            line = f"{stamp:%Y-%m-%d %H:%M:%S},{power + dice.random() * 60:.1f},{120 + dice.random():.2f}\n"
            file.write("" if skipped else line * (2 if dice.random() < 0.0001 else 1))


def write_feed(path: Path, size: int) -> int:
    """An ESPI feed of about `size` bytes, pretty-printed as feeds are; how many readings it holds."""
    from tests.recordings.espi_file import BASE, HEAD, Meter, entry, feed

    head = feed(Meter([])).decode().removesuffix("</feed>\n")
    assert head.startswith(HEAD)
    start, count = 1_330_578_000, 0
    with path.open("w", encoding="utf-8") as file:
        file.write(head)
        while file.tell() < size:
            lines = [f'<IntervalBlock xmlns="http://naesb.org/espi">\n  <interval>\n    <duration>86400</duration>\n'
                     f"    <start>{start}</start>\n  </interval>\n"]  # fmt: skip
            for _ in range(1440):
                lines.append(
                    "  <IntervalReading>\n    <timePeriod>\n      <duration>60</duration>\n"
                    f"      <start>{start}</start>\n    </timePeriod>\n    <value>{10 + count % 97}</value>\n"
                    "  </IntervalReading>\n"
                )
                start, count = start + 60, count + 1
            inside = "".join([*lines, "</IntervalBlock>\n"])
            own = f"{BASE}/MeterReading/01/IntervalBlock"
            file.write(entry(inside, f"{own}/{count}", own))
        file.write("</feed>\n")
    return count


def best_of(runs: int, *works: Callable[[], object]) -> list[tuple[float, float]]:
    """For each work its best time, and how far the middle one lies above it [s]; they take turns, so that a busy
    machine slows them alike."""
    times: list[list[float]] = [[] for _ in works]
    for _ in range(runs):
        for work, own in zip(works, times, strict=True):
            began = time.perf_counter()
            work()
            own.append(time.perf_counter() - began)
    return [(min(own), statistics.median(own) - min(own)) for own in times]


def peak_mb() -> float:
    """The most memory this process has had; on Linux since it began, not what its parent had before."""
    status = Path("/proc/self/status")
    if status.is_file():
        line = next(each for each in status.read_text().splitlines() if each.startswith("VmHWM:"))
        return int(line.split()[1]) * 1.024 / 1000
    import resource

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6


def measure_csv(path: str) -> dict[str, float]:
    """Read and reduce a year, then the bare read of the same file; memory is told of the first alone."""
    from deadfront.recordings.mapping import Column, Mapping
    from deadfront.recordings.read import read
    from deadfront.recordings.reduce import reduce_channel

    clock = "standard" if Path(path).stem == "year" else "changes"
    mapping = Mapping((Column("time", "start"), Column("total W", "value", "W", "mean")), zone=ZONE, clock=clock)

    def ours() -> object:
        with Path(path).open("rb") as file:
            recording = read(file, mapping)
        return reduce_channel(recording, recording.channels[0])

    ours()
    memory = peak_mb()
    from pyarrow import csv

    csv.read_csv(path)
    (bare, bare_noise), (best, noise) = best_of(RUNS, lambda: csv.read_csv(path), ours)
    return {"bare_s": bare, "ours_s": best, "noise_s": noise + bare_noise, "mb": memory}


def measure_espi(path: str) -> dict[str, float]:
    """Stream a feed once."""
    from deadfront.recordings.read import read

    began = time.perf_counter()
    with Path(path).open("rb") as file:
        recording = read(file)
    took = time.perf_counter() - began
    return {"s": took, "mb": peak_mb(), "readings": float(recording.rows)}


def apart(kind: str, path: Path) -> dict[str, float]:
    """One measurement in a process of its own."""
    command = [sys.executable, "-m", "tests.bench.recordings", kind, str(path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    found: dict[str, float] = json.loads(done.stdout)
    return found


def rows(espi_bytes: int = ESPI_BYTES) -> Iterator[tuple[str, float, str, float, str, float | None]]:
    """What, value, unit, noise, ratio in words, limit: the lines of the bench."""
    with tempfile.TemporaryDirectory() as folder:
        year = Path(folder) / "year.csv"
        write_year(year)
        found = apart("csv", year)
        ratio = found["ours_s"] / found["bare_s"]
        noise = found["noise_s"] / found["bare_s"]
        yield "a year by the minute: read, reduce", ratio, "x", noise, "a bare pyarrow read of the file", CSV_RATIO
        yield "the same, most memory", found["mb"], "MB", 0.0, f"{found['ours_s'] * 1000:.0f} ms", CSV_MB
        broken = Path(folder) / "broken.csv"
        write_broken_year(broken)
        found = apart("csv", broken)
        ratio, noise = (found[each] / found["bare_s"] for each in ("ours_s", "noise_s"))
        yield "with gaps, repeats, clock changes", ratio, "x", noise, "a bare pyarrow read of the file", None
        small, large = Path(folder) / "small.xml", Path(folder) / "large.xml"
        write_feed(small, espi_bytes // 6)
        count = write_feed(large, espi_bytes)
        less, more = apart("espi", small), apart("espi", large)
        megabytes = large.stat().st_size / 1e6
        rate = f"{megabytes / more['s']:.0f} MB/s, {count / more['s'] / 1000:.0f} thousand readings/s"
        slope = (more["mb"] - less["mb"]) / (large.stat().st_size - small.stat().st_size)
        yield f"ESPI feed of {megabytes:.0f} MB, most memory", more["mb"], "MB", 0.0, rate, ESPI_MB
        far = more["mb"] + slope * (FIVE_GB - large.stat().st_size)
        yield "the same drawn out to 5 GB", far, "MB", 0.0, f"{slope * 1e9:.1f} MB for each GB more", ESPI_MB


def main(arguments: list[str]) -> int:
    """Print the figures, or one measurement as JSON; 1 where a limit is broken by more than noise."""
    if arguments:
        print(json.dumps({"csv": measure_csv, "espi": measure_espi}[arguments[0]](arguments[1])))
        return 0
    broken = 0
    for what, value, unit, noise, ratio, limit in rows():
        over = limit is not None and value - noise > limit
        broken += over
        print(f"{what:38} {value:8.2f} {unit:3} +-{noise:5.2f}  limit {limit}  {ratio} {'BROKEN' if over else ''}")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
