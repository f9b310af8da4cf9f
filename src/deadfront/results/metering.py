"""What metering answers: every channel of the plan as it is read off a sheet, and its checks."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.msg import Msg
from deadfront.worksheet.check import Check, Outcome, Reach

NEVER_MORE = frozenset({"metering.low_load", "metering.opening", "metering.sum_check"})
"""Checks that are never more than a note: what they do not know holds up no plan."""


def counts(check: Check) -> bool:
    """Whether a check counts for the answer of the plan: what is wrong always, what is open but for mere notes."""
    return check.outcome is Outcome.FAILS or check.id not in NEVER_MORE


@dataclass(frozen=True, slots=True)
class ChannelPlan:
    """One channel of the metering plan.

    Args:
        id: Of the channel.
        name: What it is called.
        gear: What the gear is called that it ends on; None where not known.
        input: Its input; "" where not known.
        conductor: Whose conductor is in its window.
        of: Id of that circuit, panel or source; "service"; "" where not known.
        leg: "L1"; "" where not known.
        role: "load", "mains", "feeder", "source"; "" where not known.
        ratio: Ratio marked on it; None where not known.
        set_to: Primary current the meter is set to, as text [A]; "" where not known.
        arrow: Where its arrow points as fitted: "source", "load"; "" where not known.
        arrow_wanted: Where its instructions have it point.
        doubled: "none", "watts", "amperes"; "" where not known.
        reach: What the work does with it.
        tag: E, N, R or RL.
        outcome: The worst of its checks.
        spaces: Spaces of its breaker; empty where not known.
        window: What passes through its window, as in Channel; "" where not known.
        rating: Largest current it is rated for, as text [A]; "" where not known.
        output: "current", "voltage"; "" where not known.
        voltage_leg: Leg of the voltage it multiplies by; "" where not known.
    """

    id: str
    name: Msg
    gear: Msg | None
    input: str
    conductor: Msg
    of: str
    leg: str
    role: str
    ratio: Msg | None
    set_to: str
    arrow: str
    arrow_wanted: str
    doubled: str
    reach: Reach
    tag: str
    outcome: Outcome
    spaces: tuple[int, ...] = ()
    window: str = ""
    rating: str = ""
    output: str = ""
    voltage_leg: str = ""


@dataclass(frozen=True, slots=True)
class MeteringResult:
    """Everything that metering says of a house at one step."""

    channels: tuple[ChannelPlan, ...] = ()
    checks: tuple[Check, ...] = ()

    def of(self, channel: str) -> tuple[Check, ...]:
        """Checks of one channel."""
        return tuple(each for each in self.checks if each.thing == channel)
