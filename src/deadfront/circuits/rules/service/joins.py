"""Where neutral and ground join: what each enclosure is, by every reading of the facts, and what that asks of it.

On the load side of the service disconnect they join nowhere. Every enclosure of a service disconnect has its own main
bonding jumper. What is ahead of it (meter socket, an outside device that is no service equipment) is bonded by the
neutral. So there may be several joins, or one; how many is no rule.
"""

from __future__ import annotations

from typing import Literal

from deadfront.job.thing import Known
from deadfront.worksheet.check import Outcome

Role = Literal["service", "feeder", "line side"]
Marked = Literal["service disconnect", "meter disconnect", "not service equipment"] | None
BOTH: frozenset[Role] = frozenset({"service", "feeder"})
SERVICE: frozenset[Role] = frozenset({"service"})
FEEDER: frozenset[Role] = frozenset({"feeder"})


def doubtful(marked: Marked, overcurrent: bool | None, breaker_ahead: bool) -> bool:
    """Whether a mark does not settle what an outside breaker is: the authority having jurisdiction says.

    A meter disconnect is a switch (230.82(3)). A breaker that is no service equipment has a place ahead of the service
    disconnect only since the editions that name emergency disconnects.

    Args:
        overcurrent: Whether the device holds a breaker or fuses.
        breaker_ahead: Whether the edition knows a breaker ahead of the service disconnect.
    """
    return bool(overcurrent) and (
        marked == "meter disconnect" or (marked == "not service equipment" and not breaker_ahead)
    )


def outside_roles(present: Known, marked: Marked) -> frozenset[Role]:
    """What an outside device may be; empty where there is none, or none is known of."""
    if present != "yes":
        return frozenset()
    if marked is None:
        return frozenset({"service", "line side"})
    return SERVICE if marked == "service disconnect" else frozenset({"line side"})


def panel_roles(present: Known, marked: Marked, several: bool, used_as_service: Known) -> frozenset[Role]:
    """What a panel that the service feeds may be: it holds a service disconnect, or it is a feeder panel.

    Args:
        present: Whether there is an outside device ahead of it.
        marked: What that device is marked as.
        several: The service has more than one disconnect, so that panel and device may each be one.
        used_as_service: Whether the panel is marked and used as service equipment.
    """
    if used_as_service == "no":
        ahead = present == "unknown" or (present == "yes" and marked in ("service disconnect", None))
        return FEEDER if ahead else BOTH  # nothing on file is ahead of it: one of the facts is wrong
    if present == "yes" and marked in ("service disconnect", None):
        if several and used_as_service == "yes":
            return SERVICE
        return BOTH if several or marked is None else FEEDER
    return BOTH if present == "unknown" and used_as_service == "unknown" else SERVICE


def judged(roles: frozenset[Role], joined: Known, bonded_otherwise: bool | None = None) -> Outcome:
    """An enclosure whose neutral is joined to ground, or is not, by what it may be."""
    if not roles:
        return Outcome.NOT_APPLICABLE
    told = {_by_role(role, joined, bonded_otherwise) for role in roles}
    return told.pop() if len(told) == 1 else Outcome.CANNOT_TELL


def _by_role(role: Role, joined: Known, bonded_otherwise: bool | None) -> Outcome:
    if joined == "unknown":
        met = role == "line side" and bonded_otherwise is True
        return Outcome.MEETS if met else Outcome.CANNOT_TELL
    if role == "feeder":
        return Outcome.FAILS if joined == "yes" else Outcome.MEETS
    if joined == "yes":
        return Outcome.MEETS
    if role == "line side":
        by = {True: Outcome.MEETS, False: Outcome.FAILS}
        return Outcome.CANNOT_TELL if bonded_otherwise is None else by[bonded_otherwise]
    return Outcome.FAILS


def three_wire_may_stay(
    touched: bool, parallel_metal: Known, ground_fault_upstream: bool | None, neutral_large: bool | None
) -> bool | None:
    """Whether an existing feeder without grounding conductor may keep its join at a separate structure."""
    barred = (touched, {"yes": True, "no": False}.get(parallel_metal), ground_fault_upstream,
              None if neutral_large is None else not neutral_large)  # fmt: skip
    return False if True in barred else None if None in barred else True


def structure_roles(grounding_conductor: bool | None, may_stay: bool | None) -> frozenset[Role]:
    """What the first enclosure at a separate structure is: fed like any feeder, or by an old three-wire feeder.

    An old three-wire feeder that may stay has the neutral for its ground path, so it joins there as a service does.
    """
    if grounding_conductor or may_stay is False:
        return FEEDER
    return SERVICE if grounding_conductor is False and may_stay else BOTH
