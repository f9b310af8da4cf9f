"""Houses put together by chance: rings, things not there, facts left out; nothing breaks, nothing open passes."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.codebook import EDITIONS
from deadfront.documents.catalog import Catalog
from deadfront.worksheet.check import Outcome
from tests.sources.made import answer, bus_of, option, panel

IDS = ["service", "b-01", "b-02", "b-03", "k-01", "t-01", "s-01", "s-02", None]
PANELS, BREAKERS = ["p-aa", "p-bb", "p-cc"], ["b-01", "b-02", "b-03", "b-04", "b-05"]


def some(**fields: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    """A thing with each field there or left out."""
    return st.fixed_dictionaries({}, optional=fields)


ids, amperes = st.sampled_from([each for each in IDS if each]), st.integers(15, 225)
panels = some(fed_by=st.sampled_from(["service", "b-01", "b-02", "k-01", "t-01"]), bus_a=amperes, spaces=st.just(12),
              main_at=st.sampled_from(["top", "bottom", "center", "none"]), lugs_at=st.just("top"))  # fmt: skip
breakers = some(panel=st.sampled_from(PANELS), rating_a=amperes, poles=st.sampled_from([1, 2]),
                kept_apart=st.booleans(), spaces=st.sampled_from([[1, 3], [10, 12], [6]]),
                role=st.sampled_from(["branch", "main", "feeder", "source"]))  # fmt: skip
modules = some(in_series=st.integers(0, 20), strings=st.integers(0, 4), open_volts_v=st.integers(20, 60),
               open_percent_per_c=st.sampled_from([-0.3, 0.3]), short_circuit_a=st.integers(5, 15),
               crystalline=st.booleans(), fuse_max_a=st.just(20))  # fmt: skip
sources = some(
    output_a=st.integers(0, 100), output_w=st.integers(0, 20000), volts=st.sampled_from([120, 240]),
    breaker=st.sampled_from(BREAKERS), feeder_of=st.sampled_from(PANELS), at_far_end=st.booleans(),
    joins=st.sampled_from(["breaker", "supply side", "feeder", "transfer"]), interactive=st.booleans(),
    listed=st.booleans(), control_limit_a=st.integers(1, 60), managed_by=st.just("e-01"), tap_ft=st.integers(0, 30),
    disconnects=st.sampled_from([["k-01"], ["b-03", "k-01"], []]), modules=st.lists(modules, max_size=2),
    lowest_c=st.integers(-60, 30), input_max_v=st.integers(100, 1000), output_breaker_a=amperes,
    location=st.sampled_from(["roof", "ground", "garage", "living space"]), portable=st.booleans(),
    cable=some(size=st.sampled_from(["14", "10", "6", "4/0"]), metal=st.sampled_from(["copper", "aluminum"]),
               type=st.sampled_from(["NM-B", "THWN-2", "odd"]), terminals_c=st.sampled_from([60, 75]),
               ambient_c=st.integers(10, 90), bundled=st.integers(0, 40)),
)  # fmt: skip
kinds = st.sampled_from(["solar", "battery", "generator", "vehicle", "inlet"])
transfers = some(normal=ids, alternate=st.lists(st.sampled_from(["s-01", "s-02", "k-01", "b-03"]), max_size=2),
                 held_apart=st.lists(st.sampled_from(["service", "b-01", "b-02"]), max_size=2),
                 excludes=st.booleans())  # fmt: skip
transfer_kinds = st.sampled_from(["manual switch", "automatic switch", "interlock", "isolation device"])


@st.composite
def houses(draw: st.DrawFn) -> tuple[dict[str, Any], dict[str, Any]]:
    """A house as found, and the sources that the work adds."""
    made = [{"id": name, "kind": draw(kinds), **draw(sources)} for name in ("s-01", "s-02")]
    found = {
        "panels": [{"id": name, **draw(panels)} for name in PANELS[: draw(st.integers(1, 3))]],
        "breakers": [{"id": name, **draw(breakers)} for name in BREAKERS],
        "switches": [{"id": "k-01", **draw(some(fed_by=ids, fuse_a=amperes, lockable=st.booleans()))}],
        "transfers": [{"id": "t-01", "kind": draw(transfer_kinds), **draw(transfers)}],
        "energy_management": [{"id": "e-01", **draw(some(listed=st.booleans(), restricted_access=st.booleans()))}],
        "service": draw(some(system=st.sampled_from(["120/240 1ph 3w", "208Y/120 3ph 4w"]),
                             disconnect=st.just({"rating_a": 200}))),
        "complete": draw(some(breakers=st.sampled_from(["yes", "no", "unknown"]))),
    }  # fmt: skip
    return found, {"sources": made}


@settings(max_examples=60, deadline=None)
@given(houses(), st.sampled_from(EDITIONS), st.sampled_from(["en", "es"]))
def test_no_house_breaks_it_and_every_word_is_written(
    made: tuple[dict[str, Any], dict[str, Any]], edition: str, language: str
) -> None:
    found, add = made
    result, catalog = answer(found, edition, add=add), Catalog(language, strict=True)
    for check in result.checks:
        assert catalog.say(check.say) and (check.remedy is None or catalog.say(check.remedy))
        assert all(catalog.say(each.what) and catalog.say(each.how) for each in check.missing)
    for bus in result.buses:
        assert bus.options and catalog.say(bus.name)
        best = {each.outcome for each in bus.options}
        assert (bus.outcome is Outcome.MEETS) == (Outcome.MEETS in best)
        for each in bus.options:
            assert catalog.say(each.name) and all(catalog.say(way.say) for way in each.ways)
            if each.outcome is Outcome.MEETS:
                assert each.used is not None and each.limit is not None and each.used.value.high is not None
                assert each.used.value.high <= each.limit.value.low and not each.missing
            if each.outcome is Outcome.CANNOT_TELL:
                assert each.missing, (each.key, bus.of)


FACTS = [("panels", 0, "bus_a"), ("panels", 0, "main_at"), ("panels", 0, "spaces"), ("breakers", 1, "spaces"),
         ("sources", 0, "output_a")]  # fmt: skip


@pytest.mark.parametrize(("collection", "index", "fact"), FACTS)
def test_taking_away_a_fact_that_counts_never_leaves_a_pass(collection: str, index: int, fact: str) -> None:
    """Opposite ends stands on all of these: without one it is open, never met."""
    large = {"id": "b-09", "panel": "p-aa", "spaces": [9, 11], "poles": 2, "rating_a": 250}
    house = panel(breakers=[large])
    assert option(bus_of(answer(house)), "opposite_end").outcome is Outcome.MEETS
    del house[collection][index][fact]
    bus = bus_of(answer(house))
    assert option(bus, "opposite_end").outcome is Outcome.CANNOT_TELL and bus.outcome is Outcome.CANNOT_TELL
