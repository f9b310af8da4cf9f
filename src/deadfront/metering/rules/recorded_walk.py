"""The walk along the current transformers from its records: one line a channel, its own load off and on.

While the load of one line is on, the channel of another line is read too: without a step that it must not show, no
channel is told from the feeder above it. The lines of one leg stand in a ring, each read once more in the next.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from deadfront.codebook.book import Codebook
from deadfront.errors import NotAllowed
from deadfront.job.house import HouseAt
from deadfront.job.record_things import Record
from deadfront.metering.rules.proof_plan import proof_plan
from deadfront.metering.rules.steps import proof
from deadfront.metering.rules.typed_steps import walk_of
from deadfront.msg import Msg
from deadfront.results.proof import ChannelVerdict, LoadStep, ProofChannel, ProofPlan

STEP = "ct_step"
"""The test that a line is a record of; its thing is the channel."""
READ = ("watts", "off", "on", "meanwhile")
"""What is typed on a line, in order; `circuit` and `beside` are filled in by the plan."""


@dataclass(frozen=True, slots=True)
class WalkLine:
    """One line of the walk.

    Args:
        channel: The channel it proves.
        circuit: Id of the circuit, or of the source, whose load is switched; "" where none is known.
        legs: The legs of that load.
        beside: The channel that is read meanwhile; "" for none.
    """

    channel: ProofChannel
    circuit: str
    legs: tuple[str, ...]
    beside: str = ""


def walk_lines(plan: ProofPlan) -> tuple[WalkLine, ...]:
    """The lines in the order they are walked: leg by leg, circuits first, then what stands above them."""
    loads = {each.conductor.of for each in plan.channels if each.conductor is not None and not _above(plan, each)}
    found: list[WalkLine] = []
    for leg in (*plan.legs, ""):
        own = [each for each in plan.channels if (each.conductor.leg if each.conductor else "") == leg]
        own.sort(key=lambda each: _above(plan, each))
        ring = [each.id for each in own]
        for number, each in enumerate(own):
            circuit, legs = _load(plan, each, leg, loads)
            beside = ring[number - 1] if len(ring) > 1 else ""
            found.append(WalkLine(each, circuit, legs, beside))
    return tuple(found)


def _above(plan: ProofPlan, channel: ProofChannel) -> bool:
    """Whether it measures what stands above circuits: a feeder or the service."""
    own = channel.conductor
    return own is not None and any(own in path[1:] for path in plan.paths.values())


def _load(plan: ProofPlan, channel: ProofChannel, leg: str, loads: set[str]) -> tuple[str, tuple[str, ...]]:
    """The load of a line: of its own circuit; of what is above circuits, that of a circuit below it."""
    own = channel.conductor
    if own is None:
        return "", ()
    if not _above(plan, channel):
        both = tuple(sorted(each.leg for each in plan.paths if each.of == own.of))
        return own.of, both if len(both) == len(plan.legs) else (leg,)
    below = sorted({each.of for each, path in plan.paths.items() if own in path[1:] and each.leg == leg},
                   key=lambda of: (of not in loads, len([c for c in plan.paths if c.of == of]), of))  # fmt: skip
    one_leg = [of for of in below if len([c for c in plan.paths if c.of == of]) == 1]
    chosen = (one_leg or below)[min(1, len(one_leg or below) - 1)] if below else ""
    return chosen, tuple(sorted(each.leg for each in plan.paths if each.of == chosen))


def steps_of(
    plan: ProofPlan, records: Iterable[Record]
) -> tuple[tuple[LoadStep, ...], Mapping[str, Msg]]:  # fmt: skip
    """Load steps from the records of a walk, the last of each channel; what is not understood, by channel."""
    lines = {each.channel.id: each for each in walk_lines(plan)}
    last = {str(each.thing): each for each in records if each.test == STEP and each.thing in lines}
    steps: list[LoadStep] = []
    wrong: dict[str, Msg] = {}
    for ident, record in last.items():
        rows = list(_rows(lines[ident], record, last))
        if not rows:
            continue
        try:
            steps += walk_of(plan, rows)
        except NotAllowed as error:
            wrong[ident] = error.msg
    return tuple(steps), wrong


def proved_walk(book: Codebook, at: HouseAt) -> tuple[ChannelVerdict, ...]:
    """What the recorded walk of a house proves, channel by channel; empty where nothing was recorded."""
    records = [each for each in at.house.records if each.test == STEP]
    if not records:
        return ()
    plan = proof_plan(book, at)
    steps, _ = steps_of(plan, records)
    return proof(plan, steps) if steps else ()


def _rows(line: WalkLine, record: Record, all_: Mapping[str, Record]) -> Iterator[dict[str, str]]:
    """A record as rows of a walk: its own channel off and on; the one beside it, off as on its own line."""
    read = record.readings
    if not (read.get("watts") and read.get("off") and read.get("on")):
        return
    circuit = read.get("circuit") or line.circuit
    yield {"circuit": circuit, "leg": read.get("leg") or " ".join(line.legs), "watts": read["watts"],
           "clamp_a": read.get("clamp_a", ""), "channel": line.channel.id, "before_w": read["off"],
           "after_w": read["on"]}  # fmt: skip
    beside = read.get("beside", "")
    before = all_[beside].readings.get("off", "") if beside in all_ else ""
    if beside and beside != line.channel.id and before and read.get("meanwhile"):
        yield {"channel": beside, "before_w": before, "after_w": read["meanwhile"]}
