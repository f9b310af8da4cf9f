"""The load as a page: the sheet on screen, the choices that are the electrician's, every method worked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from deadfront.documents.catalog import Catalog
from deadfront.documents.formula import assumption
from deadfront.documents.heads import cite_lines
from deadfront.documents.html import block_html
from deadfront.documents.load_sheet import final_step
from deadfront.errors import NotFound
from deadfront.web.contexts import LoadPage, SharesPart
from deadfront.web.desk import AtJob, NewIds
from deadfront.web.pieces import Assumption, Field, MethodChoice, ShareRow, Worked
from deadfront.web.recordings_page import recording_lines
from deadfront.web.render import safe
from deadfront.web.shell import shell_of
from deadfront.web.tables import circuit_choices, kind_words, table_of
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Block, Heading, PageBreak, Picture, Sheet, Signature

ASSUMPTIONS = ("nothing_else_connected", "typical_sizes", "disconnect_is_smallest")


def load_page(at: AtJob, folds: frozenset[str] | None = None) -> LoadPage:
    """Everything the load page shows.

    Args:
        folds: Which of the worked figures are unfolded; the others are handed on when asked for. None: all.
    """
    sheets = at.sheets(load_only=True)
    sheet = next(each for each in sheets if each.key == "load")
    first, rest = cut(sheet)
    body = "\n".join(block_html(block, at.catalog) for block in first)
    return LoadPage(
        shell_of(at, "load"), safe(body), tuple(methods_of(at)), readings_of(at),
        assumptions_of(at), tuple(worked_of(at, rest, folds)), tuple(cite_lines(sheet.cites, at.catalog)),
        table_of("loads", at, NewIds(at), wanted=True), tuple(kind_words(at.catalog).values()), circuit_choices(at.job),
        recording_lines(at), plots_of(sheets, at.catalog),
    )  # fmt: skip


def plots_of(sheets: Sequence[Sheet], catalog: Catalog) -> Markup:
    """The plots of the recordings, each under the heading of its recording, as on the evidence sheet of the packet."""
    evidence = next((each for each in sheets if each.key == "evidence"), None)
    body, heading = "", ""
    for block in evidence.blocks if evidence else ():
        if isinstance(block, Heading) and block.say.key == "sheet.evidence.recording":
            heading = block_html(block, catalog)
        elif isinstance(block, Picture):
            body += heading + block_html(block, catalog)
            heading = ""
    return safe(body)


def cut(sheet: Sheet) -> tuple[list[Block], list[Block]]:
    """What stands on the first page of paper, and the working after it; the line to sign is on paper only."""
    blocks: list[Block] = [block for block in sheet.blocks if not isinstance(block, Signature)]
    at = next((n for n, block in enumerate(blocks) if isinstance(block, PageBreak)), len(blocks))
    return blocks[:at], [block for block in blocks[at:] if not isinstance(block, PageBreak)]


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

    def words(name: str) -> str:
        key = f"web.assume.{name}"
        return at.catalog.key(key) if at.catalog.has(key) else assumption(name, at.catalog)

    return tuple(Assumption(name, words(name), name in made) for name in names)


def worked_of(at: AtJob, blocks: list[Block], folds: frozenset[str] | None = None) -> Iterator[Worked]:
    """Each figure line by line under its own heading; the method relied on is open."""
    number, lead = 0, ""
    while blocks:
        heading, *blocks = blocks
        if not isinstance(heading, Heading):
            lead += block_html(heading, at.catalog)
            continue
        end = next((n for n, block in enumerate(blocks) if isinstance(block, Heading)), len(blocks))
        key, body = f"worked-{number}", ""
        if folds is None or key in folds:
            body = lead + "\n".join(block_html(block, at.catalog) for block in blocks[:end])
        yield Worked(key, at.catalog.say(heading.say), safe(body), number == 0 if folds is None else key in folds)
        number, lead, blocks = number + 1, "", blocks[end:]


def shares_part(at: AtJob) -> SharesPart:
    """How much each load matters to the method relied on."""
    found = at.web.shares(at.job, at.web.settings.overlay, measured=at.opened.measured)
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


def worked_body(at: AtJob, key: str) -> str:
    """One figure line by line, unfolded.

    Raises:
        NotFound: no such figure.
    """
    sheet = next(each for each in at.sheets(load_only=True) if each.key == "load")
    for each in worked_of(at, cut(sheet)[1], frozenset({key})):
        if each.key == key:
            return each.body
    raise NotFound("web.not_found")
