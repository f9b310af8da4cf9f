"""What the circuits stage answers: every run of conductors, faults at every bus, grounding, the site list, checks."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from deadfront.job.thing import Known
from deadfront.msg import Msg
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.step import Step


@dataclass(frozen=True, slots=True)
class Sized:
    """A conductor that a rule asks for or allows.

    Args:
        size: "8", "4/0", "250".
        metal: "copper" or "aluminum".
        step: How it was found; its value is the ampacity [A] or the area [cmil].
        sets: Parallel sets.
    """

    size: str
    metal: str
    step: Step
    sets: int = 1


@dataclass(frozen=True, slots=True)
class Run:
    """One branch circuit, feeder or service: its load, its breaker, its conductors, each with its working.

    Args:
        of: Id of the circuit, of the panel a feeder feeds, or "service".
        kind: What it is.
        name: What it is called.
        breaker: Id of its breaker; "" where there is none.
        volts: Between its ungrounded conductors, or conductor and neutral [V].
        load: Current of the load on it [A]; None where nothing is known of it.
        least: What conductor and breaker must be good for: 125 percent of the continuous part and the rest [A].
        rating: Rating of its breaker [A].
        ampacity: What the conductors in place may carry [A].
        breaker_least: Smallest standard breaker for it [A].
        breaker_most: Largest breaker that conductors and equipment allow [A].
        smallest: Smallest conductors that work, copper first, then aluminum where allowed.
        ground: Smallest equipment grounding conductor, by metal.
        drop: Voltage drop along it at its load [%].
        drop_all: The same from the transformer to its far end [%].
        reach: What the work does with it.
        checks: Its checks.
    """

    of: str
    kind: Literal["circuit", "feeder", "service"]
    name: Msg
    breaker: str = ""
    volts: Step | None = None
    load: Step | None = None
    least: Step | None = None
    rating: Step | None = None
    ampacity: Step | None = None
    breaker_least: Step | None = None
    breaker_most: Step | None = None
    smallest: tuple[Sized, ...] = ()
    ground: tuple[Sized, ...] = ()
    drop: Step | None = None
    drop_all: Step | None = None
    reach: Reach = Reach.EXISTING
    checks: tuple[Check, ...] = ()


@dataclass(frozen=True, slots=True)
class Drop:
    """Voltage drop along one run at its load.

    Args:
        of: As in Run.
        here: Along the run [%].
        all_along: From the transformer to its far end [%].
    """

    of: str
    here: Step
    all_along: Step | None = None


@dataclass(frozen=True, slots=True)
class FaultPoint:
    """Available fault current at one place.

    Args:
        of: "transformer", "service point" (end of the utility's conductors), "service", or the id of a panel.
        name: What the place is called.
        line_to_line: Leg to leg [A]; None where nothing is known.
        line_to_neutral: Leg to neutral [A].
        largest: The larger of both, at the low end of impedance: what devices must interrupt [A].
        smallest: The smaller of both, at the high end of impedance: what must still trip a breaker [A].
    """

    of: str
    name: Msg
    line_to_line: Step | None = None
    line_to_neutral: Step | None = None
    largest: Step | None = None
    smallest: Step | None = None


@dataclass(frozen=True, slots=True)
class Required:
    """One conductor of grounding or bonding that the code sizes.

    Args:
        subject: "electrode_conductor", "main_bonding_jumper", "water_bond", ...
        of: Thing it belongs to, or "service".
        name: What it is.
        smallest: By metal, copper first; empty where it cannot be told yet.
        found: Size in place as entered; "" for not known.
        outcome: Held against what is in place.
        reach: What the work does with it.
        asked: Whether it is asked of this house: the work touches it, or what stands there is a hazard.
    """

    subject: str
    of: str
    name: Msg
    smallest: tuple[Sized, ...]
    found: str
    outcome: Outcome
    reach: Reach = Reach.NEW
    asked: bool = True


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the site list: answered by looking, about one thing.

    Args:
        key: Its name in the code book's list, such as "neutral_own_terminal".
        of: Id of the thing, or "service".
        path: Where the answer goes: "before/p-k3m.seen.neutral_own_terminal".
        say: The question in words.
        answer: As answered.
        wanted: The answer that meets the rule.
        outcome: What the answer comes to.
        severity: How bad, if it does not meet.
        reach: What the rule reaches here.
        cites: Where the rule stands.
        how: How it is answered, after the caution that belongs to looking.
    """

    key: str
    of: str
    path: str
    say: Msg
    answer: Known
    wanted: Known
    outcome: Outcome
    severity: Severity
    reach: Reach
    cites: tuple[Cite, ...] = ()
    how: Msg | None = None


@dataclass(frozen=True, slots=True)
class CircuitsResult:
    """Everything that the circuits stage says of a house at one step."""

    runs: tuple[Run, ...] = ()
    drops: tuple[Drop, ...] = ()
    faults: tuple[FaultPoint, ...] = ()
    grounding: tuple[Required, ...] = ()
    questions: tuple[Question, ...] = ()
    checks: tuple[Check, ...] = field(default=())
