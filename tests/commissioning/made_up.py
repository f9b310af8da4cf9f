"""An invented house with a new circuit, its records written as a job file says them."""

from __future__ import annotations

from deadfront.codebook.book import open_book
from deadfront.commissioning.rules.answer import commissioning_answer
from deadfront.commissioning.rules.facts import Facts
from deadfront.job.house import house_at
from deadfront.job.read import read_job
from deadfront.results.circuits import CircuitsResult
from deadfront.results.commissioning import CommissioningResult, TestAnswer

HEAD = """
[job]
format = 1
name = "Test house"
code.edition = "{edition}"

[before.service]
system = "{system}"
disconnect = {{ rating_a = 200 }}
[[before.panels]]
id = "p-1aa"
name = "Main panel"
fed_by = "service"
spaces = 30
[[before.panels]]
id = "p-2bb"
name = "Garage panel"
fed_by = "b-9ff"
[[before.breakers]]
id = "b-9ff"
panel = "p-1aa"
spaces = [1, 3]
rating_a = 60
poles = 2
[[before.circuits]]
id = "c-7aa"
name = "Disposal"
shares_neutral_with = "c-7bb"
[[before.circuits]]
id = "c-7bb"
name = "Dishwasher"
shares_neutral_with = "c-7aa"
[[before.instruments]]
id = "ins-1m"
name = "Meter 1"
kind = "multimeter"
category = "CAT IV"
calibrated_on = 2026-01-10
calibration_months = 12
[[before.instruments]]
id = "ins-2i"
kind = "insulation tester"
calibrated_on = 2026-01-10
calibration_months = 12
[[before.instruments]]
id = "ins-3t"
name = "Driver 3"
kind = "torque tool"
from_lbf_in = 20
upto_lbf_in = 80
calibrated_on = 2026-01-10
calibration_months = 12

[[work]]
id = "w-1aa"
say = "New circuit"
[[work.add.breakers]]
id = "b-1aa"
panel = "p-1aa"
spaces = [2]
rating_a = 20
poles = 1
protection = "both"
[[work.add.circuits]]
id = "c-1aa"
name = "Workshop"
breaker = "b-1aa"
[[work.add.outlets]]
id = "x-1aa"
circuit = "c-1aa"
kind = "receptacle"
"""


def record(test: str, thing: str, readings: dict[str, str], ident: str = "rec-1a", **more: str) -> str:
    """A record of a test, as left, whole unless `more` says otherwise."""
    fields = {"instruments": '["ins-1m", "ins-2i"]', "who": '"J. R."', "on": "2026-06-01", "photo": '"ph-1"', **more}
    said = "\n".join(f'{key} = "{value}"' for key, value in readings.items())
    told = "\n".join(f"{key} = {value}" for key, value in fields.items() if value)
    return (f'[[work.add.records]]\nid = "{ident}"\ntest = "{test}"\nthing = "{thing}"\n{told}\n'
            f"[work.add.records.readings]\n{said}\n")  # fmt: skip


def answered(
    *more: str, edition: str = "2023", system: str = "120/240 1ph 3w", outside: str = ""
) -> CommissioningResult:  # fmt: skip
    """What commissioning makes of the house with these records."""
    head = HEAD.format(edition=edition, system=system).replace("[[before.panels]]", f"{outside}[[before.panels]]", 1)
    text = head + "\n".join(more)
    read = read_job(text)
    assert not read.problems, read.problems
    return commissioning_answer(Facts(open_book(edition), house_at(read.job), CircuitsResult()))


def one(test: str, thing: str, readings: dict[str, str], *, system: str = "120/240 1ph 3w", **more: str) -> TestAnswer:
    """The answer of one test with these readings."""
    result = answered(record(test, thing, readings, **more), system=system)
    found = [each for each in result.of(test, thing) if each.record]
    assert len(found) == 1
    return found[0]
