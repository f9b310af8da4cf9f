"""The facts of an energy management system as a table for the inspector: on file, or not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from deadfront.msg import said
from deadfront.quantities import point
from deadfront.results.loads import ManagementFacts
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Block, Cell, Heading, Table, Verdict


def _yes(value: bool | None) -> Cell:
    """Yes, no, or not on file."""
    if value is None:
        return Verdict(Outcome.CANNOT_TELL, said("sheet.load.management.unknown"))
    return said(f"sheet.load.management.{'yes' if value else 'no'}")


def _text(value: str | None) -> Cell:
    return Verdict(Outcome.CANNOT_TELL, said("sheet.load.management.unknown")) if value is None else value


def management_blocks(systems: Sequence[ManagementFacts]) -> Iterator[Block]:
    """One table a system: what an inspector asks for before its limit may count."""
    for system in systems:
        point_a: Cell = (
            _text(None)
            if system.set_point_a is None
            else said("sheet.load.management.amperes", amperes=point(system.set_point_a))
        )
        controls: Cell = said("sheet.load.management.held", loads=system.controls) if system.controls else _text(None)
        rows: list[tuple[Cell, ...]] = [
            (said("sheet.load.management.listed"), _yes(system.listed)),
            (said("sheet.load.management.set_point"), point_a),
            (said("sheet.load.management.restricted"), _yes(system.restricted)),
            (said("sheet.load.management.lost_signal"), _text(system.lost_signal)),
            (said("sheet.load.management.monitors"), _text(system.monitors)),
            (said("sheet.load.management.controls"), controls),
        ]
        yield Heading(said("sheet.load.management.name", name=system.name))
        columns = (said("sheet.load.column.fact"), said("sheet.load.column.on_file"))
        yield Table(columns, tuple(rows), key="management")
