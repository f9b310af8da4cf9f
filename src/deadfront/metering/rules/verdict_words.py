"""Verdicts of the proof in words: what was found, what may be behind it, the test that separates."""

from __future__ import annotations

from dataclasses import replace

from deadfront.msg import Msg, said
from deadfront.results.proof import Cause, ChannelVerdict, Conductor, ProofPlan

MOST = 4
"""Causes named one by one; of more it is said how many."""
TESTS = {
    "negative": "reference", "scale": "amperes", "nothing": "nothing", "other_conductor": "reference",
    "other_leg": "reference", "exchanged": "reference", "several": "look", "with_other": "look",
    "same_way": "look", "shared_neutral": "look", "turned_hots": "look", "place_unsure": "more_steps",
    "small": "larger", "scale_unsure": "larger", "scale_near": "clamp", "var": "var", "not_read": "read",
    "not_stepped": "step", "no_cause": "repeat", "source_sign": "convention", "system": "system",
    "undoubled": "doubling", "neutral_part": "neutral", "alone_wye": "second", "one_leg": "second", "found": "enter",
}  # fmt: skip
"""The test that comes next, by the class of a verdict."""


def conductor_said(plan: ProofPlan, conductor: Conductor) -> Msg:
    """A conductor by its circuit and leg."""
    name = plan.names.get(conductor.of, said("thing.by_id", id=conductor.of))
    return said("proof.conductor" if conductor.leg else "proof.either_leg", name=name, leg=conductor.leg)


def cause_said(plan: ProofPlan, cause: Cause) -> Msg:
    """One cause in words: what is in the window, then what is turned, referenced or scaled wrong."""
    names = tuple(conductor_said(plan, each) for each in cause.conductors)
    parts = [said(f"proof.window.{cause.kind.replace(' ', '_')}", first=names[0] if names else "",
                  second=names[1] if len(names) > 1 else "")]  # fmt: skip
    if cause.reversed:
        parts.append(said("proof.part.reversed"))
    if cause.reference:
        parts.append(said("proof.part.reference", leg=cause.reference))
    behind = tuple(said(f"proof.scale.{each.replace(' ', '_')}") for each in cause.scale_of)
    if behind and cause.scale is not None:
        parts.append(said("proof.part.scale", times=_times(cause.scale), behind=behind))
    elif behind:
        parts.append(said("proof.part.too_little", behind=behind))
    return said("proof.cause", parts=tuple(parts))


def _times(scale: float) -> str:
    return f"{scale:.2g}"


def said_verdict(plan: ProofPlan, verdict: ChannelVerdict) -> ChannelVerdict:
    """The verdict with its words and its next test."""
    name = next(each.name for each in plan.channels if each.id == verdict.channel)
    simplest = verdict.simplest
    named = tuple(each.say for each in simplest[:MOST])
    placed = conductor_said(plan, verdict.placed) if verdict.placed else said("proof.nowhere")
    say = said(f"proof.verdict.{verdict.key}", name=name, placed=placed, steps=verdict.steps, causes=named,
               count=len(simplest))  # fmt: skip
    test = TESTS.get(verdict.key)
    if test in ("reference", "amperes") and _settled(verdict):
        test = None
    return replace(verdict, say=say, test=said(f"proof.test.{test}", name=name) if test else None)


def _settled(verdict: ChannelVerdict) -> bool:
    """Whether one cause with the fewest faults is left, with one thing behind its scale."""
    simplest = verdict.simplest
    return len(simplest) == 1 and len(simplest[0].scale_of) <= 1
