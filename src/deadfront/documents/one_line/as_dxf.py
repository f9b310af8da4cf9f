"""A one-line as DXF: inches, y upward, layers by use, each symbol a group that is picked up as one."""

from __future__ import annotations

from io import StringIO
from typing import Any

from deadfront.documents.one_line.marks import Circle, Mark, Words, words_box
from deadfront.documents.one_line.page import INCH, Drawing
from deadfront.errors import NotAllowed

LAYERS = {
    "symbols": "E-DIAG-SYMB", "wires": "E-DIAG-WIRE", "buses": "E-DIAG-BUSS", "enclosures": "E-DIAG-ENCL",
    "labels": "E-ANNO-TEXT", "legend": "E-ANNO-LEGN", "frame": "E-ANNO-TTLB",
}  # fmt: skip
CAPITALS = 0.67  # height of capitals in parts of the type size
HUNDREDTHS_MM = 100 * 25.4
WEIGHTS = (13, 18, 25, 35, 50, 70, 100)  # the line weights that the format knows [1/100 mm]


def one_line_dxf(drawing: Drawing) -> bytes:
    """The drawing as a DXF file (AC1024), to be opened and drawn on further.

    Words are fitted to the width they have here, so that none overlaps in another typeface.

    Raises:
        NotAllowed: the extra `drawing` is not installed.
    """
    try:
        import ezdxf
        from ezdxf import units
    except ImportError as error:
        raise NotAllowed("cli.drawing.needs_extra", command='pip install "deadfront[drawing]"') from error
    doc: Any = ezdxf.new("R2010", setup=["linetypes"], units=units.IN)
    doc.header["$LIMMAX"] = (drawing.width / INCH, drawing.height / INCH)
    for layer, name in LAYERS.items():
        doc.layers.add(name, linetype="DASHED" if layer == "enclosures" else "CONTINUOUS")
    for name, font in (("WORDS", "arial.ttf"), ("WORDS_BOLD", "arialbd.ttf")):
        doc.styles.add(name, font=font)
    space = doc.modelspace()
    for mark in drawing.loose:
        _put(space, mark, drawing.height)
    for group in drawing.groups:
        made = doc.groups.new(group.id, description=group.name[:200])
        made.extend([_put(space, mark, drawing.height) for mark in group.marks])
    doc.set_modelspace_vport(height=drawing.height / INCH, center=(drawing.width / INCH / 2, drawing.height / INCH / 2))
    text = StringIO()
    doc.write(text)
    return text.getvalue().encode(doc.output_encoding, errors="dxfreplace")


def _put(space: Any, mark: Mark, height: float) -> Any:
    """One mark in the file."""
    if isinstance(mark, Words):
        return _words(space, mark, height)
    style = {"layer": LAYERS[mark.layer], "lineweight": _weight(mark.width)}
    if isinstance(mark, Circle):
        center, radius = (mark.x / INCH, (height - mark.y) / INCH), mark.radius / INCH
        if not mark.filled:
            return space.add_circle(center, radius, dxfattribs=style)
        hatch = space.add_hatch(color=256, dxfattribs=style)
        hatch.paths.add_edge_path().add_ellipse(center, (radius, 0.0), 1.0)
        return hatch
    points = [(x / INCH, (height - y) / INCH) for x, y in mark.points]
    if mark.filled:
        hatch = space.add_hatch(color=256, dxfattribs=style)
        hatch.paths.add_polyline_path(points, is_closed=True)
        return hatch
    closed = len(points) > 2 and points[0] == points[-1]
    return space.add_lwpolyline(points[:-1] if closed else points, close=closed, dxfattribs=style)


def _words(space: Any, mark: Words, height: float) -> Any:
    from ezdxf.enums import TextEntityAlignment

    box, y = words_box(mark), (height - mark.y) / INCH
    style = {"layer": LAYERS[mark.layer], "style": "WORDS_BOLD" if mark.bold else "WORDS"}
    made = space.add_text(mark.say, height=CAPITALS * mark.size / INCH, dxfattribs=style)
    ends = ((box.left / INCH, y), (box.right / INCH, y))
    return made.set_placement(*ends, align=TextEntityAlignment.FIT)


def _weight(points: float) -> int:
    """The nearest line weight of the format."""
    wanted = points / INCH * HUNDREDTHS_MM
    return min(WEIGHTS, key=lambda each: abs(each - wanted))
