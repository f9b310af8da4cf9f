"""What the files of the project may say: no place of one machine, no download address, no sentence in an engine.

A literal sentence that must stay in an engine (never shown to a user) carries the comment `# words-ok` on its line.
"""

from __future__ import annotations

import ast
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.contracts.import_graph import FLOOR, PACKAGE

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / PACKAGE
MAX_LINES = 400
SENTENCE_WORDS = 4
ROOM_LINES = 5
# A path into someone's home, a scratch folder or a mount; a path relative to the project has a word before its slash.
MACHINE_FOLDERS = ("home", "root", "Users", "tmp", "mnt", "farm")
MACHINE_PATH = re.compile(rf"(?<![\w.}})\]>~*-])/(?:{'|'.join(MACHINE_FOLDERS)})/[\w.]")
DOWNLOAD_HOST = re.compile(
    r"(?:https?://|(?<![\w@.-]))(?:registry|pypi|pythonhosted|files|deb|index|mirror)\.[a-z]+\.?[a-z]*/"
)
WORD = re.compile(r"(?<![\w.])[A-Za-z]{2,}(?![\w.]*[_.]\w)")


def project_files() -> list[Path]:
    """The files under version control and those about to be; every file of the checkout where there is no git."""
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    try:
        listed = subprocess.run(command, cwd=ROOT, capture_output=True, check=True).stdout.decode().split("\0")
    except (OSError, subprocess.CalledProcessError):
        outside = {".venv", ".git", "__pycache__", "demo", "build", "dist"}
        return [path for path in ROOT.rglob("*") if path.is_file() and not outside & set(path.parts)]
    return [ROOT / name for name in listed if name and (ROOT / name).is_file()]


def texts() -> Iterator[tuple[str, str]]:
    """Name and text of every file of the project that is text."""
    for path in project_files():
        data = path.read_bytes()
        if b"\0" not in data:
            yield path.relative_to(ROOT).as_posix(), data.decode("utf-8", errors="replace")


def here() -> list[str]:
    """This checkout's own place and its neighbors' on this machine, and the home folder, as they would be written."""
    places = [ROOT, Path.home()]
    if len(ROOT.parts) > 2:
        places += [path for path in ROOT.parent.iterdir() if path.is_dir()]
    return [f"{place}" for place in places if len(place.parts) > 2]


def lines_with(found: re.Pattern[str], text: str) -> list[int]:
    """The numbers of the lines in which a pattern occurs."""
    return [number for number, line in enumerate(text.splitlines(), 1) if found.search(line)]


def test_no_file_names_a_place_of_one_machine() -> None:
    own = re.compile("|".join(rf"{re.escape(place)}(?![\w-])" for place in here()) or r"(?!)")
    found = [
        f"{name}:{line}" for name, text in texts() for line in lines_with(MACHINE_PATH, text) + lines_with(own, text)
    ]
    assert not found, "\n".join(found)


def test_no_file_holds_a_download_address() -> None:
    found = [f"{name}:{line}" for name, text in texts() for line in lines_with(DOWNLOAD_HOST, text)]
    assert not found, "\n".join(found)


def test_the_locks_hold_no_address_at_all() -> None:
    locks = [(name, text) for name, text in texts() if name.endswith(".lock")]
    assert len(locks) == 5
    assert [name for name, text in locks if "://" in text or "--index" in text or "--find-links" in text] == []


@pytest.mark.parametrize("text", ["cp x /" + "home/jo/y", "see '/" + "tmp/a'", "(/" + "root/.cache)"])
def test_a_machine_path_is_caught(text: str) -> None:
    assert lines_with(MACHINE_PATH, text) == [1]


@pytest.mark.parametrize(
    "text",
    ["src/ho" + "me/page.py", "{job}/ro" + "ot/x", "/usr/b" + "in/chromium", "a /jo" + "bs/{id}", "home/t" + "mp/x"],
)
def test_a_relative_path_or_a_web_route_is_not(text: str) -> None:
    assert lines_with(MACHINE_PATH, text) == []


@pytest.mark.parametrize(
    "text", ["https://reg" + "istry.example.org/x", "pypi" + ".org/simple", "http://fi" + "les.example.org/"]
)
def test_a_download_address_is_caught(text: str) -> None:
    assert lines_with(DOWNLOAD_HOST, text) == [1]


def source_files() -> list[Path]:
    """Every Python file of the package."""
    return sorted(SOURCE.rglob("*.py"))


def test_no_source_file_is_longer_than_the_ceiling() -> None:
    counts = {path.relative_to(ROOT).as_posix(): len(path.read_text("utf-8").splitlines()) for path in source_files()}
    assert {name: count for name, count in counts.items() if count > MAX_LINES} == {}


def test_every_room_opens_with_its_five_lines() -> None:
    """For what, what comes in, what goes out, what it may import, where to start reading."""
    short = {}
    for path in sorted(SOURCE.glob("*/__init__.py")):
        said = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
        lines = [line for line in said.splitlines() if line.strip()]
        told = all(
            any(line.startswith(start) for line in lines) for start in ("Comes in", "Goes out", "May import", "Start")
        )
        if len(lines) < ROOM_LINES or not told:
            short[path.parent.name] = lines
    assert short == {}


def shown_text(node: ast.AST) -> str:
    """The literal text of a string or of an f-string, its values left out; empty for anything else."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return " ".join(part.value if isinstance(part, ast.Constant) else "" for part in node.values)
    return ""


def exempt_nodes(tree: ast.AST) -> set[ast.AST]:
    """Docstrings, the descriptions of fields, patterns, and the pieces of f-strings, which are judged as a whole."""
    found: set[ast.AST] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr):
            found.add(node.value)
        elif isinstance(node, ast.keyword) and node.arg == "description":
            found.update(ast.walk(node.value))
        elif isinstance(node, ast.Call) and ast.unparse(node.func).startswith("re."):
            found.update(ast.walk(node))
        elif isinstance(node, ast.JoinedStr):
            found.update(inner for inner in ast.walk(node) if inner is not node)
    return found


def sentences(text: str) -> list[tuple[int, str]]:
    """Line and text of each literal sentence (four words or more) that is not exempt."""
    tree, lines = ast.parse(text), text.splitlines()
    exempt, found = exempt_nodes(tree), []
    for node in ast.walk(tree):
        said = "" if node in exempt else shown_text(node)
        if len(WORD.findall(said)) < SENTENCE_WORDS:
            continue
        own_lines = lines[node.lineno - 1 : node.end_lineno]  # type: ignore[attr-defined]
        if not any("# words-ok" in line for line in own_lines):
            found.append((node.lineno, said))  # type: ignore[attr-defined]
    return found


def test_no_engine_holds_a_sentence() -> None:
    """Names, findings and remedies left of `documents` are Msg(key, params); the words live in the catalogs."""
    found = []
    for path in source_files():
        room = path.relative_to(SOURCE).parts[0].removesuffix(".py")
        if FLOOR.get(room, -1) >= FLOOR["documents"]:
            continue
        name = path.relative_to(ROOT).as_posix()
        found += [f"{name}:{line} {said!r}" for line, said in sentences(path.read_text(encoding="utf-8"))]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    "text",
    [
        "x = Check('The main breaker is too small')",
        "x = f'Load of {va} VA is above the rating'",
        "def f():\n    raise ValueError('give a size that is listed')",
    ],
)
def test_a_sentence_is_caught(text: str) -> None:
    assert len(sentences(text)) == 1


@pytest.mark.parametrize(
    "text",
    [
        "'''What this file is for, in words.'''",
        "x = 1\n'''A line of words below an attribute.'''",
        "x = Msg('loads.dwelling.general_lighting.say')",
        "x = 'copper aluminum'.split()",
        "x = Field(description='What the nameplate says, in watts')",
        "x = 'never shown to any user at all'  # words-ok",
    ],
)
def test_what_is_no_sentence(text: str) -> None:
    assert sentences(text) == []
