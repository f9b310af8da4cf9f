"""A house at one moment: every collection of things, the service, and what was looked for."""

from __future__ import annotations

from deadfront.job.found_things import Gear, Hazard
from deadfront.job.load_things import EnergyManagement, Load, Recording, Unit
from deadfront.job.metering_things import Channel
from deadfront.job.panel_things import Box, Breaker, Cable, Circuit, Opening, Outlet, Panel, Raceway
from deadfront.job.record_things import Correction, Instrument, Record, Torque
from deadfront.job.service_things import Disconnect, Electrode, Meter, Service, Structure, Utility
from deadfront.job.source_things import Signal, Source, Switch, Transfer
from deadfront.job.thing import Conductors, Id, Known, Model, Name, Thing, unit_of

__all__ = [
    "COLLECTIONS", "Box", "Breaker", "Cable", "Channel", "Circuit", "Collections", "Complete", "Conductors",
    "Disconnect", "Electrode", "EnergyManagement", "Gear", "Hazard", "House", "Id", "Known", "Load", "Meter",
    "Model", "Name", "Opening", "Outlet", "Panel", "Raceway", "Recording", "Service", "Signal", "Source",
    "Structure", "Switch", "Thing", "Transfer", "Unit", "Utility", "unit_of",
]  # fmt: skip


class Collections(Model):
    """Every collection of things."""

    meters: tuple[Meter, ...] = ()
    panels: tuple[Panel, ...] = ()
    breakers: tuple[Breaker, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    outlets: tuple[Outlet, ...] = ()
    units: tuple[Unit, ...] = ()
    loads: tuple[Load, ...] = ()
    sources: tuple[Source, ...] = ()
    transfers: tuple[Transfer, ...] = ()
    switches: tuple[Switch, ...] = ()
    signals: tuple[Signal, ...] = ()
    energy_management: tuple[EnergyManagement, ...] = ()
    recordings: tuple[Recording, ...] = ()
    electrodes: tuple[Electrode, ...] = ()
    structures: tuple[Structure, ...] = ()
    raceways: tuple[Raceway, ...] = ()
    boxes: tuple[Box, ...] = ()
    openings: tuple[Opening, ...] = ()
    gear: tuple[Gear, ...] = ()
    channels: tuple[Channel, ...] = ()
    instruments: tuple[Instrument, ...] = ()
    records: tuple[Record, ...] = ()
    torques: tuple[Torque, ...] = ()
    corrections: tuple[Correction, ...] = ()
    hazards: tuple[Hazard, ...] = ()


class Complete(Model):
    """Whether a collection holds all there is: 'none here' differs from 'not looked'."""

    units: Known = "unknown"
    panels: Known = "unknown"
    breakers: Known = "unknown"
    circuits: Known = "unknown"
    outlets: Known = "unknown"
    loads: Known = "unknown"
    sources: Known = "unknown"
    transfers: Known = "unknown"
    switches: Known = "unknown"
    signals: Known = "unknown"
    meters: Known = "unknown"
    energy_management: Known = "unknown"
    recordings: Known = "unknown"
    electrodes: Known = "unknown"
    structures: Known = "unknown"
    raceways: Known = "unknown"
    boxes: Known = "unknown"
    openings: Known = "unknown"
    gear: Known = "unknown"
    channels: Known = "unknown"
    hazards: Known = "unknown"


class House(Collections):
    """A house at one moment."""

    complete: Complete = Complete()
    service: Service = Service()


COLLECTIONS: dict[str, type[Thing]] = {
    "meters": Meter, "panels": Panel, "breakers": Breaker, "circuits": Circuit, "outlets": Outlet, "units": Unit,
    "loads": Load, "sources": Source, "transfers": Transfer, "switches": Switch, "signals": Signal,
    "energy_management": EnergyManagement, "recordings": Recording, "electrodes": Electrode, "structures": Structure,
    "raceways": Raceway, "boxes": Box, "openings": Opening, "gear": Gear, "channels": Channel, "hazards": Hazard,
    "instruments": Instrument, "records": Record, "torques": Torque,
    "corrections": Correction,
}  # fmt: skip
"""Every collection of a House and the model of its things."""
PAPER = ("instruments", "records", "torques", "corrections")
"""Collections of what is written down about a house: no part of it, nothing that is fed, isolated or counted."""
