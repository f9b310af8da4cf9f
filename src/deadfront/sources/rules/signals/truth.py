"""What the receiver of a signal does when a wire is cut, a contact welded, a supply or a network lost.

A loop is closed or open; None stands for what is not known, and a receiver that may do either is not known to act.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from deadfront.results.transfer import Acts, Event

Loop = bool | None
AS_MEANT = (("normal", "rests"), ("acting", "acts"))
"""What a signal does where nothing is wrong, by wires and by network alike."""


@dataclass(frozen=True, slots=True)
class Wiring:
    """A signal by the facts that its truth table hangs on; None: not known.

    Args:
        closes_to_act: The sender's contact closes to act; False: it opens.
        acts_when_closed: The receiver acts on a closed loop; False: on an open one.
        rests_closed: The sender's contact without its supply.
        relay: An isolation relay stands between.
        relay_follows: Its contact is closed with its coil energized; False: open.
        network: It goes over a data network instead of wires.
        on_loss: What the receiver does when the network is lost.
    """

    closes_to_act: bool | None = None
    acts_when_closed: bool | None = None
    rests_closed: bool | None = None
    relay: bool | None = None
    relay_follows: bool | None = None
    network: bool | None = None
    on_loss: Literal["acts", "does not act", "holds"] | None = None


def events(wiring: Wiring) -> tuple[Event, ...]:
    """The events that can befall a signal."""
    if wiring.network:
        return "normal", "acting", "lost supply", "lost network"
    wires: tuple[Event, ...] = ("cut wire to the relay", "cut wire") if wiring.relay else ("cut wire",)  # words-ok
    lost: tuple[Event, ...] = ("lost network",) if wiring.network is None else ()
    return ("normal", "acting", *wires, "welded contact", "lost supply", *lost)


def receiver_does(wiring: Wiring, event: Event) -> Acts:
    """What the receiver does in an event."""
    if wiring.network:
        told: dict[str | None, Acts] = {"acts": "acts", "does not act": "rests", "holds": "holds", None: "unknown"}
        return {"normal": "rests", "acting": "acts"}.get(event) or told[wiring.on_loss]  # type: ignore[return-value]
    loop = _loop(wiring, event)
    if loop is None or wiring.acts_when_closed is None:
        return "unknown"
    does: Acts = "acts" if loop == wiring.acts_when_closed else "rests"
    return "unknown" if wiring.network is None and (event, does) not in AS_MEANT else does


def _loop(wiring: Wiring, event: Event) -> Loop:
    """The loop as the receiver sees it."""
    if event == "cut wire":
        return None if wiring.relay is None else False
    at_sender = _contact(wiring, event)
    if wiring.relay is None:
        return None
    if not wiring.relay:
        return at_sender
    if at_sender is None or wiring.relay_follows is None:
        return None
    return at_sender if wiring.relay_follows else not at_sender


def _contact(wiring: Wiring, event: Event) -> Loop:
    """The loop on the sender's side: closed, open, or not known."""
    if event == "welded contact":
        return True
    if event == "cut wire to the relay":  # words-ok
        return False
    if event == "lost supply":
        return wiring.rests_closed
    if wiring.closes_to_act is None:
        return None
    return wiring.closes_to_act if event == "acting" else not wiring.closes_to_act
