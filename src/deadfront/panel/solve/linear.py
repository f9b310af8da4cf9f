"""An integer program in plain integers, and what an engine answers to it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Literal

Terms = tuple[tuple[int, int], ...]
Status = Literal["proven", "best found", "impossible", "not found"]


@dataclass
class Linear:
    """Variables with bounds, rows low <= sum of coefficient times variable <= high, and a cost to make small."""

    lows: list[int] = field(default_factory=list)
    highs: list[int] = field(default_factory=list)
    rows: list[tuple[Terms, int | None, int | None]] = field(default_factory=list)
    cost: dict[int, int] = field(default_factory=dict)

    def var(self, high: int = 1, low: int = 0, cost: int = 0) -> int:
        """A new variable; its number."""
        self.lows.append(low)
        self.highs.append(high)
        if cost:
            self.cost[len(self.lows) - 1] = cost
        return len(self.lows) - 1

    def row(self, terms: Iterable[tuple[int, int]], low: int | None = None, high: int | None = None) -> None:
        """A new row; terms of one variable are added up."""
        summed: dict[int, int] = {}
        for var, factor in terms:
            summed[var] = summed.get(var, 0) + factor
        self.rows.append((tuple((var, factor) for var, factor in summed.items() if factor), low, high))

    def hopeless(self) -> bool:
        """Whether a row without any variable cannot hold: nothing is left to solve."""
        return any(not terms and ((low or 0) > 0 or (high is not None and high < 0)) for terms, low, high in self.rows)


@dataclass(frozen=True, slots=True)
class Solved:
    """What an engine found.

    Args:
        status: "proven" least cost, "best found", "impossible" (proven), "not found" within the time.
        values: Of every variable, where something was found.
        cost: Of these.
        least: No solution costs less.
        engine: Which one.
        seconds: It took.
    """

    status: Status
    values: tuple[int, ...] = ()
    cost: int = 0
    least: int = 0
    engine: str = ""
    seconds: float = 0.0


Cancel = Callable[[], None]
Engine = Callable[[Linear, float, Callable[[Cancel], None]], Solved]
"""An engine: program, seconds, and a call it hands its own way to stop at once."""
Runner = Callable[[Linear, float], Solved]
"""One engine or several against each other: program and seconds."""
