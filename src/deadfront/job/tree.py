"""From the text of a job file to plain nested data, with the place of every block; damage stays in its block."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from deadfront.job.blocks import Block, Place, cut
from deadfront.job.limits import too_deep

TOO_DEEP = "too deep"


@dataclass(frozen=True, slots=True)
class Damage:
    """A block that could not be used: why, what was found, on which line of the file."""

    block: Block
    why: str
    found: str
    line: int


@dataclass(slots=True)
class Tree:
    """A job file as nested data.

    Args:
        data: What could be read.
        blocks: All blocks in order; joined they are the text.
        whole: The text parsed as it stands.
        damage: The blocks left out.
        broken: Places of array elements that could not be read; blocks under them are left out with them.
    """

    data: dict[str, Any]
    blocks: list[Block]
    whole: bool
    damage: list[Damage] = field(default_factory=list)
    broken: set[Place] = field(default_factory=set)


def parsed(text: str) -> dict[str, Any]:
    """Plain data of a TOML text, numbers exact.

    Raises:
        ValueError: not TOML, or nested too deep.
    """
    if too_deep(text):
        raise ValueError(TOO_DEEP)
    try:
        return tomllib.loads(text, parse_float=_exact)
    except (ArithmeticError, RecursionError, KeyError, TypeError, AttributeError) as error:
        raise ValueError("number or date") from error


def _exact(text: str) -> Decimal:
    try:
        return Decimal(text)
    except ArithmeticError:
        return Decimal("NaN")


def tree_of(text: str) -> Tree:
    """Nested data of a job file, whole if it parses, else block by block."""
    try:
        return Tree(parsed(text), cut(text, whole=True), whole=True)
    except ValueError:
        tree = Tree({}, cut(text, whole=False), whole=False)
    opened: set[Place] = set()
    for block in tree.blocks:
        _take(tree, block, opened)
    return tree


_AT = re.compile(r"\(at line (\d+), column \d+\)")


def _take(tree: Tree, block: Block, opened: set[Place]) -> None:
    """Lay one block into the tree, or note why it cannot be."""
    first = block.text.split("\n", 1)[0].strip()
    if any(block.place[:n] in tree.broken for n in range(1, len(block.place))):
        tree.damage.append(Damage(block, "parent", first, block.line))
        return
    try:
        content: Any = parsed(block.text)
    except ValueError as error:
        at = _AT.search(str(error))
        lines = block.text.rstrip("\n").split("\n")
        number = min(int(at[1]) if at else len(lines), len(lines))
        if block.array:
            tree.broken.add(block.place)
        why = "deep" if str(error) == TOO_DEEP else "block"
        tree.damage.append(Damage(block, why, lines[number - 1].strip(), block.line + number - 1))
        return
    for part in block.name:
        content = content[0] if isinstance(content, list) else content
        content = content[part]
    content = content[0] if block.array else content
    clash = _lay(tree.data, block, content, opened)
    if clash:
        if block.array:
            tree.broken.add(block.place)
        tree.damage.append(Damage(block, clash, first, block.line))


def _lay(data: dict[str, Any], block: Block, content: dict[str, Any], opened: set[Place]) -> str:
    """Put a block's content at its place; says why if it cannot stand there."""
    if block.place in opened and block.place:
        return "twice"
    here: Any = data
    for number, part in enumerate(block.place):
        here = _step_into(here, part, block.place[:number], block.place[number + 1 : number + 2], opened)
        if here is None:
            return "clash"
    if not isinstance(here, dict):
        return "clash"
    if any(key in here for key in content):
        return "twice"
    here.update(content)
    opened.add(block.place)
    return ""


def _step_into(here: Any, part: str | int, above: Place, after: Place, opened: set[Place]) -> Any:
    """The table or list at one part of a place, made if it is not there; None if something else is."""
    if isinstance(part, int):
        if not isinstance(here, list) or above not in opened:
            return None
        while len(here) <= part:
            here.append({})
        return here[part]
    if not isinstance(here, dict):
        return None
    if part not in here:
        here[part] = [] if after and isinstance(after[0], int) else {}
        if isinstance(here[part], list):
            opened.add((*above, part))
    return here[part]
