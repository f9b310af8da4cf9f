"""Two engines, one written from the digest of the rules alone: 500 invented houses an edition, every method equal.

Origin of every expected figure: independent (tests/oracle).
"""

from __future__ import annotations

import pytest

from deadfront.codebook.editions import EDITIONS
from deadfront.job.house import house_at
from deadfront.loads.rules.answer import load_answer
from deadfront.loads.rules.items import items_of
from deadfront.loads.rules.methods import ORDER, method
from deadfront.loads.rules.service import service_limit
from tests.loads.compare import Agreement, compare_many
from tests.loads.from_case import context_of, house_of, job_of
from tests.oracle.houses import random_case

HOUSES = range(500)

# What 2,500 houses must have exercised at least so often. Counts that fall short mean a comparison of nothing.
LEAST = {
    "method: standard": 2000, "method: optional": 1000, "method: existing": 500, "method: two_family": 100,
    "method: multifamily": 100, "amperes: 120/240": 2000, "amperes: 208Y/120 3ph": 100,
    "amperes: two legs of a wye, not below": 100,
    "path: cooking: own columns": 300,
    "path: cooking: all column c": 20, "path: cooking: all c": 100, "path: cooking: column a": 50,
    "path: cooking: column b": 100, "path: cooking: column c": 300, "path: cooking: over 12 kW": 500,
    "path: cooking: none in the table": 50, "path: dryers: three phases": 100, "path: dryers: under 100 percent": 100,
    "path: fastened: three quarters": 1000, "path: heat: four or more at 40 percent": 100,
    "path: heat: fewer than four at 65 percent": 50, "path: neutral over 200 A": 100,
    "path: two-family: by three units": 50, "path: two-family: by the standard method": 20,
    "reading: cooking_demand = larger": 300, "reading: cooking_demand = note_2_all": 200,
    "reading: cooking_demand = own_columns": 200, "reading: evse_in_existing = larger": 30,
    "reading: evse_in_existing = pool_at_least_7200": 15, "reading: evse_in_existing = pool_nameplate": 15,
    "reading: evse_in_optional = larger": 50, "reading: evse_in_optional = pool_at_least_7200": 25,
    "reading: evse_in_optional = pool_nameplate": 25, "reading: existing_hvac = larger": 100,
    "reading: existing_hvac = larger_at_100": 50, "reading: existing_hvac = both_in_pool": 50,
    "reading: existing_hvac = left_out": 50, "reading: noncoincident_loads = larger": 200,
    "reading: noncoincident_loads = per_alternative": 100, "reading: noncoincident_loads = quarter_of_dropped": 100,
    "refused: existing, Table 120.83 is not confirmed": 100, "refused: existing, the house does not exist yet": 100,
    "refused: optional, the service or feeder is under 100 A": 100,
    "refused: multifamily, 120.84 and 120.85 are not confirmed": 10,
    "refused: multifamily, a unit has no electric cooking": 10,
}  # fmt: skip


@pytest.fixture(scope="module")
def found() -> dict[str, Agreement]:
    """The comparison of every edition, done once."""
    return {edition: compare_many(edition, HOUSES) for edition in EDITIONS}


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_method_agrees(edition: str, found: dict[str, Agreement]) -> None:
    """Totals, neutral, amperes, next standard service and refusals."""
    assert found[edition].counts["houses"] == len(HOUSES)
    assert found[edition].differences == []


def test_the_counts_are_not_trivial(found: dict[str, Agreement]) -> None:
    """Every method, reading and path through the rules was met often enough to mean something."""
    every = Agreement()
    for one in found.values():
        every.add(one)
    print("\n".join(f"{every.counts[name]:6d}  {name}" for name in sorted(every.counts)))
    short = {name: (every.counts[name], least) for name, least in LEAST.items() if every.counts[name] < least}
    assert short == {}
    assert every.counts["not compared: mixed ratings on a 3-phase system"] < 0.02 * every.counts["houses"]


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_quick_house_is_the_checked_job(edition: str) -> None:
    """The houses compared are what a job file with the same facts gives, tags and paths too."""
    for seed in range(12):
        case = random_case(seed, edition)
        quick, whole = house_of(case), house_at(job_of(case))
        assert quick.step == whole.step
        assert dict(quick.tags) == dict(whole.tags)
        assert quick.house.model_dump() == whole.house.model_dump()


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_whole_answer_holds_the_same_methods(edition: str) -> None:
    """The methods asked for one by one are those of the load answer."""
    for seed in range(8):
        context = context_of(random_case(seed, edition))
        items, limit = items_of(context), service_limit(context)
        answer = load_answer(context)
        for key in ORDER:
            alone, together = method(context, key, items, limit), answer.method(key)
            assert together is not None
            assert (alone.verdict, alone.admissible) == (together.verdict, together.admissible)
            assert (alone.total and alone.total.value) == (together.total and together.total.value)
