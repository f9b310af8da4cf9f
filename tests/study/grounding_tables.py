"""Grounding: every cell of its tables changed by one size up and down, one at a time: who notices?"""

from __future__ import annotations

from tests.circuits.service.perturb import caught

EDITION = "2023"
HEAD = """## Tables of grounding

Every cell of these tables changed by one size up and one down, each alone (edition {edition}): how many changes a
printed value notices, how many a law (aluminum beside copper carries alike, limits too; both tables share their rows),
how many either. The reference took the rows of one table from the other: the last line changes a cell in both at once.

| table | changes | by a printed value | by a law | by either |
|---|---|---|---|---|"""


def run(out: list[str]) -> None:
    """All cells of the tables, and the names of those that nobody notices."""
    found = caught(EDITION)
    out += HEAD.format(edition=EDITION).splitlines()
    out += [each.line() for each in found]
    names = "; ".join(f"{each.table}: {', '.join(each.unseen)}" for each in found if each.unseen)
    out += ["", f"Not noticed: {names or 'none'}. What the reference says of them stands on the coverage page."]
