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
                kept.parent.mkdir(parents=True, exist_ok=True)
                with kept.open("a", encoding="utf-8") as file:
                    file.write(json.dumps({"engine": engine, "task": task, **asdict(tally)}) + "\n")
    return _added(done[task] for task in tasks)


def _done(kept: Path, engine: str) -> dict[tuple[int, int], Tally]:
    """What a run of the same engine has done already."""
    lines = kept.read_text(encoding="utf-8").splitlines() if kept.exists() else []
    found = (json.loads(line) for line in lines)
    return {
        (each["task"][0], each["task"][1]): Tally(each["read"], each["refused"], each["wrong"])
        for each in found
        if each["engine"] == engine
    }


def _added(tallies: Iterable[Tally]) -> Tally:
    every = list(tallies)
    refused = Counter[str]()
    for each in every:
        refused.update(each.refused)
    return Tally(sum(each.read for each in every), refused, [one for each in every for one in each.wrong])


def run(out: list[str], files: int = FILES, feed_bytes: int = FIVE_GB) -> None:
    """Append the section on recordings; stops at the first damaged file that broke the law."""
    tally = damaged(files, KEPT if files == FILES else None)
    assert not tally.wrong, "\n".join(tally.wrong[:5])
    read, refused = tally.read, Counter(tally.refused)
    assert read + refused.total() == files
    out += [
        "## Recordings", "",
        f"{files:,} damaged small files (CSV of eight kinds, ESPI): {read:,} read to figures, each with its mark;",
        f"{refused.total():,} refused with a reason; no other end.", "",
        "| reason | files |", "|---|---|",
        *(f"| {key} | {count:,} |" for key, count in refused.most_common()),
        "",
    ]  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        if shutil.disk_usage(folder).free < SPARE * feed_bytes:
            out.append(f"The feed of {feed_bytes / 1e9:.1f} GB was not tried: the disk has too little room.")
            return
        path = Path(folder) / "feed.xml"
        count = write_feed(path, feed_bytes)
        told = apart("espi", path)
    assert told["readings"] == count
    assert told["mb"] < ESPI_MB
    out.append(f"An ESPI feed of {feed_bytes / 1e9:.1f} GB, {count:,} readings: streamed in {told['mb']:.0f} MB.")
