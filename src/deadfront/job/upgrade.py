"""Older formats of the job file brought up to today's; a newer one is refused, nothing of it lost.

Format 0, before the service disconnect had a table of its own:
- [job] held `edition`; now `code.edition`.
- [before.service] held `rating_a` and `sccr_ka`; now `disconnect.rating_a` and `disconnect.sccr_ka`.
- A load held `watts`; now `nameplate_w`.
"""

from __future__ import annotations

from collections.abc import Iterator, MutableMapping
from typing import Any

from deadfront.errors import JobUnreadable
from deadfront.job.model import FORMAT
from deadfront.job.problems import shown
from deadfront.msg import Msg

Table = MutableMapping[str, Any]

_FROM_0: dict[tuple[str, ...], dict[str, tuple[str, ...]]] = {
    ("job",): {"edition": ("code", "edition")},
    ("before", "service"): {"rating_a": ("disconnect", "rating_a"), "sccr_ka": ("disconnect", "sccr_ka")},
    ("before", "loads"): {"watts": ("nameplate_w",)},
    ("work", "add", "loads"): {"watts": ("nameplate_w",)},
}
"""Format 0: by table, a field's old name and where it stands now."""


def format_of(raw: Table, file: str = "job.toml") -> int:
    """The format that a job says it is in; today's if it says nothing.

    Raises:
        JobUnreadable: newer than this program knows, or no number.
    """
    head = raw.get("job")
    found = head.get("format", FORMAT) if isinstance(head, MutableMapping) else FORMAT
    if isinstance(found, bool) or not isinstance(found, int) or found < 0:
        raise JobUnreadable("job.read.bad_format", file=file, found=shown(found), allowed=FORMAT)
    if found > FORMAT:
        raise JobUnreadable("job.read.newer_format", file=file, found=shown(found), allowed=FORMAT)
    return int(found)


def moves(name: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """For the block with this name: fields as format 0 had them, from the block down, and where they go."""
    for table, fields in _FROM_0.items():
        if table[: len(name)] == name:
            inner = table[len(name) :]
            for old, new in fields.items():
                yield (*inner, old), (*inner, *new)


def upgraded_table(table: Table, name: tuple[str, ...], said: list[Msg]) -> bool:
    """Bring one table, and all within it, up to format 1 in place; says whether anything changed."""
    changed = False
    for old, new in moves(name):
        for owner, place in _owners(table, old[:-1]):
            if old[-1] not in owner:
                continue
            target: Any = owner
            for part in new[len(old) - 1 : -1]:
                if not isinstance(target.get(part), MutableMapping):
                    if part in target:
                        break
                    target[part] = {}
                target = target[part]
            else:
                if new[-1] not in target:
                    value = owner[old[-1]]
                    del owner[old[-1]]
                    target[new[-1]] = value
                    where = ".".join((*name, *place))
                    said.append(Msg("job.read.upgraded", {"table": where, "old": old[-1], "new": ".".join(
                        new[len(old) - 1 :])}))  # fmt: skip
                    changed = True
    return changed


def _owners(table: Any, path: tuple[str, ...]) -> Iterator[tuple[Table, tuple[str, ...]]]:
    """The tables at a path, every element of the lists on the way."""
    if isinstance(table, list):
        for each in table:
            yield from _owners(each, path)
    elif isinstance(table, MutableMapping):
        if not path:
            yield table, ()
        elif path[0] in table:
            for owner, place in _owners(table[path[0]], path[1:]):
                yield owner, (path[0], *place)


def upgrade(raw: dict[str, Any], file: str = "job.toml") -> tuple[dict[str, Any], tuple[Msg, ...]]:
    """The data of a job file in today's format, and what was changed for it.

    Raises:
        JobUnreadable: a newer format: a newer deadfront is needed.
    """
    said: list[Msg] = []
    if format_of(raw, file) == 0:
        upgraded_table(raw, (), said)
        raw["job"]["format"] = FORMAT
    return raw, tuple(said)
