"""A disconnect for every source, where it must stand, and that it can be locked, by kind of source and edition."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.job.panel_things import Breaker
from deadfront.job.source_things import Source, Switch
from deadfront.msg import said
from deadfront.sources.rules.facts import SourceFacts
from deadfront.sources.rules.tell import tell
from deadfront.worksheet.check import Check, Outcome
from deadfront.worksheet.missing import Missing

ID = "source.disconnect"
IDS = (ID,)
RULES = {"solar": "array_disconnect", "battery": "battery_disconnect", "generator": "generator_disconnect"}
Found = tuple[Outcome, str, tuple[Missing, ...]]


def checks(facts: SourceFacts) -> Iterator[Check]:
    """Every source that is wired in place."""
    for source in facts.at.house.sources:
        if source.kind != "inlet" and not source.portable:
            yield from _check(facts, source)


def _check(facts: SourceFacts, source: Source) -> Iterator[Check]:
    rule = RULES.get(source.kind, "source_disconnect")
    name, reach = facts.name_of(source), facts.reach_of(source, *devices(facts, source))
    if not facts.book.has(rule):
        what = said("todo.sources.disconnect_rule", thing=name, edition=facts.book.edition)
        lacks = Missing(facts.at.path(source, "disconnects"), what, said("todo.how.sources.disconnect_rule"))
        yield from tell(ID, source.id, Outcome.CANNOT_TELL, reach, "not_encoded", name, missing=(lacks,),
                        cites=(facts.cite("source_disconnect"),), edition=facts.book.edition)  # fmt: skip
        return
    outcome, how, missing = _judge(facts, source, rule)
    most = facts.number("battery_disconnect_ft") if facts.book.has("battery_disconnect_ft") else None
    yield from tell(ID, source.id, outcome, reach, how, name, cites=(facts.cite(rule),), missing=missing, hazard=False,
                    most=most)  # fmt: skip


def devices(facts: SourceFacts, source: Source) -> tuple[Breaker | Switch, ...]:
    """The disconnects of a source, from it outward; its breaker where none is named."""
    named = [facts.switches.get(each) or facts.breakers.get(each) for each in source.disconnects]
    found = tuple(each for each in named if each is not None)
    breaker = facts.breakers.get(source.breaker or "")
    return found or ((breaker,) if breaker is not None else ())


def _judge(facts: SourceFacts, source: Source, rule: str) -> Found:
    found = devices(facts, source)
    if not found:
        return Outcome.CANNOT_TELL, "cannot_tell", (facts.lack(source, "disconnects"),)
    if source.kind == "generator":
        return _lockable(facts, found)
    if source.kind == "battery" and facts.book.rule(rule).params["places"]:
        return _near_or_locked(facts, found)
    return _reached(facts, found)


def _reached(facts: SourceFacts, found: tuple[Breaker | Switch, ...]) -> Found:
    """One that can be reached readily; a breaker stands in a panel, which the rules on panels judge."""
    if any(isinstance(each, Breaker) or each.readily_accessible for each in found):
        return Outcome.MEETS, "meets", ()
    lacking = tuple(m for each in found for m in facts.missing(each, "readily_accessible"))
    return (Outcome.CANNOT_TELL, "cannot_tell", lacking) if lacking else (Outcome.FAILS, "not_reached", ())


def _lockable(facts: SourceFacts, found: tuple[Breaker | Switch, ...]) -> Found:
    if any(each.lockable for each in found):
        return Outcome.MEETS, "meets", ()
    lacking = tuple(m for each in found for m in facts.missing(each, "lockable"))
    return (Outcome.CANNOT_TELL, "cannot_tell", lacking) if lacking else (Outcome.FAILS, "not_lockable", ())


def _near_or_locked(facts: SourceFacts, found: tuple[Breaker | Switch, ...]) -> Found:
    """In sight and near, or one that can be locked open."""
    most = facts.number("battery_disconnect_ft")
    distances = [each.within_sight_ft for each in found if isinstance(each, Switch)]
    if any(each.lockable for each in found) or any(each is not None and each <= most for each in distances):
        return Outcome.MEETS, "meets", ()
    lacking = tuple(m for each in found for m in facts.missing(
        each, *(("lockable", "within_sight_ft") if isinstance(each, Switch) else ("lockable",))))  # fmt: skip
    return (Outcome.CANNOT_TELL, "cannot_tell", lacking) if lacking else (Outcome.FAILS, "far", ())
