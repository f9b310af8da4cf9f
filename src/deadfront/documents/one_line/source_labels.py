"""The words beside sources and transfer equipment."""

from __future__ import annotations

from collections.abc import Callable

from deadfront.documents.one_line.told import Telling
from deadfront.documents.one_line.twig import Twig
from deadfront.job.source_things import Source, Transfer

Told = tuple[str, list[str]]


def transfer_lines(twig: Twig, telling: Telling) -> Told:
    """Transfer equipment: its kind, rating, what of the neutral, whether its sides exclude each other."""
    each = telling.things[twig.thing]
    assert isinstance(each, Transfer)
    lines = [telling.catalog.key(f"web.option.{each.kind.replace(' ', '_').replace('-', '_')}")]
    lines.append(telling.amount(each.rating_a, "A", each.id, "rating_a"))
    lines.append(telling.key("one_line.short_circuit", rating=telling.amount(each.sccr_ka, "kA", each.id, "sccr_ka")))
    if each.neutral_switched is None:
        lines.append(telling.key("one_line.neutral_unknown", mark=telling.ask(each.id, "neutral_switched")))
    else:
        lines.append(telling.key("one_line.neutral_switched" if each.neutral_switched else "one_line.neutral_solid"))
    if each.excludes is None:
        lines.append(telling.key("one_line.excludes_unknown", mark=telling.ask(each.id, "excludes")))
    elif not each.excludes and each.kind != "isolation device":
        lines.append(telling.key("one_line.excludes_not"))
    return f"{telling.name(each.id, 'transfer')} {telling.tag(each.id)}", lines


def _source(twig: Twig, telling: Telling) -> Source:
    found = telling.things[twig.thing]
    assert isinstance(found, Source)
    return found


def _output(source: Source, telling: Telling) -> list[str]:
    lines = [telling.key("one_line.output", rating=telling.amount(source.output_a, "A", source.id, "output_a"))]
    if source.output_w is not None:
        kilowatts = telling.amount(source.output_w / 1000, "kW", source.id, "output_w")
        volts = "" if source.volts is None else f", {telling.amount(source.volts, 'V', source.id, 'volts')}"
        lines.append(f"{kilowatts}{volts}")
    return lines


def _named(source: Source, telling: Telling) -> str:
    return f"{telling.name(source.id, source.kind)} {telling.tag(source.id)}"


def inverter_lines(twig: Twig, telling: Telling) -> Told:
    """An inverter: the name and the output of its source."""
    source = _source(twig, telling)
    return _named(source, telling), [telling.key("one_line.kind.inverter"), *_output(source, telling)]


def array_lines(twig: Twig, telling: Telling) -> Told:
    """A solar array: its strings and modules."""
    source = _source(twig, telling)
    lines = []
    for each in source.modules:
        strings = telling.ask(source.id, "strings") if each.strings is None else str(each.strings)
        series = telling.ask(source.id, "in_series") if each.in_series is None else str(each.in_series)
        lines.append(telling.key("one_line.strings", strings=strings, series=series))
    if not source.modules:
        lines.append(telling.key("one_line.strings", strings=telling.ask(source.id, "strings"), series="?"))
    return telling.key("one_line.kind.array"), [*lines, telling.key("one_line.live_in_light")]


def cells_lines(twig: Twig, telling: Telling) -> Told:
    """A battery: what it stores."""
    source = _source(twig, telling)
    kind = "one_line.kind.vehicle" if source.kind == "vehicle" else "one_line.kind.cells"
    stored = [telling.amount(source.energy_kwh, "kWh", source.id, "energy_kwh")] if source.kind == "battery" else []
    return telling.key(kind), [*stored, telling.key("one_line.live_always")]


def generator_lines(twig: Twig, telling: Telling) -> Told:
    """A generator: output, its breaker, what of its neutral; behind an inlet: the portable set."""
    source = _source(twig, telling)
    if source.kind == "inlet":
        return telling.key("one_line.kind.portable"), []
    lines = _output(source, telling)
    if source.output_breaker_a is not None:
        rating = telling.amount(source.output_breaker_a, "A", source.id, "output_breaker_a")
        lines.append(telling.key("one_line.own_breaker", rating=rating))
    if source.fault_current_a is not None:
        lines.append(
            telling.key("one_line.fault", current=telling.amount(source.fault_current_a, "A", source.id, "fault"))
        )
    if source.neutral_bonded is None:
        lines.append(telling.key("one_line.bonded_unknown", mark=telling.ask(source.id, "neutral_bonded")))
    else:
        lines.append(telling.key("one_line.bonded" if source.neutral_bonded else "one_line.not_bonded"))
    return _named(source, telling), lines


def inlet_lines(twig: Twig, telling: Telling) -> Told:
    """An inlet for a portable set."""
    source = _source(twig, telling)
    rating = telling.amount(source.output_a, "A", source.id, "output_a")
    return _named(source, telling), [telling.key("one_line.rated", rating=rating)]


SOURCE_LINES: dict[str, Callable[[Twig, Telling], Told]] = {
    "inverter": inverter_lines, "array": array_lines, "cells": cells_lines, "vehicle": cells_lines,
    "generator": generator_lines, "inlet": inlet_lines,
}  # fmt: skip
