"""How a command ends: the exit codes, and trouble in words instead of a traceback."""

from __future__ import annotations

import os
import sys
import tempfile
import traceback
from collections.abc import Sequence
from enum import IntEnum
from pathlib import Path

from deadfront.cli.stream import warn


class Ending(IntEnum):
    """Exit codes; docs/reference/exit-codes.md is made from this."""

    OK = 0
    TO_CORRECT = 1
    WRONG_USE = 2
    CANNOT_TELL = 3
    UNREADABLE = 4
    REFUSED = 5
    FAULT = 70
    STOPPED = 130


MEANINGS: dict[Ending, str] = {
    Ending.OK: "Done. For `assess` and `check`: the relied method meets the service and nothing is to be corrected.",
    Ending.TO_CORRECT: "Something is to be corrected: the relied method does not meet, or a finding is not met.",
    Ending.WRONG_USE: "Wrong use: an unknown command, option or value. Nothing was done.",
    Ending.CANNOT_TELL: "Cannot tell yet: facts are missing. Never read this as a pass.",
    Ending.UNREADABLE: "A file, job or library could not be found or read.",
    Ending.REFUSED: "Refused: the edition does not hold the rule, or the change is not allowed. Nothing was done.",
    Ending.FAULT: "A fault of this program. A report was written; the message says where.",
    Ending.STOPPED: "Stopped by Ctrl-C.",
}


def ending_of(error: Exception) -> Ending:
    """The exit code for an error that carries a message."""
    from deadfront.errors import EditRefused as Refused
    from deadfront.errors import JobUnreadable, NotFound, UnsafeFile

    if isinstance(error, Refused):
        return Ending.REFUSED
    of_a_file = type(error).__name__.startswith(("Library", "Recording", "Mapping"))
    if isinstance(error, JobUnreadable | NotFound | UnsafeFile) or of_a_file:
        return Ending.UNREADABLE
    return Ending.REFUSED


def language_asked(arguments: Sequence[str]) -> str:
    """The language for words of trouble: as asked on the command line, else by the environment, else English."""
    asked = os.environ.get("DEADFRONT_LANGUAGE", "en")
    for here, after in zip(arguments, [*arguments[1:], ""], strict=True):
        if here == "--language":
            asked = after
        elif here.startswith("--language="):
            asked = here.partition("=")[2]
    return asked if asked in ("en", "es") else "en"


def trouble(error: Exception, arguments: Sequence[str]) -> Ending:
    """Say an error in words on standard error; its exit code."""
    from deadfront.documents.catalog import Catalog
    from deadfront.errors import DeadfrontError

    catalog = Catalog(language_asked(arguments))
    if "--debug" in arguments:
        traceback.print_exception(error)
    if isinstance(error, DeadfrontError):
        warn(catalog.say(error.msg))
        return ending_of(error)
    warn(catalog.key("cli.fault", report=str(written_report(error, arguments))))
    return Ending.FAULT


def written_report(error: Exception, arguments: Sequence[str]) -> Path | str:
    """Write what happened to a file of its own; its path, or the reason in brackets where none can be written."""
    lines = traceback.format_exception(error)
    text = "".join([f"deadfront {' '.join(arguments)}\nPython {sys.version}\n\n", *lines])
    try:
        with tempfile.NamedTemporaryFile("w", encoding="utf-8", prefix="deadfront-report-", suffix=".txt",
                                         delete=False) as file:  # fmt: skip
            file.write(text)
        return Path(file.name)
    except OSError as problem:
        return f"({problem.strerror})"
