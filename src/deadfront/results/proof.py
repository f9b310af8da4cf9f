"""The proof of current transformers by load steps: what is planned, what was stepped and read, what it comes to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal, NamedTuple

from deadfront.msg import Msg
from deadfront.worksheet.check import Outcome

ScaleFault = Literal["ratio", "doubled", "not doubled", "amperes doubled"]


class Conductor(NamedTuple):
    """One hot conductor: of a circuit, of the feeder of a panel, of a source, of the service; and its leg."""

    of: str
    leg: str


@dataclass(frozen=True, slots=True)
class ProofChannel:
    """A channel as it is planned.

    Args:
        id: Of the channel.
        name: What it is called.
        conductor: In its window by the plan; None where the plan does not say.
        voltage_leg: Leg of the voltage it multiplies by; "" as its conductor's.
        window: "one hot", "two hots, one turned"; "" as one hot.
        doubled: Whether the meter doubles its watts.
        role: "load", "mains", "feeder", "source"; "" where not known.
        production: How the meter shows what a source gives: "positive", "negative"; "" where not known.
        alone: It stands for both hots of a circuit or a source: what it must show is the whole load.
        neutral: Whether that load has a part between one hot and neutral; None where not known.
    """

    id: str
    name: Msg
    conductor: Conductor | None
    voltage_leg: str = ""
    window: str = ""
    doubled: bool = False
    role: str = "load"
    production: str = ""
    alone: bool = False
    neutral: bool | None = False


@dataclass(frozen=True, slots=True)
class ProofPlan:
    """All that the steps are held against.

    Args:
        channels: Every channel.
        paths: The conductors that the current of each passes, itself first, up to the service.
        names: What each thing is called, by its id.
        wye: Two or three legs of 208Y/120 instead of split phase; None where that is not known.
        partners: Circuits that share a neutral, both ways.
        one_hot: Circuits with one hot of a breaker of two poles, of which it is not known which leg that is.
    """

    channels: tuple[ProofChannel, ...]
    paths: Mapping[Conductor, tuple[Conductor, ...]]
    names: Mapping[str, Msg] = field(default_factory=dict)
    wye: bool | None = False
    partners: Mapping[str, str] = field(default_factory=dict)
    one_hot: frozenset[str] = frozenset()

    @property
    def legs(self) -> tuple[str, ...]:
        """Every leg that a conductor is on."""
        return tuple(sorted({each.leg for each in self.paths}))


@dataclass(frozen=True, slots=True)
class Reading:
    """What one channel showed before and after a step; amperes and var where they were read.

    Figures are as typed: the last digit written is taken as the resolution.
    """

    channel: str
    before_w: Decimal
    after_w: Decimal
    before_var: Decimal | None = None
    after_var: Decimal | None = None
    before_a: Decimal | None = None
    after_a: Decimal | None = None


@dataclass(frozen=True, slots=True)
class LoadStep:
    """One known resistive load switched on (or a source, by negative watts), and what the channels showed.

    Args:
        circuit: Id of the circuit, or of the source, that was stepped.
        legs: Its leg; both legs for a load between them.
        watts: Of the load, by its nameplate or by clamp and volts; negative for what a source gives.
        readings: Of every channel read.
        clamp_a: Its current by a clamp meter, where one was put on; then it is known that the load moved.
        noise_w: Standard deviation of one reading; left out: only the resolution as typed.
        percent: How far the watts may be off; left out: 10, or 5 with a clamp.
    """

    circuit: str
    legs: tuple[str, ...]
    watts: Decimal
    readings: tuple[Reading, ...]
    clamp_a: Decimal | None = None
    noise_w: Decimal | None = None
    percent: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Cause:
    """One way of wiring and setting a channel that its readings fit.

    Args:
        kind: "conductor": one conductor in the window; "turned", "same way": both hots; "with other": its own and one
            more; "shared neutral": its own and the neutral shared with a partner; "nothing": reads nothing.
        conductors: In the window, as far as they show.
        reversed: The current transformer is turned round; None where it cannot matter or be told.
        reference: Leg of the voltage; "" where it cannot be told.
        scale: Shown for each watt that it should show; None where it is so little that it does not show.
        scale_of: What may be behind a scale that is not as planned.
        faults: How many things are not as planned.
        say: It in words.
    """

    kind: str
    conductors: tuple[Conductor, ...] = ()
    reversed: bool | None = None
    reference: str = ""
    scale: float | None = None
    scale_of: tuple[ScaleFault, ...] = ()
    faults: int = 0
    say: Msg = Msg("proof.nowhere")


@dataclass(frozen=True, slots=True)
class ChannelVerdict:
    """What the steps come to for one channel.

    Args:
        channel: Its id.
        outcome: Meets: reads as planned, for everything that was stepped.
        key: The class: "right", "negative", "other conductor", "scale", ... or why it cannot be told.
        say: The verdict in words.
        causes: Every wiring that fits, the one with the fewest faults first; empty where none does.
        placed: The conductor in its window, where that is decided; its leg is "" where a load between both legs cannot
            tell which.
        sign: How what is in its window shows: 1 as it should, -1 the other way, 0 where that cannot be told.
        test: The test that separates the causes; None where none is needed.
        steps: How many steps it rests on.
    """

    channel: str
    outcome: Outcome
    key: str
    say: Msg
    causes: tuple[Cause, ...] = ()
    placed: Conductor | None = None
    sign: int = 0
    test: Msg | None = None
    steps: int = 0

    @property
    def simplest(self) -> tuple[Cause, ...]:
        """The causes with the fewest faults."""
        least = min((each.faults for each in self.causes), default=0)
        return tuple(each for each in self.causes if each.faults == least)
