"""Fill of boxes: conductors, clamps, supports, devices and grounds against the volume of the box."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from deadfront.circuits.rules.facts import Facts
from deadfront.codebook.book import Codebook
from deadfront.codebook.wiring import box_volume, conductor_volume
from deadfront.errors import OutOfTable
from deadfront.job.panel_things import Box, WireCount
from deadfront.msg import said
from deadfront.quantities import point, size_rank
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Reach, Severity, at_most
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

IDS = ("circuit.box_fill",)
IDENT = "circuit.box_fill"
TOUCHED = (Reach.NEW, Reach.EXTENDED, Reach.REPLACED)


class Contents(NamedTuple):
    """What is in a box, as Box has it."""

    wires: tuple[WireCount, ...] = ()
    grounds: tuple[WireCount, ...] = ()
    clamps: int = 0
    supports: int = 0
    yokes: tuple[WireCount, ...] = ()
    wide_yokes: tuple[WireCount, ...] = ()


def checks(facts: Facts) -> Iterator[Check]:
    """One check for each box that the work touches, itself or by its circuit."""
    circuits = {each.id: each for each in facts.at.house.circuits}
    for box in facts.at.house.boxes:
        reach = facts.reach_of(box, circuits.get(box.circuit or ""))
        if reach in TOUCHED:
            yield box_check(facts, box, reach)


def box_check(facts: Facts, box: Box, reach: Reach) -> Check:
    """One box against what is in it."""
    missing = facts.missing(box, "clamps", "wires")
    if box.volume_in3 is None and box.standard is None:
        missing += facts.missing(box, "volume_in3")
    inside = Contents(box.wires, box.grounds, box.clamps or 0, box.supports or 0, box.yokes, box.wide_yokes)
    try:
        taken = volume_taken(facts.book, box.id, inside)
        volume = box.volume_in3
        if volume is None and box.standard is not None:
            volume = box_volume(facts.book, box.standard).value
    except OutOfTable as error:
        what = said("todo.circuits.volume_in3", thing=facts.name_of(box, "thing.by_id"))
        lacks = (Missing(facts.at.path(box, "volume_in3"), what, said("todo.how.circuits.volume_in3")),)
        return _said(facts, box, reach, Outcome.CANNOT_TELL, None, lacks, which="out_of_table", why=error.msg)
    over = volume is not None and at_most(taken.value, point(volume)) is Outcome.FAILS
    outcome = Outcome.FAILS if over else Outcome.CANNOT_TELL if missing else Outcome.MEETS
    return _said(facts, box, reach, outcome, taken, () if over else missing, taken=taken.value, volume=volume)


def _said(
    facts: Facts, box: Box, reach: Reach, outcome: Outcome, step: Step | None, missing: tuple[Missing, ...],
    *, which: str = "", **params: object,
) -> Check:  # fmt: skip
    words = {Outcome.MEETS: "meets", Outcome.FAILS: "fails", Outcome.CANNOT_TELL: "cannot_tell"}[outcome]
    say = said(f"check.circuit.box_fill.{which or words}", name=facts.name_of(box, "thing.by_id"), **params)
    cites = (facts.cite("box_fill_limit"),) if step is None else step.all_cites()
    remedy = said(f"remedy.{IDENT}") if outcome is Outcome.FAILS else None
    return Check(IDENT, box.id, outcome, Severity.CORRECT, say, reach, step, missing, cites, remedy)


@lru_cache(maxsize=1024)
def volume_taken(book: Codebook, ident: str, inside: Contents) -> Step:
    """Volume that the contents of a box need [in3].

    Raises:
        OutOfTable: a conductor that is not in the volume table.
    """
    parts = [_wires(book, f"box/{ident}/wires/{n}", each) for n, each in enumerate(inside.wires)]
    parts += [_yoke(book, f"box/{ident}/yokes/{n}", each, 1) for n, each in enumerate(inside.yokes)]
    parts += [_yoke(book, f"box/{ident}/wide/{n}", each, 2) for n, each in enumerate(inside.wide_yokes)]
    largest = _largest((*inside.wires, *inside.grounds, *inside.yokes, *inside.wide_yokes))
    if inside.clamps and largest:
        parts.append(_allowance(book, f"box/{ident}/clamps", "box_clamp_allowance", 1, largest))
    if inside.supports and largest:
        parts.append(_allowance(book, f"box/{ident}/supports", "box_support_allowance", inside.supports, largest))
    parts += _grounds(book, f"box/{ident}/grounds", inside.grounds)
    return build.total(f"box/{ident}/taken", "box.taken", parts, unit="in3", cite=book.rule("box_fill_limit").cite)


def _largest(wires: tuple[WireCount, ...]) -> str | None:
    return max((each.size for each in wires), key=size_rank, default=None)


def _volume(book: Codebook, ident: str, size: str) -> Step:
    found = conductor_volume(book, size)
    return build.lookup(f"{ident}/volume", said("box.each", size=size), found.value, "in3", found.cite,
                        table="box_conductor_volume", row=found.row, inline=True)  # fmt: skip


def _wires(book: Codebook, ident: str, wire: WireCount) -> Step:
    number = build.counted(f"{ident}/number", "count.of_these", wire.count)
    return build.product(ident, said("box.wires", size=wire.size), (number, _volume(book, ident, wire.size)),
                         unit="in3")  # fmt: skip


def _yoke(book: Codebook, ident: str, device: WireCount, gangs: int) -> Step:
    """A device counts two of the largest conductor on it, for each gang it is wide."""
    return _allowance(book, ident, "box_yoke_allowance", device.count * gangs, device.size)


def _allowance(book: Codebook, ident: str, name: str, count: int, size: str) -> Step:
    value = book.value(name)
    each = build.given(f"{ident}/allowance", said(f"value.{name}"), value.number, "", value.cite)
    number = build.counted(f"{ident}/number", "count.of_these", count)
    return build.product(ident, said(f"value.{name}"), (number, each, _volume(book, ident, size)), unit="in3")


def _grounds(book: Codebook, ident: str, grounds: tuple[WireCount, ...]) -> list[Step]:
    """All grounds count once by the largest; from 2020 on each above four adds a quarter."""
    size = _largest(grounds)
    if size is None:
        return []
    parts = [_allowance(book, ident, "box_ground_allowance", 1, size)]
    if book.has("box_grounds_counted_once"):
        more = sum(each.count for each in grounds) - int(book.value("box_grounds_counted_once").number)
        if more > 0:
            parts.append(_allowance(book, f"{ident}/more", "box_ground_more_allowance", more, size))
    return parts
