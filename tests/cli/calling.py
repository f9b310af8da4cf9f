"""Calls the command line inside this process, as `deadfront ARGUMENTS` would run."""

from __future__ import annotations

import contextlib
import io
from dataclasses import dataclass

from deadfront.cli.root import run


@dataclass(frozen=True)
class Called:
    """What a call printed, and its exit code."""

    code: int
    out: str
    err: str


def call(*arguments: object) -> Called:
    """Run one command."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run([str(each) for each in arguments])
    return Called(int(code), out.getvalue(), err.getvalue())
