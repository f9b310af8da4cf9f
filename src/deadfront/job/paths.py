"""Where a fact stands in a job, as one short text: "before/l-2xf.nameplate_w".

The grammar:
    job.FIELD                    job.name, job.code.edition
    choices.FIELD                choices.rely_on, choices.readings.SUBJECT
    before/complete.COLLECTION   before/complete.loads
    before/service.FIELD         before/service.disconnect.rating_a
    before/ID.FIELD              before/l-2xf.nameplate_w; a thing as found
    STEP/ID.FIELD                w-4c1/l-5rt.nameplate_a; a thing that the step adds, moves or sets
    STEP/service.FIELD           w-4c1/service.disconnect.rating_a
    STEP.FIELD                   w-4c1.say
Without .FIELD a path means the whole thing; `assumptions`, `amendments`, `work` alone mean the whole list.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from deadfront.errors import EditRefused

_ID = r"[a-z]{1,3}-[0-9a-z]{2,16}"
_FIELD = r"[A-Za-z0-9_-]{1,40}"
_PATH = re.compile(
    rf"(?P<scope>job|choices|assumptions|amendments|work|before|{_ID})"
    rf"(?:/(?P<thing>service|complete|{_ID}))?"
    rf"(?P<fields>(?:\.{_FIELD}){{0,8}})\Z"
)
_FORMS = (
    "job.FIELD",
    "choices.FIELD",
    "before/ID.FIELD",
    "before/service.FIELD",
    "before/complete.LIST",
    "STEP/ID.FIELD",
)
GRAMMAR = ", ".join(_FORMS)
THINGS = "before/ID, STEP/ID"  # words-ok


@dataclass(frozen=True, slots=True)
class Path:
    """A parsed path.

    Args:
        scope: job, choices, assumptions, amendments, work, before, or the id of a work step.
        thing: An id, service or complete; None for the scope itself.
        fields: The field and the fields within it; empty for the whole thing.
    """

    scope: str
    thing: str | None = None
    fields: tuple[str, ...] = ()

    def __str__(self) -> str:
        start = self.scope if self.thing is None else f"{self.scope}/{self.thing}"
        return ".".join((start, *self.fields))

    @property
    def step(self) -> str | None:
        """The work step it is in, None elsewhere."""
        return self.scope if "-" in self.scope else None

    def covers(self, other: Path) -> bool:
        """Whether the other path means this fact or a part of it."""
        if self.scope != other.scope:
            return False
        if self.thing != other.thing:
            return self.thing is None and not self.fields
        return other.fields[: len(self.fields)] == self.fields


def parse_path(text: str) -> Path:
    """The Path that a text says.

    Raises:
        EditRefused: the text is no path.
    Example:
        >>> parse_path("before/l-2xf.nameplate_w").fields
        ('nameplate_w',)
    """
    found = _PATH.match(text) if len(text) <= 400 else None
    fits = found is not None
    if found:
        houses = found["scope"] == "before" or "-" in found["scope"]
        fits = houses or found["thing"] is None
        fits = fits and (found["thing"] != "complete" or found["scope"] == "before")
    if not found or not fits:
        raise EditRefused("job.edit.no_path", path=text[:80], found=text[:80], allowed=GRAMMAR)
    fields = tuple(found["fields"].split(".")[1:])
    return Path(found["scope"], found["thing"], fields)
