"""The way back to power: in the house that the work leaves, in its order, with a rule at each line when to stop."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.isolation.rules.procedure import Laid
from deadfront.msg import Msg, said
from deadfront.results.isolation import Action
from deadfront.topology.states import live


def way_back(laid: Laid) -> tuple[Action, ...]:
    """Back to power: looked over, dead tests, the supply, the main, the neutral, covers, circuits, sources last."""
    found = [_line(key) for key in ("look", "all_open", "dead_tests", "people_clear")]
    found += [_line("supply"), *_mains(laid), *(_line(key) for key in _after_the_main(laid))]
    ids = [feed.id for feed in laid.after.network.feeds if feed.kind not in ("utility", "unknown")]
    for ident in dict.fromkeys(ids):
        say = said("isolation.back.source", thing=laid.after.thing(ident))
        found.append(Action(f"back/source/{ident}", "open", say, said("isolation.back_stop.source")))
    if laid.after.network.groups and ids:
        found.append(_line("transfer"))
    found.append(Action("back/release", "open", said("isolation.back.release"), None))
    return tuple(found)


def _line(key: str) -> Action:
    return Action(f"back/{key}", "open", said(f"isolation.back.{key}"), said(f"isolation.back_stop.{key}"))


def _after_the_main(laid: Laid) -> Iterator[str]:
    """What follows the main; covers go on when the last reading inside is taken."""
    after = laid.after
    yield "neutral_load"
    if any(each.kind == "tie" and each.id.startswith("neutral/") for each in after.network.devices):
        yield "multiwire"
    yield "covers"
    yield "circuits"
    if any(each.protection not in (None, "plain") for each in after.at.house.breakers):
        yield "protection"


def _mains(laid: Laid) -> Iterator[Action]:
    """Which device brings the utility back: the locks on its way, else the service disconnect of the house now."""
    names = tuple(_closed(laid))
    say = said("isolation.back.main", things=names) if names else said("isolation.back.main_any")
    yield Action("back/main", "open", say, said("isolation.back_stop.main"))


def _closed(laid: Laid) -> Iterator[Msg]:
    network = laid.names.network
    reach = live(network, [each.device for each in laid.locks],
                 feeds_off={each.id for each in network.feeds if each.kind != "utility"})  # fmt: skip
    locks = [network.device[each.device] for each in laid.locks]
    found = [each for each in locks if each.a in reach or each.b in reach]
    there = laid.after.network.device
    if found:
        yield from (laid.names.device(each) for each in found if each.id in there)
    elif "disconnect" in there and there["disconnect"].opens:
        yield laid.after.device(there["disconnect"])
