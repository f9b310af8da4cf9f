"""Reading a job file: what is understood becomes the Job; what is not is named and kept word for word."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from deadfront.codebook.kinds import load_kinds
from deadfront.job.build import Builder
from deadfront.job.limits import check_text, decoded
from deadfront.job.model import Job
from deadfront.job.problems import KeptBlock, Problem
from deadfront.job.tree import tree_of
from deadfront.job.upgrade import upgrade
from deadfront.msg import Msg


@dataclass(frozen=True, slots=True)
class ReadJob:
    """A job file as read.

    Args:
        job: What could be understood; a collection that lost a block is `complete` = unknown.
        text: The file's text, unchanged.
        problems: What could not be taken as written, in the order of the file.
        kept: The blocks set aside, word for word.
        upgraded: What was brought up from an older format.
    """

    job: Job
    text: str
    problems: tuple[Problem, ...]
    kept: tuple[KeptBlock, ...]
    upgraded: tuple[Msg, ...] = ()


def read_job(text: str | bytes, *, file: str = "job.toml", kinds: Mapping[str, object] | None = None) -> ReadJob:
    """A job from the text of a job file.

    Args:
        text: The file.
        file: Its name, for messages.
        kinds: Allowed kinds of loads; left out: all that the code book knows.
    Raises:
        JobUnreadable: no readable [job] table, a newer format, or beyond the limits of size.
    Example:
        >>> read_job('[job]\\nname = "A"\\ncode.edition = "2023"\\n').job.job.name
        'A'
    """
    text = decoded(text, file)
    check_text(text, file)
    tree = tree_of(text)
    raw, upgraded = upgrade(tree.data, file)
    builder = Builder(tree, file, load_kinds() if kinds is None else kinds)
    job = builder.job(raw)
    problems = sorted(builder.problems, key=lambda each: each.line or 0)
    return ReadJob(job, text, tuple(problems), tuple(builder.kept), upgraded)
