"""Findings on circuits, kept by all that they hang on: a circuit met before is not judged again."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, field

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.protect.work import Wiring, outlet_reach, wirings
from deadfront.job.panel_things import Circuit
from deadfront.job.thing import Thing
from deadfront.worksheet.check import Check

Key = tuple[Hashable, ...]


@dataclass(frozen=True)
class Kept:
    """Checks by what they hang on, each a pure function of its key; the oldest go first.

    Args:
        most: How many are kept.
    """

    most: int = 2048
    _found: dict[Key, Check | None] = field(default_factory=dict)

    def of(self, key: Key, judge: Callable[[], Check | None]) -> Check | None:
        """The check kept under a key, judged if there is none yet."""
        if key in self._found:
            return self._found[key]
        made = judge()
        if len(self._found) >= self.most:
            self._found.pop(next(iter(self._found)), None)
        self._found[key] = made
        return made

    def forget(self) -> None:
        """Keep nothing."""
        self._found.clear()


def touched_circuits(facts: Facts) -> tuple[tuple[Circuit, Wiring, Key], ...]:
    """Circuits whose wiring the work makes, replaces or extends, each with all that its protection hangs on."""
    return facts.once(_touched_circuits)


def _touched_circuits(facts: Facts) -> tuple[tuple[Circuit, Wiring, Key], ...]:
    found = []
    kinds = {each.id: each.kind for each in facts.at.house.raceways}
    for circuit in facts.at.house.circuits:
        work = facts.once(wirings)[circuit.id]
        if work in ("new", "rewired", "extended"):
            found.append((circuit, work, _key(facts, circuit, work, kinds.get(circuit.cable.raceway or ""))))
    return tuple(found)


def _key(facts: Facts, circuit: Circuit, work: Wiring, raceway: str | None) -> Key:
    """The code, the work, the circuit, its breaker and outlets with all their facts, and where those stand."""
    breaker = facts.breaker_of(circuit)
    outlets = facts.outlets_on.get(circuit.id, ())
    return (
        facts.book, work, raceway, facts.at.house.complete.outlets, _values(facts, circuit),
        None if breaker is None else _values(facts, breaker),
        tuple((outlet_reach(facts, each, circuit), _values(facts, each)) for each in outlets),
    )  # fmt: skip


def _values(facts: Facts, thing: Thing) -> Key:
    """All facts of a thing but the answers to the site list, and the step that its facts stand in."""
    tag = facts.at.tags[thing.id]
    return (tag.letter, tag.step, *(value for name, value in thing.__dict__.items() if name != "seen"))
