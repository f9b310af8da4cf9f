"""Labels at print size: what a panel is and what feeds it, its disconnect, fault current, sources, shared neutrals."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from deadfront.codebook.book import Codebook
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.directory import lines_of
from deadfront.documents.panel_sheets.label_art import Label, circuit_numbers, label
from deadfront.documents.panel_sheets.panel_sheet import Drawn, question_cites
from deadfront.documents.panel_sheets.print_size import INCH_MM, picture_mm
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Panel
from deadfront.msg import Msg, said
from deadfront.panel.rules.names import spaces_of
from deadfront.quantities import point
from deadfront.results.circuits import CircuitsResult
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.sheet import Answer, Block, Caution, Cell, Figure, Heading, Paragraph, Sheet, SheetHead, Table

EMERGENCY, EMERGENCY_LETTERS = "emergency_marking", "emergency_letters_in"
MARKED = {"service disconnect": "service", "meter disconnect": "meter", "not service equipment": "not_service"}


@dataclass(frozen=True, slots=True)
class Wanted:
    """A label with where it goes and where it is asked for.

    Args:
        place: Where it is put up.
        label: Its words and letters.
        cites: What asks for it; empty: good practice.
    """

    place: Msg
    label: Label
    cites: tuple[Cite, ...] = ()


def labels_sheet(
    at: HouseAt, drawn: Sequence[Drawn], circuits: CircuitsResult, book: Codebook, head: SheetHead, catalog: Catalog
) -> Sheet | None:
    """Every label of a house at print size, with the list of where each goes; None where there is no panel."""
    if not drawn:
        return None
    wanted = [*_of_service(at, book), *(each for panel in drawn for each in _of_panel(at, panel, circuits, book, head))]
    numbers = [each for panel in drawn for each in _numbers(at, panel)]
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (each.place, each.label.told(catalog), _size(each.label)) for each in wanted
    )
    names = tuple(said(f"sheet.labels.column.{name}") for name in ("place", "words", "letters"))
    margins = tuple(each.cites[0].section if each.cites else "" for each in wanted)
    blocks: list[Block] = [
        Answer(said("sheet.labels.question"), said("sheet.labels.answer", count=len(wanted))),
        Table(names, rows, (), margins, key="label_list"),
        *(Paragraph(msg) for msg in _waiting(at, drawn, circuits, book)),
        Caution("notice", said("sheet.labels.scale")),
        Caution("notice", said("sheet.labels.words")),
    ]
    for each in wanted:
        blocks.append(picture_mm(label(each.label, catalog), said("sheet.labels.caption", place=each.place)))
    if numbers:
        blocks.append(Heading(said("sheet.labels.numbers")))
        blocks.append(picture_mm(circuit_numbers(numbers, catalog), said("sheet.labels.cut")))
    cites = tuple(dict.fromkeys(cite for each in wanted for cite in each.cites))
    return Sheet("labels", said("sheet.labels.title"), head, tuple(blocks), cites)


def _size(each: Label) -> Msg:
    """How high its smallest letters must be, where a rule says so."""
    key = "sheet.labels.letters_by_rule" if each.by_rule else "sheet.labels.letters"
    return said(key, inches=f"{each.letter / INCH_MM:.2f}", height=f"{each.letter:.1f}")


def _of_service(at: HouseAt, book: Codebook) -> Iterator[Wanted]:
    """The outdoor emergency disconnect, with the words for what it is in this edition."""
    outside = at.house.service.outside
    cites = [*question_cites(book, EMERGENCY)]
    if outside.present != "yes" or not cites:
        return
    lines = [said("label.emergency")]
    kind = MARKED.get(outside.marked or "")
    lines.append(said(f"label.emergency_{kind}") if kind else said("label.emergency_open"))
    letter, by_rule = INCH_MM / 2, False
    if book.has(EMERGENCY_LETTERS):
        value = book.value(EMERGENCY_LETTERS)
        letter, by_rule = float(value.value) * INCH_MM, True
        cites.append(value.cite)
    made = Label(tuple(lines), letter, "red", by_rule=by_rule)
    yield Wanted(said("label.at.outside"), made, tuple(cites))


def _of_panel(at: HouseAt, drawn: Drawn, circuits: CircuitsResult, book: Codebook, head: SheetHead) -> Iterator[Wanted]:
    panel = drawn.panel
    source = _source(at, panel)
    lines = [said("label.panel", panel=drawn.name), source]
    if at.house.service.system:
        lines.append(said(f"label.system.{at.house.service.system.partition(' ')[0].replace('/', '_')}"))
    yield Wanted(said("label.at.cover", panel=drawn.name), Label(tuple(lines), 5.0))
    if panel.service_equipment == "yes":
        cites = question_cites(book, "service_disconnect_marked")
        yield Wanted(said("label.at.main", panel=drawn.name), Label((said("label.service_disconnect"),), 6.0), cites)
    largest_a = _fault_a(panel, circuits)
    if largest_a is not None:
        whole = largest_a.to_integral_value(rounding=ROUND_CEILING)
        words = said("sheet.fault.label", current=Figure(point(whole), "A"), on=head.on)
        yield Wanted(said("label.at.cover", panel=drawn.name), Label((words,), 3.5))
    yield from _of_breakers(at, drawn, book)


def _fault_a(panel: Panel, circuits: CircuitsResult) -> Decimal | None:
    """The largest fault current at a panel [A], as the circuits stage has it; None where that is not known."""
    places = {each.of: each.largest for each in circuits.faults}
    step = places.get(panel.id)
    if step is None and panel.fed_by in ("service", None):
        step = places.get("service")
    return None if step is None else step.value.high


def _waiting(at: HouseAt, drawn: Sequence[Drawn], circuits: CircuitsResult, book: Codebook) -> Iterator[Msg]:
    """Labels that cannot be made yet, and why: never left out in silence."""
    if at.house.service.outside.present == "unknown" and question_cites(book, EMERGENCY):
        yield said("label.waits.outside")
    for each in drawn:
        if _fault_a(each.panel, circuits) is None:
            yield said("label.waits.fault", panel=each.name)
        if each.panel.service_equipment == "unknown":
            yield said("label.waits.service_equipment", panel=each.name)


def _of_breakers(at: HouseAt, drawn: Drawn, book: Codebook) -> Iterator[Wanted]:
    """Backfed breakers, and breakers that share a neutral."""
    lines = lines_of(at, drawn)
    by_circuit = {each.id: line.breaker for line in lines for each in line.circuits}
    sources = {each.breaker for each in at.house.sources}
    for line in lines:
        if line.breaker.role == "source" or line.breaker.id in sources:
            made = Label((said("label.backfed"), said("label.backfed_what", name=line.name())), 3.5, "warning")
            yield Wanted(said("label.at.space", spaces=spaces_of(line.breaker)), made)
    seen: set[frozenset[str]] = set()
    for circuit in at.house.circuits:
        here, there = by_circuit.get(circuit.id), by_circuit.get(circuit.shares_neutral_with or "")
        if here is None or there is None or here.id == there.id or frozenset({here.id, there.id}) in seen:
            continue
        seen.add(frozenset({here.id, there.id}))
        spaces = tuple(spaces_of(each) for each in sorted((here, there), key=lambda b: b.spaces))
        made = Label((said("label.multiwire", spaces=spaces), said("label.multiwire_open")), 3.0, "warning")
        yield Wanted(said("label.at.space", spaces=", ".join(spaces)), made)


def _source(at: HouseAt, panel: Panel) -> Msg:
    """What feeds a panel, and from where."""
    if panel.fed_by in ("service", None):
        return said("label.from_service" if panel.fed_by == "service" else "label.from_unknown")
    breaker = next((each for each in at.house.breakers if each.id == panel.fed_by), None)
    origin = next((each for each in at.house.panels if breaker is not None and each.id == breaker.panel), None)
    if breaker is None or origin is None:
        return said("label.from_unknown")
    name = said("thing.named", name=origin.name) if origin.name else said("thing.by_id", id=origin.id)
    return said("label.from_panel", panel=name, spaces=spaces_of(breaker))


def _numbers(at: HouseAt, drawn: Drawn) -> Iterator[str]:
    """What is stuck beside each breaker: its space or spaces."""
    yield from (spaces_of(line.breaker) for line in lines_of(at, drawn) if line.breaker.spaces)
