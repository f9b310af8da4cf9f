"""The load calculation as a Sheet: the answer, the ruler, the methods side by side, each worked line by line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from deadfront.documents.catalog import Catalog
from deadfront.documents.figures import RulerBar, ruler_picture
from deadfront.documents.management_table import management_blocks
from deadfront.msg import Msg, said
from deadfront.quantities import point
from deadfront.results.loads import LoadResult, Method
from deadfront.worksheet.check import Check, Outcome
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
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
    Verdict,
    Working,
)
from deadfront.worksheet.step import Step

MANAGED = "energy_management"
NO_UTILITY_LIMIT = "service.utility_none"
LISTED_BELOW = ("load.service_carries", "load.service_conductors", "load.heavier_leg")


def load_sheet(
    result: LoadResult,
    head: SheetHead,
    catalog: Catalog,
    origins: Mapping[str, Msg] | None = None,
    before: LoadResult | None = None,
) -> Sheet:
    """The load of one house on paper.

    Args:
        result: The answer of the load stage.
        head: What stands on top of the page.
        catalog: The language of the words inside the picture.
        origins: Where facts come from, by their path.
        before: The answer of the house as found, where there is work.
    """
    relied = result.method(result.relied)
    waiting = _waiting(result, relied)
    shown = [m for m in result.methods if m.admissible is not Outcome.NOT_APPLICABLE]
    worked = sorted((m for m in shown if m.amperes is not None), key=lambda m: m.key != result.relied)
    blocks: list[Block] = [_answer(result, relied), *_picture(result, worked, catalog)]
    blocks += [Heading(said("sheet.load.methods")), _methods_table(shown)]
    blocks += [Paragraph(words) for words in reading_words(result)]
    if before is not None:
        blocks += [Heading(said("sheet.load.work")), _work_table(before, shown)]
    blocks += [Heading(said("sheet.load.service")), _service_table(result)]
    blocks += management_blocks(result.management)
    blocks += [Heading(said("sheet.findings")), Findings(_brief(result.checks, waiting))]
    blocks.append(Caution("notice", said("sheet.load.review")))
    if any(m.key == MANAGED for m in shown):
        blocks.append(Caution("notice", said("sheet.load.shed")))
    blocks.append(Signature(said("sheet.signed_by")))
    blocks += todo_blocks(waiting)
    blocks += _worked(result, worked, origins or {})
    return Sheet("load", said("sheet.load.title"), head, tuple(blocks), _cites(result, shown, blocks))


def _worked(result: LoadResult, worked: list[Method], origins: Mapping[str, Msg]) -> Iterator[Block]:
    """Every figure line by line; what stands above on the sheet is not repeated."""
    above: list[Step] = []

    def working(heading: Msg, step: Step) -> Iterator[Block]:
        yield Heading(heading)
        yield Working(step, tuple(above), origins)
        above.append(step)

    for number, method in enumerate(worked):
        if not number:
            yield PageBreak()
            yield Paragraph(said("sheet.load.once"))
        yield from working(said("sheet.load.worked", method=method.name), final_step(method))
        if method.neutral is not None:
            yield from working(said("sheet.load.neutral", method=method.name), method.neutral_amperes or method.neutral)
    yield from working(said("sheet.load.service_worked"), result.limit.smallest)
    if result.minimum is not None:
        yield from working(said("sheet.load.minimum"), result.minimum)


def final_step(method: Method) -> Step:
    """The last line of a method: whole amperes, else amperes, else the load."""
    step = method.rounded or method.amperes or method.total
    assert step is not None, method.key
    return step


def _answer(result: LoadResult, relied: Method | None) -> Answer:
    question = said("sheet.load.question")
    if relied is None or relied.amperes is None:
        return Answer(question, said("sheet.load.answer.no_method"), Outcome.CANNOT_TELL)
    limit = result.limit.told
    params = {
        "method": relied.name,
        "load": Figure(final_step(relied).value, "A"),
        "limit": limit if isinstance(limit, Msg) else Figure(limit, "A"),
    }
    if relied.admissible is not Outcome.MEETS:
        verdict = Outcome.FAILS if relied.admissible is Outcome.FAILS else Outcome.CANNOT_TELL
        answer = said("sheet.load.answer.not_admissible", **params, why=relied.why)
        return Answer(question, answer, verdict)
    if on_assumptions(result):
        answer = Msg("sheet.load.answer.assumed", params)
        return Answer(question, answer, Outcome.CANNOT_TELL, _more(result, relied))
    key = f"sheet.load.answer.{relied.verdict.name.lower()}"
    return Answer(question, Msg(key, params), relied.verdict, _more(result, relied))


def on_assumptions(result: LoadResult) -> bool:
    """True where the answer stands on named assumptions: it is neither a pass nor a failure."""
    relied = result.method(result.relied)
    if relied is None or relied.amperes is None:
        return False
    return bool(relied.amperes.all_assumed() or result.limit.smallest.all_assumed())


def _more(result: LoadResult, relied: Method) -> tuple[Msg, ...]:
    more = []
    waits = len(relied.waits_for())
    if waits:
        more.append(said("sheet.load.waits", count=waits))
    if result.minimum is not None:
        more.append(said("sheet.load.minimum_is", minimum=Figure(result.minimum.value, "A")))
    return tuple(more)


def _picture(result: LoadResult, worked: list[Method], catalog: Catalog) -> list[Block]:
    if not worked:
        return []
    bars = [RulerBar(catalog.say(m.name), final_step(m).value, stands(m)) for m in worked]
    drawing = ruler_picture(bars, result.limit.smallest.value, catalog)
    return [Picture(drawing, said("sheet.load.picture", count=len(bars)))]


def stands(method: Method) -> Outcome:
    """How a method stands to the service; it meets only where it is known that it may be used."""
    if method.admissible is Outcome.MEETS:
        return method.verdict
    if method.admissible is Outcome.CANNOT_TELL:
        return Outcome.FAILS if method.verdict is Outcome.FAILS else Outcome.CANNOT_TELL
    return Outcome.NOT_APPLICABLE


def _methods_table(methods: list[Method]) -> Table:
    columns = ("method", "admissible", "load", "current", "against")
    rows: list[tuple[Cell, ...]] = [
        (
            m.name,
            Verdict(m.admissible, m.why),
            Figure(m.total.value, "VA") if m.total else no_figure(m),
            Figure(final_step(m).value, "A") if m.amperes else no_figure(m),
            Verdict(stands(m), _margin(m)),
        )
        for m in methods
    ]
    names = tuple(said(f"sheet.load.column.{name}") for name in columns)
    return Table(names, tuple(rows), (2, 3), tuple(m.section for m in methods), "methods")


def no_figure(method: Method) -> Msg:
    """In the place of a figure: none yet, or none at all where the method may not be used."""
    return said("number.unknown" if method.admissible is Outcome.CANNOT_TELL else "sheet.load.none")


def _work_table(before: LoadResult, after: list[Method]) -> Table:
    """Every method before the work and after it, and what the work adds where both ends rise alike."""

    def amperes(method: Method | None) -> Cell:
        if method is None:
            return said("sheet.load.none")
        return no_figure(method) if method.amperes is None else Figure(method.amperes.value, "A")

    def added(old: Method | None, new: Method) -> Cell:
        if old is None or old.amperes is None or new.amperes is None:
            return said("sheet.load.none")
        was, now = old.amperes.value, new.amperes.value
        if was.high is None or now.high is None or now.low - was.low != now.high - was.high:
            return said("sheet.load.between_ranges")
        words = "sheet.load.less" if now.low < was.low else "sheet.load.more"
        return said(words, amperes=point(abs(now.low - was.low)))

    rows: list[tuple[Cell, ...]] = [
        (m.name, amperes(before.method(m.key)), amperes(m), added(before.method(m.key), m)) for m in after
    ]
    names = tuple(said(f"sheet.load.column.{name}") for name in ("method", "before", "after", "added"))
    return Table(names, tuple(rows), (1, 2), tuple(m.section for m in after), "work")


def _margin(method: Method) -> Msg | None:
    """How much is left, or how much it is over, beside the verdict; nothing where neither end is known."""
    outcome = stands(method)
    if outcome is Outcome.MEETS and method.left is not None:
        return said("sheet.load.left", amperes=method.left.value)
    if outcome is Outcome.FAILS and method.over is not None:
        return said("sheet.load.over", amperes=method.over.value)
    if outcome is Outcome.CANNOT_TELL and method.over is not None and method.over.value.high:
        return said("sheet.load.maybe_over", amperes=point(method.over.value.high))
    return None


def reading_words(result: LoadResult, words: str = "sheet.load") -> Iterator[Msg]:
    """Disputed rules: those of the method relied on, and every other that a job or an amendment decides.

    Args:
        words: Where the sentences stand in the catalog: the sheet's own, or the shorter ones of the command line.
    """
    relied = result.method(result.relied)
    decided = [r for m in result.methods for r in m.readings if r.chosen]
    every = [*(relied.readings if relied is not None else ()), *decided]
    for reading in {r.subject: r for r in every}.values():
        by = said(f"sheet.load.reading_by.{reading.by}")
        subject = said(f"reading.{reading.subject}.name")
        if reading.chosen:
            taken = said(f"reading.{reading.subject}.{reading.chosen}")
            yield said(f"{words}.reading", subject=subject, taken=taken, by=by)
        else:
            yield said(f"{words}.reading_open", subject=subject, by=by)


def _brief(checks: tuple[Check, ...], listed: Iterable[Missing]) -> tuple[Check, ...]:
    """Findings of the answer itself without the facts that stand in the list below anyway."""
    below = {m.path for m in listed}

    def brief(check: Check) -> Check:
        return replace(check, missing=tuple(m for m in check.missing if m.path not in below))

    return tuple(brief(c) if c.id in LISTED_BELOW else c for c in checks)


def part_amperes(part: Step) -> Msg | Figure:
    """What a part of the service carries; no figure where it is assumed ample or sets no limit."""
    if part.assumed:
        return said("sheet.load.assumed_ample")
    return said("sheet.load.no_limit") if part.name.key == NO_UTILITY_LIMIT else Figure(part.value, "A")


def _service_table(result: LoadResult) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for part in result.limit.parts:
        least = said("sheet.load.limiting") if part.id == result.limit.limiting else ""
        rows.append((part.name, part_amperes(part), least))
    names = tuple(said(f"sheet.load.column.{name}") for name in ("part", "current", "limiting"))
    return Table(names, tuple(rows), (1,), key="service")


def _waiting(result: LoadResult, relied: Method | None) -> tuple[Missing, ...]:
    methods = [relied] if relied is not None else list(result.methods)
    lists = [m.waits_for() for m in methods] + [result.limit.smallest.all_missing()]
    return tuple({m.path: m for each in lists for m in each}.values())


def todo_blocks(missing: Iterable[Missing]) -> list[Block]:
    """What is still to find out, and how; nothing where all is known."""
    rows = tuple((m.what, m.how) for m in missing)
    names = (said("sheet.todo.column.what"), said("sheet.todo.column.how"))
    return [Heading(said("sheet.todo.heading")), Table(names, rows, key="todo")] if rows else []


def _cites(result: LoadResult, shown: list[Method], blocks: list[Block]) -> tuple[Cite, ...]:
    """Every citation printed on the sheet: of the methods, of each line worked, of the findings."""
    steps = [block.step for block in blocks if isinstance(block, Working)]
    found = [c for m in shown for c in m.cites] + [c for s in steps for c in s.all_cites()]
    return tuple(dict.fromkeys(found + [c for check in result.checks for c in check.cites]))
