"""Houses made by chance: every check has words in both languages, a citation, and facts to find where it is open."""

from __future__ import annotations

import random
from collections import Counter
from typing import Any, Literal, get_args, get_origin

import pytest
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from deadfront.circuits.rules.facts import TOUCHED
from deadfront.codebook import EDITIONS
from deadfront.documents.catalog import Catalog
from deadfront.job.panel_things import Cable, Panel
from deadfront.job.service_things import Drop, Electrode, Grounding, Meter, OutsideDisconnect, Structure
from deadfront.job.thing import Conductors
from deadfront.quantities import SIZES
from deadfront.worksheet.check import Outcome, Severity
from tests.circuits.service.houses import MODULES, checks_of, facts_from

CATALOGS = (Catalog("en", strict=True), Catalog("es", strict=True))
HOUSES = 200
AMOUNTS = (0, 1, 2.5, 5, 8, 10, 12, 24, 30, 36, 60, 78, 79, 100, 200)


def by_chance(model: type[BaseModel], chance: random.Random, share: float = 0.6, **fixed: Any) -> dict[str, Any]:
    """Facts of a model, each known with that chance."""
    found = {}
    for name, field in model.model_fields.items():
        if name not in fixed and name not in ("seen", "note", "id", "name") and chance.random() < share:
            value = _value(name, field, chance)
            if value is not None:
                found[name] = value
    return found | fixed


def _value(name: str, field: FieldInfo, chance: random.Random) -> Any:
    if "size" in name and name != "trade_size":
        return chance.choice(SIZES[4:])
    if get_origin(field.annotation) is tuple or any(get_origin(kind) is tuple for kind in get_args(field.annotation)):
        return None
    kinds = get_args(field.annotation) or (field.annotation,)
    for kind in kinds:
        if get_origin(kind) is Literal:
            return chance.choice(get_args(kind))
    if isinstance(kinds[0], str) or get_origin(field.annotation) is Literal:
        return chance.choice([each for each in kinds if each is not None])
    if bool in kinds:
        return chance.choice((True, False))
    if name.endswith(("_ft", "_in", "_a", "_ka", "_ohm")):
        return chance.choice(AMOUNTS[1:])
    if name in ("disconnects", "supplies", "intersystem_terminals"):
        return chance.choice((0, 1, 2, 3, 7))
    return None


def house(chance: random.Random) -> dict[str, Any]:
    """A house with a service, panels, electrodes, structures and old appliance circuits."""
    cable = by_chance(Cable, chance, runs=["wall"], type=chance.choice(("SEU", "NM-B")))
    for gone in ("raceway", "bundled", "above_roof_in"):
        cable.pop(gone, None)
    cable["conductors"] = chance.choice((2, 3))
    service: dict[str, Any] = {
        "system": "120/240 1ph 3w",
        "conductors": by_chance(Conductors, chance, sets=chance.choice((1, 1, 2))),
        "drop": by_chance(Drop, chance, sets=1),
        "grounding": by_chance(Grounding, chance),
        "outside": by_chance(OutsideDisconnect, chance, present=chance.choice(("yes", "no", "unknown"))),
        "surge": chance.choice(("none", "type 1", "type 2", "type 3")),
        "disconnects": chance.choice((1, 1, 2, 6, 7)),
        "utility": {"fault_current_ka": chance.choice((8, 12, 30))},
    }
    panels = [by_chance(Panel, chance, id="p-aa", fed_by="service", feeder=cable, spaces=30, circuits_max=30),
              by_chance(Panel, chance, id="p-bb", fed_by="b-bb", feeder=cable, structure=None),
              by_chance(Panel, chance, id="p-cc", fed_by="b-cc", feeder=cable, structure="s-aa")]  # fmt: skip
    breakers = [{"id": "b-bb", "panel": "p-aa", "rating_a": 60, "poles": 2, "role": "feeder"},
                {"id": "b-cc", "panel": "p-aa", "rating_a": 60, "poles": 2, "role": "feeder", "protection": "plain"},
                {"id": "b-dd", "panel": chance.choice(("p-aa", "p-bb")), "rating_a": 50, "poles": 2}]  # fmt: skip
    return {
        "complete": {"electrodes": chance.choice(("yes", "no", "unknown")), "circuits": "yes"},
        "service": service, "panels": panels, "breakers": breakers,
        "circuits": [{"id": "c-dd", "breaker": "b-dd", "cable": cable}],
        "loads": [{"id": "l-dd", "kind": "range", "circuit": "c-dd"}],
        "meters": [by_chance(Meter, chance, id="m-aa"), by_chance(Meter, chance, id="m-bb", purpose="submeter")],
        "electrodes": [by_chance(Electrode, chance, id=f"e-a{n}", structure=chance.choice((None, None, "s-aa")),
                                 kind=chance.choice(("rod", "rod", "water pipe", "concrete-encased", "ground ring")))
                       for n in range(chance.choice((0, 1, 2, 3)))],
        "structures": [by_chance(Structure, chance, id="s-aa", fed_by="b-cc")],
    }  # fmt: skip


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_check_can_be_said_and_asks_for_what_it_lacks(edition: str) -> None:
    chance = random.Random(int(edition))
    outcomes: Counter[Outcome] = Counter()
    for _ in range(HOUSES // 5):
        touched = chance.random() < 0.7
        set_ = {"service": {"system": "120/240 1ph 3w", "grounding": {}, "conductors": {}, "drop": {}},
                "s-aa": {"note": "x"}, "p-aa": {"note": "x"}, "p-bb": {"note": "x"}} if touched else None  # fmt: skip
        facts = facts_from(house(chance), edition, set_=set_, existing=chance.random() < 0.8)
        for check in checks_of(facts):
            outcomes[check.outcome] += 1
            for catalog in CATALOGS:
                catalog.say(check.say)
                if check.remedy is not None:
                    catalog.say(check.remedy)
                for missing in check.missing:
                    catalog.say(missing.what)
                    catalog.say(missing.how)
            assert check.cites, check.id
            assert (check.outcome is Outcome.CANNOT_TELL) == bool(check.missing), (check.id, check.say.key)
            assert (check.outcome is Outcome.FAILS) == (check.remedy is not None), check.id
            if check.outcome is Outcome.CANNOT_TELL and facts.existing:
                told = check.reach in TOUCHED and check.severity is Severity.CORRECT
                assert told or (check.severity is Severity.NOTE and "old_open" in check.say.key), check.id
        for line in facts.grounding:
            for catalog in CATALOGS:
                catalog.say(line.name)
    assert min(outcomes[each] for each in Outcome) > 10, outcomes


def test_every_module_names_the_checks_it_makes() -> None:
    from importlib import import_module

    chance = random.Random(7)
    for _ in range(20):
        facts = facts_from(house(chance), "2023", existing=False)
        for name in MODULES:
            made = {check.id for check in checks_of(facts, name)}
            assert made <= set(import_module(f"deadfront.circuits.rules.each.{name}").IDS), name
