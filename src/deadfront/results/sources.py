"""What the sources stage answers: every bus, feeder and tap under each option, strings of modules, checks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from deadfront.msg import Msg, said
from deadfront.results.transfer import CapacityAnswer, NeutralAnswer, SignalAnswer
from deadfront.worksheet.check import Check, Outcome, Reach
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


@dataclass(frozen=True, slots=True)
class Way:
    """What would make an option pass.

    Args:
        key: "main" (a smaller main), "setting" (a lower setting), "output" (a smaller source), "bus" (a larger bus
            or larger conductors), "move" (the breaker to the other end), "device" (an overcurrent device).
        say: In words.
        step: The figure it takes [A]; None where it is no figure.
    """

    key: Literal["main", "setting", "output", "bus", "move", "device", "fact"]
    say: Msg
    step: Step | None = None


def either(ways: tuple[Way, ...]) -> Msg | str:
    """Ways in words, any one of which would do; "" where there is none."""
    if not ways:
        return ""
    told = ways[-1].say
    for way in reversed(ways[:-1]):
        told = said("source.either", first=way.say, rest=told)
    return told


@dataclass(frozen=True, slots=True)
class OptionAnswer:
    """One option of the code held against one bus.

    Args:
        key: "sum", "opposite_end", "breakers", "center_fed", "alone", "feeder_ampacity", "load_side_device",
            "far_end", "tap_short", "tap_long", "supply_side".
        name: What it is called.
        controlled: Reckoned with the setting of a power control system in place of the output.
        outcome: MEETS, FAILS, NOT_APPLICABLE (may not be used here) or CANNOT_TELL.
        why: What decides it, where that is no figure: position, edition, a missing condition.
        used: What the option adds up [A].
        limit: What it may come to [A].
        over: What it is over the limit [A].
        spare: What is left below the limit [A].
        missing: Facts it waits for.
        cites: Where it stands.
        ways: What would make it pass.
    """

    key: str
    name: Msg
    controlled: bool
    outcome: Outcome
    why: Msg | None = None
    used: Step | None = None
    limit: Step | None = None
    over: Step | None = None
    spare: Step | None = None
    missing: tuple[Missing, ...] = ()
    cites: tuple[Cite, ...] = ()
    ways: tuple[Way, ...] = ()


@dataclass(frozen=True, slots=True)
class BusAnswer:
    """One bus, feeder, tap or service that a source loads, under every option of the edition in force.

    Args:
        of: Id of the panel (its bus, or the feeder that feeds it), of the source (its tap), or "service".
        kind: What it is.
        name: What it is called.
        sources: Ids of the sources that load it.
        outcome: MEETS where one option does, FAILS where all that may be used do, else CANNOT_TELL.
        options: Every option, those that meet first.
        main: Overcurrent device on the side of the utility [A]; None where it has none.
        current: What the sources count for [A].
        reach: What the work does with it.
    """

    of: str
    kind: Literal["bus", "feeder", "tap", "service"]
    name: Msg
    sources: tuple[str, ...]
    outcome: Outcome
    options: tuple[OptionAnswer, ...] = ()
    main: Step | None = None
    current: Step | None = None
    reach: Reach = Reach.EXISTING


@dataclass(frozen=True, slots=True)
class StringAnswer:
    """One kind of string of solar modules in the cold, and the current of its conductors.

    Args:
        source: Id of the source.
        number: Which of its kinds of strings, from 1.
        name: What it is called.
        by: Method that applies: "coefficient" or "table"; "" where neither can be used.
        volts: By that method [V].
        by_coefficient, by_table: By each method that can be worked [V].
        limit: The smallest of the limits [V].
        outcome: Held against the limit.
        current: Largest current of the circuit [A].
        least_ampacity: What its conductors must carry before correction and adjustment [A].
    """

    source: str
    number: int
    name: Msg
    by: Literal["coefficient", "table", ""]
    volts: Step | None
    by_coefficient: Step | None
    by_table: Step | None
    limit: Step | None
    outcome: Outcome
    current: Step | None = None
    least_ampacity: Step | None = None


@dataclass(frozen=True, slots=True)
class StartAnswer:
    """The largest motor that a standby source must start.

    Args:
        source, load: Ids of the source and of the motor.
        name, load_name: What they are called.
        figure: Of a generator: how far its voltage drops [%]. Of a battery: what its surge is short of [A].
        outcome: Held against usual limits of design, or against the surge.
        missing: Facts it waits for.
    """

    source: str
    load: str
    name: Msg
    load_name: Msg
    figure: Step
    outcome: Outcome
    missing: tuple[Missing, ...] = ()


@dataclass(frozen=True, slots=True)
class SourcesResult:
    """Everything that the sources stage says of a house at one step.

    Args:
        say: In one line: sources there, none, or not looked for.
        buses: Every bus, feeder, tap and service that a source loads.
        strings: Strings of solar modules.
        checks: Its checks.
        missing: Whether all sources are listed, where that is not known.
        neutral: Neutral and ground of each source in each state of the transfer equipment.
        capacity: What transfer equipment puts on its sources, and what these give.
        signals: Control signals with their truth tables.
        starts: The largest motor that each standby source must start.
    """

    say: Msg = said("sources.not_looked")
    buses: tuple[BusAnswer, ...] = ()
    strings: tuple[StringAnswer, ...] = ()
    checks: tuple[Check, ...] = ()
    missing: tuple[Missing, ...] = ()
    neutral: tuple[NeutralAnswer, ...] = ()
    capacity: tuple[CapacityAnswer, ...] = ()
    signals: tuple[SignalAnswer, ...] = ()
    starts: tuple[StartAnswer, ...] = ()
