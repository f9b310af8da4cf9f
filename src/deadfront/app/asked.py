"""What is asked for and takes a while: one thing at a time in the background, with progress and a way to stop it.

Nothing here knows what the work is: it is handed a call to tell its progress and a call to ask whether to stop.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, Literal

from deadfront.errors import DeadfrontError, NotAllowed
from deadfront.job.ids import Chance, new_id
from deadfront.msg import Msg, said

Status = Literal["running", "stopping", "done", "stopped", "failed"]
Progress = Callable[[int], None]
Stop = Callable[[], bool]
Work = Callable[[Progress, Stop], Any]
UNDERWAY = ("running", "stopping")
log = logging.getLogger("deadfront.app")


@dataclass(frozen=True, slots=True)
class Run:
    """One thing asked for, as it stands.

    Args:
        id: Its own name.
        kind: What is done, such as "read".
        job_id: The job it is done for.
        about: What it is done with, such as a file's name.
        size: What `done` counts up to; 0 where that is not known.
        done: How far it is.
        status: Underway, or how it ended.
        outcome: What came of it, once done.
        trouble: Why it failed, once failed.
    """

    id: str
    kind: str
    job_id: str
    about: str = ""
    size: int = 0
    done: int = 0
    status: Status = "running"
    outcome: Any = None
    trouble: Msg | None = None

    @property
    def underway(self) -> bool:
        """Whether it has not ended yet."""
        return self.status in UNDERWAY


class Runs:
    """One run at a time; of every job the last one is remembered until it is put away.

    Args:
        rng: Source of chance for ids.
    """

    def __init__(self, rng: Chance) -> None:
        self._rng, self._lock = rng, threading.Lock()
        self._runs: dict[str, Run] = {}
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._closed = False

    def start(self, kind: str, job_id: str, work: Work, *, about: str = "", size: int = 0) -> Run:
        """Begin some work in the background.

        Args:
            work: Called with a call for its progress and one to ask whether to stop; what it gives back is the outcome.
        Raises:
            NotAllowed: something is still underway.
        """
        with self._lock:
            held = self._underway()
            if held is not None or self._closed:
                raise NotAllowed("app.asked.busy", what=held.about if held else about)
            ident = new_id("q", {run.id for run in self._runs.values()}, self._rng)
            run = Run(ident, kind, job_id, about, size)
            self._runs[job_id] = run
            self._stop = stop = threading.Event()
            self._thread = threading.Thread(target=self._work, args=(run, work, stop), name=ident, daemon=True)
            self._thread.start()
        return run

    def of(self, job_id: str) -> Run | None:
        """The last run of a job."""
        with self._lock:
            return self._runs.get(job_id)

    def underway(self) -> Run | None:
        """The run that has not ended yet, of whatever job."""
        with self._lock:
            return self._underway()

    def cancel(self, job_id: str) -> Run | None:
        """Ask a job's run to stop; the run as it stands then."""
        with self._lock:
            run = self._runs.get(job_id)
            if run is not None and run.underway:
                self._stop.set()
                run = self._runs[job_id] = replace(run, status="stopping")
            return run

    def put_away(self, job_id: str) -> None:
        """Forget a job's run that has ended."""
        with self._lock:
            run = self._runs.get(job_id)
            if run is not None and not run.underway:
                del self._runs[job_id]

    def wait(self, timeout_s: float | None = None) -> bool:
        """Wait until nothing is underway; whether that is so."""
        thread = self._thread
        if thread is not None:
            thread.join(timeout_s)
        return self.underway() is None

    def close(self, timeout_s: float = 10.0) -> None:
        """Stop what is underway and begin nothing more."""
        with self._lock:
            self._closed = True
            self._stop.set()
        self.wait(timeout_s)

    def _underway(self) -> Run | None:
        return next((run for run in self._runs.values() if run.underway), None)

    def _work(self, run: Run, work: Work, stop: threading.Event) -> None:
        def tell(done: int) -> None:
            self._change(run, done=done)

        try:
            outcome = work(tell, stop.is_set)
        except DeadfrontError as error:
            ended: Status = "stopped" if stop.is_set() else "failed"
            self._change(run, status=ended, trouble=error.msg)
        except Exception as error:  # a fault of ours: said in words, never as a traceback
            log.error("%s: %s", run.kind, type(error).__name__)
            log.debug("the fault", exc_info=error)
            self._change(run, status="failed", trouble=said("app.asked.fault"))
        else:
            self._change(run, status="done", outcome=outcome)

    def _change(self, run: Run, **fields: Any) -> None:
        with self._lock:
            now = self._runs.get(run.job_id)
            if now is not None and now.id == run.id:
                self._runs[run.job_id] = replace(now, **fields)
