"""The path of each source toward the service, in one line of words."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.documents.circuit_sheets.common import place_name
from deadfront.job.house import HouseAt
from deadfront.job.source_things import Source, Transfer
from deadfront.msg import Msg, said


def path_of(at: HouseAt, source: Source) -> Msg:
    """Its disconnects from the source outward, then what it ends on; a question where that is not recorded."""
    parts = [place_name(at, each) for each in source.disconnects if each != source.breaker]
    parts += _end(at, source)
    told = parts[-1]
    for part in reversed(parts[:-1]):
        told = said("sheet.sources.path.then", first=part, rest=told)
    return told


def _end(at: HouseAt, source: Source) -> Iterator[Msg]:
    """Where it ends: transfer equipment, supply side, a feeder, a breaker, or nowhere that is known."""
    breaker = next((each for each in at.house.breakers if each.id == source.breaker), None)
    transfer = _transfer_of(at, source)
    known = False
    if transfer is not None and transfer.kind != "interlock":
        known = True
        yield said("sheet.sources.path.alternate", transfer=place_name(at, transfer.id))
    if source.joins == "supply side":
        known = True
        yield said("sheet.sources.path.supply_side")
    elif source.joins == "feeder" and source.feeder_of:
        known = True
        yield said("sheet.sources.path.feeder", panel=place_name(at, source.feeder_of))
    elif breaker is not None:
        known = True
        panel = breaker.panel or (at.house.panels[0].id if len(at.house.panels) == 1 else "")
        key = "breaker_in" if panel else "breaker"
        yield said(f"sheet.sources.path.{key}", breaker=place_name(at, breaker.id), panel=place_name(at, panel))
        if transfer is not None:
            yield said("sheet.sources.path.interlock", transfer=place_name(at, transfer.id))
    if not known:
        yield said("sheet.sources.path.unknown")


def _transfer_of(at: HouseAt, source: Source) -> Transfer | None:
    """Transfer equipment that names the source, one of its disconnects or its breaker."""
    mine = {source.id, *source.disconnects, *((source.breaker,) if source.breaker else ())}
    return next((t for t in at.house.transfers if mine & {*t.alternate, *t.held_apart}), None)
