"""Kill a program without warning while it saves or exports, many times, and look at what is left.

This shows that no order of writes leaves anything torn when a program dies. It does not show what a disk does when
the power goes: that a write once synced is on the disk is the disk's promise.
"""

from __future__ import annotations

import os
import random
import signal
import time
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from deadfront.msg import said
from deadfront.store.archive import Parcel, ZipFiles, hash_list, verified, write_zip
from deadfront.store.library import open_library
from deadfront.store.rows import text_hash
from tests.store.helping import NOON, new_job, save

LONGEST_RUN_S = 0.06
FIRST_SIGN_S = 30.0


@dataclass(frozen=True, slots=True)
class Survived:
    """What was seen.

    Args:
        kills: Programs killed.
        acknowledged: Saves or exports that the killed programs had reported done.
        beyond: Kills after which one more was found whole than had been reported: it died between doing and saying.
        left: Kills that left something unfinished behind for the next opening to put right.
    """

    kills: int
    acknowledged: int
    beyond: int
    left: int


def text_of(number: int) -> str:
    """A text long enough to span several pages, told by its number."""
    return f"revision {number}\n" + f"{number:08d} " * 2_000


def killed_after(delay_s: float, work: Callable[[Callable[[int], None]], None]) -> list[int]:
    """Fork a program that works and reports numbers; kill it a while after its first; the numbers reported."""
    reads, writes = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(reads)
            work(lambda number: os.write(writes, b"%d\n" % number) and None)
        finally:
            os._exit(1)  # the work never ends by itself
    os.close(writes)
    first = os.read(reads, 65_536)
    time.sleep(delay_s)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    said_so = first
    while more := os.read(reads, 65_536):
        said_so += more
    os.close(reads)
    if not os.WIFSIGNALED(status) or not first:
        raise AssertionError("the program ended before it was killed")
    return [int(line) for line in said_so.split()]


def kill_during_saves(folder: Path, kills: int, seed: int = 1) -> Survived:
    """Kill a program `kills` times at random moments of saving; every acknowledged revision must be there, whole.

    Raises:
        AssertionError: a revision lost, torn or out of order, or a library that does not hold together.
    """
    path, rng = folder / "library.db", random.Random(seed)
    with open_library(path) as library:
        new_job(library, text=text_of(1))

    def work(report: Callable[[int], None]) -> None:
        with open_library(path) as library:
            base = library.head("j-aa").number
            report(base)
            while True:
                base = save(library, "j-aa", base, text_of(base + 1))
                if base % 5 == 0:
                    library.attach("j-aa", text_of(base).encode() * 20, "text/plain", f"rec-{base}")
                report(base)

    acknowledged, beyond, left, last = 0, 0, 0, 1
    for _ in range(kills):
        said_so = killed_after(rng.uniform(0, LONGEST_RUN_S), work)
        left += path.with_name(path.name + "-journal").exists()
        acknowledged += len(said_so) - 1
        with open_library(path) as library:
            assert library.check() == []
            head = library.head("j-aa").number
            assert head in (said_so[-1], said_so[-1] + 1), f"said {said_so[-1]}, found {head}"
            for number in range(last, head + 1):
                found = library.revision("j-aa", number)
                assert found.text == text_of(number) and found.row.sha256 == text_hash(found.text)
        beyond += head > said_so[-1]
        last = head
    with open_library(path) as library:
        assert [row.number for row in library.history("j-aa")] == list(range(last, 0, -1))
        for row in library.attachments("j-aa"):
            assert library.attachment(row.hash).data == text_of(int(row.name[4:])).encode() * 20
    return Survived(kills, acknowledged, beyond, left)


def kill_during_exports(folder: Path, kills: int, seed: int = 1) -> Survived:
    """Kill a program `kills` times at random moments of writing a job file; the file is the old or the new one, whole.

    Raises:
        AssertionError: a file torn, mixed or lost.
    """
    path, rng = folder / "out" / "job.zip", random.Random(seed)
    write_zip(parcel_of(1), path, NOON)
    last = 1

    def work(report: Callable[[int], None]) -> None:
        number = last
        report(number)
        while True:
            number += 1
            write_zip(parcel_of(number), path, NOON)
            report(number)

    acknowledged, beyond, left = 0, 0, 0
    for _ in range(kills):
        said_so = killed_after(rng.uniform(0, LONGEST_RUN_S), work)
        acknowledged += len(said_so) - 1
        found = number_in(path)
        assert found in (said_so[-1], said_so[-1] + 1), f"said {said_so[-1]}, found {found}"
        beyond += found > said_so[-1]
        last = found
        unfinished = [each for each in path.parent.iterdir() if each != path]
        left += bool(unfinished)
        for each in unfinished:
            each.unlink()
    return Survived(kills, acknowledged, beyond, left)


def parcel_of(number: int) -> Parcel:
    """A job file of some size, told by its number."""
    recording = random.Random(number).randbytes(300_000)
    return Parcel(text_of(number), {"rec-1.csv": recording}, {"number": number, "say": said("x").key})


def number_in(path: Path) -> int:
    """The number of a whole job file, every hash compared."""
    with zipfile.ZipFile(path) as zipped:
        assert zipped.testzip() is None
    files = ZipFiles(path)
    listed = hash_list(files)
    number = int(verified(files, listed, "job.toml").split()[1])
    parcel = parcel_of(number)
    for name in listed:
        assert verified(files, listed, name) == parcel.files()[name]
    files.close()
    return number
