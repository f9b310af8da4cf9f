"""A job file under the knife: one block at a time is parsed, changed and put back; all others keep every byte."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from deadfront.errors import EditRefused
from deadfront.job.blocks import Block, Place, body_and_tail, cut
from deadfront.job.things import COLLECTIONS
from deadfront.job.toml_text import key_of, table_text, value_of
from deadfront.job.tree import parsed

Fields = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a thing stands: in the house as found or a step, and its place in the whole."""

    scope: str
    collection: str
    place: Place


class Draft:
    """The blocks of a job file, being edited."""

    def __init__(self, text: str) -> None:
        self.whole = True
        self._plain: dict[str, dict[str, Any] | None] = {}
        self.blocks = cut(text, whole=True)
        if [b.text for b in self.blocks] != [b.text for b in cut(text, whole=False)]:
            try:
                parsed(text)
            except ValueError:
                self.whole = False
                self.blocks = cut(text, whole=False)

    @property
    def text(self) -> str:
        """The file as it stands."""
        return "".join(block.text for block in self.blocks)

    # --- reading ------------------------------------------------------------------------------------------------
    def plain(self, block: Block) -> dict[str, Any] | None:
        """The block's own fields as plain data, None if it cannot be read."""
        if block.text not in self._plain:
            try:
                content: Any = parsed(block.text)
                for part in block.name:
                    content = content[part]
                    content = content[0] if isinstance(content, list) else content
            except (ValueError, KeyError, IndexError, TypeError):
                content = None
            self._plain[block.text] = content if isinstance(content, dict) else None
        return self._plain[block.text]

    def at(self, place: Place) -> Block | None:
        """The block at exactly this place."""
        return next((block for block in self.blocks if block.place == place), None)

    def holder(self, place: Place) -> tuple[Block, Place] | None:
        """The block that holds a place, and the way on from there."""
        best: Block | None = None
        for block in self.blocks:
            if place[: len(block.place)] == block.place and (best is None or len(block.place) > len(best.place)):
                best = block
        return (best, place[len(best.place) :]) if best else None

    def value(self, place: Place) -> Any:
        """The plain value at a place, None if there is none."""
        held = self.holder(place)
        here: Any = self.plain(held[0]) if held else None
        for part in held[1] if held else ():
            try:
                here = here[part]
            except (KeyError, IndexError, TypeError):
                return None
        return here

    def steps(self) -> dict[str, int]:
        """Number of each work step by its id."""
        found = {}
        for block in self.blocks:
            if block.name == ("work",) and block.array and in_house(block.place):
                ident = (self.plain(block) or {}).get("id")
                if isinstance(ident, str):
                    found[ident] = int(block.place[1])
        return found

    def find(self, ident: str) -> Spot | None:
        """Where a thing stands."""
        names = {number: step for step, number in self.steps().items()}
        for block in self.blocks:
            if ident not in block.text or not in_house(block.place):
                continue
            place = _within(self.plain(block), block.place, ident)
            if place:
                scope = "before" if place[0] == "before" else names.get(int(place[1]), "")
                return Spot(scope, str(place[-2]), place)
        return None

    # --- changing -----------------------------------------------------------------------------------------------
    def recut(self, texts: list[str]) -> None:
        """Take new texts of blocks; places are told anew."""
        self.blocks = cut("".join(texts), whole=self.whole)

    def replace(self, block: Block, text: str) -> None:
        """Put a new text in place of one block's."""
        self.recut([text if each is block else each.text for each in self.blocks])

    def change(self, place: Place, act: Callable[[Any], None]) -> None:
        """Let `act` change the table or list at a place, within the one block that holds it.

        Raises:
            EditRefused: that block cannot be read.
        """
        held = self.holder(place)
        if held is None:
            raise EditRefused("job.edit.no_such_thing", path=_said(place), found=_said(place), allowed="")
        block, way = held
        body, tail = body_and_tail(block.text)
        plain = self.plain(block)
        if plain is None:
            raise EditRefused("job.edit.unreadable", path=_said(place), found=block.text.split("\n", 1)[0], allowed="",
                              line=block.line)  # fmt: skip
        wanted = parsed(value_text(plain))["x"]
        act(_down(wanted, way))
        if body and not body.endswith("\n"):
            body += "\n"
        self.replace(block, _changed(body, block, way, act, wanted) + tail)

    def put(self, place: Place, fields: Fields, value: Any) -> None:
        """Set a field, or clear it where the value is None."""
        inner = (*place, *fields)
        own = [block for block in self.blocks if block.place[: len(inner)] == inner]
        if own:  # the field is a table with a block of its own
            self.cut_out(own)
        held = self.holder((*place, *fields[:-1]))
        start = len(held[0].place) if held else 0
        base, rest = (place, fields) if start <= len(place) else (inner[:start], tuple(map(str, inner[start:])))
        self.change(base, lambda table: _set(table, rest, value))

    def cut_out(self, blocks: list[Block]) -> None:
        """Remove blocks with the comments that stand right above them."""
        texts: list[str] = []
        for block in self.blocks:
            if not any(block is each for each in blocks):
                texts.append(block.text)
                continue
            _, tail = body_and_tail(block.text)
            if texts and texts[-1]:
                texts[-1] = _without_lead(texts[-1], texts, self.blocks)
            texts.append(tail.lstrip("\n") if not tail.strip() else tail)
        self.recut(texts)

    def insert_after(self, block: Block | None, text: str) -> None:
        """Put a new block after another, before the comments that lead to the next; None: at the end."""
        if block is None:
            whole = self.text
            gap = "" if not whole or whole.endswith("\n\n") else ("\n" if whole.endswith("\n") else "\n\n")
            self.recut([whole, gap + text])
            return
        texts = []
        for each in self.blocks:
            if each is not block:
                texts.append(each.text)
                continue
            body, tail = body_and_tail(each.text)
            body += "" if body.endswith("\n") else "\n"
            texts += [body, "\n" + text, tail or ""]
        self.recut(texts)

    def last(self, *prefixes: Place) -> Block | None:
        """The last block under the first of these places that has any."""
        for prefix in prefixes:
            found = [block for block in self.blocks if block.place[: len(prefix)] == prefix]
            if found:
                return found[-1]
        return None

    def under(self, place: Place) -> list[Block]:
        """All blocks at a place and below it."""
        return [block for block in self.blocks if block.place[: len(place)] == place]


def in_house(place: Place) -> bool:
    """Whether a place is in the house as found or in a step of the work."""
    return place[:1] == ("before",) or (place[:1] == ("work",) and len(place) > 1 and isinstance(place[1], int))


def value_text(plain: dict[str, Any]) -> str:
    """Plain data as one TOML value, to copy it whole."""
    return f"x = {value_of(plain)}\n"


def _said(place: Place) -> str:
    return ".".join(str(part) for part in place)


def _within(table: Any, place: Place, ident: str) -> Place | None:
    """Place of the thing with this id in a block's own data."""
    if not isinstance(table, dict):
        return None
    if len(place) > 1 and isinstance(place[-1], int) and place[-2] in COLLECTIONS and table.get("id") == ident:
        return place
    for key, value in table.items():
        if key in COLLECTIONS and isinstance(value, list):
            for number, each in enumerate(value):
                if isinstance(each, dict) and each.get("id") == ident:
                    return (*place, key, number)
        elif key == "add" and isinstance(value, dict):
            found = _within(value, (*place, key), ident)
            if found:
                return found
    return None


def _down(table: Any, way: Place) -> Any:
    """The table or list at the end of a way, tables made where there are none."""
    for part in way:
        if isinstance(part, str) and isinstance(table, dict) and part not in table:
            table[part] = {} if not hasattr(table, "as_string") else tomlkit.inline_table()
        try:
            table = table[part]
        except (KeyError, IndexError, TypeError) as error:
            raise EditRefused("job.edit.no_such_thing", path=_said(way), found=_said(way), allowed="") from error
    return table


def _changed(body: str, block: Block, way: Place, act: Callable[[Any], None], wanted: dict[str, Any]) -> str:
    """The block's text after a change, comments and order kept; written anew only where that gives something else."""
    try:
        document = tomlkit.parse(body)
        table: Any = document
        for part in block.name:
            table = table[part]
            table = table[0] if isinstance(table, list) else table
        act(_down(table, way))
        text = tomlkit.dumps(document)
        if _own(text, block) == wanted:
            return text
    except (TOMLKitError, ValueError, KeyError, TypeError, AttributeError, IndexError, tomllib.TOMLDecodeError):
        pass
    comments = [line for line in body.split("\n") if line.lstrip().startswith("#")]
    name = ".".join(key_of(part) for part in block.name)
    header = (f"[[{name}]]" if block.array else f"[{name}]") if name else ""
    lead = "".join(line + "\n" for line in comments)
    return (table_text(header, wanted) if header else "".join(
        f"{key_of(k)} = {value_of(v)}\n" for k, v in wanted.items())) + lead  # fmt: skip


def _own(text: str, block: Block) -> Any:
    content: Any = parsed(text)
    for part in block.name:
        content = content[part]
        content = content[0] if isinstance(content, list) else content
    return content


def _set(table: Any, fields: Fields, value: Any) -> None:
    """Set a field within a table, plain or with its comments; None clears it, and tables that this leaves empty."""
    styled = hasattr(table, "as_string")
    chain = []
    for number, part in enumerate(fields[:-1]):
        inner = table.get(part)
        if not isinstance(inner, dict):
            if value is None:
                return
            if styled:
                table.pop(part, None)
                table.append(tomlkit.key(list(fields[number:])), tomlkit.value(value_of(value)))
                return
            table[part] = inner = {}
        chain.append((table, part))
        table = inner
    if value is not None:
        table[fields[-1]] = tomlkit.value(value_of(value)) if styled else parsed(f"x = {value_of(value)}\n")["x"]
        return
    table.pop(fields[-1], None)
    for owner, part in reversed(chain):
        if not owner[part]:
            owner.pop(part)


def _without_lead(text: str, texts: list[str], blocks: list[Block]) -> str:
    """A block's text without the comment lines that stand right above the next header; the first comment stays."""
    lines = text.split("\n")
    end = len(lines) - 1
    if lines[end]:
        return text
    start = end
    while start > 0 and lines[start - 1].lstrip().startswith("#"):
        start -= 1
    if start == 0 and len(texts) == 1 and not blocks[0].name:
        return text
    return "\n".join(lines[:start]) + "\n" if start and start < end else text
