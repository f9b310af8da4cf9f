"""Every conductor of grounding and bonding that the code sizes: at the service, then at separate structures."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.service.bonds import bonds
from deadfront.circuits.rules.service.electrode_lines import electrode_lines
from deadfront.circuits.rules.service.neutral import grounded_conductor
from deadfront.circuits.rules.service.panel_lines import panel_lines
from deadfront.circuits.rules.service.structure_lines import structure_lines
from deadfront.results.circuits import Required


def grounding(facts: Facts) -> tuple[Required, ...]:
    """All lines of the grounding sheet."""
    return tuple(_lines(facts))


def _lines(facts: Facts) -> Iterator[Required]:
    yield from grounded_conductor(facts)
    yield from electrode_lines(facts)
    yield from bonds(facts)
    yield from panel_lines(facts)
    yield from structure_lines(facts)
