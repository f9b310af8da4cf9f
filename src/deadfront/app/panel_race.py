"""Two solvers against each other on one program: the first proof wins and ends the other; a stop ends both at once."""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable
from importlib.util import find_spec

from deadfront.errors import NotAllowed
from deadfront.panel.solve.cpsat import solve_cpsat
from deadfront.panel.solve.highs import solve_highs
from deadfront.panel.solve.linear import Cancel, Engine, Linear, Runner, Solved, Status

HEAD_START_S = 0.6
"""HiGHS alone first: most panels are proven before the other one is even loaded."""
LOOK_S = 0.05
STOP_S = 5.0
ENGINES: tuple[Engine, ...] = (solve_highs, solve_cpsat)


class Stopped(Exception):
    """Asked to stop: what was found until then stands, nothing more comes."""


def installed() -> bool:
    """Whether both solvers are there."""
    return find_spec("highspy") is not None and find_spec("ortools") is not None


def race(stop: Callable[[], bool] = lambda: False, head_start_s: float = HEAD_START_S) -> Runner:
    """A runner that sets both solvers against each other.

    Args:
        stop: Asked every twentieth of a second; true ends the run at once with Stopped.
    Raises:
        NotAllowed: the solvers are not installed.
    """
    if not installed():
        raise NotAllowed("cli.panel.solver_missing")

    def run(program: Linear, seconds: float) -> Solved:
        return _Race(program, seconds, stop, head_start_s).run()

    return run


class _Race:
    """One program, both engines, each in a thread of its own."""

    def __init__(self, program: Linear, seconds: float, stop: Callable[[], bool], head_start_s: float) -> None:
        self.program, self.seconds, self.stop, self.head_start_s = program, seconds, stop, head_start_s
        self.answers: queue.Queue[Solved | BaseException] = queue.Queue()
        self.cancels: list[Cancel] = []
        self.ended = threading.Event()
        self.begun = time.monotonic()
        self.threads: list[threading.Thread] = []

    def run(self) -> Solved:
        """The first proof; without one, the best of both, with the higher bound."""
        try:
            return self._decided()
        finally:
            self.ended.set()
            self._end()

    def _end(self) -> None:
        """Tell both to stop until they have: one that is about to start does not hear it the first time.

        A solver must not be left running when the program ends.
        """
        late = time.monotonic() + STOP_S
        while any(thread.is_alive() for thread in self.threads) and time.monotonic() < late:
            for cancel in list(self.cancels):
                cancel()
            for thread in self.threads:
                thread.join(LOOK_S)

    def _decided(self) -> Solved:
        self._start(ENGINES[0])
        found: list[Solved] = []
        while True:
            answer = self._next()
            if answer is not None:
                found.append(answer)
                if answer.status in ("proven", "impossible"):
                    return answer
            late = time.monotonic() - self.begun >= self.head_start_s or answer is not None
            if len(self.threads) < len(ENGINES) and late:
                self._start(ENGINES[len(self.threads)])
            elif len(found) == len(self.threads) == len(ENGINES):
                return _best(found)

    def _start(self, engine: Engine) -> None:
        left = max(0.1, self.seconds - (time.monotonic() - self.begun))

        def work() -> None:
            try:
                self.answers.put(engine(self.program, left, self._register))
            except BaseException as error:  # handed to the one who waits, who raises it
                self.answers.put(error)

        thread = threading.Thread(target=work, name=f"panel-{len(self.threads)}", daemon=True)
        self.threads.append(thread)
        thread.start()

    def _register(self, cancel: Cancel) -> None:
        self.cancels.append(cancel)
        if self.ended.is_set():
            raise Stopped

    def _next(self) -> Solved | None:
        """An answer, or None after a short wait."""
        if self.stop():
            raise Stopped
        try:
            answer = self.answers.get(timeout=LOOK_S)
        except queue.Empty:
            return None
        if isinstance(answer, BaseException):
            raise answer
        return answer


def _best(found: list[Solved]) -> Solved:
    """The cheapest solution with the highest bound; none where none was found."""
    least = max(each.least for each in found)
    solutions = [each for each in found if each.values]
    if not solutions:
        return Solved("not found", (), 0, least, found[0].engine, max(each.seconds for each in found))
    best = min(solutions, key=lambda each: each.cost)
    status: Status = "proven" if least >= best.cost else "best found"
    return Solved(status, best.values, best.cost, min(least, best.cost), best.engine, best.seconds)
