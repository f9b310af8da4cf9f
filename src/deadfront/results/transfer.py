"""What is answered of standby sources: where neutral and ground join in every state, signals by their faults."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from deadfront.msg import Msg
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

Position = Literal["normal", "alternate"]
Ground = Literal["once", "floating", "doubled", "open"]
Acts = Literal["acts", "rests", "holds", "unknown"]
Event = Literal[
    "normal", "acting", "cut wire", "cut wire to the relay", "welded contact", "lost supply", "lost network"  # words-ok
]


@dataclass(frozen=True, slots=True)
class NeutralAnswer:
    """The neutral of one source in one state of the transfer equipment.

    Args:
        source: Id of the source; "service" for the utility.
        name: What it is called.
        positions: Transfer equipment by id, each with its position.
        derived: Separately derived: its neutral is not connected with that of the service; None where not known.
        ground: once: joined to ground as it must be; floating: nowhere; doubled: more often; open: not known.
        joins: Ids where neutral and ground of it are joined; "service" for the main bonding jumper.
        outcome: MEETS only for once.
        missing: Facts that would tell.
        rest: Stands for the states that were too many to look at.
    """

    source: str
    name: Msg
    positions: tuple[tuple[str, Position], ...]
    derived: bool | None
    ground: Ground
    joins: tuple[str, ...]
    outcome: Outcome
    missing: tuple[Missing, ...] = ()
    rest: bool = False


@dataclass(frozen=True, slots=True)
class CapacityAnswer:
    """The load that transfer equipment puts on its source, held against what that source gives.

    Args:
        transfer: Id of the transfer equipment.
        name: What it is called.
        by: "hand": the user selects it; "full": all the load transferred; "managed": the limit of an energy
            management system; "control": the setting of a power control system or the largest single load;
            "" where it is not known how the load is connected.
        asked: What the source must carry [A].
        given: What it gives [A].
        outcome: Held against it; NOT_APPLICABLE where the user selects the load.
        missing: Facts that would tell.
    """

    transfer: str
    name: Msg
    by: Literal["hand", "full", "managed", "control", ""]
    asked: Step | None
    given: Step | None
    outcome: Outcome
    missing: tuple[Missing, ...] = ()


@dataclass(frozen=True, slots=True)
class SignalRow:
    """What the receiver of a signal does in one event.

    Args:
        event: The event.
        receiver: It acts, it rests, it holds as it was, or it is not known.
        outcome: Whether that is safe for the purpose; NOT_APPLICABLE where the purpose asks for nothing.
        why: In words.
    """

    event: Event
    receiver: Acts
    outcome: Outcome
    why: Msg


@dataclass(frozen=True, slots=True)
class SignalAnswer:
    """One control signal with its truth table.

    Args:
        signal: Its id.
        name: What it is called.
        purpose: What it is for.
        rows: One for each event that can befall it.
        outcome: The verdict over all rows but that of the welded contact, which only a test can find.
        sheds: Ids of the circuits that it opens, in their order.
        missing: Facts that would tell.
    """

    signal: str
    name: Msg
    purpose: str
    rows: tuple[SignalRow, ...]
    outcome: Outcome
    sheds: tuple[str, ...] = ()
    missing: tuple[Missing, ...] = ()
