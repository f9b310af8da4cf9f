"""One symbol of the tree and what hangs from it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from deadfront.topology.network import Device


@dataclass(eq=False)
class Twig:
    """A symbol, the conductors that lead to it, and what hangs below and beside it.

    Args:
        id: Its name in the drawing, kept from one edit to the next: nudges go by it.
        kind: Which symbol; "bus" for the bus of a panel.
        thing: Id of the thing in the job that it stands for.
        wires: Ids of the conductors above it, in the network.
        device: The device of the network that it stands for.
        enclosure: The enclosure it is mounted in.
        place: The place of the network below it.
        side: Transfer equipment: the side it is reached from.
        holds: Ids of breakers counted together in it.
    """

    id: str
    kind: str
    thing: str = ""
    wires: tuple[str, ...] = ()
    device: Device | None = None
    enclosure: str = ""
    place: str = ""
    side: str = ""
    holds: tuple[str, ...] = ()
    below: list[Twig] = field(default_factory=list)
    beside: list[Twig] = field(default_factory=list)

    def all(self) -> Iterator[Twig]:
        """Itself and everything that hangs from it."""
        yield self
        for each in (*self.below, *self.beside):
            yield from each.all()
