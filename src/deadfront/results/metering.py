"""What metering answers: every channel of the plan as it is read off a sheet, and its checks."""

from __future__ import annotations

from dataclasses import dataclass

from deadfront.msg import Msg
from deadfront.worksheet.check import Check, Outcome, Reach


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


@dataclass(frozen=True, slots=True)
class MeteringResult:
    """Everything that metering says of a house at one step."""

    channels: tuple[ChannelPlan, ...] = ()
    checks: tuple[Check, ...] = ()

    def of(self, channel: str) -> tuple[Check, ...]:
        """Checks of one channel."""
        return tuple(each for each in self.checks if each.thing == channel)
