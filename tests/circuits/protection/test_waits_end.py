"""A fact that a finding waits for ends that wait once it is entered, whatever it is."""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest

from deadfront.worksheet.check import Check, Outcome
from tests.circuits.protection.made_up import made_up
from tests.circuits.protection.test_laws import protection_checks

ENTERED: dict[str, Any] = {
    "breaker": "b-0x", "panel": "p-0x", "circuit": "c-0x", "protection": "plain", "first_outlet": "plain",
    "rooms": ["bedroom"], "room": "bedroom", "outlet_kinds": ["receptacles"], "poles": 1, "rating_a": 20,
    "kind": "receptacle", "volts": 120, "extended_ft": 0, "outlets_added": 0, "purpose": "general", "nameplate_a": 32,
    "neutral_on": "bar", "spaces": [9], "supply_a": 20, "serves": ["c-0x"], "splices_percent": 50,
    "fill_percent": 30, "leads_insulation_v": 600, "type": "NM-B", "conductors": 3, "ground": "wire",
    "smoke_alarms": "battery alone", "permit_on": "2026-09-01", "shares_neutral_with": "c-0x",
}  # fmt: skip


def enter(data: dict[str, Any], path: str) -> dict[str, Any]:
    """The same job with one fact entered where a finding says that it belongs."""
    changed = copy.deepcopy(data)
    name = path.rpartition(".")[2]
    value = ENTERED.get(name, True)
    if path.startswith("job."):
        changed["job"][name] = value
        return changed
    whole = re.fullmatch(r"before/(complete|service)\.(\w+)", path)
    if whole:
        changed["before"].setdefault(whole[1], {})[name] = "yes" if whole[1] == "complete" else value
        return changed
    ident, _, fields = path.partition("/")[2].partition(".")
    houses = (changed["before"], changed["work"][0]["add"])
    thing = next(t for house in houses for things in house.values() if isinstance(things, list) for t in things
                 if t["id"] == ident)  # fmt: skip
    *inner, last = fields.split(".")
    for each in inner:
        thing = thing.setdefault(each, {})
    thing[last] = value
    changed["work"][0]["set"].get(ident, {}).pop(last, None)
    return changed


def waits(checks: list[Check]) -> set[tuple[str, str, str]]:
    """Check, thing and path of each fact waited for."""
    return {(c.id, c.thing, m.path) for c in checks if c.outcome is Outcome.CANNOT_TELL for m in c.missing}


@pytest.mark.parametrize("seed", range(12))
def test_entering_a_fact_ends_the_wait_for_it(seed: int) -> None:
    data = made_up(seed)
    found = sorted(waits(protection_checks(data)))
    assert found
    for wait in found[:: max(1, len(found) // 12)]:
        after = waits(protection_checks(enter(data, wait[2])))
        assert wait not in after, wait


@pytest.mark.parametrize("seed", range(12, 18))
def test_entering_all_of_them_in_turn_ends_the_list(seed: int) -> None:
    data, entered = made_up(seed), []
    for _ in range(150):
        left = sorted(path for _, _, path in waits(protection_checks(data)))
        if not left:
            break
        assert left[0] not in entered, left[0]
        entered.append(left[0])
        data = enter(data, left[0])
    assert waits(protection_checks(data)) == set() and len(entered) >= 3
