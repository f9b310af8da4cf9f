"""Nonsense on file: each ends in a check or a problem of the reader, with place and remedy; nothing crashes or passes.

Every kind of slip is planted alone, then 500 houses get several at once, by seed.
"""

from __future__ import annotations

import copy
import random
from collections.abc import Callable
from typing import Any

import pytest

from deadfront.assess import assess
from deadfront.assess.run import Assessment
from deadfront.circuits.rules.registry import check_ids
from deadfront.codebook import EDITIONS, open_book
from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.documents.circuit_sheets.together import circuit_sheets
from deadfront.documents.findings import finding_text
from deadfront.job.house import house_at
from deadfront.job.model import Job
from deadfront.job.read import read_job
from deadfront.worksheet.check import Check, Outcome
from tests.documents.test_circuit_sheets import HEAD

House = dict[str, Any]
CATALOGS = [Catalog(language, strict=True) for language in LANGUAGES]
SOUND = {"type": "NM-B", "size": "12", "metal": "copper", "conductors": 2, "length_ft": 40, "runs": ["wall"],
         "terminals_c": 75, "ground": "wire", "ground_size": "12"}  # fmt: skip
RUN = ("circuit.conductor", "circuit.breaker", "circuit.ground", "circuit.load", "circuit.voltage_drop")
FED = ("feeder.conductor", "feeder.breaker", "feeder.ground")


def sound() -> House:
    """A house of two panels, a feeder, four circuits, with nothing wrong in what the slips touch."""
    feeder = {"type": "SER", "size": "4", "metal": "copper", "conductors": 3, "length_ft": 60, "runs": ["wall"],
              "terminals_c": 75, "ground": "wire", "ground_size": "8"}  # fmt: skip
    return {
        "complete": {"panels": "yes", "breakers": "yes", "circuits": "yes"},
        "panels": [{"id": "p-aa", "fed_by": "service", "spaces": 30},
                   {"id": "p-bb", "fed_by": "b-05", "spaces": 12, "feeder": feeder}],
        "breakers": [{"id": f"b-0{n}", "panel": "p-aa" if n < 3 else "p-bb", "spaces": [n], "poles": 1, "rating_a": 20}
                     for n in range(1, 5)]
                    + [{"id": "b-05", "panel": "p-aa", "spaces": [5, 7], "poles": 2, "rating_a": 60, "role": "feeder"}],
        "circuits": [{"id": f"c-0{n}", "breaker": f"b-0{n}", "cable": dict(SOUND), "purpose": "individual"}
                     for n in range(1, 5)],
        "loads": [{"id": f"l-0{n}", "kind": "other", "circuit": f"c-0{n}", "nameplate_w": 1200, "volts": 120}
                  for n in range(1, 5)],
    }  # fmt: skip


def breaker(house: House, number: int) -> House:
    return next(each for each in house["breakers"] if each["id"] == f"b-0{number}")


def circuit(house: House, number: int) -> House:
    return next(each for each in house["circuits"] if each["id"] == f"c-0{number}")


# --- slips: what is done to circuit N, the check that says it, the checks that must not pass it -----------------------
Slip = Callable[[House, int], None]


def _gone(house: House, n: int) -> None:
    circuit(house, n)["breaker"] = "b-99"


def _no_breaker(house: House, n: int) -> None:
    del circuit(house, n)["breaker"]


def _no_panel(house: House, n: int) -> None:
    del breaker(house, n)["panel"]


def _panel_gone(house: House, n: int) -> None:
    breaker(house, n)["panel"] = "p-zz"


def _two_places(house: House, n: int) -> None:
    breaker(house, n)["spaces"] = breaker(house, n % 4 + 1)["spaces"]
    breaker(house, n)["panel"] = breaker(house, n % 4 + 1).get("panel", "p-aa")


def _one_space(house: House, n: int) -> None:
    breaker(house, n)["poles"] = 2


def _beyond(house: House, n: int) -> None:
    breaker(house, n)["spaces"] = [84]


def _not_beside(house: House, n: int) -> None:
    breaker(house, n).update(spaces=[1, 10], poles=2)


def _zero(house: House, n: int) -> None:
    circuit(house, n)["cable"]["length_ft"] = 0


def _no_length(house: House, n: int) -> None:
    circuit(house, n)["cable"].pop("length_ft", None)


def _nonsense(house: House, n: int) -> None:
    circuit(house, n)["cable"]["type"] = "garden hose"


def _no_size(house: House, n: int) -> None:
    circuit(house, n)["cable"].pop("size", None)


def _thin(house: House, n: int) -> None:
    circuit(house, n)["cable"].update(size="18", ground_size="18")


def _thin_aluminum(house: House, n: int) -> None:
    circuit(house, n)["cable"].update(size="16", metal="aluminum")


def _odd_rating(house: House, n: int) -> None:
    breaker(house, n)["rating_a"] = 37


def _huge(house: House, n: int) -> None:
    breaker(house, n)["rating_a"] = 6000


def _no_rating(house: House, n: int) -> None:
    breaker(house, n).pop("rating_a", None)


def _shared(house: House, n: int) -> None:
    for other in (n % 4 + 1, (n + 1) % 4 + 1):
        circuit(house, other)["breaker"] = f"b-0{n}"


def _hot(house: House, n: int) -> None:
    circuit(house, n)["cable"]["ambient_c"] = 300


def _raceway_gone(house: House, n: int) -> None:
    circuit(house, n)["cable"].update(type="THWN-2", raceway="r-99", ground="raceway")


SLIPS: dict[str, tuple[Slip, str, tuple[str, ...]]] = {
    "breaker not there": (_gone, "circuit.orphan", RUN),
    "no breaker": (_no_breaker, "circuit.orphan", RUN),
    "breaker in no panel": (_no_panel, "circuit.orphan", ("circuit.orphan", "circuit.topology")),
    "panel not there": (_panel_gone, "circuit.orphan", ("circuit.orphan", "circuit.topology")),
    "a space taken twice": (_two_places, "circuit.topology", ("circuit.topology",)),
    "two poles in one space": (_one_space, "circuit.topology", ("circuit.topology",)),
    "a space beyond the panel": (_beyond, "circuit.topology", ("circuit.topology",)),
    "spaces apart": (_not_beside, "circuit.topology", ("circuit.topology",)),
    "length of zero": (_zero, "circuit.length", ("circuit.voltage_drop", "circuit.length")),
    "no length": (_no_length, "circuit.voltage_drop", ("circuit.voltage_drop",)),
    "no such cable": (_nonsense, "circuit.conductor", ("circuit.conductor", "circuit.cable_place")),
    "no size": (_no_size, "circuit.conductor", ("circuit.conductor", "circuit.voltage_drop")),
    "wire too thin": (_thin, "circuit.conductor", ("circuit.conductor", "circuit.ground")),
    "aluminum not made": (_thin_aluminum, "circuit.device", ("circuit.conductor", "circuit.device")),
    "no such rating": (_odd_rating, "circuit.device", ("circuit.device", "circuit.conductor")),
    "breaker far too large": (_huge, "circuit.conductor", ("circuit.conductor",)),
    "no rating": (_no_rating, "circuit.conductor", ("circuit.conductor", "circuit.breaker", "circuit.ground")),
    "three circuits on one breaker": (_shared, "circuit.device", ("circuit.device",)),
    "hotter than any wire": (_hot, "circuit.conductor", ("circuit.conductor",)),
    "raceway not there": (_raceway_gone, "circuit.ground", ("circuit.ground",)),
}


def answered(parts: House, edition: str = "2023", new: bool = True) -> tuple[Job, Assessment]:
    """The assessment of a house that the work makes, or of one as found."""
    service = {"system": "120/240 1ph 3w", "disconnect": {"rating_a": 200}}
    before = {"service": service} if new else {"service": service, **parts}
    if new:
        before["complete"] = parts["complete"]
    added = {key: value for key, value in parts.items() if key != "complete"}
    job = Job.model_validate({
        "job": {"format": 1, "name": "house", "code": {"edition": edition}, "existing": True}, "before": before,
        "work": [{"id": "w-01a", "say": "work", "add": added}] if new else [],
    })  # fmt: skip
    return job, assess(job, open_book(edition))


def about(checks: tuple[Check, ...], n: int) -> list[Check]:
    """Checks of circuit N, of its breaker and of what stands on it."""
    return [check for check in checks if check.thing in (f"c-0{n}", f"b-0{n}", f"l-0{n}")]


def said_in_full(checks: tuple[Check, ...], catalogs: list[Catalog]) -> None:
    """Every finding has its words, its remedy or what would tell it."""
    own = set(check_ids())
    for check in checks:
        if check.id in own:
            assert check.outcome is not Outcome.CANNOT_TELL or check.missing, check.say
            assert check.outcome is not Outcome.FAILS or check.remedy is not None, check.say
            for catalog in catalogs:
                assert finding_text(check, catalog).say


def test_the_sound_house_has_none_of_these() -> None:
    _, found = answered(sound())
    ids = {ident for _, ident, _ in SLIPS.values()} - {"circuit.voltage_drop"}
    bad = [check.say for n in range(1, 5) for check in about(found.checks, n) if check.id in ids and check.is_finding]
    assert bad == []


@pytest.mark.parametrize("new", [True, False])
@pytest.mark.parametrize("slip", SLIPS)
def test_each_slip_is_said_with_place_and_remedy(slip: str, new: bool) -> None:
    plant, ident, never = SLIPS[slip]
    house = sound()
    plant(house, 2)
    _, found = answered(house, new=new)
    own = about(found.checks, 2)
    assert not [c.say for c in own if c.id in never and c.outcome is Outcome.MEETS]
    if new:
        told = [c for c in own if c.id == ident and c.is_finding]
        assert told, f"nothing says: {slip}"
        assert all(c.remedy is not None or c.missing for c in told)
    said_in_full(found.checks, CATALOGS)


def test_a_ring_of_feeders() -> None:
    house = sound()
    house["panels"][0]["fed_by"] = "b-03"
    _, found = answered(house)
    ring = next(check for check in found.checks if check.id == "feeder.ring")
    assert ring.outcome is Outcome.FAILS and ring.remedy is not None
    assert not [c.say for c in found.checks if c.id == "circuit.voltage_drop" and c.outcome is Outcome.MEETS]


def test_a_feeder_of_nonsense() -> None:
    for field, value in (("type", "garden hose"), ("size", "18"), ("length_ft", 0)):
        house = sound()
        house["panels"][1]["feeder"][field] = value
        _, found = answered(house)
        own = [check for check in found.checks if check.thing == "p-bb" and check.is_finding]
        assert own and (field == "length_ft" or not [
            c for c in found.checks
            if c.id == "feeder.conductor" and c.thing == "p-bb" and c.outcome is Outcome.MEETS
        ])  # fmt: skip


@pytest.mark.parametrize("seed", range(20))
def test_several_slips_at_once(seed: int) -> None:
    """25 houses each: never a crash, never a pass of the broken circuit, all in words."""
    chance = random.Random(seed)
    for _ in range(25):
        house, planted = sound(), []
        for n in chance.sample(range(1, 5), chance.randint(1, 4)):
            planted.append((n, chance.choice(list(SLIPS))))
            SLIPS[planted[-1][1]][0](house, n)
        if chance.random() < 0.2:
            house["panels"][0]["fed_by"] = chance.choice(("b-03", "b-99", "p-aa"))
        if chance.random() < 0.2:
            house["panels"][1]["feeder"] = {"type": "garden hose", "length_ft": 0, "size": chance.choice(("18", "4"))}
        job, found = answered(copy.deepcopy(house), chance.choice(EDITIONS), chance.random() < 0.7)
        moved = {other for n, slip in planted if slip == "three circuits on one breaker" for other in (1, 2, 3, 4)}
        for n, slip in planted:
            own = about(found.checks, n)
            never = () if n in moved else SLIPS[slip][2]
            assert not [c.say for c in own if c.id in never and c.outcome is Outcome.MEETS], (slip, planted)
        said_in_full(found.checks, CATALOGS[:1])
        assert circuit_sheets(house_at(job), found.circuits, HEAD)


# --- what the reader refuses -----------------------------------------------------------------------------------------
FILE = """[job]
format = 1
name = "Slips"
code.edition = "2023"
[[before.panels]]
id = "p-aa"
fed_by = "service"
[[before.breakers]]
id = "b-01"
panel = "p-aa"
{breaker}
[[before.circuits]]
id = "c-01"
breaker = "b-01"
cable = {{ {cable} }}
"""


@pytest.mark.parametrize(
    ("line", "cable", "word"),
    [
        ("rating_a = -20", 'size = "12"', "rating"),
        ("rating_a = 0", 'size = "12"', "rating"),
        ("rating_a = 20", "length_ft = -5", "length"),
        ("rating_a = 20", 'size = "13"', "size"),
        ("rating_a = 20", 'size = "12", metal = "steel"', "metal"),
        ("rating_a = 20", 'size = "12", conductors = 0', "conductors"),
        ("rating_a = 20", 'size = "12", sets = 0', "sets"),
        ("rating_a = 20\npoles = 3", 'size = "12"', "poles"),
        ("rating_a = 20\nspaces = [0]", 'size = "12"', "spaces"),
        ("rating_a = 20\nspaces = [-1]", 'size = "12"', "spaces"),
        ('rating_a = "many"', 'size = "12"', "rating"),
        ("rating_a = nan", 'size = "12"', "rating"),
        ("rating_a = 20", 'size = "12", runs = ["the moon"]', "runs"),
        ("rating_a = 20", 'size = "12", terminals_c = 90', "terminals"),
    ],
)
def test_what_cannot_be_is_refused_with_line_and_field(line: str, cable: str, word: str) -> None:
    read = read_job(FILE.format(breaker=line, cable=cable))
    problem = read.problems[0]
    assert problem.line is not None and problem.line > 4
    for catalog in CATALOGS:
        assert word in catalog.say(problem.msg).lower() or word in str(problem.msg.params).lower()
    assert not any(check.outcome is Outcome.MEETS and check.thing in ("c-01", "b-01") and check.id in RUN
                   for check in assess(read.job, open_book("2023")).checks)  # fmt: skip


def test_a_count_of_disconnects_names_no_thing() -> None:
    """A structure's disconnects are a number; those of a source are things of the job."""
    text = FILE.format(breaker="rating_a = 20", cable='size = "12"')
    read = read_job(text + '[[before.structures]]\nid = "s-01"\ndisconnects = 1\n')
    assert read.problems == () and read.job.before.structures[0].disconnects == 1
