"""Things parsed block by block and remembered come to what the whole text comes to; what might not is parsed whole."""

from __future__ import annotations

import random
import tomllib
from decimal import Decimal
from pathlib import Path

import pytest

from deadfront.job import tree
from deadfront.job.tree import parsed, tree_of

ROOT = Path(__file__).parents[2]
HOUSES = [path.read_text("utf-8") for path in sorted(ROOT.glob("tests/jobs/**/*.toml"))]
HOUSES.append((ROOT / "src/deadfront/app/demo_house.toml").read_text("utf-8"))
ODD = (
    '[before]\n', '[[before.loads]]\nid = "l-9zz"\n', 'before.loads = []\n', '[before.loads]\n', '[[work.add.loads]]\n',
    '[work.add]\n', 'add.loads = []\n', '[before.loads.seen]\n', '[[before.loads.x]]\n', '"""\n', "'''\n", '[[work]]\n',
    'x = [\n', ']\n', 'x = {a = 1}\n', '[job]\n', 'format = 0\n', '  [[before.loads]]\n', '[["before".loads]]\n',
    'a = "[[before.loads]]"\n', 'a = """\n[[before.loads]]\n"""\n', '# [[before.loads]]\n', "x = [ # ]\n 1 ]\n",
)  # fmt: skip


def _whole(text: str) -> dict[str, object] | None:
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except ValueError:
        return None


@pytest.mark.parametrize("number", range(len(HOUSES)))
def test_block_by_block_is_the_whole(number: int) -> None:
    text = HOUSES[number]
    assert tree_of(text).data == parsed(text)
    assert "".join(block.text for block in tree_of(text).blocks) == text


def test_ten_thousand_odd_texts_come_to_the_same() -> None:
    """Independent: tomllib on the whole text."""
    dice = random.Random(20261125)
    same = by_block = 0
    small = [text for text in HOUSES if len(text) < 6000] or HOUSES[:1]
    for _ in range(10_000):
        lines = dice.choice(small).splitlines(keepends=True)
        start = dice.randrange(max(1, len(lines) - 40))
        lines = ["[job]\n", "format = 1\n", 'name = "x"\n', *lines[start : start + 40]]
        for _ in range(dice.randint(0, 3)):
            lines.insert(dice.randrange(len(lines) + 1), dice.choice(ODD))
        text = "".join(lines)
        found, whole = tree_of(text), _whole(text)
        assert found.whole == (whole is not None), text
        if whole is not None:
            assert found.data == whole, text
            same += 1
            by_block += tree._by_elements(found.blocks) is not None
    assert same > 1000 and by_block > 500, (same, by_block)
