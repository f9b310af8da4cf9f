"""The isolation answer as plain data for other programs: each plan with its locks, procedure, tests and way back."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import Field

from deadfront.app.told import OutcomeWord, Plain
from deadfront.documents.catalog import Catalog
from deadfront.results.isolation import Action, IsolationPlan, IsolationResult


class LockTold(Plain):
    """A device that is opened and locked."""

    device: str
    thing: str = Field(description='Id of the thing, "service" for what belongs to the service')
    name: str
    where: str
    remote: bool = Field(description="Closes by itself or by remote command")
    trusting: bool = Field(description="In the smaller plan too, which trusts transfer equipment")


class LiveTold(Plain):
    """Something that stays live with every lock in place."""

    place: str
    say: str


class ActionTold(Plain):
    """One line of the procedure, or of the way back."""

    id: str
    part: Literal["find", "inhibit", "drop", "open", "wait", "lock", "try", "prove"]
    say: str
    stop: str = Field(description="When to stop there; empty for no such rule")
    missing: list[str] = Field(description="Paths of the facts it waits for")


class ProveTold(Plain):
    """A place where absence of voltage is tested."""

    id: str
    name: str
    pairs: list[str]
    boundary: bool = Field(description="It lies beside something that stays live")


class PlanTold(Plain):
    """How the zone of one step of the work is made dead; checked against the recorded drawing, no more."""

    zone: str
    name: str
    answer: Literal["locks", "others", "unknown", "nothing"]
    outcome: OutcomeWord
    say: str
    locks: list[LockTold]
    others: list[str] = Field(description="Who must isolate what, where no lock does it")
    live: list[LiveTold]
    actions: list[ActionTold] = Field(description="In their order")
    prove: list[ProveTold]
    temporary: list[str]
    back: list[ActionTold] = Field(description="In their order")
    notes: list[str]
    missing: list[str] = Field(description="Paths of facts that would let it tell, or take fewer locks")


class IsolationTold(Plain):
    """Every plan of the work, in its order."""

    plans: list[PlanTold]


def told_isolation(result: IsolationResult, catalog: Catalog) -> IsolationTold:
    """The isolation answer as data."""
    return IsolationTold(plans=[_plan(plan, catalog) for plan in result.plans])


def _plan(plan: IsolationPlan, catalog: Catalog) -> PlanTold:
    say = catalog.say
    return PlanTold(
        zone=plan.zone, name=say(plan.name), answer=plan.answer, outcome=plan.outcome.value, say=say(plan.say),
        locks=[LockTold(device=each.device, thing=each.thing, name=say(each.name), where=say(each.where),
                        remote=each.remote, trusting=each.trusting) for each in plan.locks],
        others=[say(each) for each in plan.others],
        live=[LiveTold(place=each.place, say=say(each.say)) for each in plan.live],
        actions=_actions(plan.actions, catalog),
        prove=[ProveTold(id=each.id, name=say(each.name), pairs=[say(pair) for pair in each.pairs],
                         boundary=each.boundary) for each in plan.prove],
        temporary=[say(each) for each in plan.temporary], back=_actions(plan.back, catalog),
        notes=[say(each) for each in plan.notes], missing=[each.path for each in plan.missing],
    )  # fmt: skip


def _actions(actions: Iterable[Action], catalog: Catalog) -> list[ActionTold]:
    return [
        ActionTold(id=each.id, part=each.part, say=catalog.say(each.say),
                   stop=catalog.say(each.stop) if each.stop else "", missing=[fact.path for fact in each.waits])
        for each in actions
    ]  # fmt: skip
