"""Shedding against its plan: what opened, in which order, in what time, what stayed alive, what came back."""

from __future__ import annotations

import re
from collections.abc import Iterator

from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.reading import Asked
from deadfront.commissioning.rules.test_kind import (
    Readings,
    TestKind,
    Verdict,
    fails,
    meets,
    read_step,
    seconds,
    unclear,
    yes,
)
from deadfront.job.source_things import Signal
from deadfront.worksheet.check import Severity

TEST = TestKind(
    "shed",
    120,
    (
        Asked("opened", kind="text"),
        seconds("shed_s"),
        seconds("allowed_s"),
        yes("control_alive"),
        yes("never_shed_alive"),
        Asked("restored", kind="text"),
        yes("tripped_left"),
    ),
    cautions=("not_for_life_safety", "restore"),
    before=("transfer",),
)

_BETWEEN = re.compile(r"[,;]|\s+(?:and|y|e)\s+")


def due(facts: Facts) -> Iterator[str]:
    """At every signal that sheds."""
    yield from (each.id for each in facts.at.house.signals if each.purpose == "shed load")


def judge(facts: Facts, thing: str, readings: Readings) -> Verdict:
    """In the order of the plan; the control gear and what is never shed stay alive; only what it opened comes back."""
    signal = facts.things.get(thing)
    if not isinstance(signal, Signal) or not signal.loads:
        return unclear("no_plan")
    if not readings["never_shed_alive"].yes:
        return fails("shed_too_much", Severity.DANGER)
    if not readings["control_alive"].yes:
        return fails("control_dead")
    opened, restored = (_ids(facts, readings[key].choice) for key in ("opened", "restored"))
    if opened is None or restored is None:
        return unclear("names")
    if not opened:
        return fails("none_opened")
    planned = list(signal.loads)[: len(opened)]
    steps = (read_step(TEST.key, readings["shed_s"]),)
    if opened != planned:
        return fails("order", steps=steps, found=readings["opened"].choice)
    if not set(restored) <= set(opened):
        return fails("restored_more", Severity.DANGER, steps=steps, found=readings["restored"].choice)
    if readings["shed_s"].mean > readings["allowed_s"].mean:
        return fails("slow", steps=steps, found=readings["shed_s"].mean, most=readings["allowed_s"].mean)
    if set(restored) != set(opened):
        return fails("not_restored", steps=steps, found=readings["restored"].choice)
    if not readings["tripped_left"].yes:
        return fails("tripped_restored", Severity.DANGER, steps=steps)
    return meets(steps=steps, count=len(opened), found=readings["shed_s"].mean)


def _ids(facts: Facts, typed: str) -> list[str] | None:
    """Circuits as typed, by name or id, apart by commas; None where one is not known, or two are called so."""
    names: dict[str, list[str]] = {}
    for each in facts.at.house.circuits:
        names.setdefault((each.name or "").casefold(), []).append(each.id)
    known = {each.id for each in facts.at.house.circuits}
    found: list[str] = []
    whole = names.get(typed.strip().casefold())
    for part in [typed.strip()] if whole else [each.strip() for each in _BETWEEN.split(typed)]:
        if not part or part.casefold() in ("none", "0"):
            continue
        called = [part] if part in known else names.get(part.casefold(), [])
        if len(called) != 1:  # none of that name, or several
            return None
        found.append(called[0])
    return found
