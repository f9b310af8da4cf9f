"""Rings, things that feed themselves, facts left out: every answer comes, and none without a why."""

from __future__ import annotations

import random
from typing import Any

import pytest

from deadfront.assess.run import assess
from deadfront.codebook import open_book
from deadfront.documents.catalog import Catalog
from deadfront.documents.html import sheet_html
from deadfront.documents.source_sheets.sheet import source_sheet
from deadfront.job.read import read_job
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import SheetHead
from tests.sources.standby_houses import thing

SWITCHES, TRANSFERS, SOURCES = ("x-1aa", "x-2aa"), ("t-1aa", "t-2aa"), ("s-1aa", "s-2aa", "s-3aa")
PANELS, BREAKERS, CIRCUITS = ("p-1aa", "p-2aa"), ("b-1aa", "b-2aa", "b-3aa"), ("c-1aa", "c-2aa")
KINDS = ("manual switch", "automatic switch", "interlock", "meter-mounted", "isolation device")
FACT = {
    "fed_by": (*BREAKERS, *TRANSFERS, *SWITCHES, *SOURCES, "service"),
    "normal": (*BREAKERS, *TRANSFERS, *SWITCHES, "service"),
    "alternate": (*SOURCES, *BREAKERS, *SWITCHES, *TRANSFERS),
    "held_apart": (*BREAKERS, "service"),
}


def wild(seed: int) -> str:
    """A job file in which anything may name anything that its field may name."""
    dice = random.Random(seed)

    def one(of: tuple[Any, ...]) -> Any:
        return dice.choice((None, *of))

    def some(of: tuple[str, ...]) -> list[str]:
        return dice.sample(of, dice.randint(0, 2))

    yes, known = (True, False), ("yes", "no")
    feeds, roles = ("service", *BREAKERS, *TRANSFERS, *SWITCHES), ("branch", "main", "feeder", "source")
    blocks = [thing("panels", {"id": p, "fed_by": one(feeds), "bus_a": one((100,)), "neutral_joined": one(known),
                               "service_equipment": one(known)}) for p in PANELS]  # fmt: skip
    blocks += [thing("breakers", {"id": b, "panel": one(PANELS), "role": dice.choice(roles), "rating_a": one((30, 60)),
                                  "poles": 2}) for b in BREAKERS]  # fmt: skip
    blocks += [thing("circuits", {"id": c, "breaker": one(BREAKERS), "life_safety": one(("none", "stair lift"))})
               for c in CIRCUITS]  # fmt: skip
    blocks += [thing("switches", {"id": x, "fed_by": one(FACT["fed_by"]), "fuse_a": one((30,))}) for x in SWITCHES]
    blocks += [thing("transfers", {
        "id": t, "kind": dice.choice(KINDS), "normal": one(FACT["normal"]), "alternate": some(FACT["alternate"]),
        "held_apart": some(FACT["held_apart"]), "excludes": one(yes), "neutral_switched": one(yes),
        "neutral_joined": one(("yes", "no")), "neutral_joined_at": one(("normal side", "load side", "alternate side")),
        "service_equipment": one(yes), "rating_a": one((60, 200)), "sccr_ka": one((10,)), "listed": one(yes),
        "load_connected": one(("by hand", "automatically")), "managed_by": one(("e-1aa",)),
    }) for t in TRANSFERS]  # fmt: skip
    blocks += [thing("sources", {
        "id": s, "kind": dice.choice(("solar", "battery", "generator", "vehicle", "inlet")), "breaker": one(BREAKERS),
        "joins": one(("breaker", "supply side", "feeder", "transfer")), "feeder_of": one(PANELS),
        "disconnects": some((*SWITCHES, *BREAKERS)), "output_a": one((20, 50)), "output_w": one((4800,)),
        "volts": one((240,)), "grid_forming": one(yes), "interactive": one(yes), "neutral_bonded": one(yes),
        "portable": one(yes), "ground_fault_protected": one(yes), "control_limit_a": one((24,)),
    }) for s in SOURCES]  # fmt: skip
    blocks.append(thing("energy_management", {"id": "e-1aa", "set_point_a": one((30,)), "listed": one(yes),
                                              "controls": some(CIRCUITS)}))  # fmt: skip
    blocks.append(thing("signals", {
        "id": "z-1aa", "purpose": dice.choice(("engine start", "shed load", "emergency stop", "other")),
        "acts": one(("closes to act", "opens to act")), "expects": one(("closed to act", "open to act")),
        "rests": one(("open", "closed")), "relay": one(yes), "relay_sense": one(("same sense", "opposite sense")),
        "over_network": one(yes), "on_loss": one(("acts", "does not act", "holds")), "supervised": one(yes),
        "voltage_free": one(yes), "receiver_volts": one((0, 24, 120)), "contact_volts": one((30,)),
        "powered_by": one((*CIRCUITS, *BREAKERS, *SOURCES)), "loads": some(CIRCUITS), "never": some(CIRCUITS),
    }))  # fmt: skip
    edition = dice.choice(("2014", "2017", "2020", "2023", "2026"))
    head = f'[job]\nformat = 1\nname = "Wild"\ncode.edition = "{edition}"\n[[work]]\nid = "w-1aa"\nsay = "All of it"\n'
    return head + "\n".join(blocks)


def test_every_answer_comes_in_words_and_what_cannot_be_told_says_why() -> None:
    told = dict.fromkeys(Outcome, 0)
    catalog = Catalog("en", strict=True)
    for seed in range(150):
        read = read_job(wild(seed))
        found = assess(read.job, open_book(read.job.job.code.edition))
        for check in found.sources.checks:
            if check.id.partition(".")[0] not in ("transfer", "signal"):
                continue
            told[check.outcome] += 1
            assert "[" not in catalog.say(check.say), (seed, check.say)
            assert (check.outcome is Outcome.CANNOT_TELL) == bool(check.missing), (seed, check.id, check.say)
            assert all(catalog.say(m.what) and catalog.say(m.how) and m.path for m in check.missing)
        for each in found.sources.neutral:
            assert (each.outcome is Outcome.CANNOT_TELL) == bool(each.missing), (seed, each)
        sheet = source_sheet(found.at, found.sources, SheetHead("Wild", "", read.job.job.code.edition))
        assert sheet is not None and sheet_html(sheet, catalog)
    assert all(count > 20 for count in told.values()), told


@pytest.mark.parametrize("seed", range(3))
def test_an_answer_is_the_same_twice(seed: int) -> None:
    job = read_job(wild(seed)).job
    first, second = (assess(job, open_book(job.job.code.edition)).sources for _ in range(2))
    assert [(c.id, c.thing, c.outcome, c.say) for c in first.checks] == [
        (c.id, c.thing, c.outcome, c.say) for c in second.checks
    ]
