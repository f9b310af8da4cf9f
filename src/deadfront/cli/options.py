"""Options that several commands share."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

EDITIONS = ("2014", "2017", "2020", "2023", "2026")
F = TypeVar("F", bound=Callable[..., Any])


def home() -> Path:
    """The folder where this platform keeps a program's data."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local") / "deadfront"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "deadfront"
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "deadfront"


def library_path(asked: Path | None) -> Path:
    """The library's file: as asked, else the one of this platform; in a folder it is called library.db."""
    path = asked or home()
    return path / "library.db" if path.is_dir() or asked is None else path


def library_option(command: F) -> F:
    """--library, or DEADFRONT_LIBRARY."""
    return click.option(
        "--library", type=click.Path(path_type=Path), envvar="DEADFRONT_LIBRARY", metavar="PATH",
        help="The library of jobs: a file, or a folder that holds library.db. Else DEADFRONT_LIBRARY, else your "
             "data folder.",
    )(command)  # fmt: skip


def language_option(command: F) -> F:
    """--language; left out: that of the job."""
    return click.option(
        "--language", type=click.Choice(["en", "es"]), envvar="DEADFRONT_LANGUAGE",
        help="Language of the words. Left out: that of the job, else English.",
    )(command)  # fmt: skip


def at_option(command: F) -> F:
    """--at: the step of the work."""
    return click.option(
        "--at", metavar="STEP", help='The house at this step of the work: "before", or the id of a step. Left out: all '
        "work done."
    )(command)  # fmt: skip


def edition_option(command: F) -> F:
    """--edition: another edition than the job's, only to look."""
    return click.option(
        "--edition", type=click.Choice(EDITIONS), help="Try another edition than the job names; the job keeps its own."
    )(command)


def overlay_option(command: F) -> F:
    """--overlay: what a license holder compared with the book."""
    return click.option(
        "--overlay", type=click.Path(path_type=Path, exists=True, dir_okay=False), metavar="FILE",
        help="Values a license holder compared with the printed book (TOML).",
    )(command)  # fmt: skip
