"""Recordings: a million damaged files, and a feed of 5 GB streamed."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from tests.bench.recordings import ESPI_MB, FIVE_GB, apart, write_feed
from tests.recordings.mutate import Tally, trials

FILES, PER_TASK = 1_000_000, 5_000
FIRST_SEED = 1_000_000
SPARE = 2


def cores() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _trials(task: tuple[int, int]) -> Tally:
    count, seed = task
    return trials(count, seed)


def damaged(files: int) -> tuple[int, Counter[str], list[str]]:
    """Files read to figures, files refused by the key of the message, and what broke the law."""
    sizes = [min(PER_TASK, files - at) for at in range(0, files, PER_TASK)]
    read, refused, wrong = 0, Counter[str](), list[str]()
    with ProcessPoolExecutor(cores()) as pool:
        for tally in pool.map(_trials, [(size, FIRST_SEED + number) for number, size in enumerate(sizes)]):
            read += tally.read
            refused.update(tally.refused)
            wrong += tally.wrong
    return read, refused, wrong


def run(out: list[str], files: int = FILES, feed_bytes: int = FIVE_GB) -> None:
    """Append the section on recordings; stops at the first damaged file that broke the law."""
    read, refused, wrong = damaged(files)
    assert not wrong, "\n".join(wrong[:5])
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
