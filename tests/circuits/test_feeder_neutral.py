"""The size of a feeder's neutral: the published case, by hand, and what is not known."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from deadfront.circuits.rules.each.feeder_neutral_size import checks
from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.worksheet.check import Check, Outcome, Severity
from tests.circuits.runs_made import facts_from

CASES = Path(__file__).parent.parent / "published" / "circuits_and_sources.json"
FEEDER = {"type": "THWN-2", "metal": "copper", "runs": ["wall"], "terminals_c": 75, "conductors": 3}
MAIN = {"id": "p-aa", "fed_by": "service", "spaces": 40}


def of(rating_a: int | None, load_a: float | None = None, new: bool = True, **feeder: Any) -> list[Check]:
    """The checks of a feeder with that breaker, neutral load and conductors."""
    panel = {"id": "p-bb", "fed_by": "b-01", "feeder": {**FEEDER, **feeder}}
    panel |= {} if load_a is None else {"neutral_load_a": load_a}
    breaker = {"id": "b-01", "panel": "p-aa", "poles": 2, "spaces": [1, 3]}
    breaker |= {} if rating_a is None else {"rating_a": rating_a}
    parts = {"panels": [panel], "breakers": [breaker]}
    if new:
        return list(checks(facts_from({"panels": [MAIN]}, add=parts)))
    return list(checks(facts_from({"panels": [MAIN, panel], "breakers": [breaker]})))


def told(*args: Any, **more: Any) -> list[tuple[str, str]]:
    return [(c.outcome.name, c.say.key.rsplit(".", 1)[1]) for c in of(*args, **more)]


def test_published_con_02() -> None:
    """Published, CON-02: 250 kcmil on 250 A with 50 A unbalanced: 8 AWG for the load, 4 AWG by the 300 A row."""
    case = next(each for each in json.loads(CASES.read_text()) if each["id"] == "CON-02")
    rating_a, load_a = case["inputs"]["ocpd_A"], case["inputs"]["unbalanced_A"]
    least = case["result"]["size"].removesuffix(" AWG")
    assert told(rating_a, load_a, size="250", neutral_size=least) == [("MEETS", "meets")]
    (small,) = of(rating_a, load_a, size="250", neutral_size="6")
    assert small.outcome is Outcome.FAILS and small.say.params["wanted"] == least == "4"


def test_the_load_asks_for_more_than_the_floor() -> None:
    """Hand: 100 A asks 8 AWG by the table; 60 A unbalanced asks 6 AWG copper, 65 A at 75 C."""
    assert told(100, 60, size="3", neutral_size="6") == [("MEETS", "meets")]
    (burns,) = of(100, 60, size="3", neutral_size="8")
    assert (burns.say.key.rsplit(".", 1)[1], burns.severity) == ("fails_load", Severity.DANGER)  # 8 AWG: 50 A


def test_an_unknown_load_is_asked_only_where_the_neutral_is_smaller() -> None:
    (open_,) = of(100, size="3", neutral_size="6")
    assert open_.outcome is Outcome.CANNOT_TELL and [m.path for m in open_.missing] == ["w-01a/p-bb.neutral_load_a"]
    assert told(100, size="3", neutral_size="3") == told(100, size="3") == []
    assert told(60, size="3", neutral_size="4") == [("MEETS", "meets")]  # 4 AWG 85 A: all that the breaker lets through


def test_an_old_feeder_is_judged_only_by_a_load_that_burns_its_neutral() -> None:
    assert told(100, size="3", neutral_size="10", new=False) == told(100, 40, False, size="3", neutral_size="8") == []
    assert told(100, 60, False, size="3", neutral_size="8") == [("FAILS", "fails_load")]


def test_a_full_size_neutral_with_too_much_on_it() -> None:
    """Hand: 8 AWG copper carries 50 A at 75 C."""
    assert told(50, 60, size="8") == [("FAILS", "fails_load")] and told(50, 40, size="8") == [("MEETS", "meets")]


def test_what_is_not_known_of_it() -> None:
    (unread,) = of(None, 30, size="3", neutral_size="6")
    assert unread.outcome is Outcome.CANNOT_TELL and "w-01a/b-01.rating_a" in {m.path for m in unread.missing}
    (metal,) = of(200, 30, metal=None, size="3/0", neutral_size="6")  # table: 6 copper, 4 aluminum
    assert metal.outcome is Outcome.CANNOT_TELL and "w-01a/p-bb.feeder.metal" in {m.path for m in metal.missing}
    (any_metal,) = of(200, 30, metal=None, size="3/0", neutral_size="4")
    assert any_metal.outcome is Outcome.MEETS and any_metal.say.params["wanted"] == "4"


def test_parallel_neutrals_are_1_0_at_least() -> None:
    """From memory, 310.10(G): no set below 1/0; hand: two of 1/0 have more than the 1/0 that 800 A ask for."""
    assert told(400, 50, size="3/0", neutral_size="2", sets=2) == [("FAILS", "fails")]
    assert told(400, 50, size="3/0", neutral_size="1/0", sets=2) == [("MEETS", "meets")]


@pytest.mark.parametrize("language", LANGUAGES)
def test_words(language: str) -> None:
    catalog = Catalog(language, strict=True)
    for made in (of(100, 60, size="3", neutral_size="6"), of(100, 60, size="3", neutral_size="8"),
                 of(250, 50, size="250", neutral_size="6"), of(100, size="3", neutral_size="6")):  # fmt: skip
        for check in made:
            assert "[" not in catalog.say(check.say) and (check.remedy is None or catalog.say(check.remedy))
            assert all(catalog.say(each.what) and catalog.say(each.how) for each in check.missing)
            assert check.step is None or all(catalog.say(each.name) for each in check.step.walk())
