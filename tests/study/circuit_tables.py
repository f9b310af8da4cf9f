"""Circuits: every cell of the tables of conductors, raceways, boxes and motors changed, one at a time: who notices?"""

from __future__ import annotations

from tests.circuits.perturb import CELLS, caught

EDITION = "2023"
HEAD = """## Tables of circuits

Every cell of these tables changed, one at a time (edition {edition}): how many a published case notices, how many a law
of nature (the factor of the air, an area from its diameter or the wire gauge), how many either. What neither
notices stands on the support that the coverage page names for it, and is listed.

| table | cells | by a published case | by a law | by either |
|---|---|---|---|---|"""


def run(out: list[str], tables: tuple[str, ...] = tuple(CELLS)) -> None:
    """All cells of the tables, and the names of those that nobody notices."""
    found = caught(EDITION, tables)
    out += HEAD.format(edition=EDITION).splitlines()
    out += [each.line() for each in found]
    total, seen = sum(each.cells for each in found), sum(each.cells - len(each.unseen) for each in found)
    out += ["", f"Together {seen} of {total} cells ({100 * seen // total} %). Not noticed:", ""]
    for each in found:
        if each.unseen:
            names = ", ".join(name.removeprefix(f"{each.table} ") for name in each.unseen)
            out.append(f"- `{each.table}` ({len(each.unseen)}): {names}")
