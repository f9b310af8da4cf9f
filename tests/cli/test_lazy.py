"""The command line answers `--help` at once: nothing heavy is imported before a subcommand needs it."""

from __future__ import annotations

import re
import subprocess
import sys

HEAVY = {
    "pydantic",
    "pydantic_core",
    "numpy",
    "scipy",
    "sqlalchemy",
    "alembic",
    "typst",
    "starlette",
    "uvicorn",
    "jinja2",
}


def imported(*arguments: str) -> tuple[set[str], str]:
    """The top-level modules that `python -m deadfront.cli ARGUMENTS` imports, and what it prints."""
    command = [sys.executable, "-X", "importtime", "-m", "deadfront.cli", *arguments]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr[-2000:]
    names = re.findall(r"^import time:\s+\d+ \|\s+\d+ \|\s*([\w.]+)$", done.stderr, re.MULTILINE)
    return {name.split(".")[0] for name in names}, done.stdout


def test_help_imports_nothing_heavy() -> None:
    modules, said = imported("--help")
    assert "demo" in said
    assert {"deadfront", "click"} <= modules, "the reading of -X importtime has gone wrong"
    assert modules & HEAVY == set()
