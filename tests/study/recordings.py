"""Recordings: a million damaged files, and a feed of 5 GB streamed."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict
from pathlib import Path
from typing import Any

from tests.bench.recordings import ESPI_MB, FIVE_GB, apart, write_feed
from tests.recordings.mutate import Tally, trials
from tests.study.run import ROOT, engine_hash

FILES, PER_TASK = 1_000_000, 5_000
KEPT = ROOT / ".cache" / "study-recordings.jsonl"
FIRST_SEED = 1_000_000
SPARE = 2


def cores() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _trials(task: tuple[int, int]) -> Tally:
    count, seed = task
    return trials(count, seed)


def damaged(files: int, kept: Path | None = None) -> Tally:
    """Files read to figures, files refused by the key of the message, and what broke the law.

    Args:
        files: How many.
        kept: Where what was done is kept line by line, so that a run that was stopped goes on where it was; a run of
            another engine begins anew.
    """
    sizes = [min(PER_TASK, files - at) for at in range(0, files, PER_TASK)]
    engine = engine_hash("recordings")
    done = {} if kept is None else _done(kept, engine)
    tasks = [(size, FIRST_SEED + number) for number, size in enumerate(sizes)]
    left = [task for task in tasks if task not in done]
    with ProcessPoolExecutor(cores()) as pool:
        for task, tally in zip(left, pool.map(_trials, left), strict=True):
            done[task] = tally
            if kept is not None:
                _keep(kept, {"engine": engine, "task": task, **asdict(tally)})
    return _added(done[task] for task in tasks)


def _lines(kept: Path | None, engine: str) -> list[dict[str, Any]]:
    """What runs of the same engine have kept."""
    lines = kept.read_text(encoding="utf-8").splitlines() if kept is not None and kept.exists() else []
    return [found for line in lines if (found := json.loads(line))["engine"] == engine]


def _done(kept: Path, engine: str) -> dict[tuple[int, int], Tally]:
    """The tasks that are done already."""
    return {
        (each["task"][0], each["task"][1]): Tally(each["read"], each["refused"], each["wrong"])
        for each in _lines(kept, engine)
        if "task" in each
    }


def _keep(kept: Path, line: dict[str, Any]) -> None:
    kept.parent.mkdir(parents=True, exist_ok=True)
    with kept.open("a", encoding="utf-8") as file:
        file.write(json.dumps(line) + "\n")


def fed(size: int, kept: Path | None = None) -> dict[str, float] | None:
    """A feed of that size streamed in a process of its own: bytes, readings, most memory [MB], seconds.

    Returns:
        None where the disk has too little room.
    """
    engine = engine_hash("recordings")
    for each in _lines(kept, engine):
        if each.get("feed", {}).get("asked") == size:
            return dict(each["feed"])
    with tempfile.TemporaryDirectory() as folder:
        if shutil.disk_usage(folder).free < SPARE * size:
            return None
        path = Path(folder) / "feed.xml"
        count = write_feed(path, size)
        told = {"asked": size, "bytes": path.stat().st_size, "written": count, **apart("espi", path)}
    if kept is not None:
        _keep(kept, {"engine": engine, "feed": told})
    return told


def _added(tallies: Iterable[Tally]) -> Tally:
    every = list(tallies)
    refused = Counter[str]()
    for each in every:
        refused.update(each.refused)
    return Tally(sum(each.read for each in every), refused, [one for each in every for one in each.wrong])


def done_so_far() -> int:
    """How many damaged files runs of this engine have done, of those that follow each other from the first."""
    done, files = _done(KEPT, engine_hash("recordings")), 0
    while (min(PER_TASK, FILES - files), FIRST_SEED + files // PER_TASK) in done and files < FILES:
        files += PER_TASK
    return files


def run(out: list[str], files: int = FILES, feed_bytes: int = FIVE_GB) -> None:
    """Append the section on recordings; stops at the first damaged file that broke the law."""
    kept = KEPT if feed_bytes == FIVE_GB else None
    tally = damaged(files, kept)
    assert not tally.wrong, "\n".join(tally.wrong[:5])
    read, refused = tally.read, Counter(tally.refused)
    assert read + refused.total() == files
    out += [
        "## Recordings", "",
        f"{files:,} damaged small files (CSV of eight kinds, ESPI): {read:,} read to figures, each with its mark;",
        f"{refused.total():,} refused with a reason; no other end.",
    ]  # fmt: skip
    if files < FILES:
        out.append(
            f"The full count is {FILES:,}; the run was stopped, and `python -m tests.study.run recordings` goes on."
        )
    out += ["", "| reason | files |", "|---|---|", *(f"| {key} | {count:,} |" for key, count in refused.most_common())]
    told = fed(feed_bytes, kept)
    out.append("")
    if told is None:
        out.append(f"The feed of {feed_bytes / 1e9:.1f} GB was not tried: the disk has too little room.")
        return
    assert told["readings"] == told["written"]
    assert told["mb"] < ESPI_MB
    out.append(
        f"An ESPI feed of {told['bytes'] / 1e9:.1f} GB, {told['written']:,} readings: streamed in {told['mb']:.0f} MB."
    )
