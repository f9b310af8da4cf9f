"""The elevation of a panel: every row to scale, told by number and leg, printable in black, legible on a phone.

The number stands at the edge as the panel numbers its spaces, the leg beside it; rows on L2 are hatched one way, rows
on L3 both ways. What is wrong stands in a heavy frame with a square. A ring marks a controllable breaker.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace

from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.face import Block, Cell, Face
from deadfront.documents.panel_sheets.fitting import LEAST_SIZE, LINE, Fitted, fitted
from deadfront.documents.panel_sheets.measures import NARROW, TWIN, WIDE, Box, Layout, Style

FAILS = "#b3261e"
HALVED_ROW = 34.0


TWIN_GAP, TWIN_HEAD = 16.0, 20.0


def elevation(face: Face, catalog: Catalog, style: Style = WIDE, movable: Collection[str] | None = None) -> str:
    """One panel as a picture.

    Args:
        movable: Breakers that can be picked up on a screen; None: a picture to look at only.
    """
    style = roomy(face, style)
    parts, height = drawn(face, catalog, style, 0.0, 0.0, movable)
    kind = "elevation narrow" if style.stacked else "elevation wide"
    words = [] if movable is not None else [spoken(face, catalog)]
    return svg.drawing(style.width, height, [*words, *parts], title=title(face, catalog), kind=kind,
                       role="img" if movable is None else "group")  # fmt: skip


def live_elevation(face: Face, catalog: Catalog, movable: Collection[str]) -> str:
    """For a screen where breakers are picked up and put elsewhere: for a desk, and after it for a phone."""
    return elevation(face, catalog, WIDE, movable) + elevation(face, catalog, NARROW, movable)


def elevation_picture(face: Face, catalog: Catalog) -> str:
    """For a desk or paper, and after it the one for a phone; paper takes the first."""
    return elevation(face, catalog, WIDE) + elevation(face, catalog, NARROW)


def before_after(before: Face, after: Face, catalog: Catalog) -> str:
    """The panel as found and after the work, side by side; on a phone one under the other."""
    heads = [catalog.key("panel.elevation.before"), catalog.key("panel.elevation.after")]
    name = catalog.key("panel.elevation.both", panel=title_name(after, catalog))
    parts: list[str] = []
    tall, twin, narrow = 0.0, roomy(before, roomy(after, TWIN)), roomy(before, roomy(after, NARROW))
    for index, face in enumerate((before, after)):
        x = index * (TWIN.width + TWIN_GAP)
        made, height = drawn(face, catalog, twin, x, TWIN_HEAD)
        parts += [svg.text(x, 13.0, heads[index], size=12.0, weight=700), *made]
        tall = max(tall, TWIN_HEAD + height)
    wide = svg.drawing(2 * TWIN.width + TWIN_GAP, tall, [spoken(after, catalog), *parts], title=name,
                       kind="elevation wide")  # fmt: skip
    y, under = 0.0, list[str]()
    for head, face in zip(heads, (before, after), strict=True):
        made, height = drawn(face, catalog, narrow, 0.0, y + TWIN_HEAD)
        under += [svg.text(0.0, y + 14.0, head, size=14.0, weight=700), *made]
        y += TWIN_HEAD + height + TWIN_GAP
    return wide + svg.drawing(NARROW.width, y, [spoken(after, catalog), *under], title=name, kind="elevation narrow")


def roomy(face: Face, style: Style) -> Style:
    """Rows high enough for the names of half-size breakers, where there are any."""
    halved = any(block.rows == 0.5 for block in face.blocks)
    return replace(style, row=max(style.row, HALVED_ROW)) if halved else style


def title_name(face: Face, catalog: Catalog) -> str:
    """What the panel is called."""
    key = "thing.named" if face.name else "thing.by_id"
    return catalog.key(key, name=face.name, id=face.id)


def title(face: Face, catalog: Catalog) -> str:
    """What the picture shows, in one line."""
    return catalog.key("panel.elevation.title", panel=title_name(face, catalog), spaces=len(face.cells))


def spoken(face: Face, catalog: Catalog) -> str:
    """Every breaker in words, for those who hear the picture."""
    told = [_told(block, face, catalog) for block in sorted(face.blocks, key=lambda b: (b.column, b.top))]
    return f"<desc>{svg.escape('; '.join(dict.fromkeys(told)) or catalog.key('panel.elevation.empty'))}</desc>"


def _told(block: Block, face: Face, catalog: Catalog) -> str:
    spaces = [str(c.space) for c in face.cells if c.column == block.column and c.row < block.top + block.rows
              and block.top < c.row + 1]  # fmt: skip
    words = catalog.key("panel.elevation.told", spaces=", ".join(spaces), name=block_name(block, catalog),
                        rating=rating_text(block, catalog))  # fmt: skip
    return f"{words} {catalog.key('panel.elevation.wrong')}" if block.wrong else words


def block_name(block: Block, catalog: Catalog) -> str:
    """What a breaker feeds, with its tag where the work touches it."""
    if block.role == "main":
        name = catalog.key("panel.elevation.main")
    else:
        without = "panel.directory.spare" if block.spare else "panel.elevation.no_circuit"
        name = " / ".join(block.names) or catalog.key(without)
    return name if block.tag == "E" else f"{name} ({block.tag})"


def rating_text(block: Block, catalog: Catalog) -> str:
    """Its rating: "20 A", or "? A" where it was not read."""
    return "? A" if block.rating_a is None else f"{catalog.value(block.rating_a)} A"


def drawn(
    face: Face, catalog: Catalog, style: Style, x: float, y: float, movable: Collection[str] | None = None
) -> tuple[list[str], float]:
    """A panel drawn with its top left corner at a place, and its height; `movable`: breakers to be picked up."""
    layout = Layout(face, style, x, y)
    parts = [svg.element("rect", x=x + style.edge, y=y + style.edge, width=style.width - 2 * style.edge,
                         height=layout.frame_height, fill="#fff", stroke=svg.INK, stroke_width=2.0)]  # fmt: skip
    for box in layout.mains:
        parts += _main(face, box, catalog, style)
    for cell in face.cells:
        parts += _number(cell, layout.number_box(cell), style)
    parts += list(_empty(face, layout, catalog))
    if movable is not None:
        parts += [_target(cell, layout) for cell in face.cells]
    for block in face.blocks:
        made = _block(block, layout.block_box(block), catalog, style, right=layout.mirrored(block.column))
        parts += made if movable is None else [_handle(block, "".join(made), face, catalog, block.id in movable)]
    below = y + style.edge * 2 + layout.frame_height
    for block in face.loose:
        below += style.size + 6
        key = "panel.elevation.loose" if block.wrong else "panel.elevation.waiting"
        words = catalog.key(key, name=block_name(block, catalog),
                            rating=rating_text(block, catalog))  # fmt: skip
        fits = fitted(words, style.width - 2 * style.edge - 16, style.size)
        sign = _square if block.wrong else _diamond
        parts += [sign(x + style.edge, below - 10), svg.text(x + style.edge + 16, below, fits.lines[0],
                                                                size=fits.size)]  # fmt: skip
    return parts, below - y + (6 if face.loose else 0)


def _target(cell: Cell, layout: Layout) -> str:
    """Where a breaker can be put: one space, invisible, over its number and its room."""
    x, y = layout.column_x(cell.column), layout.row_y(cell.row, cell.column)
    return svg.element("rect", class_="target", data_space=cell.space, data_row=cell.row, data_column=cell.column,
                       x=x, y=y, width=layout.half, height=layout.style.row, fill="none",
                       pointer_events="all")  # fmt: skip


def _handle(block: Block, made: str, face: Face, catalog: Catalog, movable: bool) -> str:
    """A breaker that can be picked up by hand or by key; one that stays is only told."""
    words = _told(block, face, catalog)
    named = svg.attributes(class_="breaker" if movable else "breaker stays", data_breaker=block.id,
                           data_top=block.top, data_rows=block.rows, data_column=block.column,
                           tabindex=0 if movable else None, role="button" if movable else "img",
                           aria_label=words)  # fmt: skip
    return f"<g{named}>{made}</g>"


def _main(face: Face, box: Box, catalog: Catalog, style: Style) -> list[str]:
    """The main, or what is known of it, with the rating of the bus."""
    own = face.main_at != "none" and not face.main_in_space
    key = (
        "panel.elevation.band"
        if own
        else "panel.elevation.band_space"
        if face.main_in_space
        else "panel.elevation.band_none"
    )
    if own and face.main_at == "unknown":
        key = "panel.elevation.band_unknown"
    rating = "?" if face.main_a is None else catalog.value(face.main_a)
    bus = catalog.key("panel.elevation.bus", rating="?" if face.bus_a is None else catalog.value(face.bus_a))
    words = f"{catalog.key(key, rating=rating)} · {bus}"
    fits = fitted(words, box.width - 8, style.size)
    dash = None if own and face.main_at != "unknown" else "4 3"
    return [
        svg.element("rect", x=box.x, y=box.y, width=box.width, height=box.height, fill="none", stroke=svg.INK,
                    stroke_width=1.4, stroke_dasharray=dash),
        svg.text(box.x + box.width / 2, box.y + box.height / 2 + fits.size * 0.34, fits.lines[0], size=fits.size,
                 anchor="middle", weight=700),
    ]  # fmt: skip


def _number(cell: Cell, box: Box, style: Style) -> Iterator[str]:
    """The number of a space as the panel has it; its leg by name and by hatching."""
    right = cell.column == 1 and not style.stacked
    x = box.x if right else box.x + style.leg
    square = Box(x, box.y, style.number, box.height)
    yield svg.element("rect", x=square.x, y=square.y, width=square.width, height=square.height, fill="none",
                      stroke=svg.INK, stroke_width=0.7)  # fmt: skip
    if cell.leg in ("L2", "L3"):
        yield hatching(square, both=cell.leg == "L3")
    words = str(cell.space)
    wide = svg.text_width(words, style.size) + 3
    middle = square.x + square.width / 2
    if cell.leg in ("L2", "L3"):
        yield svg.element("rect", x=middle - wide / 2, y=box.y + box.height / 2 - style.size * 0.52, width=wide,
                          height=style.size * 1.04, fill="#fff")  # fmt: skip
    base = box.y + box.height / 2 + style.size * 0.34
    yield svg.text(middle, base, words, size=style.size, anchor="middle", weight=700)
    if cell.leg:
        place = box.x + box.width - 1 if right else box.x + style.leg - 3
        yield svg.text(place, base, cell.leg, size=style.size * LEAST_SIZE, anchor="end", fill=svg.SOFT)


def hatching(box: Box, *, both: bool = False) -> str:
    """Slanted strokes inside a box, cut at its edges; both ways for the third leg."""
    strokes = []
    step, at = 4.5, -box.height
    while at < box.width:
        start, end = max(at, 0.0), min(at + box.height, box.width)
        if end - start > 0.5:
            up, down = box.y + box.height - (start - at), box.y + box.height - (end - at)
            strokes.append(f"M{svg.short(box.x + start)} {svg.short(up)}L{svg.short(box.x + end)} {svg.short(down)}")
            if both:
                over = 2 * box.y + box.height
                strokes.append(f"M{svg.short(box.x + start)} {svg.short(over - up)}")
                strokes.append(f"L{svg.short(box.x + end)} {svg.short(over - down)}")
        at += step
    return svg.element("path", d="".join(strokes), fill="none", stroke=svg.INK, stroke_width=0.7)


def _empty(face: Face, layout: Layout, catalog: Catalog) -> Iterator[str]:
    """Cells that nothing stands in, or half of them; free only where every breaker is entered."""
    style = layout.style
    for cell in face.cells:
        for half in (0.0, 0.5):
            if not _free(face, cell, half, 0.5):
                continue
            whole = half == 0.0 and _free(face, cell, 0.0, 1.0)
            if half == 0.5 and _free(face, cell, 0.0, 1.0):
                continue
            x, width = layout.body(cell.column)
            y = layout.row_y(cell.row, cell.column) + half * style.row
            height = style.row if whole else style.row / 2
            yield svg.element("rect", x=x + 1.5, y=y + 1.5, width=width - 3, height=height - 3, fill="none",
                              stroke=svg.SOFT, stroke_width=0.7, stroke_dasharray="3 3")  # fmt: skip
            key = "kept" if cell.kept else "free" if face.listed else "not_entered"
            if whole:
                right = layout.mirrored(cell.column)
                place = x + width - 8 if right else x + 8
                fits = fitted(catalog.key(f"panel.elevation.{key}"), width - 16, style.size)
                yield svg.text(place, y + height / 2 + fits.size * 0.34, fits.lines[0], size=fits.size,
                               anchor="end" if right else "start", fill=svg.SOFT)  # fmt: skip


def _free(face: Face, cell: Cell, start: float, rows: float) -> bool:
    top = cell.row + start
    return not any(b.column == cell.column and b.top < top + rows and top < b.top + b.rows for b in face.blocks)


def _square(x: float, y: float) -> str:
    """The sign of what does not meet."""
    return svg.element("rect", x=x, y=y, width=9.0, height=9.0, fill=FAILS)


def _diamond(x: float, y: float) -> str:
    """The sign of what cannot be told yet."""
    path = f"M{svg.short(x + 4.5)} {svg.short(y - 0.5)}l5 5l-5 5l-5 -5Z"
    return svg.element("path", d=path, fill="#fff", stroke=svg.INK, stroke_width=1.4)


def _block(block: Block, box: Box, catalog: Catalog, style: Style, *, right: bool) -> Iterator[str]:
    """A breaker: frame, name, rating, ring, square where something is wrong."""
    heavy = 2.6 if block.wrong else 2.0 if block.tag in ("N", "RL") else 1.0
    inset = heavy / 2
    yield svg.element(
        "rect", x=box.x + inset, y=box.y + inset, width=box.width - heavy, height=box.height - heavy, fill="#fff",
        stroke=FAILS if block.wrong else svg.INK, stroke_width=heavy,
        stroke_dasharray="6 3" if block.wrong else None,
    )  # fmt: skip
    size = style.size if box.height >= style.size * 1.45 else box.height * 0.62
    middle = box.y + box.height / 2
    near, far = (box.x + box.width - 7, box.x + 7) if right else (box.x + 7, box.x + box.width - 7)
    inward = -1 if right else 1
    rating = rating_text(block, catalog)
    if svg.text_width(rating, size) > box.width - 40:
        rating = ""
    if rating:
        yield svg.text(far, middle + size * 0.34, rating, size=size, anchor="start" if right else "end", weight=400)
        far -= inward * (svg.text_width(rating, size) + 6)
    if block.controllable:
        yield svg.element("circle", cx=far - inward * 4.5, cy=middle, r=3.8, fill="none", stroke=svg.INK,
                          stroke_width=1.4)  # fmt: skip
        far -= inward * 14
    if block.wrong:
        yield svg.element("rect", x=near if not right else near - 8, y=middle - 4, width=8.0, height=8.0, fill=FAILS)
        near += inward * 13
    lines = max(style.lines, 1 if block.rows <= 1 else 2)
    name = block_name(block, catalog)
    fits = fitted(name, max(0.0, inward * (far - near)), size, lines, box.height - 3)
    yield from _name(block, fits, near, middle, right=right)


def _name(block: Block, fits: Fitted, x: float, middle: float, *, right: bool) -> Iterator[str]:
    """The lines of a name, struck through where the breaker is removed."""
    step = fits.size * LINE
    first = middle + fits.size * 0.34 - step * (len(fits.lines) - 1) / 2
    weight = 700 if block.tag in ("N", "RL") else 400
    soft = not block.names and block.role != "main"
    for n, line in enumerate(fits.lines):
        yield svg.text(x, first + n * step, line, size=fits.size, anchor="end" if right else "start", weight=weight,
                       fill=svg.SOFT if soft else svg.INK)  # fmt: skip
        if block.tag == "R" and line:
            wide = svg.text_width(line, fits.size) * 0.93
            through = svg.short(first + n * step - fits.size * 0.3)
            path = f"M{svg.short(x)} {through}h{svg.short(-wide if right else wide)}"
            yield svg.element("path", d=path, fill="none", stroke=svg.INK, stroke_width=1.0)
