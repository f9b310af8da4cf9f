"""From the text of a job file to plain nested data, with the place of every block; damage stays in its block."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import lru_cache
from typing import Any

from deadfront.job.blocks import Block, Element, Place, cut
from deadfront.job.limits import too_deep
from deadfront.job.model import FORMAT
from deadfront.job.things import COLLECTIONS

TOO_DEEP = "too deep"
ADDS = ("work", "add")


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
    blocks = cut(text, whole=True)
    data = _by_elements(blocks)
    if data is not None:
        return Tree(data, blocks, whole=True)
    try:
        return Tree(parsed(text), blocks, whole=True)
    except ValueError:
        tree = Tree({}, cut(text, whole=False), whole=False)
    opened: set[Place] = set()
    for block in tree.blocks:
        _take(tree, block, opened)
    return tree


def _by_elements(blocks: Sequence[Block]) -> dict[str, Any] | None:
    """The same as parsing the whole, with things parsed block by block and remembered.

    None where that might come to something else: a list written twice, a house or a step written without headers, an
    older format, any damage. Tables below a thing belong to its text: it is read with them.
    """
    texts: dict[Place, list[str]] = {}
    names: dict[Place, tuple[Place, tuple[str, ...]]] = {}
    rest: list[str] = []
    for block in blocks:
        owner = _owner_of(block)
        if owner is None:
            if not block.name and ("before" in block.text or "work" in block.text):
                return None
            rest.append(block.text)
            continue
        thing = block.place[: len(owner) + 2]
        if block.array and block.place == thing and thing not in texts:
            texts[thing], names[thing] = [], (owner, block.name)
        elif thing not in texts or block.place == thing:
            return None
        texts[thing].append(block.text)
    lists: dict[Place, dict[str, list[Element]]] = {}
    for thing, parts in texts.items():
        owner, name = names[thing]
        element = _element("".join(parts), name)
        if element is None:
            return None
        lists.setdefault(owner, {}).setdefault(name[-1], []).append(element)
    try:
        data = parsed("".join(rest))
    except ValueError:
        return None
    head = data.get("job")
    if not isinstance(head, dict) or head.get("format") != FORMAT:
        return None
    return data if all(_laid(data, owner, found) for owner, found in lists.items()) else None


def _owner_of(block: Block) -> Place | None:
    """Place of the house or the step whose list a block stands in or below; None for any other block."""
    name, place = block.name, block.place
    if len(name) > 1 and name[0] == "before" and name[1] in COLLECTIONS:
        return ("before",)
    if len(name) > len(ADDS) and name[: len(ADDS)] == ADDS and name[len(ADDS)] in COLLECTIONS:
        return place[: len(ADDS) + 1]
    return None


def _laid(data: dict[str, Any], owner: Place, lists: dict[str, list[Element]]) -> bool:
    """Put lists under their owner; False where something else stands there."""
    if owner == ("before",):
        house = data.setdefault("before", {})
        if not isinstance(house, dict) or house.keys() & lists.keys():
            return False
        house.update(lists)
        return True
    steps, number = data.get("work"), owner[1]
    if not isinstance(steps, list) or not isinstance(number, int) or number >= len(steps) or "add" in steps[number]:
        return False
    steps[number]["add"] = lists
    return True


@lru_cache(maxsize=8192)
def _element(text: str, name: tuple[str, ...]) -> Element | None:
    """The thing that a block is, None if it is not just that."""
    try:
        here: Any = parsed(text)
    except ValueError:
        return None
    for part in name:
        if not isinstance(here, dict) or len(here) != 1 or part not in here:
            return None
        here = here[part]
    return Element(here[0]) if isinstance(here, list) and len(here) == 1 else None


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
