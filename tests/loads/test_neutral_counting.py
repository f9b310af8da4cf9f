"""The neutral where it hangs on a size not known whether four appliances count: a range that holds both."""

from __future__ import annotations

from decimal import Decimal

import pytest

from deadfront.assess.run import assess
from deadfront.codebook.book import open_book
from deadfront.job.read import read_job
from deadfront.quantities import Interval

HOUSE = """
[job]
format = 1
name = "Counting"
code.edition = "{edition}"
[before]
complete = {{ loads = "yes", units = "yes", panels = "yes", breakers = "yes", circuits = "yes" }}
[before.service]
system = "120/240 1ph 3w"
disconnect = {{ rating_a = 200 }}
[[before.panels]]
id = "p-1aa"
fed_by = "service"
[[before.units]]
id = "u-1aa"
floor_area_ft2 = 2000
small_appliance_circuits = 2
laundry_circuits = 1
[[before.breakers]]
id = "b-1aa"
panel = "p-1aa"
rating_a = 30
poles = 2
[[before.circuits]]
id = "c-1aa"
breaker = "b-1aa"
[[before.loads]]
id = "l-1aa"
kind = "water_heater"
circuit = "c-1aa"
volts = 240
neutral = false
{size}
[[before.loads]]
id = "l-2aa"
kind = "dishwasher"
quantity = 3
nameplate_va = 1200
"""


def neutral(edition: str, size: str) -> Interval:
    """The neutral load by the standard method [VA]."""
    read = read_job(HOUSE.format(edition=edition, size=size))
    assert not read.problems, read.problems
    found = assess(read.job, open_book(edition)).load.method("standard")
    assert found is not None and found.neutral is not None
    return found.neutral.value


@pytest.mark.parametrize("edition", ["2020", "2023", "2026"])
def test_both_counts_lie_in_the_range(edition: str) -> None:
    """Hand: three dishwashers of 1,200 VA on the neutral. With a heater of 4,500 VA four count, at 75 percent: 2,700;
    with one of 400 VA, below the 500 VA that count, three do: 3,600. The neutral differs by 900 VA."""
    large, small = neutral(edition, "nameplate_va = 4500"), neutral(edition, "nameplate_va = 400")
    assert large.exact and small.exact and small.low - large.low == Decimal(900)
    unknown = neutral(edition, "")
    assert unknown.low <= large.low
    assert unknown.high is not None and unknown.high >= small.low


def test_where_every_appliance_counts_the_neutral_is_exact() -> None:
    """Before 2020 no size is too small to count: the heater's own size changes nothing on the neutral."""
    assert neutral("2017", "") == neutral("2017", "nameplate_va = 400")
