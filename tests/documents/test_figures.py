"""The ruler: to scale, no label on a bar or on the rating's line, told apart without color."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from decimal import Decimal
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from deadfront.documents import figures, svg
from deadfront.documents.catalog import Catalog
from deadfront.documents.figures import (
    GAP,
    NARROW,
    WIDE,
    RulerBar,
    bar_ends,
    label_place,
    label_text,
    limit_place,
    ruler,
    ruler_scale,
)
from deadfront.quantities import Interval, between, point
from deadfront.worksheet.check import Outcome
from tests.documents.sample_sheet import bars

EN = Catalog("en", strict=True)
FONTS = Path(figures.__file__).parent / "fonts"
names = st.sampled_from(["Standard", "Existing dwelling", "Measured demand", "Optional", "Two units <b> & more"])
lows = st.integers(0, 1500).map(Decimal)


@st.composite
def ruler_bars(draw: st.DrawFn) -> RulerBar:
    low = draw(lows)
    high = draw(st.one_of(st.none(), st.integers(0, 600).map(lambda more: low + more)))
    return RulerBar(draw(names), Interval(low, high), draw(st.sampled_from(Outcome)))


many = st.lists(ruler_bars(), min_size=1, max_size=8)
ratings = st.sampled_from([30, 60, 100, 125, 200, 400, 800, 1200]).map(point)


@given(many, ratings, st.sampled_from([WIDE, NARROW]))
def test_a_label_beside_its_bar_touches_neither_bar_nor_line(
    shown: list[RulerBar], rating: Interval, width: int
) -> None:
    scale = ruler_scale(shown, rating, width)
    for bar in shown:
        place = label_place(bar, scale, rating, label_text(bar, EN))
        left, right = bar_ends(bar, scale)
        if not place.above:
            assert place.left >= right + GAP or place.right <= left - GAP
            assert not place.left - 2 < limit_place(scale, rating) < place.right + 2
            assert place.left >= 0 and place.right <= width


@given(many, ratings, st.sampled_from([WIDE, NARROW]))
def test_the_drawing_is_sound_and_to_scale(shown: list[RulerBar], rating: Interval, width: int) -> None:
    drawing = ET.fromstring(ruler(shown, rating, EN, width=width))
    space = "{http://www.w3.org/2000/svg}"
    assert drawing.attrib["viewBox"].split()[2] == str(width)
    scale = ruler_scale(shown, rating, width)
    rects = [r for r in drawing.iter(f"{space}rect") if r.attrib["height"] == svg.short(figures.BAR - 1.4)]
    assert len(rects) == len(shown)
    for bar, rect in zip(shown, rects, strict=True):
        assert float(rect.attrib["x"]) == pytest.approx(bar_ends(bar, scale)[0] + 0.7, abs=0.06)
        assert float(rect.attrib["x"]) + float(rect.attrib["width"]) <= width


@given(many, ratings)
def test_the_ruler_holds_every_known_end(shown: list[RulerBar], rating: Interval) -> None:
    scale = ruler_scale(shown, rating, WIDE)
    assert limit_place(scale, rating) < WIDE
    for bar in shown:
        assert scale.x(bar.value.low if bar.value.high is None else bar.value.high) < WIDE
    assert 2 <= scale.most_a / scale.step_a <= figures.MOST_TICKS[WIDE] + 1


def limit_lines(drawing: str) -> list[tuple[float, float]]:
    found = re.findall(r'd="M[\d.]+ ([\d.]+)V([\d.]+)"', drawing)
    return [(float(top), float(bottom)) for top, bottom in found]


def test_the_line_of_the_rating_makes_way_for_a_label_above_its_bar() -> None:
    """A bar over the whole ruler leaves no place beside it; its long label then crosses the line."""
    long = RulerBar("Existing dwelling, by the part for additions", between(1, 199), Outcome.CANNOT_TELL)
    drawing = ruler([long], point(100), EN, width=NARROW)
    place = label_place(long, ruler_scale([long], point(100), NARROW), point(100), label_text(long, EN))
    assert place.above
    (label_y,) = re.findall(r'<text x="[\d.]+" y="([\d.]+)"[^>]*>Existing', drawing)
    assert all(not top < float(label_y) - 4 < bottom for top, bottom in limit_lines(drawing))


def test_outcomes_differ_without_color() -> None:
    drawn = {}
    for outcome in Outcome:
        text = ruler([RulerBar("x", between(50, 80), outcome)], point(100), EN)
        drawn[outcome] = re.sub(r"#[0-9a-f]{6}|<title>.*?</title>|aria-label=\"[^\"]*\"", "", text)
    assert len(set(drawn.values())) == len(Outcome)


def test_an_open_range_ends_in_an_arrow_head() -> None:
    open_end = ruler([RulerBar("x", Interval(Decimal(50), None), Outcome.CANNOT_TELL)], point(100), EN)
    closed = ruler([RulerBar("x", between(50, 99), Outcome.CANNOT_TELL)], point(100), EN)
    assert open_end.count('Z"') == closed.count('Z"') + 1
    assert "at least 50 A" in open_end


def test_an_exact_value_is_a_narrow_mark_at_its_place() -> None:
    bar = RulerBar("x", point(80), Outcome.MEETS)
    scale = ruler_scale([bar], point(100), WIDE)
    left, right = bar_ends(bar, scale)
    assert right - left == figures.LEAST_MARK and (left + right) / 2 == pytest.approx(scale.x(80))


def test_a_rating_known_only_as_at_most_is_dashed_and_an_unknown_one_has_no_line() -> None:
    bar = RulerBar("x", between(50, 80), Outcome.CANNOT_TELL)
    at_most = ruler([bar], between(0, 100), EN)
    assert "rating at most 100 A" in at_most and 'stroke-dasharray="7 4"' in at_most
    unknown = ruler([bar], Interval(Decimal(0), None), EN)
    assert "rating not known yet" in unknown and limit_lines(unknown) == []


def test_names_are_escaped() -> None:
    drawing = ruler([RulerBar("<script>&", between(50, 80), Outcome.MEETS)], point(100), EN)
    assert "<script" not in drawing and "&lt;script&gt;&amp;" in drawing


def test_the_title_says_the_picture() -> None:
    title = ET.fromstring(ruler(bars(), point(100), EN)).attrib["aria-label"]
    assert title.startswith("Ranges of amperes, rating 100 A: Measured demand: 94.3 to 99.3 A, meets;")


def test_advances_are_those_of_the_typeface() -> None:
    for weight in ("Regular", "Bold"):
        font = TTFont(FONTS / f"AtkinsonHyperlegibleNext-{weight}.ttf")
        glyphs, widths, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
        for char, measured in svg._advances().items():
            if ord(char) in glyphs:
                assert widths[glyphs[ord(char)]][0] / em <= measured + 1e-9, char
