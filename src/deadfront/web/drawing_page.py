"""The one-line as a page: the drawing, what is not known, symbols moved by hand."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from deadfront.app.drawing import drawing_file, drawing_of
from deadfront.documents.html import block_html
from deadfront.documents.one_line.as_svg import one_line_svg
from deadfront.documents.one_line.clashes import clashes
from deadfront.documents.one_line.page import Drawing
from deadfront.documents.one_line.sheet import caution, head_blocks
from deadfront.errors import NotFound
from deadfront.job.model import Nudge
from deadfront.web.desk import AtJob
from deadfront.web.drawing_contexts import MovedSymbol, OneLinePage
from deadfront.web.entry.places import EditData
from deadfront.web.entry.typed import BadEntry
from deadfront.web.render import safe
from deadfront.web.shell import shell_of
from deadfront.worksheet.sheet import SheetHead

PATH = "choices.drawing"
FARTHEST_PT = 2000
MEDIA = {"svg": "image/svg+xml", "pdf": "application/pdf", "dxf": "image/vnd.dxf"}


def head_of(at: AtJob) -> SheetHead:
    """What stands at the top of the job's sheets."""
    return at.web.head(at.answered, revision=at.opened.revision, on=at.web.settings.today())


def drawing_at(at: AtJob) -> Drawing:
    """The one-line of a job as it stands."""
    return drawing_of(at.answered, at.catalog, head_of(at))


def one_line_page(at: AtJob, trouble: str = "") -> OneLinePage:
    """Everything the page shows."""
    drawing, kept, say = drawing_at(at), at.job.choices.drawing, at.catalog
    symbols = tuple(_symbol(group.id, group.name, kept) for group in drawing.groups)
    over = len(clashes(drawing)) if kept else 0
    return OneLinePage(
        shell_of(at, "sources"),
        safe("\n".join(block_html(block, say) for block in head_blocks(drawing, at.answered.assessment.at))),
        safe(one_line_svg(drawing, movable=True)), f"{drawing.scale:.4f}", symbols,
        tuple(each for each in symbols if each.id in kept),
        say.key("web.one_line.over", count=over) if over else "", trouble, safe(block_html(caution(), say)),
    )  # fmt: skip


def _symbol(ident: str, name: str, kept: Mapping[str, Nudge]) -> MovedSymbol:
    nudge = kept.get(ident, Nudge())
    return MovedSymbol(ident, name, f"{nudge.right_pt.normalize():f}", f"{nudge.down_pt.normalize():f}")


def file_of(at: AtJob, form: str) -> bytes:
    """The drawing as a file.

    Raises:
        NotAllowed: DXF without the extra `drawing`.
    """
    return drawing_file(at.answered, at.catalog, form, head_of(at), on=at.web.settings.today())


def move_edits(at: AtJob, form: Mapping[str, str]) -> list[EditData]:
    """The edits of a symbol moved by so much, put back, or of all put back; nothing where nothing changes.

    Raises:
        BadEntry: a figure that is not understood, or too large.
        NotFound: no such symbol in this drawing.
    """
    if form.get("back") == "all":
        return [{"do": "set", "path": PATH, "value": None}] if at.job.choices.drawing else []
    name, kept = form.get("back") or form.get("symbol", ""), at.job.choices.drawing
    if name not in kept and name not in {group.id for group in drawing_at(at).groups}:
        raise NotFound("web.one_line.no_symbol", found=name[:60])
    old = kept.get(name, Nudge())
    right, down = old.right_pt + _points(form, "right_pt"), old.down_pt + _points(form, "down_pt")
    if form.get("back") or (not right and not down):
        return [{"do": "set", "path": f"{PATH}.{name}", "value": None}] if name in kept else []
    for field, value in (("right_pt", right), ("down_pt", down)):
        if abs(value) > FARTHEST_PT:
            raise BadEntry(field, "web.one_line.too_far", most=FARTHEST_PT)
    return [] if (right, down) == (old.right_pt, old.down_pt) else [
        {"do": "set", "path": f"{PATH}.{name}", "value": {"right_pt": str(right), "down_pt": str(down)}}
    ]  # fmt: skip


def _points(form: Mapping[str, str], field: str) -> Decimal:
    """A distance as typed, to a tenth of a point; nothing typed is none."""
    text = form.get(field, "").strip().replace("−", "-").replace(",", ".")
    digits = text.removeprefix("-").replace(".", "", 1)
    if not text:
        return Decimal(0)
    if not (digits.isascii() and digits.isdigit() and len(text) <= 20):
        raise BadEntry(field, "web.one_line.no_figure", found=text[:20])
    return Decimal(text).quantize(Decimal("0.1"))
