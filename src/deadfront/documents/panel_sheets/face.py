"""The face of a panel as it is drawn: its cells row by row, what stands in each, what is wrong there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from deadfront.documents.panel_sheets.standing import wrong_of
from deadfront.job.house import HouseAt, TagLetter
from deadfront.job.panel_things import Breaker, Panel
from deadfront.results.panel import PanelResult

MainAt = Literal["top", "bottom", "center", "none", "unknown"]


@dataclass(frozen=True, slots=True)
class Cell:
    """One space: its number, where it is, its leg ("" where not known), whether it is kept for a source."""

    space: int
    row: int
    column: int
    leg: str = ""
    kept: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """A breaker, or the part of one that stands in neighboring cells.

    Args:
        id: Of the breaker.
        names: What it feeds, each by its own name; empty where nothing is entered.
        tag: E, N, R or RL.
        top: First row, half rows count: 2.5 is the lower half of the third row.
        rows: How many rows it is high.
        lane: Which of the breakers said to be in the same place it is, from 0; `lanes`: how many there are.
        wrong: It is drawn as a conflict.
        spare: It is known to feed nothing.
    """

    id: str
    names: tuple[str, ...]
    tag: TagLetter
    rating_a: Decimal | None
    role: str
    controllable: bool
    column: int
    top: float
    rows: float
    lane: int = 0
    lanes: int = 1
    wrong: bool = False
    spare: bool = False


@dataclass(frozen=True, slots=True)
class Face:
    """A panel seen from the front.

    Args:
        id: Of the panel.
        name: What it is called; "" for no name.
        cells: Its spaces in the order of their numbers.
        blocks: What stands in them.
        loose: Breakers of it that stand in no space that is there.
        main_at: Where the main is; `main_a`: its rating [A]; None where not known.
        main_in_space: The main is one of the blocks.
        listed: Every breaker in it is entered: what is empty is empty.
    """

    id: str
    name: str
    cells: tuple[Cell, ...]
    blocks: tuple[Block, ...]
    loose: tuple[Block, ...] = ()
    main_at: MainAt = "unknown"
    main_a: Decimal | None = None
    bus_a: Decimal | None = None
    main_in_space: bool = False
    listed: bool = False

    @property
    def row_count(self) -> int:
        """Rows of its longer column."""
        return max((cell.row for cell in self.cells), default=-1) + 1


def face_of(at: HouseAt, panel: Panel, result: PanelResult | None, tags: HouseAt | None = None) -> Face | None:
    """A panel as it stands in a house; None where the number of its spaces is not known.

    Args:
        result: What the panel stage says of it: legs, and what is wrong.
        tags: The house after the work, where the house drawn is the one before it: its tags are shown.
    """
    if panel.spaces is None:
        return None
    cells = tuple(_cells(panel, result))
    by_space = {cell.space: cell for cell in cells}
    wrong = {ident for each in wrong_of(result.violations) for ident in each.pieces} if result is not None else set()
    fed = fed_by(at)
    blocks: list[Block] = []
    loose: list[Block] = []
    inside = breakers_in(at, panel)
    for breaker in inside:
        seed = _seed(breaker, fed.get(breaker.id, ()), tags or at, breaker.id in wrong)
        if not seed.names and breaker.role == "branch" and at.house.complete.circuits == "yes":
            seed = replace(seed, spare=True)
        if breaker.role == "main" and not breaker.spaces:
            continue
        placed = list(_placed(seed, breaker, by_space))
        if len(placed) > 1 and not _wide(breaker, placed):
            placed = [_wrong(block) for block in placed]
        blocks += placed
        if not placed or any(space not in by_space for space in breaker.spaces):
            loose.append(_wrong(seed) if breaker.spaces else seed)
    mains = [each for each in inside if each.role == "main"]
    rating = next((each.rating_a for each in mains if each.rating_a), None)
    if rating is None and panel.fed_by in ("service", None) and not mains:
        rating = at.house.service.disconnect.rating_a
    return Face(
        panel.id, panel.name or "", cells, tuple(_in_lanes(blocks)), tuple(loose), panel.main_at or "unknown", rating,
        panel.bus_a, any(each.spaces for each in mains), at.house.complete.breakers == "yes",
    )  # fmt: skip


def breakers_in(at: HouseAt, panel: Panel) -> list[Breaker]:
    """Breakers of a panel; one that names no panel is in the only one there is."""
    only = len(at.house.panels) == 1
    return [each for each in at.house.breakers if each.panel == panel.id or (each.panel is None and only)]


def fed_by(at: HouseAt) -> Mapping[str, tuple[str, ...]]:
    """Names of what each breaker feeds or is fed from: circuits, panels, sources."""
    found: dict[str, list[str]] = {}
    for circuit in at.house.circuits:
        found.setdefault(circuit.breaker or "", []).append(circuit.name or circuit.id)
    for panel in at.house.panels:
        found.setdefault(panel.fed_by or "", []).append(panel.name or panel.id)
    for source in at.house.sources:
        found.setdefault(source.breaker or "", []).append(source.name or source.id)
    return {ident: tuple(dict.fromkeys(names)) for ident, names in found.items()}


def _cells(panel: Panel, result: PanelResult | None) -> Iterator[Cell]:
    """The spaces as the panel numbers them; legs where the panel stage knows them."""
    count = panel.spaces or 0
    deep = (count + 1) // 2
    case = result.case if result is not None else None
    for index in range(count):
        down = panel.numbering == "down"
        row, column = (index % deep, index // deep) if down else (index // 2, index % 2)
        leg = ""
        if case is not None and case.spaces == count:
            row, column, leg = case.rows[index], case.columns[index], f"L{case.legs[index] + 1}"
        yield Cell(index + 1, row, column, leg, index + 1 in panel.reserved)


def _seed(breaker: Breaker, names: Sequence[str], tags: HouseAt, wrong: bool) -> Block:
    own = (breaker.name,) if breaker.name else ()
    tag = tags.tag(breaker.id) if breaker.id in tags.tags else "E"
    return Block(breaker.id, tuple(names) or own, tag, breaker.rating_a, breaker.role, bool(breaker.controllable),
                 0, 0.0, 1.0, wrong=wrong)  # fmt: skip


def _placed(seed: Block, breaker: Breaker, cells: Mapping[int, Cell]) -> Iterator[Block]:
    """One block for each run of neighboring cells."""
    found = sorted({cells[space] for space in breaker.spaces if space in cells}, key=lambda c: (c.column, c.row))
    at = 0
    while at < len(found):
        end = at + 1
        while end < len(found) and (found[end].column, found[end].row) == (found[at].column, found[end - 1].row + 1):
            end += 1
        first, rows = found[at], float(end - at)
        top = float(first.row)
        if breaker.half is not None and rows == 1:
            top, rows = top + (0.5 if breaker.half == "b" else 0.0), 0.5
        yield replace(seed, column=first.column, top=top, rows=rows)
        at = end


def _wide(breaker: Breaker, placed: Sequence[Block]) -> bool:
    """A main may take spaces in both columns: it stands across the panel."""
    return breaker.role == "main" and len({block.top for block in placed}) == 1


def _wrong(block: Block) -> Block:
    return replace(block, wrong=True)


def _in_lanes(blocks: Sequence[Block]) -> Iterator[Block]:
    """Blocks that are said to be in one place stand side by side in it, drawn as a conflict."""
    groups: list[list[Block]] = []
    for block in sorted(blocks, key=lambda b: (b.column, b.top, b.id)):
        last = groups[-1] if groups else []
        if last and any(_overlap(block, other) for other in last):
            last.append(block)
        else:
            groups.append([block])
    for group in groups:
        lanes: list[float] = []
        placed: list[tuple[Block, int]] = []
        for block in group:
            lane = next((n for n, bottom in enumerate(lanes) if bottom <= block.top), len(lanes))
            lanes[lane:] = [block.top + block.rows, *lanes[lane + 1 :]]
            placed.append((block, lane))
        for block, lane in placed:
            yield replace(block, lane=lane, lanes=len(lanes), wrong=block.wrong or len(lanes) > 1)


def _overlap(one: Block, other: Block) -> bool:
    return one.column == other.column and one.top < other.top + other.rows and other.top < one.top + one.rows
