"""The elevation on made panels: no text on another, nothing past its box, rows to scale, legs told without color."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from deadfront.app.answers import Answered, answer
from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.documents.panel_sheets import elevation
from deadfront.documents.panel_sheets.card import card
from deadfront.documents.panel_sheets.elevation import before_after, hatching
from deadfront.documents.panel_sheets.elevation import elevation as drawn
from deadfront.documents.panel_sheets.face import Face, face_of
from deadfront.documents.panel_sheets.fitting import LEAST_SIZE, fitted
from deadfront.documents.panel_sheets.measures import NARROW, TWIN, WIDE, Box
from deadfront.worksheet.sheet import SheetHead
from tests.documents.panels_made import NAMES, made_job

EN, ES = Catalog("en", strict=True), Catalog("es", strict=True)
FONTS = Path(svg.__file__).parent / "fonts"
SPACE = "{http://www.w3.org/2000/svg}"
HEAD = SheetHead("Made house", "", "2023", on="2026-05-12")
SEEDS = range(20)


@dataclass(frozen=True)
class Rect:
    left: float
    top: float
    right: float
    bottom: float
    what: str = ""

    def over(self, other: Rect, play: float) -> bool:
        return (self.left + play < other.right and other.left + play < self.right
                and self.top + play < other.bottom and other.top + play < self.bottom)  # fmt: skip

    def within(self, other: Rect, play: float) -> bool:
        return (self.left >= other.left - play and self.right <= other.right + play
                and self.top >= other.top - play and self.bottom <= other.bottom + play)  # fmt: skip


@cache
def answered(seed: int) -> Answered:
    return answer(made_job(seed))


def faces(seed: int) -> tuple[Face, Face | None]:
    found = answered(seed)
    after = found.assessment.at
    face = face_of(after, after.house.panels[0], found.assessment.panels[0])
    assert face is not None
    if found.before is None:
        return face, None
    before = found.before.at
    return face, face_of(before, before.house.panels[0], found.before.panels[0], after)


@cache
def typeface(bold: bool) -> tuple[dict[int, str], dict[str, tuple[int, int]]]:
    """The characters and widths of the typeface itself, not our table of them."""
    font = TTFont(FONTS / f"AtkinsonHyperlegibleNext-{'Bold' if bold else 'Regular'}.ttf")
    return font.getBestCmap(), font["hmtx"].metrics


def real_width(words: str, size: float, bold: bool) -> float:
    cmap, widths = typeface(bold)
    return size * sum(widths[cmap[ord(char)]][0] / 1000 if ord(char) in cmap else 1.0 for char in words)


def texts(picture: ET.Element) -> list[Rect]:
    """The box of every text, by the advances of the typeface; capitals and descenders in it."""
    found = []
    for node in picture.iter(f"{SPACE}text"):
        words, size = node.text or "", float(node.attrib["font-size"])
        wide = real_width(words, size, node.attrib["font-weight"] == "700")
        anchor = node.attrib["text-anchor"]
        x = float(node.attrib["x"]) - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        y = float(node.attrib["y"])
        if words:
            found.append(Rect(x, y - 0.68 * size, x + wide, y + 0.2 * size, words))
    return found


def rects(picture: ET.Element, **wanted: str) -> list[Rect]:
    found = []
    for node in picture.iter(f"{SPACE}rect"):
        if all(node.attrib.get(name.replace("_", "-")) == value for name, value in wanted.items()):
            x, y, w, h = (float(node.attrib[name]) for name in ("x", "y", "width", "height"))
            found.append(Rect(x, y, x + w, y + h))
    return found


def rings(picture: ET.Element) -> list[Rect]:
    found = []
    for node in picture.iter(f"{SPACE}circle"):
        x, y, r = (float(node.attrib[name]) for name in ("cx", "cy", "r"))
        found.append(Rect(x - r, y - r, x + r, y + r))
    return found


def pictures(seed: int) -> list[ET.Element]:
    face, before = faces(seed)
    made = [drawn(face, catalog, style) for catalog in (EN, ES) for style in (WIDE, TWIN, NARROW)]
    if before is not None:
        made += [f"{each}</svg>" for each in before_after(before, face, EN).split("</svg>") if each]
    return [ET.fromstring(each) for each in made]


def bounds(picture: ET.Element) -> Rect:
    _, _, wide, high = map(float, picture.attrib["viewBox"].split())
    return Rect(0, 0, wide, high)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_text_lies_on_another(seed: int) -> None:
    for picture in pictures(seed):
        clash = [(a.what, b.what) for a, b in combinations(texts(picture), 2) if a.over(b, 0.6)]
        assert clash == []
        signs = [*rings(picture), *(box for box in rects(picture, fill=elevation.FAILS))]
        assert [(sign, each.what) for sign in signs for each in texts(picture) if sign.over(each, 0.3)] == []


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_leaves_the_picture_or_the_box_it_stands_in(seed: int) -> None:
    for picture in pictures(seed):
        whole = bounds(picture)
        boxes = rects(picture)
        assert [box for box in boxes if not box.within(whole, 0.6)] == []
        for words in texts(picture):
            assert words.within(whole, 0.6), words
            middle = ((words.left + words.right) / 2, (words.top + words.bottom) / 2)
            around = [box for box in boxes if box.left <= middle[0] <= box.right and box.top <= middle[1] <= box.bottom
                      and box.bottom - box.top > 11 and box.right - box.left > 40]  # fmt: skip
            if around:
                smallest = min(around, key=lambda box: (box.right - box.left) * (box.bottom - box.top))
                assert words.within(smallest, 1.0), (words, smallest)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_breaker_lies_on_another_and_every_one_is_drawn(seed: int) -> None:
    face, _ = faces(seed)
    at = answered(seed).assessment.at
    ids = {block.id for block in (*face.blocks, *face.loose)}
    assert ids == {breaker.id for breaker in at.house.breakers}
    for style in (WIDE, NARROW):
        picture = ET.fromstring(drawn(face, EN, style))
        frames = [box for box in rects(picture, fill="#fff") if box.right - box.left > 30][1:]
        assert len(frames) >= len(face.blocks)
        assert [(a, b) for a, b in combinations(frames, 2) if a.over(b, 1.3)] == []


@pytest.mark.parametrize("seed", SEEDS)
def test_every_row_is_as_high_as_every_other(seed: int) -> None:
    """To scale: the numbers of one column stand one row apart, but where the main lies between."""
    face, _ = faces(seed)
    picture = ET.fromstring(drawn(face, EN, WIDE))
    style = elevation.roomy(face, WIDE)
    cells = [box for box in rects(picture, stroke_width="0.7", stroke=svg.INK) if box.right - box.left < 40]
    assert len(cells) == len(face.cells)
    steps = {round(cell.bottom - cell.top, 1) for cell in cells}
    assert steps == {style.row}


@pytest.mark.parametrize("seed", SEEDS)
def test_a_card_for_the_door_keeps_every_name_in_its_line(seed: int) -> None:
    face, _ = faces(seed)
    names = {block.id: " / ".join(block.names) for block in face.blocks}
    for catalog in (EN, ES):
        shown, cut = card(face, names, catalog, HEAD)
        picture = ET.fromstring(shown)
        words = texts(picture)
        assert [each for each in words if not each.within(bounds(picture), 0.6)] == []
        assert [(a.what, b.what) for a, b in combinations(words, 2) if a.over(b, 2.0)] == []
        dotted = [each.what for each in words if each.what.endswith("...")]
        assert bool(dotted) <= bool(cut), "a name is cut, and the sheet does not say so"


def test_the_made_panels_hold_every_shape() -> None:
    """The geometry above is tried on something: conflicts, halves, loose breakers, three legs, work, all counted."""
    seen = [faces(seed) for seed in SEEDS]
    blocks = [block for face, _ in seen for block in face.blocks]
    assert sum(block.wrong for block in blocks) > 20
    assert sum(block.rows == 0.5 for block in blocks) > 20
    assert sum(block.lanes > 1 for block in blocks) > 20
    assert sum(len(face.loose) for face, _ in seen) > 5
    assert {face.main_at for face, _ in seen} == {"top", "bottom", "center", "none"}
    assert {cell.leg for face, _ in seen for cell in face.cells} >= {"L1", "L2", "L3"}
    assert sum(before is not None for _, before in seen) > 5


@pytest.mark.parametrize("words", NAMES)
@pytest.mark.parametrize("width", [30.0, 80.0, 200.0])
def test_words_are_fitted_by_the_typeface_itself(words: str, width: float) -> None:
    for lines in (1, 2):
        fits = fitted(f"{words} (RL)", width, 13.0, lines)
        assert len(fits.lines) <= lines and fits.size >= 13.0 * LEAST_SIZE - 1e-9
        assert all(real_width(line, fits.size, bold=True) <= width for line in fits.lines)
        assert not fits.lines[-1] or fits.lines[-1].endswith("(RL)")


def test_legs_are_told_by_name_and_by_strokes_not_by_color() -> None:
    box = Box(0, 0, 28, 25)
    assert len(re.findall("M", hatching(box, both=True))) == 2 * len(re.findall("M", hatching(box)))
    face, _ = faces(next(seed for seed in SEEDS if {c.leg for c in faces(seed)[0].cells} == {"L1", "L2"}))
    black = re.sub(r"#[0-9a-f]{6}", "#000000", drawn(face, EN, WIDE))
    hatched = black.count('stroke-width="0.7"') - len(face.cells)
    assert hatched >= sum(cell.leg == "L2" for cell in face.cells)
    assert black.count(">L2<") == sum(cell.leg == "L2" for cell in face.cells)


def test_what_is_heard_names_every_breaker() -> None:
    face, _ = faces(3)
    picture = ET.fromstring(drawn(face, EN, WIDE))
    title, told = picture.find(f"{SPACE}title"), picture.find(f"{SPACE}desc")
    assert title is not None and told is not None and "Elevation of" in (title.text or "")
    for block in face.blocks:
        assert elevation.block_name(block, EN).replace("\t", " ") in (told.text or "").replace("\t", " ")
