"""What the sheets of the circuits stage share: picking checks, cells, citations."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from deadfront.documents.conductor_text import sized_text
from deadfront.job.house import HouseAt, things
from deadfront.job.load_things import Load
from deadfront.job.panel_things import Breaker, Panel
from deadfront.job.service_things import Electrode, Structure
from deadfront.msg import Msg, said
from deadfront.results.circuits import Sized
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.sheet import Block, Cell, Figure, Sheet, SheetHead, Verdict, Working
from deadfront.worksheet.step import Step

UNKNOWN = said("number.unknown")
DASH = said("sheet.circuits.dash")
Origins = Mapping[str, Msg]
BAD = (Severity.DANGER, Severity.CORRECT, Severity.NOTE)
SAID = (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS, Outcome.NOT_APPLICABLE)


def of_kind(checks: Iterable[Check], *heads: str) -> tuple[Check, ...]:
    """Checks whose id begins with one of these words, "circuit", "fault"; what endangers first."""
    found = (check for check in checks if check.id.partition(".")[0] in heads)
    return tuple(sorted(found, key=lambda c: (not c.is_finding, BAD.index(c.severity), SAID.index(c.outcome))))


def figure(step: Step | None, digits: int = 0) -> Cell:
    """A figure, or a dash: not known yet."""
    if step is None or (step.value.high is None and step.value.low == 0):
        return DASH
    return Figure(step.value, step.unit, digits)


def worst(checks: Sequence[Check]) -> Verdict:
    """How a thing stands by all its checks: the worst counts, and notes count for nothing."""
    told = [c.outcome for c in checks if c.severity is not Severity.NOTE]
    for outcome in (Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS):
        if outcome in told:
            return Verdict(outcome)
    return Verdict(Outcome.NOT_APPLICABLE, said("sheet.circuits.as_found"))


def sizes(found: Sequence[Sized]) -> Cell:
    """Conductors that a rule asks for, one for each metal."""
    return ", ".join(sized_text(each) for each in found) if found else DASH


def tag_cell(at: HouseAt, ident: str) -> str:
    """E, N, R or RL of a thing; nothing for the service."""
    return at.tag(ident) if ident in at.tags else ""


def touched(reach: Reach) -> bool:
    """True where the work makes, extends or replaces it."""
    return reach in (Reach.NEW, Reach.EXTENDED, Reach.REPLACED)


def cites_of(blocks: Iterable[Block], checks: Iterable[Check]) -> tuple[Cite, ...]:
    """Every citation printed on a sheet: of each line worked, of each finding."""
    steps = [block.step for block in blocks if isinstance(block, Working)]
    found = [cite for step in steps for cite in step.all_cites()]
    return tuple(dict.fromkeys(found + [cite for check in checks for cite in check.cites]))


def sheet_of(key: str, head: SheetHead, blocks: Sequence[Block], checks: Iterable[Check]) -> Sheet:
    """A Sheet of this stage with its citations."""
    return Sheet(key, said(f"sheet.{key}.title"), head, tuple(blocks), cites_of(blocks, checks))


def place_name(at: HouseAt, ident: str) -> Msg:
    """What a thing, the service or the house is called on a sheet."""
    if ident in ("service", "house", ""):
        return said("thing.service" if ident == "service" else "thing.house")
    thing = next((thing for _, thing in things(at.house) if thing.id == ident), None)
    if thing is None or thing.name:
        return said("thing.named", name=thing.name) if thing else said("thing.by_id", id=ident)
    if isinstance(thing, Load):
        return said(f"kind.{thing.kind}", id=ident)
    if isinstance(thing, Electrode):
        alike = [each.id for each in at.house.electrodes if each.kind == thing.kind]
        kind = said(f"grounding.kind.{thing.kind.replace(' ', '_').replace('-', '_')}")
        return said("grounding.numbered", kind=kind, number=alike.index(ident) + 1)
    if isinstance(thing, Structure) and len(at.house.structures) == 1:
        return said("thing.structure")
    if isinstance(thing, Panel) and len(at.house.panels) == 1:
        return said("thing.panel")
    if isinstance(thing, Breaker) and thing.spaces:
        spaces = tuple(f"{space}{thing.half or ''}" for space in thing.spaces)
        if thing.rating_a is None:
            return said("thing.breaker_in", spaces=spaces)
        return said("thing.breaker", rating=thing.rating_a, spaces=spaces)
    return said("thing.by_id", id=ident)
