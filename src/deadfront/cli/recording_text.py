"""What `deadfront record` says and asks of a recording file, and how its options are read."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

from deadfront.cli.stream import warn
from deadfront.documents.catalog import Catalog
from deadfront.errors import JobUnreadable
from deadfront.store.trouble import guarded

if TYPE_CHECKING:
    from deadfront.app.recordings import Understood
    from deadfront.recordings.mapping import Mapping


def said_peak(reduction: Any, catalog: Catalog) -> str:
    """The largest quarter hour on the clock in words; none where no quarter hour is whole."""
    from deadfront.loads.rules.measured_figures import demand_interval

    if reduction.demand is None:
        return catalog.key("measured.none_left")
    return catalog.quantity(demand_interval(reduction.demand.block), reduction.unit)


def yes(word: str | None) -> bool | None:
    return None if word is None else word == "yes"


def decimal(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(repr(value))


def mapping_of(found: Understood, path: Path | None, zone: str) -> Mapping | None:
    """What the columns mean: as the file of a mapping says, else as understood."""
    from deadfront.recordings.mapping import mapping_from_json

    if path is None:
        return None if found.guess is None else found.guess.mapping
    with guarded(path):
        written = path.read_bytes()
    try:
        data = json.loads(written)
    except ValueError as error:
        raise JobUnreadable("app.recording.mapping", file=path.name, found=str(error)) from error
    if not isinstance(data, dict):
        raise JobUnreadable("app.recording.mapping", file=path.name, found=str(data)[:40])
    mapping = mapping_from_json(data)
    return replace(mapping, zone=zone) if zone else mapping


def told(found: Understood, file: Path, catalog: Catalog, *, asked: bool) -> int:
    """Say on standard error what was understood and what is asked; how many questions must be answered."""
    warn(catalog.key("app.recording.understood", file=file.name, form=found.form))
    if found.guess is None:
        return 0
    for each in found.guess.understood:
        warn("  " + catalog.say(each))
    doubts = found.guess.doubts if asked else ()
    for doubt in doubts:
        warn("? " + catalog.say(doubt.say) + (f" ({', '.join(doubt.options)})" if doubt.options else ""))
    return sum(doubt.must for doubt in doubts)


def progress_of(size: int, catalog: Catalog) -> Callable[[int], None] | None:
    """Tells the share read, in steps of ten, for a file that takes a while."""
    if size < 20_000_000:
        return None
    told = [0]

    def tell(count: int) -> None:
        percent = int(count * 10 / size) * 10
        if percent > told[0]:
            told[0] = percent
            warn(catalog.key("app.recording.reading", percent=percent))

    return tell
