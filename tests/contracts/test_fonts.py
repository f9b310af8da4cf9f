"""Every character the papers can hold has a glyph, and the PDF engine takes our faces under their true names."""

from __future__ import annotations

import re
import tomllib
import unicodedata
import zlib
from pathlib import Path

import pytest
import typst
from fontTools.ttLib import TTFont

DOCUMENTS = Path(__file__).resolve().parents[2] / "src" / "deadfront" / "documents"
FONTS = DOCUMENTS / "fonts"
FAMILIES = {
    "Atkinson Hyperlegible Next": "AtkinsonHyperlegibleNext",
    "Atkinson Hyperlegible Mono": "AtkinsonHyperlegibleMono",
    "DejaVu Sans": "DejaVuSans",
}
WEIGHTS = {400: "Regular", 700: "Bold"}
TEXT = "".join(map(chr, range(0x20, 0x7F))) + "áéíóúüñÁÉÍÓÚÜÑ¿¡×÷–—’‘“”²³·°½¼¾±§…−"
SYMBOLS = "Ω≤≥≠≈√∠→←↑↓●■◇—−µμφθΔΣ∞′″⅓⅔⅛⅜⅝⅞₁₂₃☐☑✓✗▲△⚠⚡"


def characters(path: Path) -> set[str]:
    """The characters that a font file can draw."""
    with TTFont(path, lazy=True) as font:
        return {chr(code) for code in font.getBestCmap()}


def drawable(weight: int) -> set[str]:
    """The characters that our families together can draw in one weight."""
    found = set()
    for stem in FAMILIES.values():
        found |= characters(FONTS / f"{stem}-{WEIGHTS[weight]}.ttf")
    return found


def strings(value: object) -> str:
    """Every string in a parsed TOML file, keys left out, as one text."""
    if isinstance(value, str):
        return value
    if isinstance(value, dict):
        return "".join(map(strings, value.values()))
    return "".join(map(strings, value)) if isinstance(value, list) else ""


def wanted_characters() -> dict[str, str]:
    """What must be drawable: where it stands, and the text."""
    wanted = {"text of English and Spanish": TEXT, "symbols of the trade": SYMBOLS}
    for path in sorted((DOCUMENTS / "words").rglob("*.toml")):
        wanted[path.name] = strings(tomllib.loads(path.read_text(encoding="utf-8")))
    for path in sorted(DOCUMENTS.rglob("*.typ")):
        wanted[path.name] = path.read_text(encoding="utf-8")
    return wanted


def missing(text: str, have: set[str]) -> list[str]:
    """The characters of a text that no font draws, each with its number and name."""
    lacking = sorted({each for each in text if each not in have and not each.isspace()})
    return [f"U+{ord(each):04X} {unicodedata.name(each, '?')}" for each in lacking]


@pytest.mark.parametrize("weight", WEIGHTS)
def test_every_character_has_a_glyph(weight: int) -> None:
    have = drawable(weight)
    lacking = {where: lost for where, text in wanted_characters().items() if (lost := missing(text, have))}
    assert lacking == {}


def test_the_text_faces_carry_english_and_spanish_themselves() -> None:
    for stem in ("AtkinsonHyperlegibleNext", "AtkinsonHyperlegibleMono"):
        for style in WEIGHTS.values():
            assert missing(TEXT, characters(FONTS / f"{stem}-{style}.ttf")) == []


def test_a_missing_glyph_is_named() -> None:
    assert missing("5 A \U0001f50c", drawable(400)) == ["U+1F50C ELECTRIC PLUG"]


def engine_fonts() -> typst.Fonts:
    """The PDF engine's view of our folder, and of nothing else."""
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[FONTS])


def test_the_engine_sees_each_family_and_weight() -> None:
    seen = {(font.family, font.weight, font.style) for font in engine_fonts().fonts()}
    assert seen == {(family, weight, "normal") for family in FAMILIES for weight in WEIGHTS}


def embedded_fonts(pdf: bytes) -> set[str]:
    """The names of the fonts that a PDF carries, its compressed parts included, without their subset prefix."""
    parts = [pdf]
    for found in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            parts.append(zlib.decompress(found[1]))
        except zlib.error:
            continue
    names = re.findall(rb"/BaseFont\s*/(?:[A-Z]{6}\+)?([A-Za-z0-9-]+)", b"\n".join(parts))
    return {name.decode() for name in names}


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("weight", WEIGHTS)
def test_the_pdf_carries_the_face_that_was_asked_for(family: str, weight: int) -> None:
    text = "Rated 100 A" if family != "DejaVu Sans" else "Ω ≤ √ ∠ →"
    source = f'#set text(font: "{family}", weight: {weight}, fallback: false)\n{text}\n'
    pdf = typst.compile(source.encode(), font_paths=engine_fonts())
    assert {name.removesuffix("-Identity-H") for name in embedded_fonts(pdf)} == {
        f"{FAMILIES[family]}-{WEIGHTS[weight]}"
    }


def test_a_symbol_beside_text_comes_from_the_symbol_face() -> None:
    source = '#set text(font: ("Atkinson Hyperlegible Next", "DejaVu Sans"))\n25 Ω or less\n'
    names = {
        name.removesuffix("-Identity-H")
        for name in embedded_fonts(typst.compile(source.encode(), font_paths=engine_fonts()))
    }
    assert names == {"AtkinsonHyperlegibleNext-Regular", "DejaVuSans-Regular"}


@pytest.mark.parametrize("stem", ["AtkinsonHyperlegibleNext", "AtkinsonHyperlegibleMono"])
def test_the_screen_faces_are_there(stem: str) -> None:
    assert (FONTS / "screen" / f"{stem}-variable.woff2").read_bytes()[:4] == b"wOF2"


def test_every_font_has_its_license_beside_it() -> None:
    for stem in FAMILIES.values():
        assert len((FONTS / f"{stem}-LICENSE.txt").read_text(encoding="utf-8")) > 4000
    assert "SIL OPEN FONT LICENSE" in (FONTS / "screen" / "LICENSE.txt").read_text(encoding="utf-8")
