"""Help teaches: each command has examples and exit codes, each option its help, and the reference says the same."""

from __future__ import annotations

import re
import subprocess
import sys
import time
from pathlib import Path

import click
import pytest

from deadfront.cli.root import COMMANDS, root
from tests.cli.calling import call
from tools.docs import commands, help_text

REFERENCE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "cli.md"
ALL = dict(commands())


@pytest.mark.parametrize("name", ALL)
def test_the_reference_page_shows_what_help_prints(name: str) -> None:
    page = REFERENCE.read_text(encoding="utf-8")
    assert f"## deadfront {name}\n\n```text\n{help_text(name, ALL[name])}\n```\n" in page


@pytest.mark.parametrize("name", ALL)
def test_help_has_examples_that_name_the_command(name: str) -> None:
    text = ALL[name].help or ""
    assert "Examples:" in text and f"deadfront {name}" in text
    assert isinstance(ALL[name], click.Group) or "Exit code: " in text


@pytest.mark.parametrize("name", ALL)
def test_every_option_is_explained(name: str) -> None:
    for option in ALL[name].params:
        if isinstance(option, click.Option):
            assert option.help and option.help.rstrip().endswith((".", "]")), f"{name} {option.opts}"


def test_the_short_lines_of_the_list_begin_as_the_commands_do() -> None:
    """One line stands in the list without importing the command; both begin with the same verb."""
    for name, (_, short) in COMMANDS.items():
        first = (ALL[name].help or "").split()[0].rstrip(",:.")
        assert short.split()[0].rstrip(",:.") == first, name


def test_every_option_of_an_example_is_one_the_command_has() -> None:
    for name, command in ALL.items():
        if isinstance(command, click.Group):
            continue
        known = {each for option in command.params for each in option.opts + option.secondary_opts}
        for line in re.findall(rf"^\s+deadfront {name} (.*)$", command.help or "", re.MULTILINE):
            used = set(re.findall(r"(?<!\S)(-{1,2}[a-z][a-z-]*)", line))
            assert used <= known, f"{name}: {sorted(used - known)}"


def test_help_goes_to_standard_output_and_ends_well() -> None:
    for arguments in (["--help"], ["assess", "-h"], ["codebook", "show", "--help"]):
        done = call(*arguments)
        assert done.code == 0 and done.out.startswith("Usage: deadfront") and not done.err


def test_the_root_names_every_command() -> None:
    text = call("--help").out
    assert all(name in text for name in COMMANDS) and root.name


EMPTY = "import click\n@click.group()\ndef main(): pass\nmain(['--help'])\n"


def best(command: list[str], times: int = 5) -> float:
    """The quickest of several runs [s]."""
    taken = []
    for _ in range(times):
        started = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True, timeout=60)
        taken.append(time.perf_counter() - started)
    return min(taken)


def test_help_takes_little_longer_than_an_empty_program() -> None:
    empty = best([sys.executable, "-c", EMPTY])
    assert best([sys.executable, "-m", "deadfront.cli", "--help"]) <= 2.5 * empty
