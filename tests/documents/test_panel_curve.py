"""The curve and the legs as pictures: to scale, every status its own sign, only what has a layout can be chosen.

Expected places: hand, from the scale said in the picture's own axis.
"""

from __future__ import annotations

import re
from decimal import Decimal

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets.curve_picture import curve_picture, point_words
from deadfront.documents.panel_sheets.legs_picture import legs_picture
from deadfront.documents.panel_sheets.search_sheet import Curve, search_sheet
from deadfront.msg import said
from deadfront.quantities import Interval, point
from deadfront.results.panel import CurvePoint, PanelResult, Place
from deadfront.worksheet.sheet import Paragraph, SheetHead, Table
from tests.panel.houses import breaker, house, panel

LAYOUT = (("b-kit", Place((4,))),)
POINTS = (
    CurvePoint(100, "proven", 1, 1, 70, LAYOUT), CurvePoint(50, "best found", 4, 2, 48, LAYOUT),
    CurvePoint(20, "not found", None, 3), CurvePoint(10, "impossible"),
)  # fmt: skip
APARTS = (point(7), Interval(Decimal("4.8"), Decimal("6.1")), None, None)
HEAD = SheetHead("7 Quarry Lane", "Fennimore Bend", "2023", (), "1", "2026-05-12", "0.1", "abc", ())


def one(picture: str) -> str:
    """The picture for a desk."""
    return picture.partition("</svg>")[0]


def numbers(pattern: str, text: str) -> list[float]:
    """Every number that a pattern catches."""
    return [float(each) for each in re.findall(pattern, text)]


def test_limits_stand_to_scale_and_every_status_has_its_sign() -> None:
    drawn = one(curve_picture(POINTS, Catalog("en")))
    places = numbers(r'<path d="M([\d.]+) [\d.]+v5"', drawn)
    span = (places[0] - places[3]) / 9  # from 1 A to 10 A
    assert [round((place - places[3]) / span + 1, 1) for place in places] == [10.0, 5.0, 2.0, 1.0]
    filled = re.findall(r'r="7.5" fill="(#\w+)"', drawn)
    assert filled == ["#1d2328", "#fff"], "proven is filled, best found is hollow"
    assert drawn.count("l10 10m0 -10l-10 10") == 1 and drawn.count(">?<") == 1
    heights = numbers(r'cy="([\d.]+)" r="7.5"', drawn)
    rows = numbers(r'y="([\d.]+)"[^>]*text-anchor="end"[^>]*>\d', drawn)
    row = rows[0] - rows[1]
    assert heights[0] - heights[1] == pytest.approx(3 * row, abs=0.2), "one move against four"
    low = float(re.findall(r"V([\d.]+)m-5 0h10", drawn)[0])
    assert low - heights[1] == pytest.approx(2 * row, abs=0.2), "the stroke ends at the two that are proven needed"


def test_only_what_has_a_layout_can_be_chosen() -> None:
    drawn = one(curve_picture(POINTS, Catalog("en"), lambda each: f"?point={each.limit_tenths}&x", 50))
    assert re.findall(r'<a href="([^"]*)"', drawn) == ["?point=100&amp;x", "?point=50&amp;x"]
    assert 'role="group"' in drawn and 'aria-label="Legs within 5 A: 4 moves, best found; at least 2 needed' in drawn
    assert "<a " not in curve_picture(POINTS, Catalog("en")) and drawn.count('stroke="#1d2328" stroke-width="2"') >= 1


def test_a_point_in_words() -> None:
    catalog = Catalog("en", strict=True)
    assert point_words(POINTS[0], catalog) == "Legs within 10 A: 1 move, proven fewest"
    assert point_words(POINTS[1], catalog) == "Legs within 5 A: 4 moves, best found; at least 2 needed"


def legs_of(*breakers: str) -> PanelResult:
    """A panel with breakers."""
    return panel(house(*breakers))


def test_bars_are_to_one_scale_and_the_line_stands_at_the_lighter_leg_and_ten_percent() -> None:
    """Hand: 15 A on L1, 10 A on L2; the line stands at 10 + 10 A."""
    result = legs_of(breaker("kit", "2", 1800), breaker("den", "4", 1200))
    drawn = one(legs_picture(result, Catalog("en")))
    bars = numbers(r'<rect x="30" y="[\d.]+" width="([\d.]+)"', drawn)
    assert bars[0] / bars[1] == pytest.approx(1.5, abs=0.01)
    line = float(re.findall(r'd="M([\d.]+) [\d.]+V[\d.]+" fill="none"[^>]*stroke-dasharray="5 3"', drawn)[0])
    assert (line - 30) / bars[1] == pytest.approx(2.0, abs=0.01)
    assert "all loads on: legs 5" in drawn and 'stroke-dasharray="4 3"' not in drawn


def test_what_is_not_known_is_drawn_as_counted() -> None:
    """Hand: a 20 A breaker without a load on file is counted at 80 percent, 16 A."""
    drawn = one(legs_picture(legs_of(breaker("kit", "2", None), breaker("den", "4", 1200)), Catalog("en")))
    assert "counted 6" in drawn and 'stroke-dasharray="4 3"' in drawn


def test_on_paper_nothing_is_left_out() -> None:
    catalog = Catalog("en", strict=True)
    curve = Curve(said("thing.named", name="Main panel"), POINTS, APARTS, (said("panel.rule.room"),), 100, True)
    sheet = search_sheet([curve], HEAD, catalog)
    assert sheet is not None and sheet.key == "panel_search" and search_sheet([], HEAD, catalog) is None
    keys = [block.say.key for block in sheet.blocks if hasattr(block, "say")]
    table = next(block for block in sheet.blocks if isinstance(block, Table))
    rows = [[catalog.value(cell) for cell in row] for row in table.rows]
    assert rows[0][2:] == ["7 A", "proven fewest"], rows
    assert rows[1][2:] == ["4.8 to 6.1 A", "best found; at least 2 needed; "
                           "within the limit as the loads are counted, not for certain"], rows  # fmt: skip
    words = [catalog.say(block.say) for block in sheet.blocks if isinstance(block, Paragraph)]
    assert "The layout for legs within 10 A is kept and stands in the panel." in words
    for key in ("sheet.panel_search.stopped", "cli.panel.clash", "panel.rule.room"):
        assert key in keys
