"""The proof of current transformers by load steps: typed readings in, a verdict for each channel out.

A channel shows S = a p V_k conj(I): the current in its window, turned (p), times the volts of a leg (k), times a scale
(a). Every window that changes in exactly the steps the channel shows is tried with every p and k; what fits is a cause.
What all causes have in common is decided; the rest is said, with the test that separates them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from deadfront.metering.rules.fitting import as_planned, causes_of, near, unsure, whole_undoubled
from deadfront.metering.rules.step_signal import Stepped, large_enough, of_use, shows, stepped
from deadfront.metering.rules.verdict_words import cause_said, said_verdict
from deadfront.metering.rules.windows import Window, Windows
from deadfront.results.proof import Cause, ChannelVerdict, Conductor, LoadStep, ProofChannel, ProofPlan
from deadfront.worksheet.check import Outcome


def proof(
    plan: ProofPlan, steps: Sequence[LoadStep], voltage_seen: Mapping[str, str] | None = None
) -> tuple[ChannelVerdict, ...]:
    """What the steps come to for every channel of the plan.

    Args:
        voltage_seen: Leg of a channel's own voltage input, by channel, where that was measured: it settles whether a
            negative reading is a CT turned round or a voltage of the other leg.
    """
    moved = of_use([stepped(plan, each) for each in steps])
    kept: dict[tuple[int, ...], Windows] = {}
    found = []
    for channel in plan.channels:
        numbers = tuple(
            n for n, each in enumerate(moved) if channel.id in each.shown and large_enough(each, channel.id)
        )
        if numbers not in kept:
            kept[numbers] = Windows(plan, tuple(moved[n] for n in numbers))
        found.append(_judged(plan, channel, kept[numbers], moved, (voltage_seen or {}).get(channel.id, "")))
    return tuple(said_verdict(plan, each) for each in _swaps(plan, found))


def directory(verdicts: Sequence[ChannelVerdict]) -> Mapping[str, Conductor]:
    """The conductor of each channel that is decided."""
    return {each.channel: each.placed for each in verdicts if each.placed is not None}


def _judged(
    plan: ProofPlan, channel: ProofChannel, windows: Windows, moved: Sequence[Stepped], seen: str
) -> ChannelVerdict:
    steps = windows.steps
    if plan.wye is None:
        return _open(channel, "system", len(steps))
    if not steps:
        read = any(channel.id in each.shown for each in moved)
        return _open(channel, "small" if read else "not_read", 0)
    if plan.wye and any(channel.id not in each.with_var for each in steps):
        return _open(channel, "var", len(steps))
    shown = frozenset(number for number, each in enumerate(steps) if shows(each, channel.id))
    if not shown:
        return _nothing(channel, windows)
    found = [(cause, window) for window in windows.that_show(channel, shown)
             for cause in causes_of(plan, channel, window, steps, seen)]  # fmt: skip
    found.sort(key=lambda each: _order(channel, *each))
    return _weighed(plan, channel, found, steps)


def _order(channel: ProofChannel, cause: Cause, window: Window) -> tuple[object, ...]:
    """The fewest faults first, then what is as planned: the same whichever leg it is planned on."""
    wanted = channel.voltage_leg or (channel.conductor.leg if channel.conductor else window.base)
    return cause.faults, cause.kind != "conductor", not as_planned(channel, window), cause.reference != wanted


def _nothing(channel: ProofChannel, windows: Windows) -> ChannelVerdict:
    """It shows none of the steps: it reads nothing, or sits on what was never stepped."""
    count, idle = len(windows.steps), windows.not_stepped()
    if channel.conductor is None or not windows.signatures.get(channel.conductor):
        causes = (Cause("nothing", faults=1), *(Cause("conductor", (each,), faults=1) for each in idle))
        return replace(_open(channel, "not_stepped", count), causes=causes)
    causes = (Cause("nothing", faults=1), Cause("conductor", (channel.conductor,), scale_of=("ratio",), faults=1),
              *(Cause("conductor", (each,), faults=1) for each in idle))  # fmt: skip
    return ChannelVerdict(channel.id, Outcome.FAILS, "nothing", channel.name, causes, steps=count)


def _open(channel: ProofChannel, key: str, steps: int) -> ChannelVerdict:
    return ChannelVerdict(channel.id, Outcome.CANNOT_TELL, key, channel.name, steps=steps)


def _weighed(
    plan: ProofPlan, channel: ProofChannel, found: list[tuple[Cause, Window]], steps: Sequence[Stepped]
) -> ChannelVerdict:
    """The verdict on what fits."""
    if not found:
        return _open(channel, "no_cause", len(steps))
    causes = tuple(cause for cause, _ in found)
    placed = placed_by(causes)
    verdict = ChannelVerdict(channel.id, Outcome.FAILS, "", channel.name, causes, placed=placed, steps=len(steps),
                             sign=_sign(causes, wye=bool(plan.wye)))  # fmt: skip
    first, window = found[0]
    if first.faults == 1 and whole_undoubled(channel, first, window, steps):
        return replace(verdict, outcome=Outcome.CANNOT_TELL, key="undoubled")
    if first.faults == 1 and as_planned(channel, window) and near(channel, first, window, steps):
        return replace(verdict, outcome=Outcome.CANNOT_TELL, key="scale_near")
    if causes[0].faults:
        return replace(verdict, key=_key(channel, verdict, found))
    if channel.role == "source" and not channel.production:
        return replace(verdict, outcome=Outcome.CANNOT_TELL, key="source_sign")
    if any(unsure(channel, cause, window, steps) for cause, window in found if not cause.faults):
        return replace(verdict, outcome=Outcome.CANNOT_TELL, key="scale_unsure")
    if placed is None:
        return replace(verdict, outcome=Outcome.CANNOT_TELL, key="place_unsure")
    if channel.conductor is None:
        return replace(verdict, outcome=Outcome.CANNOT_TELL, key="found")
    return _whole_load(plan, channel, verdict, steps)


def _whole_load(
    plan: ProofPlan, channel: ProofChannel, verdict: ChannelVerdict, steps: Sequence[Stepped]
) -> ChannelVerdict:
    """Right as far as it was stepped; one that stands alone for both hots is so only without a neutral part."""
    own = channel.conductor
    if not channel.alone or own is None:
        return replace(verdict, outcome=Outcome.MEETS, key="right")
    hots = {each for each in plan.paths if each.of == own.of}
    if any(len(hots & set(each.true)) == 1 for each in steps):
        return replace(verdict, outcome=Outcome.FAILS, key="one_leg")
    if plan.wye or channel.neutral is not False:
        return replace(verdict, outcome=Outcome.CANNOT_TELL, key="alone_wye" if plan.wye else "neutral_part")
    return replace(verdict, outcome=Outcome.MEETS, key="right")


def placed_by(causes: Sequence[Cause]) -> Conductor | None:
    """The conductor that all causes agree on; without its leg where a load between both legs cannot tell which."""
    if not {each.kind for each in causes} <= {"conductor", "turned", "same way"}:
        return None
    things, legs = {each.conductors[0].of for each in causes}, {each.conductors for each in causes}
    if len(things) > 1:
        return None
    return causes[0].conductors[0] if len(legs) == 1 else Conductor(things.pop(), "")


def _sign(causes: Sequence[Cause], *, wye: bool) -> int:
    """How what is in the window shows, where all causes agree: 1 as it should, -1 the other way."""
    straight = {each.reference == each.conductors[0].leg for each in causes}
    if wye and straight != {True}:
        return 0
    found = {(-1 if each.reversed else 1) * (1 if each.reference == each.conductors[0].leg else -1) for each in causes}
    return found.pop() if len(found) == 1 else 0


def _key(channel: ProofChannel, verdict: ChannelVerdict, found: Sequence[tuple[Cause, Window]]) -> str:
    """The class of what is wrong, by all the causes with the fewest faults."""
    simplest = verdict.simplest
    things = {each.conductors[0].of for each in simplest if each.kind == "conductor"}
    if len(things) != 1 or any(each.kind != "conductor" for each in simplest) and len(simplest) > 1:
        return "several" if len(simplest) > 1 else simplest[0].kind.replace(" ", "_").replace("turned", "turned_hots")
    first = simplest[0]
    if not any(as_planned(channel, window) for cause, window in found if cause.faults == first.faults):
        own = channel.conductor
        return "other_leg" if own is not None and first.conductors[0].of == own.of else "other_conductor"
    if first.scale_of and first.faults == 1:
        return "scale"
    if len(simplest) > 1:
        return "negative"
    if first.scale_of:
        return "several"
    wanted = channel.voltage_leg or (channel.conductor.leg if channel.conductor else first.conductors[0].leg)
    if first.reversed:
        return "turned" if first.reference == wanted else "turned_reference"
    return "reference"


def _swaps(plan: ProofPlan, found: Sequence[ChannelVerdict]) -> list[ChannelVerdict]:
    """Two channels that each sit on the conductor of the other are said to be exchanged."""
    planned = {each.id: each.conductor for each in plan.channels}
    out = []
    for verdict in found:
        causes = tuple(replace(each, say=cause_said(plan, each)) for each in verdict.causes)
        mine = planned[verdict.channel]
        other = any(each.channel != verdict.channel and each.placed == mine and planned[each.channel] == verdict.placed
                    for each in found if mine is not None)  # fmt: skip
        swapped = other and verdict.placed is not None and verdict.placed != mine
        out.append(replace(verdict, causes=causes, key="exchanged" if swapped else verdict.key))
    return out
