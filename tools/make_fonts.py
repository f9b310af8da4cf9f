"""Make the static TTF files of src/deadfront/documents/fonts from the published web font packages.

Run it only to take a newer release of a font (needs fonttools and brotli, which are no part of the project):

    npm pack @fontsource/atkinson-hyperlegible-next @fontsource/atkinson-hyperlegible-mono @fontsource/dejavu-sans
    (unpack each package into FOLDER/<package name without the scope>)
    python -m tools.make_fonts FOLDER

The PDF engine draws a variable font in the wrong weight and needs true family names, so each weight is one static
file; the latin and latin-ext parts are merged; the symbol font keeps only the blocks that a worksheet can use.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from fontTools import subset
from fontTools.merge import Merger
from fontTools.ttLib import TTFont

FONTS = Path(__file__).resolve().parent.parent / "src" / "deadfront" / "documents" / "fonts"
WEIGHTS = {400: "Regular", 700: "Bold"}
TEXT_FAMILIES = {
    "atkinson-hyperlegible-next": "Atkinson Hyperlegible Next",
    "atkinson-hyperlegible-mono": "Atkinson Hyperlegible Mono",
}
SYMBOL_PACKAGE, SYMBOL_FAMILY = "dejavu-sans", "DejaVu Sans"
SYMBOL_BLOCKS = [
    (0x0020, 0x007E),  # so that a run of symbols with a digit beside it keeps one face
    (0x00A0, 0x00FF),
    (0x0370, 0x03FF),  # Greek
    (0x2000, 0x206F),  # spaces, dashes, primes
    (0x2070, 0x209C),  # superscripts, subscripts
    (0x20AC, 0x20AC),
    (0x2100, 0x218F),  # letterlike signs, fractions
    (0x2190, 0x21FF),  # arrows
    (0x2200, 0x22FF),  # mathematical operators
    (0x2300, 0x23CF),
    (0x25A0, 0x26FF),  # geometric shapes, miscellaneous symbols
    (0x2713, 0x2718),  # check marks, crosses
]


def name_font(font: TTFont, family: str, weight: int) -> None:
    """Give a font its true family name, so that a document can ask for it by that name."""
    style = WEIGHTS[weight]
    names = font["name"]
    for name_id in (16, 17, 21, 22, 25):
        names.removeNames(nameID=name_id)
    postscript = f"{family.replace(' ', '')}-{style}"
    for name_id, text in ((1, family), (2, style), (4, f"{family} {style}"), (6, postscript)):
        names.removeNames(nameID=name_id)
        names.setName(text, name_id, 3, 1, 0x409)
        names.setName(text, name_id, 1, 0, 0)
    font["OS/2"].usWeightClass = weight
    bold = weight == 700
    font["OS/2"].fsSelection = (font["OS/2"].fsSelection & ~0x61) | (0x20 if bold else 0x40)
    font["head"].macStyle = 1 if bold else 0
    font.recalcTimestamp = False


def text_font(folder: Path, package: str, weight: int) -> TTFont:
    """One weight of a text family: its latin and latin-ext parts merged into one static font."""
    parts = []
    with tempfile.TemporaryDirectory() as scratch:
        for part in ("latin", "latin-ext"):
            font = TTFont(folder / package / "files" / f"{package}-{part}-{weight}-normal.woff2")
            font.flavor = None
            path = Path(scratch) / f"{part}.ttf"
            font.save(path)
            parts.append(str(path))
        return Merger().merge(parts)


def symbol_font(folder: Path, weight: int) -> TTFont:
    """One weight of the symbol font, cut down to the blocks named above."""
    font = TTFont(folder / SYMBOL_PACKAGE / "files" / f"{SYMBOL_PACKAGE}-latin-{weight}-normal.woff2")
    font.flavor = None
    options = subset.Options(layout_features=[], hinting=False, name_IDs=["*"], notdef_outline=True)
    cut = subset.Subsetter(options)
    cut.populate(unicodes=[code for first, last in SYMBOL_BLOCKS for code in range(first, last + 1)])
    cut.subset(font)
    return font


def main(folder: Path) -> None:
    """Write every static TTF file and say its size."""
    for weight, style in WEIGHTS.items():
        made = [(family, text_font(folder, package, weight)) for package, family in TEXT_FAMILIES.items()]
        made.append((SYMBOL_FAMILY, symbol_font(folder, weight)))
        for family, font in made:
            name_font(font, family, weight)
            path = FONTS / f"{family.replace(' ', '')}-{style}.ttf"
            font.save(path)
            print(f"{path.name}: {path.stat().st_size:,} bytes, {len(font.getBestCmap())} characters")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("Say the folder that holds the unpacked font packages: python -m tools.make_fonts FOLDER")
    main(Path(sys.argv[1]))
