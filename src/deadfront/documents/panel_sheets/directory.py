"""The circuit directory: each breaker told by what it feeds, the names checked, cards for the door in two languages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from deadfront.codebook.book import Codebook
from deadfront.codebook.name_words import name_words
from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.documents.panel_sheets.card import card
from deadfront.documents.panel_sheets.face import breakers_in
from deadfront.documents.panel_sheets.panel_sheet import Drawn, question_cites
from deadfront.documents.panel_sheets.print_size import height_mm, picture_mm
from deadfront.documents.panel_sheets.translate import in_language
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.msg import Msg, said
from deadfront.panel.rules.names import NameFinding, name_findings, named_on, spaces_of
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.sheet import (
    Answer,
    Block,
    Caution,
    Cell,
    Heading,
    PageBreak,
    Paragraph,
    Sheet,
    SheetHead,
    Signature,
    Table,
    Verdict,
)

RULE = "panel_directory"
PAGE_MM, BETWEEN_MM = 215.0, 22.0
"""Room on a page for cards, and what a heading and the line below a card take of it."""
COLUMNS = ("space", "circuit", "breaker", "stands")


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the directory: a breaker and what it feeds.

    Args:
        breaker: The breaker.
        circuits: On it.
        feeds: Names of panels it feeds and of sources that feed through it.
        spare: It is known to feed nothing.
    """

    breaker: Breaker
    circuits: tuple[Circuit, ...]
    feeds: tuple[str, ...] = ()
    spare: bool = False

    def name(self) -> Msg:
        """What stands in the directory."""
        names = (*(each.name or each.id for each in self.circuits), *self.feeds)
        if names:
            return said("thing.named", name=" / ".join(dict.fromkeys(names)))
        if self.breaker.role == "main":
            return said("panel.elevation.main")
        return said("panel.directory.spare" if self.spare else "panel.directory.not_traced")


def lines_of(at: HouseAt, drawn: Drawn) -> tuple[Line, ...]:
    """A line for every breaker of a panel, in the order of its spaces."""
    house = at.house
    found = []
    for breaker in sorted(breakers_in(at, drawn.panel), key=lambda b: (min(b.spaces, default=999), b.half or "")):
        circuits = tuple(each for each in house.circuits if each.breaker == breaker.id)
        feeds = [each.name or each.id for each in house.panels if each.fed_by == breaker.id]
        feeds += [each.name or each.id for each in house.sources if each.breaker == breaker.id]
        if not feeds and not circuits and breaker.role in ("feeder", "source") and breaker.name:
            feeds = [breaker.name]
        spare = not circuits and not feeds and breaker.role == "branch" and house.complete.circuits == "yes"
        if breaker.spaces or breaker.role != "main":
            found.append(Line(breaker, circuits, tuple(feeds), spare))
    return tuple(found)


def directory_sheet(
    at: HouseAt, drawn: Sequence[Drawn], book: Codebook, head: SheetHead, typed_in: str = "en"
) -> Sheet | None:
    """The directory of every panel with its names checked; None where no panel has a breaker.

    Args:
        typed_in: Language that the names are typed in.
    """
    panels = [(each, lines_of(at, each)) for each in drawn]
    panels = [(each, lines) for each, lines in panels if lines]
    if not panels:
        return None
    cites = question_cites(book, RULE)
    blocks: list[Block] = []
    wrong = open_ = offered = 0
    drafts = set[str]()
    for each, lines in panels:
        findings = name_findings(named_on(at, [line.breaker for line in lines]), name_words())
        wrong += sum(1 for finding in findings if finding.wrong)
        offered += sum(1 for finding in findings if not finding.wrong)
        open_ += sum(1 for line in lines if _open(line))
        if any(finding.wrong for finding in findings) or any(_open(line) for line in lines):
            drafts.add(each.panel.id)
        blocks += [Heading(each.name), _table(lines, findings, cites)]
        blocks += _said(findings)
    blocks.insert(0, _answer(wrong, open_, offered, listed=at.house.complete.breakers == "yes"))
    blocks.append(Paragraph(said("sheet.directory.read_through")))
    blocks.append(Caution("warning", said("sheet.directory.verify")))
    blocks.append(Signature(said("sheet.signed_by")))
    for each, lines in panels:
        blocks += _cards(each, lines, head, typed_in, draft=each.panel.id in drafts)
    return Sheet("directory", said("sheet.directory.title"), head, tuple(blocks), cites)


def _open(line: Line) -> bool:
    return not line.circuits and not line.feeds and not line.spare and line.breaker.role == "branch"


def _answer(wrong: int, open_: int, offered: int, *, listed: bool) -> Answer:
    question = said("sheet.directory.question")
    more = (said("sheet.directory.offered", count=offered),) if offered else ()
    if wrong:
        return Answer(question, said("sheet.directory.answer.fails", count=wrong), Outcome.FAILS, more)
    if open_:
        return Answer(question, said("sheet.directory.answer.cannot_tell", count=open_), Outcome.CANNOT_TELL, more)
    if not listed:
        return Answer(question, said("sheet.directory.answer.not_all"), Outcome.CANNOT_TELL, more)
    return Answer(question, said("sheet.directory.answer.meets"), Outcome.MEETS, more)


def _table(lines: Sequence[Line], findings: Sequence[NameFinding], cites: Sequence[Cite]) -> Table:
    bad = {ident for finding in findings if finding.wrong for ident in finding.circuits}
    rows: list[tuple[Cell, ...]] = []
    for line in lines:
        outcome = Outcome.MEETS
        if any(each.id in bad for each in line.circuits):
            outcome = Outcome.FAILS
        elif _open(line):
            outcome = Outcome.CANNOT_TELL
        rows.append((spaces_of(line.breaker), line.name(), breaker_words(line.breaker), Verdict(outcome)))
    names = tuple(said(f"sheet.directory.column.{name}") for name in COLUMNS)
    margins = (cites[0].section,) if cites and rows else ()
    return Table(names, tuple(rows), (), margins, key="directory")


def breaker_words(breaker: Breaker) -> Msg:
    """A breaker as the trade writes it: "20 A 1P", with its protection."""
    protection = (breaker.protection or "plain").replace(" ", "_")
    rating = "?" if breaker.rating_a is None else breaker.rating_a
    poles = breaker.poles or (len(breaker.spaces) if len(breaker.spaces) in (1, 2) else "?")
    return said(f"panel.breaker.{protection}", rating=rating, poles=poles)


def _said(findings: Sequence[NameFinding]) -> Iterator[Block]:
    """What to change, and what could be added."""
    for wrong, key in ((True, "change"), (False, "offer")):
        chosen = [finding for finding in findings if finding.wrong is wrong]
        if chosen:
            yield Heading(said(f"sheet.directory.{key}"))
            yield _names(chosen)


def _names(findings: Sequence[NameFinding]) -> Table:
    """Each finding, and what the job's other facts say of the place, where they say anything."""
    wide = any(finding.offer for finding in findings)
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (finding.say, ", ".join(finding.offer))[: 2 if wide else 1] for finding in findings
    )
    heads = (said("sheet.directory.column.name"), said("sheet.directory.column.words"))
    return Table(heads[: 2 if wide else 1], rows, key="names")


def _cards(each: Drawn, lines: Sequence[Line], head: SheetHead, typed_in: str, *, draft: bool) -> Iterator[Block]:
    """The door card in every language, both on one page where there is room; a draft says so on the card."""
    if each.face is None:
        return
    used_mm = PAGE_MM
    for language in LANGUAGES:
        words = Catalog(language)
        names, kept = _card_names(lines, words, typed_in)
        drawing, cut = card(each.face, names, words, head, draft=draft)
        picture = picture_mm(drawing, said("sheet.directory.cut"))
        needed_mm = height_mm(drawing) + BETWEEN_MM
        if used_mm + needed_mm > PAGE_MM:
            yield PageBreak()
            used_mm = 0.0
        used_mm += needed_mm
        yield Heading(said("sheet.directory.card", panel=each.name, language=said(f"language.{language}")))
        yield picture
        if draft:
            yield Paragraph(said("sheet.directory.draft"))
        if cut:
            yield Paragraph(said("sheet.directory.too_long", names=cut))
        if kept:
            yield Paragraph(said("sheet.directory.kept", names=kept))


def _card_names(lines: Sequence[Line], words: Catalog, typed_in: str) -> tuple[dict[str, str], tuple[str, ...]]:
    """The name of each line in the language of a card, and those that stay as entered."""
    names: dict[str, str] = {}
    kept: list[str] = []
    for line in lines:
        typed = words.say(line.name())
        as_typed = words.language == typed_in or not (line.circuits or line.feeds)
        told = typed if as_typed else in_language(typed, words.language)
        names[line.breaker.id] = told or typed
        if told is None:
            kept.append(typed)
    return names, tuple(dict.fromkeys(kept))
