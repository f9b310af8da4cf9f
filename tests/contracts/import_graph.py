"""Reads who imports whom from the source text, and finds what the import contract forbids; nothing is executed.

The contract (DESIGN, section 3): a room imports only rooms above it in ROOMS; the stages never import each other; no
cycle; a chain of imports has at most MAX_DEPTH modules; the rooms down to `followup` are pure.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

PACKAGE = "deadfront"
MAX_DEPTH = 24
STAGES = ("loads", "circuits", "panel", "sources", "isolation", "metering", "commissioning")
GROUND = ("quantities", "msg", "errors")
# From the top down; rooms of one row never import each other, but for the ground row, whose files are one room.
ROOMS = [
    GROUND, ("worksheet",), ("codebook",), ("physics",), ("job",), ("recordings",), ("topology",), ("results",), STAGES,
    ("assess",), ("options", "followup"), ("documents",), ("store", "instruments"), ("app",), ("web",), ("cli",),
]  # fmt: skip
FLOOR = {room: floor for floor, row in enumerate(ROOMS) for room in row}
PURE = {room for room, floor in FLOOR.items() if floor <= FLOOR["followup"]}

# Clock, disk, network, random, processes: not for a pure room.
IMPURE_MODULES = {
    "time", "random", "secrets", "uuid", "os", "pathlib", "io", "shutil", "tempfile", "glob", "socket", "ssl", "http",
    "urllib", "subprocess", "threading", "multiprocessing", "asyncio", "concurrent", "sqlite3", "locale", "logging",
    "getpass", "platform", "importlib", "sys", "zipfile",
}  # fmt: skip
IMPURE_CALLS = {"open", "input", "print", "exec", "eval", "__import__"}
CLOCK_CALLS = {"now", "today", "utcnow"}
# The codebook reads its own data; recordings and job files are read from bytes; the checksum of a recording is made
# in a thread beside its reading, and depends on nothing but the bytes.
ALLOWED_IN = {
    "codebook": {"pathlib", "importlib", "io"},
    "recordings": {"pathlib", "io", "zipfile", "concurrent"},
    "job": {"io"},
}
# Other people's packages in a pure room; arrays and solvers only in modules named `solve`. One exception: recordings
# are columns of readings and nothing else, so that room may use arrays throughout; no other room imports it at start.
THIRD_PARTY = {"pydantic", "pydantic_core", "annotated_types", "typing_extensions"}
THIRD_PARTY_IN = {"job": {"tomlkit"}, "recordings": {"numpy", "pyarrow"}}


@dataclass(frozen=True)
class Import:
    """One import statement of the package: which module says it, at which line, and what it names."""

    module: str
    line: int
    target: str
    typing_only: bool = False


@dataclass(frozen=True)
class Source:
    """A package as read from its files: module name to syntax tree."""

    trees: dict[str, ast.Module]
    packages: frozenset[str]


def read_source(folder: Path) -> Source:
    """Parse every Python file under the package folder."""
    trees, packages = {}, set()
    for path in sorted(folder.rglob("*.py")):
        parts = [PACKAGE, *path.relative_to(folder).with_suffix("").parts]
        if parts[-1] == "__init__":
            parts.pop()
            packages.add(".".join(parts))
        trees[".".join(parts)] = ast.parse(path.read_text(encoding="utf-8"), filename=str(path))
    return Source(trees, frozenset(packages))


def typing_only_nodes(tree: ast.Module) -> set[ast.AST]:
    """The statements under `if TYPE_CHECKING:`, which never run."""
    found: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING"):
            found.update(inner for statement in node.body for inner in ast.walk(statement))
    return found


def absolute(module: str, is_package: bool, node: ast.ImportFrom) -> str:
    """The full name that a `from ... import` statement starts from."""
    if not node.level:
        return node.module or ""
    parts = module.split(".")
    base = parts[: len(parts) - node.level + (1 if is_package else 0)]
    return ".".join(base + ([node.module] if node.module else []))


def imports_of(source: Source, module: str) -> Iterator[Import]:
    """Every import of one module, those inside functions too; names that are modules resolve to these."""
    tree = source.trees[module]
    typing_only = typing_only_nodes(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for name in node.names:
                yield Import(module, node.lineno, name.name, node in typing_only)
        elif isinstance(node, ast.ImportFrom):
            base = absolute(module, module in source.packages, node)
            for name in node.names:
                full = f"{base}.{name.name}"
                yield Import(module, node.lineno, full if full in source.trees else base, node in typing_only)


def room_of(module: str) -> str:
    """The room a module belongs to; empty for the package itself."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def wrong_way(source: Source) -> list[str]:
    """Imports that point down or sideways, and modules that stand in no declared room."""
    found = []
    for module in source.trees:
        room = room_of(module)
        if room and room not in FLOOR:
            found.append(f"{module}: {room} is not a room of the contract; declare it in ROOMS")
            continue
        for each in imports_of(source, module):
            if each.target.split(".")[0] != PACKAGE:
                continue
            other = room_of(each.target)
            if not other or other == room or (room in GROUND and other in GROUND):
                continue
            if not room:
                found.append(f"{module}:{each.line} the package itself must import no room, and imports {other}")
            elif other not in FLOOR:
                found.append(f"{module}:{each.line} imports {each.target}, which is in no room")
            elif FLOOR[other] >= FLOOR[room]:
                found.append(f"{module}:{each.line} {room} must not import {other} ({each.target})")
    return found


def graph(source: Source) -> dict[str, set[str]]:
    """Module to the modules of the package it imports when it runs."""
    return {
        module: {
            each.target
            for each in imports_of(source, module)
            if each.target in source.trees and each.target != module and not each.typing_only
        }
        for module in source.trees
    }


def cycle(source: Source) -> list[str]:
    """A ring of modules that import each other; empty when there is none."""
    try:
        list(TopologicalSorter(graph(source)).static_order())
    except CycleError as error:
        return list(error.args[1])
    return []


def longest_chain(source: Source) -> list[str]:
    """The longest chain of imports, the importing module first; there must be no cycle."""
    edges = graph(source)
    chains: dict[str, list[str]] = {}
    for module in TopologicalSorter(edges).static_order():
        below = max((chains[each] for each in edges[module]), key=len, default=[])
        chains[module] = [module, *below]
    return max(chains.values(), key=len, default=[])


def is_solve(module: str) -> bool:
    """Whether a module is where arrays and solvers may be used."""
    return any(part == "solve" or part.startswith("solve_") for part in module.split(".")[2:])


def impure(source: Source, standard_library: frozenset[str]) -> list[str]:
    """What a pure room must not use: clock, disk, network, random, globals, foreign packages."""
    found = []
    for module, tree in source.trees.items():
        room = room_of(module)
        if room not in PURE:
            continue
        for each in imports_of(source, module):
            top = each.target.split(".")[0]
            if top == PACKAGE or each.typing_only:
                continue
            if top in standard_library:
                if top in IMPURE_MODULES - ALLOWED_IN.get(room, set()):
                    found.append(f"{module}:{each.line} a pure room must not import {top}")
            elif top not in THIRD_PARTY | THIRD_PARTY_IN.get(room, set()) and not is_solve(module):
                found.append(f"{module}:{each.line} {top} may be imported only in a module named solve")
        found += [f"{module}:{line} {what}" for line, what in impure_statements(tree)]
    return found


def impure_statements(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Calls and statements that reach outside or keep state."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Global):
            yield node.lineno, f"a pure room must keep no global state ({', '.join(node.names)})"
        elif isinstance(node, ast.Call):
            called = node.func
            if isinstance(called, ast.Name) and called.id in IMPURE_CALLS:
                yield node.lineno, f"a pure room must not call {called.id}()"
            elif isinstance(called, ast.Attribute) and called.attr in CLOCK_CALLS:
                yield node.lineno, f"a pure room must not read the clock ({ast.unparse(called)})"
