"""The load as a page: the sheet on screen, the choices that are the electrician's, every method worked."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.app.answers import sheet_head, shares
from deadfront.documents.formula import assumption
from deadfront.documents.heads import cite_lines
from deadfront.documents.html import block_html
from deadfront.documents.load_sheet import final_step, load_sheet
from deadfront.web.contexts import Assumption, Field, LoadPage, MethodChoice, ShareRow, SharesPart, Worked
from deadfront.web.desk import AtJob, NewIds
from deadfront.web.render import safe
from deadfront.web.shell import shell_of
from deadfront.web.tables import circuit_choices, kind_words, table_of
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Block, Heading, PageBreak, Sheet, Signature

ASSUMPTIONS = ("nothing_else_connected", "typical_sizes", "disconnect_is_smallest")


def load_page(at: AtJob) -> LoadPage:
    """Everything the load page shows."""
    head = sheet_head(at.answered, revision=at.opened.revision, on=at.web.settings.today())
    sheet = load_sheet(at.answered.assessment.load, head, at.catalog)
    first, *rest = parts_of(sheet)
    body = "\n".join(block_html(block, at.catalog) for block in first)
    return LoadPage(
        shell_of(at.opened, at.answered, at.catalog, "load"), safe(body), tuple(methods_of(at)), readings_of(at),
        assumptions_of(at), tuple(worked_of(at, rest)), tuple(cite_lines(sheet.cites, at.catalog)),
        table_of("loads", at, NewIds(at), wanted=True), tuple(kind_words(at.catalog).values()), circuit_choices(at.job),
    )  # fmt: skip


def parts_of(sheet: Sheet) -> list[list[Block]]:
    """The blocks of a sheet, cut where a page of paper ends; the line to sign is on paper only."""
    parts: list[list[Block]] = [[]]
    for block in sheet.blocks:
        if isinstance(block, PageBreak):
            parts.append([])
        elif not isinstance(block, Signature):
            parts[-1].append(block)
    return parts


def methods_of(at: AtJob) -> Iterator[MethodChoice]:
    """The methods that give a figure, with the one relied on."""
    load = at.answered.assessment.load
    for method in load.methods:
        if method.amperes is not None and method.admissible is not Outcome.NOT_APPLICABLE:
            figure = at.catalog.quantity(final_step(method).value, "A")
            yield MethodChoice(method.key, at.catalog.say(method.name), figure, method.key == load.relied)


def readings_of(at: AtJob) -> tuple[Field, ...]:
    """Disputed rules in use, each as a choice; an amendment's reading is not ours to choose."""
    say = at.catalog.key
    found = {r.subject: r for m in at.answered.assessment.load.methods for r in m.readings if r.by != "amendment"}
    return tuple(
        Field(
            f"choices.readings.{subject}", say(f"reading.{subject}.name"), reading.chosen,
            (("", say("web.reading.larger")), *((o, say(f"reading.{subject}.{o}")) for o in reading.options)),
        )
        for subject, reading in found.items()
    )  # fmt: skip


def assumptions_of(at: AtJob) -> tuple[Assumption, ...]:
    """The named assumptions there are, and any other the job names."""
    made = at.job.assumptions
    names = dict.fromkeys([*ASSUMPTIONS, *made])
    return tuple(Assumption(name, assumption(name, at.catalog), name in made) for name in names)


def worked_of(at: AtJob, parts: list[list[Block]]) -> Iterator[Worked]:
    """Each method line by line; the one relied on is open."""
    for number, part in enumerate(parts):
        heading, *blocks = part
        title = at.catalog.say(heading.say) if isinstance(heading, Heading) else ""
        body = "\n".join(block_html(block, at.catalog) for block in blocks)
        yield Worked(f"worked-{number}", title, safe(body), number == 0)


def shares_part(at: AtJob) -> SharesPart:
    """How much each load matters to the method relied on."""
    found = shares(at.job, at.web.settings.overlay)
    most = max((share.adds or 0 for share in found), default=0)
    load = at.answered.assessment.load
    relied = load.method(load.relied)
    unknown = at.catalog.key("number.unknown")
    rows = tuple(
        ShareRow(
            at.catalog.say(share.name), unknown if share.adds is None else at.catalog.value(share.adds, "A") + " A",
            int(100 * share.adds / most) if share.adds and share.adds > 0 and most else 0,
        )
        for share in found
    )  # fmt: skip
    return SharesPart(rows, at.catalog.say(relied.name) if relied else "")
