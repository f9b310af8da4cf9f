"""The network of signals: their wires and the supply of their sender are live in the equipment they end in."""

from __future__ import annotations

from deadfront.job.source_things import Signal
from deadfront.topology.drawing_up import DrawingUp

TOUCHABLE_V = 50
"""Live parts below this need not be made dead (29 CFR 1910.333(a)(1), from memory) [V]."""


def draw_signals(up: DrawingUp) -> None:
    """Every signal with wires of its own between two things that are there."""
    for signal in up.house.signals:
        if signal.over_network is not True:
            _wires(up, signal)


def _wires(up: DrawingUp, signal: Signal) -> None:
    sender, receiver = signal.sender, signal.receiver
    ends = {"sender": sender, "receiver": receiver}
    homes = {name: _home(up, ident) for name, ident in ends.items() if ident in up.ids}
    if len(homes) < len(ends):
        return
    for name, home in homes.items():
        up.place(f"signal/{signal.id}/{name}", home)
    if signal.relay is not True:  # a relay parts the two circuits: each end has its own
        up.joined(f"signal/{signal.id}", f"signal/{signal.id}/sender", f"signal/{signal.id}/receiver")
    _supply(up, signal, homes["sender"])
    if signal.receiver_volts is None or signal.receiver_volts >= TOUCHABLE_V:
        _fed(up, signal, "receiver", _supply_of(up, str(receiver)))


def _supply(up: DrawingUp, signal: Signal, home: str) -> None:
    """What powers the sender comes into it, and onto the wires where its contact is not free of voltage."""
    if signal.powered_by is not None:
        up.place(f"signal/{signal.id}/supply", home)
        _fed(up, signal, "supply", _supply_of(up, signal.powered_by))
    if signal.voltage_free is False:
        start = f"signal/{signal.id}/supply" if signal.powered_by is not None else _supply_of(up, str(signal.sender))
        _fed(up, signal, "sender", start)


def _fed(up: DrawingUp, signal: Signal, end: str, start: str | None) -> None:
    place = f"signal/{signal.id}/{end}"
    if start is None:
        up.not_known("signal", signal.id, place)
    elif start != place:
        up.tie(f"signal/{signal.id}/{end}/fed", start, place)


def _supply_of(up: DrawingUp, ident: str) -> str | None:
    """Where the voltage of a thing comes from: its output terminals, its circuit."""
    circuits = {each.id for each in up.house.circuits}
    if ident in circuits:
        return f"end/{ident}"
    loads = {each.id: each.circuit for each in up.house.loads}
    if loads.get(ident) in circuits:
        return f"end/{loads[ident]}"
    return f"bus/{ident}" if ident in up.panels else up.load_side(ident)


def _home(up: DrawingUp, ident: str | None) -> str:
    """The enclosure that the wires end in: the thing itself, or the panel of a breaker."""
    breaker = up.breakers.get(ident or "")
    return (up.panel_of(breaker) or "") if breaker is not None else ident or ""
