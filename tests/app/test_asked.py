"""One thing at a time in the background: progress, a stop that stops, faults in words, nothing after closing."""

from __future__ import annotations

import random
import threading
from collections.abc import Iterator
from contextlib import suppress

import pytest

from deadfront.app.asked import Progress, Run, Runs, Stop
from deadfront.errors import NoSolution, NotAllowed


@pytest.fixture
def runs() -> Iterator[Runs]:
    made = Runs(random.Random(1))
    yield made
    made.close()


class Held:
    """Work that goes on only when it is let."""

    def __init__(self) -> None:
        self.begun, self.told, self.go = threading.Event(), threading.Event(), threading.Event()

    def __call__(self, tell: Progress, stop: Stop) -> str:
        self.begun.set()
        tell(40)
        self.told.set()
        while not self.go.wait(0.005):
            if stop():
                raise NoSolution("recordings.stopped", bytes_read=40)
        return "r-1aa"


def held(runs: Runs, job: str = "j-1") -> tuple[Held, Run]:
    work = Held()
    run = runs.start("read", job, work, about="usage.csv", size=100)
    assert work.told.wait(5)
    return work, run


def test_progress_then_the_outcome(runs: Runs) -> None:
    work, begun = held(runs)
    now = runs.of("j-1")
    assert now is not None and now.underway
    assert (now.id, now.kind, now.about, now.size, now.done) == (begun.id, "read", "usage.csv", 100, 40)
    work.go.set()
    assert runs.wait(5)
    ended = runs.of("j-1")
    assert ended is not None and (ended.status, ended.outcome, ended.trouble) == ("done", "r-1aa", None)


def test_one_at_a_time_of_whatever_job(runs: Runs) -> None:
    work, _ = held(runs)
    with pytest.raises(NotAllowed) as refused:
        runs.start("solve", "j-2", lambda tell, stop: None)
    assert (refused.value.msg.key, refused.value.msg.params["what"]) == ("app.asked.busy", "usage.csv")
    assert runs.of("j-2") is None
    work.go.set()
    assert runs.wait(5)
    runs.start("solve", "j-2", lambda tell, stop: None)
    assert runs.wait(5) and runs.of("j-2").status == "done"  # type: ignore[union-attr]


def test_many_who_ask_at_once_begin_one(runs: Runs) -> None:
    work, begun, gate = Held(), [], threading.Barrier(8)

    def ask(number: int) -> None:
        gate.wait(5)
        with suppress(NotAllowed):
            begun.append(runs.start("read", f"j-{number}", work))

    threads = [threading.Thread(target=ask, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(5)
    assert len(begun) == 1
    work.go.set()


def test_a_stop_stops_and_is_no_failure(runs: Runs) -> None:
    _, begun = held(runs)
    assert runs.cancel("j-9") is None
    asked = runs.cancel("j-1")
    assert asked is not None and asked.status == "stopping" and asked.underway
    assert runs.wait(5), "the work itself never goes on: only the stop ends it"
    ended = runs.of("j-1")
    assert ended is not None and (ended.id, ended.status, ended.outcome) == (begun.id, "stopped", None)
    assert runs.cancel("j-1").status == "stopped"  # type: ignore[union-attr]


def test_a_stop_that_comes_too_late_does_not_hide_what_was_done(runs: Runs) -> None:
    stopped = threading.Event()

    def work(tell: Progress, stop: Stop) -> str:
        assert stopped.wait(5)
        return "kept"

    runs.start("read", "j-1", work)
    runs.cancel("j-1")
    stopped.set()
    assert runs.wait(5) and runs.of("j-1").status == "done"  # type: ignore[union-attr]


def test_a_stop_of_one_run_is_not_a_stop_of_the_next(runs: Runs) -> None:
    held(runs)
    runs.cancel("j-1")
    assert runs.wait(5)
    work, _ = held(runs)
    work.go.set()
    assert runs.wait(5) and runs.of("j-1").status == "done"  # type: ignore[union-attr]


def test_failures_say_why_and_faults_are_said_in_words(runs: Runs) -> None:
    def refused(tell: Progress, stop: Stop) -> None:
        raise NoSolution("recordings.csv.nothing", rows=3, lines=())

    def broken(tell: Progress, stop: Stop) -> None:
        raise RuntimeError("inner words")

    runs.start("read", "j-1", refused)
    assert runs.wait(5)
    ended = runs.of("j-1")
    assert ended is not None and ended.status == "failed" and ended.trouble is not None
    assert ended.trouble.key == "recordings.csv.nothing"
    runs.start("read", "j-1", broken)
    assert runs.wait(5)
    ended = runs.of("j-1")
    assert ended is not None and ended.status == "failed" and ended.trouble is not None
    assert ended.trouble.key == "app.asked.fault" and "inner" not in str(ended.trouble)


def test_put_away_only_what_has_ended(runs: Runs) -> None:
    work, _ = held(runs)
    runs.put_away("j-1")
    assert runs.of("j-1") is not None
    work.go.set()
    assert runs.wait(5)
    runs.put_away("j-1")
    assert runs.of("j-1") is None
    runs.put_away("j-1")


def test_closing_stops_and_begins_nothing_more() -> None:
    runs = Runs(random.Random(1))
    held(runs)
    runs.close(5)
    assert runs.underway() is None and runs.of("j-1").status == "stopped"  # type: ignore[union-attr]
    with pytest.raises(NotAllowed):
        runs.start("read", "j-2", lambda tell, stop: None)
