"""Houses joined in ways that no house should be: rings, nothing known, two ways in, all of it drawn and readable."""

from __future__ import annotations

import io
import json
import random
import re
from collections import Counter
from xml.etree import ElementTree

import ezdxf
import pytest

from deadfront.documents.catalog import Catalog
from deadfront.documents.one_line.as_dxf import one_line_dxf
from deadfront.documents.one_line.as_svg import one_line_svg
from deadfront.documents.one_line.clashes import clashes
from deadfront.documents.one_line.made import one_line
from deadfront.documents.one_line.page import Drawing
from deadfront.documents.one_line.tree import tree_of
from deadfront.documents.one_line.twig import Twig
from deadfront.job.house import HouseAt, house_at
from deadfront.job.read import read_job
from deadfront.results.circuits import CircuitsResult
from deadfront.worksheet.sheet import SheetHead
from tests.documents.one_line_houses import house_text

ENGLISH = Catalog("en", strict=True)
HEAD = SheetHead("7 Rill Lane", "Marlow Falls", "2023")
START = '[job]\nname = "7 Rill Lane"\ncode.edition = "2023"\n[before.service]\nsystem = "120/240 1ph 3w"\n'
POINTS = re.compile(r'^(fed_by|normal|breaker|panel) = "[^"]*"$', re.M)


def at(text: str) -> HouseAt:
    return house_at(read_job(text).job)


def drawn(found: HouseAt) -> Drawing:
    return one_line(found, CircuitsResult(), ENGLISH, HEAD)


def twigs(found: HouseAt) -> list[Twig]:
    return [twig for root in tree_of(found.house)[0] for twig in root.all()]


def rewired(seed: int) -> str:
    """An invented house of which every third line that names another thing names some other thing, or nothing."""
    text, chance = house_text(seed % 50), random.Random(1000 + seed)
    ids = re.findall(r'^id = "([bpxst]-\d+)"', text, re.M)

    def other(match: re.Match[str]) -> str:
        if chance.random() > 0.33:
            return match[0]
        return "" if chance.random() < 0.3 else f'{match[1]} = "{chance.choice([*ids, "service"])}"'

    return POINTS.sub(other, text)


@pytest.mark.parametrize("seed", range(80))
def test_a_house_joined_at_random_is_drawn_whole_and_can_be_read(seed: int) -> None:
    found = at(rewired(seed))
    assert clashes(drawn(found)) == []
    held = Counter(twig.thing for twig in twigs(found) if twig.kind != "reference" and not twig.holds)
    for panel in found.house.panels:
        assert held[panel.id] >= 1, panel.id
    for source in found.house.sources:
        assert held[source.id] >= 1, source.id
    for switch in found.house.switches:
        assert held[switch.id] >= 1, switch.id


def test_rewired_houses_hold_rings_and_lost_things() -> None:
    """What makes the test above worth its time: of 80 houses, many with something in a ring or fed from nowhere."""
    kinds = Counter(kind for seed in range(80) for kind in {twig.kind for twig in twigs(at(rewired(seed)))})
    assert kinds["unknown"] >= 20 and kinds["reference"] >= 3


def test_a_panel_that_feeds_itself_is_drawn_once_and_goes_on_at_itself() -> None:
    ring = """
    [[before.panels]]
    id = "p-1aa"
    name = "Main panel"
    fed_by = "b-2aa"
    [[before.panels]]
    id = "p-2aa"
    name = "Garage panel"
    fed_by = "b-1aa"
    [[before.breakers]]
    id = "b-1aa"
    panel = "p-1aa"
    role = "feeder"
    [[before.breakers]]
    id = "b-2aa"
    panel = "p-2aa"
    role = "feeder"
    """
    found = at(START + re.sub(r"^ +", "", ring, flags=re.M))
    assert Counter(twig.kind for twig in twigs(found))["bus"] == 2
    words = drawn(found).told
    assert "goes on at" in words and clashes(drawn(found)) == []


def test_a_house_of_which_nothing_is_known_says_so() -> None:
    drawing = drawn(at('[job]\nname = "7 Rill Lane"\ncode.edition = "2023"\n'))
    assert ("service", "system") in drawing.asks and ("service", "rating_a") in drawing.asks
    assert "there may be more than is drawn" in " ".join(mark.say for mark in drawing.loose if hasattr(mark, "say"))


def test_transfer_equipment_at_the_meter_stands_between_meter_and_service_disconnect() -> None:
    text = START + re.sub(r"^ +", "", """
    [[before.meters]]
    id = "m-1aa"
    [[before.panels]]
    id = "p-1aa"
    fed_by = "service"
    [[before.transfers]]
    id = "t-1aa"
    kind = "meter-mounted"
    alternate = ["s-1aa"]
    [[before.sources]]
    id = "s-1aa"
    kind = "generator"
    joins = "transfer"
    """, flags=re.M)  # fmt: skip
    order = [twig.id for twig in twigs(at(text))]
    assert order.index("m-1aa") < order.index("t-1aa") < order.index("disconnect") < order.index("p-1aa")
    transfer = next(twig for twig in twigs(at(text)) if twig.id == "t-1aa")
    assert [twig.id for twig in transfer.beside] == ["s-1aa"]


def test_an_isolation_device_without_another_side_is_a_contact_in_a_frame() -> None:
    text = START + re.sub(r"^ +", "", """
    [[before.panels]]
    id = "p-1aa"
    fed_by = "service"
    [[before.breakers]]
    id = "b-1aa"
    panel = "p-1aa"
    role = "feeder"
    [[before.transfers]]
    id = "t-1aa"
    kind = "isolation device"
    normal = "b-1aa"
    [[before.panels]]
    id = "p-2aa"
    fed_by = "t-1aa"
    """, flags=re.M)  # fmt: skip
    assert next(twig.kind for twig in twigs(at(text)) if twig.id == "t-1aa") == "isolation"


def test_two_panels_at_one_service_part_below_the_disconnect() -> None:
    text = START + "".join(f'[[before.panels]]\nid = "p-{n}aa"\nfed_by = "service"\n' for n in (1, 2))
    disconnect = next(twig for twig in twigs(at(text)) if twig.id == "disconnect")
    assert [twig.thing for twig in disconnect.below] == ["p-1aa", "p-2aa"]


def test_a_source_joined_on_a_feeder_parts_from_it_between_breaker_and_panel() -> None:
    text = START + re.sub(r"^ +", "", """
    [[before.panels]]
    id = "p-1aa"
    fed_by = "service"
    [[before.breakers]]
    id = "b-1aa"
    panel = "p-1aa"
    role = "feeder"
    [[before.panels]]
    id = "p-2aa"
    fed_by = "b-1aa"
    [[before.sources]]
    id = "s-1aa"
    kind = "solar"
    joins = "feeder"
    feeder_of = "p-2aa"
    """, flags=re.M)  # fmt: skip
    joint = next(twig for twig in twigs(at(text)) if twig.kind == "point" and twig.place == "feeder/p-2aa")
    assert {twig.id for twig in joint.below} == {"p-2aa", "s-1aa"}


NASTY = ("W" * 120, "<b>&\"'", "\u202eright to left", "tab\there", "多用途 配線", "a" * 40 + " " + "é" * 60, "-" * 100)


@pytest.mark.parametrize("name", NASTY)
def test_names_of_any_kind_stay_in_their_place(name: str) -> None:
    """A name of one endless word, of marks, of signs that turn the line: readable, and whole files."""
    text = re.sub(r'^name = "[^"]*"$', lambda _: f"name = {json.dumps(name)}", house_text(9), flags=re.M)
    found = at(text.replace(f"name = {json.dumps(name)}", 'name = "7 Rill Lane"', 1))
    drawing = drawn(found)
    assert clashes(drawing) == []
    ElementTree.fromstring(one_line_svg(drawing))
    doc = ezdxf.read(io.StringIO(one_line_dxf(drawing).decode("utf-8")))
    assert not doc.audit().errors
