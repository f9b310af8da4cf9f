"""The network of a house, as recorded; what is not recorded counts as live and is named."""

from __future__ import annotations

from deadfront.job.things import House
from deadfront.topology.drawing_up import DrawingUp
from deadfront.topology.loose_ends import draw_loose_ends
from deadfront.topology.network import Network
from deadfront.topology.panels_part import draw_panels
from deadfront.topology.service_part import draw_service
from deadfront.topology.signals_part import draw_signals
from deadfront.topology.sources_part import draw_sources
from deadfront.topology.transfers_part import draw_transfers


def network_of(house: House) -> Network:
    """Everything that can be live in a house: devices with two terminals, feeds, transfer equipment, enclosures.

    Args:
        house: The house at one step of the work.

    Returns:
        The network. What feeds a panel, a switch or a transfer without a record, or one whose record leads back to
        itself, is a feed of its own that nothing isolates; a source joined nobody knows where, or a breaker in no known
        panel, is joined to every bus.
    """
    up = DrawingUp(house)
    draw_service(up)
    draw_panels(up)
    draw_sources(up)
    draw_transfers(up)
    draw_signals(up)
    draw_loose_ends(up)
    return up.network()
