"""What the isolation stage answers: a plan for each zone, made of the drawing; a test alone shows it is dead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from deadfront.job.thing import Id
from deadfront.msg import Msg
from deadfront.worksheet.check import Check, Outcome
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

Part = Literal["find", "inhibit", "drop", "open", "wait", "lock", "try", "prove"]
Answer = Literal["locks", "others", "unknown", "nothing"]


@dataclass(frozen=True, slots=True)
class Lock:
    """A device that is opened and locked.

    Args:
        device: Id in the network.
        thing: Id of the thing in the job; "service" for what belongs to the service.
        name: What it is called.
        where: What it is mounted in, or where it stands.
        blades: Its open blades can be seen.
        remote: It closes by itself or by remote command: that is switched off too.
        trusting: It is in the smaller plan that trusts the transfer equipment.
    """

    device: str
    thing: str
    name: Msg
    where: Msg
    blades: bool = False
    remote: bool = False
    trusting: bool = True


@dataclass(frozen=True, slots=True)
class StillLive:
    """Something in or at the zone that stays live with every lock of the plan in place.

    Args:
        place: Place in the network.
        say: What stays live, and where.
        by: What keeps it live.
    """

    place: str
    say: Msg
    by: tuple[Msg, ...] = ()


@dataclass(frozen=True, slots=True)
class Stored:
    """Equipment that holds a charge after it is shut down.

    Args:
        thing: Its id.
        name: What it is called.
        wait: Time marked on it [s]; None where it was not read: then nobody can tell how long.
    """

    thing: str
    name: Msg
    wait: Step | None = None


@dataclass(frozen=True, slots=True)
class Action:
    """One line of the procedure, to be ticked.

    Args:
        id: Stable within the plan, such as "open/x-1pv": ticks are kept by it.
        part: Which part of the procedure it belongs to.
        say: What is done.
        stop: When to stop there; None where the line has no such rule.
        waits: Facts that are not on file and must be found first.
    """

    id: str
    part: Part
    say: Msg
    stop: Msg | None = None
    waits: tuple[Missing, ...] = ()


@dataclass(frozen=True, slots=True)
class ProvePoint:
    """A place where absence of voltage is tested.

    Args:
        id: Stable within the plan.
        name: Where.
        pairs: Between what, each a test of its own.
        boundary: It lies beside something that stays live.
    """

    id: str
    name: Msg
    pairs: tuple[Msg, ...]
    boundary: bool = False


@dataclass(frozen=True, slots=True)
class IsolationPlan:
    """How one zone is made dead, what stays live, and how power comes back.

    Args:
        zone: Id of the work step, or of the zone marked.
        name: What it is called.
        things: Ids that the zone is made of.
        answer: "locks": the locks part the zone from every feed recorded. "others": the utility or another must
            isolate first. "unknown": something that is not on file stands in the way. "nothing": nothing recorded in
            the zone is live, and it is tested all the same.
        say: The answer in words.
        locks: What is opened and locked; among equals nearest to the feeds, for work on a circuit nearest to it.
        others: Who must isolate what, where no lock does it.
        trusting: Locks of the plan that trusts transfer equipment, as an explanation; None where there is none.
        live: What stays live in or at the zone.
        stored: Equipment with stored energy.
        actions: The procedure in its order.
        prove: Where and between what absence of voltage is tested.
        temporary: What needs power meanwhile, and how it is given without a way back.
        back: The way back to power, in its order, with stop rules.
        notes: What to know about this plan.
        missing: Facts that would let it tell, or would take fewer hands.
        checked: States of the drawing that the plan was checked in.
        dead: Places that are dead with the locks in place.
        doubts: Facts of the drawing without which nobody can tell, whatever is locked.
    """

    zone: str
    name: Msg
    things: tuple[str, ...]
    answer: Answer
    say: Msg
    locks: tuple[Lock, ...] = ()
    others: tuple[Msg, ...] = ()
    trusting: tuple[str, ...] | None = None
    live: tuple[StillLive, ...] = ()
    stored: tuple[Stored, ...] = ()
    actions: tuple[Action, ...] = ()
    prove: tuple[ProvePoint, ...] = ()
    temporary: tuple[Msg, ...] = ()
    back: tuple[Action, ...] = ()
    notes: tuple[Msg, ...] = ()
    missing: tuple[Missing, ...] = ()
    checked: int = 0
    dead: tuple[str, ...] = ()
    doubts: tuple[Missing, ...] = ()

    @property
    def outcome(self) -> Outcome:
        """Meets where locks part the zone from every feed and no fact of procedure or drawing is missing."""
        known = not self.waits and not self.doubts
        return Outcome.MEETS if self.answer == "locks" and known else Outcome.CANNOT_TELL

    @property
    def waits(self) -> tuple[Missing, ...]:
        """Facts that a line of the procedure waits for."""
        return tuple(dict.fromkeys(fact for action in self.actions for fact in action.waits))


@dataclass(frozen=True, slots=True)
class IsolationResult:
    """Every plan of a job.

    Args:
        plans: One for each work step that touches something live, in the order of the work, then the zones asked for.
        checks: Findings of the stage.
    """

    plans: tuple[IsolationPlan, ...] = ()
    checks: tuple[Check, ...] = ()

    def plan(self, zone: Id) -> IsolationPlan | None:
        """The plan of a work step or zone."""
        return next((plan for plan in self.plans if plan.zone == zone), None)
