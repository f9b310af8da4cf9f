"""The elevation on a sheet: where every breaker stands, what is wrong, before and after, how even the legs are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from deadfront.codebook.book import Codebook
from deadfront.documents.catalog import Catalog
from deadfront.documents.circuit_sheets.common import Origins, cites_of
from deadfront.documents.panel_sheets.elevation import before_after, elevation_picture
from deadfront.documents.panel_sheets.face import Face, face_of
from deadfront.documents.panel_sheets.legs_picture import leg_columns
from deadfront.documents.panel_sheets.moves import StepMoves, step_words, work_moves
from deadfront.documents.panel_sheets.standing import layout_stands, waiting_of, wrong_of
from deadfront.job.house import HouseAt
from deadfront.job.model import Job
from deadfront.job.panel_things import Panel
from deadfront.msg import Msg, said
from deadfront.results.circuits import Run
from deadfront.results.panel import PanelResult
from deadfront.worksheet.check import Check, Outcome
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Figure,
    Findings,
    Heading,
    PageBreak,
    Paragraph,
    Picture,
    Sheet,
    SheetHead,
    Signature,
    Table,
    Working,
)

WIDE_MM = 158.0
TALLEST_MM, PAGE_MM = 165.0, 198.0
"""Room on a page of letter paper under the question and its answer, and under a heading alone."""
TALL_ROWS = 24
"""More rows than this are not read side by side on one page: as found and after have a page each."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """One panel with all that its papers are made of.

    Args:
        panel: After the work; `result`: what the panel stage says of it; `face`: its face.
        before: Its face as found, where the work changes it; `moves`: what each step of the work does, in order.
    """

    panel: Panel
    result: PanelResult | None
    face: Face | None
    before: Face | None = None
    moves: tuple[StepMoves, ...] = ()

    @property
    def name(self) -> Msg:
        """What it is called."""
        return panel_name(self.panel)


def panel_name(panel: Panel) -> Msg:
    """What a panel is called."""
    return said("thing.named", name=panel.name) if panel.name else said("thing.by_id", id=panel.id)


def question_cites(book: Codebook, key: str) -> tuple[Cite, ...]:
    """Where the rule behind a question of the site list stands; empty where this edition does not ask it."""
    return tuple(each.cite for each in book.questions() if each.key == key)


def drawn_panels(
    at: HouseAt, results: Sequence[PanelResult], found: HouseAt | None, found_results: Sequence[PanelResult],
    job: Job | None = None, runs: Sequence[Run] = (),
) -> tuple[Drawn, ...]:  # fmt: skip
    """Every panel of a house with its face, as found where that differs, and what the work of the job moves."""
    now, old = {each.id: each for each in results}, {each.id: each for each in found_results}
    panels = {} if found is None else {each.id: each for each in found.house.panels}
    made = []
    for panel in at.house.panels:
        face = face_of(at, panel, now.get(panel.id))
        before = None
        if found is not None and panel.id in panels:
            before = face_of(found, panels[panel.id], old.get(panel.id), at)
        changed = face is not None and before is not None and any(
            block.tag != "E" for block in (*before.blocks, *face.blocks, *before.loose, *face.loose)
        )  # fmt: skip
        result = now.get(panel.id)
        moves = () if job is None or found is None else work_moves(job, panel.id, at.step, runs)
        made.append(Drawn(panel, result, face, before if changed else None, moves))
    return tuple(made)


def panel_sheet(
    drawn: Sequence[Drawn], head: SheetHead, catalog: Catalog, origins: Origins | None = None
) -> Sheet | None:
    """The elevation of every panel on paper; None where there is none."""
    if not drawn:
        return None
    blocks: list[Block] = [_answer(drawn), Caution("danger", said("sheet.panel.live"))]
    checks: list[Check] = []
    for index, each in enumerate(drawn):
        if index:
            blocks.append(PageBreak())
        blocks += _of_panel(each, catalog)
        checks += each.result.checks if each.result is not None else ()
    findings = tuple(check for check in checks if check.is_finding)
    blocks += [Heading(said("sheet.findings")), Findings(findings)]
    blocks.append(Caution("notice", said("sheet.load.review")))
    blocks.append(Signature(said("sheet.signed_by")))
    for each in drawn:
        blocks += _worked(each, origins or {})
    return Sheet("panel", said("sheet.panel.title"), head, tuple(blocks), cites_of(blocks, findings))


def picture_of(svg: str, say: Msg, *, wide_mm: float = WIDE_MM, tallest_mm: float = TALLEST_MM) -> Picture:
    """A picture as wide as the page lets it be, narrower where it is tall."""
    _, _, width, height = map(float, svg.partition('viewBox="')[2].partition('"')[0].split())
    return Picture(svg, say, Decimal(str(round(min(wide_mm, tallest_mm * width / height), 1))))


def _answer(drawn: Sequence[Drawn]) -> Answer:
    """Whether every breaker stands where it may."""
    question = said("sheet.panel.question")
    results = [each.result for each in drawn if each.result is not None]
    wrong = sum(len(wrong_of(each.violations)) for each in results)
    if wrong:
        return Answer(question, said("sheet.panel.answer.fails", count=wrong), Outcome.FAILS)
    open_ = [each for each in results if layout_stands(each) is Outcome.CANNOT_TELL]
    if open_ or len(results) < len(drawn):
        more = tuple(msg for each in open_ for msg in (*each.troubles, *_open_words(each)))
        return Answer(question, said("sheet.panel.answer.cannot_tell"), Outcome.CANNOT_TELL, more)
    count = sum(len({block.id for block in each.face.blocks}) for each in drawn if each.face is not None)
    if any(not each.face.listed for each in drawn if each.face is not None):
        return Answer(question, said("sheet.panel.answer.not_all", count=count), Outcome.CANNOT_TELL)
    return Answer(question, said("sheet.panel.answer.meets", count=count), Outcome.MEETS)


def _open_words(result: PanelResult) -> Iterator[Msg]:
    """What keeps a panel that is laid out from being told right, each said once."""
    if result.case is not None:
        for msg in (*(each.say for each in result.layout_open), *(each.say for each in waiting_of(result.violations))):
            if msg.key != "panel.wrong.unplaced" or not result.layout_open:
                yield msg


def _of_panel(each: Drawn, catalog: Catalog) -> Iterator[Block]:
    tall = each.face is not None and each.face.row_count > TALL_ROWS
    if tall:
        yield PageBreak()
    yield Heading(each.name)
    if each.face is None:
        yield Paragraph(said("sheet.panel.no_spaces", panel=each.name))
    else:
        most = PAGE_MM if tall else TALLEST_MM
        yield picture_of(elevation_picture(each.face, catalog), _caption(each), tallest_mm=most)
        if each.before is not None:
            yield Heading(said("sheet.panel.before_after"))
            say = said("sheet.panel.changes", panel=each.name)
            if tall:
                yield picture_of(elevation_picture(each.before, catalog), say, tallest_mm=PAGE_MM)
            else:
                yield picture_of(before_after(each.before, each.face, catalog), say, tallest_mm=PAGE_MM)
    if each.moves:
        yield Heading(said("web.panel.work"))
        yield Paragraph(said("cli.panel.dead"))
        for step in each.moves:
            yield Paragraph(said("thing.named", name=step.say))
            rows = tuple((str(n), step_words(act, catalog)) for n, act in enumerate(step.acts, 1))
            yield Table((said("sheet.panel.column.number"), said("sheet.panel.column.move")), rows, key="moves")
    if each.result is None:
        return
    if wrong_of(each.result.violations):
        wrongs: tuple[tuple[Cell, ...], ...] = tuple(
            (", ".join(map(str, wrong.spaces)), wrong.say) for wrong in wrong_of(each.result.violations)
        )
        names = (said("sheet.panel.column.spaces"), said("sheet.panel.column.wrong"))
        yield Heading(said("sheet.panel.wrong"))
        yield Table(names, wrongs, key="wrong")
    yield from _legs(each.result)
    for told in each.result.case.told if each.result.case is not None else ():
        yield Paragraph(told)


def _caption(each: Drawn) -> Msg:
    """How the picture is read."""
    assert each.face is not None
    rings = any(block.controllable for block in (*each.face.blocks, *each.face.loose))
    key = "sheet.panel.caption_rings" if rings else "sheet.panel.caption"
    known = any(cell.leg for cell in each.face.cells)
    return said(key if known else "sheet.panel.caption_no_legs", panel=each.name)


def _legs(result: PanelResult) -> Iterator[Block]:
    """The legs in every scenario."""
    if not result.balances or result.case is None or not result.case.pieces:
        return
    legs = max(len(balance.legs) for balance in result.balances)
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (balance.scenario, *(Figure(step.value, "A") for step in (*balance.legs, balance.apart, balance.neutral)))
        for balance in result.balances
    )
    ends = ("cli.panel.column.apart", "cli.panel.column.neutral")
    heads = ("cli.panel.column.scenario", *leg_columns(legs), *ends)
    yield Heading(said("sheet.panel.legs"))
    yield Table(tuple(said(name) for name in heads), rows, tuple(range(1, legs + 3)), key="legs")


def _worked(each: Drawn, origins: Origins) -> Iterator[Block]:
    """The widest difference of the legs, line by line, and the limit it is held against."""
    if each.result is None or each.result.case is None or not each.result.case.pieces or not each.result.balances:
        return
    worst = max(each.result.balances, key=lambda b: b.apart.value.high or b.apart.value.low)
    yield Heading(said("sheet.panel.worked", panel=each.name, scenario=worst.scenario))
    yield Working(worst.apart, (), origins)
    if worst.neutral.value != worst.apart.value:
        yield Working(worst.neutral, (worst.apart,), origins)
    if each.result.limit is not None:
        yield Heading(said("sheet.panel.worked_limit", panel=each.name))
        yield Working(each.result.limit, (), origins)
