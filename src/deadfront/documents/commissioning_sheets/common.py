"""What the sheets after the work share: readings in words, who and with what, photos, the instruments."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

from deadfront.job.house import HouseAt
from deadfront.job.record_things import Instrument
from deadfront.msg import Msg, said
from deadfront.results.commissioning import ReadingAnswer, TestAnswer
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Block, Cell, Heading, Paragraph, Photo, Table, Verdict

DASH = said("sheet.records.dash")
ROOM = "________"
Photos = Mapping[str, bytes]


def readings_cell(test: TestAnswer) -> Cell:
    """Every reading as typed with its unit, in order; room to write where nothing was typed."""
    if test.reason:
        return said("sheet.records.reason", reason=test.reason)
    asked = [each for each in test.readings if each.typed or each.needed]
    return said("sheet.records.readings", each=tuple(_reading(each) for each in asked)) if asked else DASH


def _reading(reading: ReadingAnswer) -> Msg:
    name = said(f"commission.reading.{reading.key}")
    if not reading.typed:
        return said("sheet.records.reading", name=name, value=ROOM, unit=reading.unit)
    plain = reading.typed.replace(".", "").replace(",", "").isdigit()
    choices = ("yes", "no") if reading.kind == "yes" else reading.choices
    chosen = next((each for each in choices if each.casefold() == reading.typed.casefold()), None)
    if chosen is not None:
        words = said(f"commission.choice.{chosen.replace(' ', '_')}")
        return said("sheet.records.reading", name=name, value=words, unit="")
    return said("sheet.records.reading", name=name, value=reading.typed, unit=reading.unit if plain else "")


def signed_cell(who: str, on: date | None, time: str = "", tools: Sequence[Msg] = ()) -> Cell:
    """Who, when, with what."""
    when = " ".join(part for part in (on.isoformat() if on else "", time) if part)
    parts = [part for part in (who, when) if part]
    if not parts and not tools:
        return DASH
    return said("sheet.records.signed", who=", ".join(parts), tools=tuple(tools)) if tools else ", ".join(parts)


def tool_names(at: HouseAt) -> Mapping[str, Msg]:
    """What every instrument is called: its name, else its kind with its number."""
    return {each.id: _tool(each) for each in at.house.instruments}


def _tool(each: Instrument) -> Msg:
    kind = said(f"commission.tool.{each.kind.replace(' ', '_')}")
    if each.name:
        return said("thing.named", name=each.name)
    return said("sheet.records.tool", kind=kind, serial=each.serial) if each.serial else kind


def instruments(at: HouseAt, used: Iterable[str]) -> Iterator[Block]:
    """The instruments used, with what their calibration rests on."""
    taken = set(used)
    listed = [each for each in at.house.instruments if each.id in taken]
    if not listed:
        return
    yield Heading(said("sheet.records.instruments"))
    names = ("instrument", "kind", "serial", "calibrated", "months", "category")
    rows: list[tuple[Cell, ...]] = []
    for each in listed:
        rows.append((
            _tool(each), said(f"commission.tool.{each.kind.replace(' ', '_')}"), each.serial or DASH,
            each.calibrated_on.isoformat() if each.calibrated_on else said("sheet.records.not_known"),
            str(each.calibration_months) if each.calibration_months is not None else said("sheet.records.not_known"),
            each.category or DASH,
        ))  # fmt: skip
    yield Table(tuple(said(f"sheet.records.column.{name}") for name in names), tuple(rows), key="instruments")


def notes(tests: Iterable[TestAnswer]) -> Iterator[Block]:
    """Doubts and remedies, each under the thing it is about."""
    for test in tests:
        told = [*([test.remedy] if test.remedy else []), *test.notes]
        told += [each.trouble for each in test.readings if each.trouble is not None]
        for each in told:
            yield Paragraph(said("sheet.records.note", name=test.name, say=each))


def photos(named: Iterable[tuple[str, Msg]], there: Photos | None) -> Iterator[Block]:
    """Photos with what they show; one that is named and not there is said."""
    shown = [(name, say) for name, say in named if name]
    if shown:
        yield Heading(said("sheet.records.photos"))
    for name, say in shown:
        data = (there or {}).get(name)
        yield Photo(data, say) if data else Paragraph(said("sheet.records.photo_missing", say=say, photo=name))


def verdict(outcome: Outcome, say: Msg) -> Cell:
    """The verdict with its shape."""
    return Verdict(outcome, say)


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """The worst of several: wrong, then open, then well; does not apply where nothing else is."""
    told = set(outcomes)
    order = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS)
    return next((each for each in order if each in told), Outcome.NOT_APPLICABLE)
