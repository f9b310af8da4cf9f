"""Tables of the sources: paths, options of each bus, strings in the cold, neutral by state, capacity, signals."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.documents.circuit_sheets.common import DASH, figure, place_name, tag_cell
from deadfront.documents.source_sheets.paths import path_of
from deadfront.job.house import HouseAt
from deadfront.job.source_things import Source
from deadfront.msg import Msg, said
from deadfront.quantities import point
from deadfront.results.sources import BusAnswer, OptionAnswer, SourcesResult, either
from deadfront.results.transfer import NeutralAnswer, SignalAnswer
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Cell, Figure, Table, Verdict


def _columns(name: str, *columns: str) -> tuple[Msg, ...]:
    return tuple(said(f"sheet.sources.column.{name}.{each}") for each in columns)


def paths_table(at: HouseAt) -> Table:
    """Every source, what it gives, and its path."""
    rows: list[tuple[Cell, ...]] = [
        (_name(each), tag_cell(at, each.id), _output(each), path_of(at, each)) for each in at.house.sources
    ]
    return Table(_columns("path", "source", "tag", "output", "path"), tuple(rows), (2,), key="paths")


def _name(source: Source) -> Msg:
    if source.name:
        return said("thing.named", name=source.name)
    return said("source.by_kind", kind=said(f"source.kind.{source.kind}"), id=source.id)


def _output(source: Source) -> Cell:
    if source.output_a is not None:
        return Figure(point(source.output_a), "A")
    return DASH if source.output_w is None else Figure(point(source.output_w), "VA")


def bus_table(answer: BusAnswer) -> Table:
    """Every option of the edition on one bus: what it adds up, its limit, by how much, what would make it pass."""
    rows = [_option(each) for each in answer.options]
    sections = tuple(each.cites[0].section if each.cites else "" for each in answer.options)
    names = _columns("bus", "option", "used", "limit", "apart", "stands", "ways")
    return Table(names, tuple(rows), (1, 2, 3), margins=sections, key="bus")


def _option(option: OptionAnswer) -> tuple[Cell, ...]:
    name: Msg = said("sheet.sources.controlled", option=option.name) if option.controlled else option.name
    apart: Cell = ""
    if option.outcome is Outcome.FAILS and option.over is not None:
        apart = figure(option.over)
    elif option.outcome is Outcome.MEETS and option.spare is not None:
        apart = figure(option.spare)
    more: Cell = option.why or ""
    if option.ways:
        more = said("sheet.sources.ways", ways=either(option.ways))
    elif option.missing:
        more = said("sheet.sources.waits", facts=tuple(each.what for each in option.missing))
    return name, figure(option.used), figure(option.limit), apart, Verdict(option.outcome), more


def strings_table(result: SourcesResult) -> Table:
    """Strings of modules in the cold against the least of their limits."""
    rows: list[tuple[Cell, ...]] = [
        (each.name, said(f"sheet.sources.by.{each.by or 'none'}"), figure(each.volts), figure(each.limit),
         figure(each.current), figure(each.least_ampacity), Verdict(each.outcome)) for each in result.strings
    ]  # fmt: skip
    names = _columns("string", "string", "by", "volts", "limit", "current", "ampacity", "stands")
    return Table(names, tuple(rows), (2, 3, 4, 5), key="strings")


def neutral_table(at: HouseAt, result: SourcesResult) -> Table:
    """Neutral and ground of each source, state by state."""
    rows = [
        (_state(at, each), each.name, _derived(each), _joined(at, each), Verdict(each.outcome))
        for each in result.neutral
    ]
    names = _columns("neutral", "state", "source", "derived", "joined", "stands")
    return Table(names, tuple(rows), key="neutral")


def _state(at: HouseAt, answer: NeutralAnswer) -> Cell:
    if answer.rest:
        return said("sheet.sources.state.rest")
    if not answer.positions:
        return said("sheet.sources.state.always")
    parts = tuple(said(f"sheet.sources.state.{position}", transfer=place_name(at, ident))
                  for ident, position in answer.positions)  # fmt: skip
    return parts[0] if len(parts) == 1 else said("sheet.sources.state.all", parts=parts)


def _derived(answer: NeutralAnswer) -> Cell:
    if answer.source == "service":
        return said("sheet.sources.derived.utility")
    return said(f"sheet.sources.derived.{ {True: 'own', False: 'service', None: 'unknown'}[answer.derived] }")


def _joined(at: HouseAt, answer: NeutralAnswer) -> Cell:
    """Where it is joined; what would tell where that is open."""
    if answer.ground == "open":
        return said("sheet.sources.waits", facts=tuple(each.what for each in answer.missing))
    places = tuple(place_name(at, each) for each in answer.joins)
    return said(f"sheet.sources.joined.{answer.ground}", places=places)


def capacity_table(result: SourcesResult) -> Table:
    """What transfer equipment puts on its sources, and what these give."""
    rows: list[tuple[Cell, ...]] = [
        (each.name, said(f"sheet.sources.load_by.{each.by or 'unknown'}"), figure(each.asked), figure(each.given),
         Verdict(each.outcome)) for each in result.capacity
    ]  # fmt: skip
    return Table(_columns("capacity", "transfer", "by", "asked", "given", "stands"), tuple(rows), (2, 3),
                 key="capacity")  # fmt: skip


def signal_tables(at: HouseAt, result: SourcesResult) -> Iterator[tuple[Msg, Table, Msg | None]]:
    """Every signal: its heading, its truth table, what it sheds."""
    for each in result.signals:
        purpose = said(f"sheet.sources.purpose.{each.purpose.replace(' ', '_')}")
        sheds = (
            said("sheet.sources.sheds", circuits=tuple(place_name(at, c) for c in each.sheds)) if each.sheds else None
        )
        yield said("sheet.sources.signal", name=each.name, purpose=purpose), _truth(each), sheds


def _truth(answer: SignalAnswer) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (said(f"signal.event.{row.event.replace(' ', '_')}"), said(f"signal.receiver.{row.receiver}"),
         Verdict(row.outcome), row.why) for row in answer.rows
    ]  # fmt: skip
    return Table(_columns("signal", "event", "receiver", "stands", "why"), tuple(rows), key="signal")
