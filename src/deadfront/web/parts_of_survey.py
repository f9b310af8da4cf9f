"""The smaller blocks of the survey: facts of the units, energy management, the steps of the work."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.things import EnergyManagement, Thing, Unit
from deadfront.web.desk import AtJob
from deadfront.web.entry.places import Standing, things_of
from deadfront.web.fields import field_at, label_of
from deadfront.web.pieces import ControlLine, Field, StepLine, SystemLine
from deadfront.web.tables import kind_words

OF_SEVERAL = ("one_feeder", "gas_cooking", "laundry_shared")
OF_SYSTEM = ("name", "listed", "set_point_a", "restricted_access", "lost_signal", "monitors")


def several_units(at: AtJob) -> bool:
    """Whether the building holds more than one dwelling unit."""
    units = [line.thing for line in things_of(at.job, "units")]
    return sum(unit.count for unit in units if isinstance(unit, Unit)) > 1


def unit_facts(at: AtJob) -> tuple[Field, ...]:
    """Facts of each unit that only some houses need: of several units, and whether it is a mobile home."""
    lines = list(things_of(at.job, "units"))
    names = (*OF_SEVERAL, "mobile_home") if several_units(at) else ("mobile_home",)
    out = []
    for number, line in enumerate(lines, 1):
        called = line.thing.name or at.catalog.key("web.unit.named", number=number)
        for name in names:
            label = label_of(at.catalog, "units", name)
            label = f"{called}: {label}" if len(lines) > 1 else label
            out.append(field_at(at, f"{line.scope}/{line.thing.id}.{name}", label))
    return tuple(out)


def systems_of(at: AtJob) -> Iterator[SystemLine]:
    """Energy management systems, each with its facts and the loads that it controls."""
    kinds = kind_words(at.catalog)
    for line in things_of(at.job, "energy_management"):
        system = line.thing
        assert isinstance(system, EnergyManagement)
        fields = tuple(
            field_at(at, f"{line.scope}/{system.id}.{name}", label_of(at.catalog, "energy_management", name))
            for name in OF_SYSTEM
        )
        controls = tuple(
            ControlLine(load.id, load.name or kinds.get(getattr(load, "kind", ""), load.id), load.id in system.controls)
            for load in loads_for(at, line)
        )
        yield SystemLine(system.id, system.name or at.catalog.key("web.system.unnamed"), line.work, fields, controls)


def loads_for(at: AtJob, system: Standing) -> list[Thing]:
    """The loads that a system may control: one found with the house, only those found with it."""
    lines = things_of(at.job, "loads")
    return [line.thing for line in lines if system.scope != "before" or line.scope == "before"]


def steps_of(at: AtJob) -> tuple[StepLine, ...]:
    """The steps of the work in their order."""
    last = len(at.job.work) - 1
    return tuple(
        StepLine(step.id, Field(f"{step.id}.say", at.catalog.key("web.step.say"), step.say), n > 0, n < last)
        for n, step in enumerate(at.job.work)
    )
