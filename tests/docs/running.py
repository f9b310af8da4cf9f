"""Runs the command blocks of a page in a folder, in order, with the edits to files between them."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from tests import recordings_made

EDIT = re.compile(r"^<!-- edit (?P<file>\S+): (?P<how>end|after|replace) ?(?P<where>.*?) ?-->$")
# The reader's own file, which a page cannot hold: made here, as in <!-- made usage.csv: made_year -->.
MADE = re.compile(r"^<!-- made (?P<file>\S+): (?P<maker>\w+) -->$")
PROGRAM = [sys.executable, "-m", "deadfront.cli"]


@dataclass(frozen=True)
class Ran:
    """A command of a page, with what it printed and what the page says of it."""

    command: str
    printed: str
    code: int
    expected: tuple[str, ...]

    def lacking(self) -> list[str]:
        """Key lines of the page that were not printed."""
        said = " ".join(self.printed.split())
        lines = [line for line in self.expected if line.strip() and not line.startswith("exit code")]
        return [line for line in lines if " ".join(line.split()) not in said]

    def code_wanted(self) -> int:
        """The exit code the page names, else 0."""
        return next((int(line.split()[-1]) for line in self.expected if line.startswith("exit code")), 0)


def run(arguments: list[str], folder: Path, **settings: str) -> subprocess.CompletedProcess[str]:
    """`deadfront ARGUMENTS` in a folder, both streams in one."""
    import os

    env = {**os.environ, "COLUMNS": "100", "PYTHONIOENCODING": "utf-8", "DEADFRONT_LIBRARY": str(folder / "library.db")}
    return subprocess.run([*PROGRAM, *arguments], cwd=folder, env=env | settings, text=True, timeout=60, check=False,
                          encoding="utf-8", stdout=subprocess.PIPE, stderr=subprocess.STDOUT)  # fmt: skip


def change(folder: Path, how: re.Match[str], text: str) -> None:
    """Do what an edit comment says with the block below it."""
    path = folder / how["file"]
    old = path.read_text(encoding="utf-8") if path.exists() else ""
    if how["how"] == "end":
        new = old.rstrip("\n") + "\n\n" + text
    else:
        mark = how["where"] + "\n"
        assert old.count(mark) == 1, f"{how['where']!r} stands {old.count(mark)} times in {path.name}"
        new = old.replace(mark, (mark if how["how"] == "after" else "") + text)
    path.write_text(new, encoding="utf-8")


def commands(block: str) -> list[tuple[str, tuple[str, ...]]]:
    """The commands of a console block with the lines below each."""
    found: list[tuple[str, list[str]]] = []
    for line in block.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        else:
            found[-1][1].append(line)
    return [(command, tuple(lines)) for command, lines in found]


def run_page(page: Path, folder: Path) -> list[Ran]:
    """Every command of a page, run in order."""
    ran: list[Ran] = []
    pending: re.Match[str] | None = None
    lines = iter(page.read_text(encoding="utf-8").splitlines())
    for line in lines:
        if line.startswith("<!-- edit"):
            pending = EDIT.match(line)
            assert pending, line
        elif line.startswith("<!-- made"):
            made = MADE.match(line)
            assert made, line
            (folder / made["file"]).write_text(getattr(recordings_made, made["maker"])(), encoding="utf-8")
        elif line.startswith("```") and len(line) > 3:
            block = "".join(f"{each}\n" for each in iter(lambda: next(lines), "```"))
            if pending is not None:
                change(folder, pending, block)
                pending = None
            elif line == "```console":
                for command, expected in commands(block):
                    words = shlex.split(command)
                    assert words[0] == "deadfront", command
                    done = run(words[1:], folder)
                    ran.append(Ran(command, done.stdout, done.returncode, expected))
    return ran
