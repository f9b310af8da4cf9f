"""The one-line diagram: nothing over anything else, everything of the network in it, no figure that is not recorded."""

from __future__ import annotations

import io
import re
import sys
from collections import Counter
from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path as FilePath
from xml.etree import ElementTree

import ezdxf
import pytest

from deadfront.app.answers import Answered, answer, sheet_head
from deadfront.app.drawing import drawing_file, drawing_of
from deadfront.documents.catalog import Catalog
from deadfront.documents.one_line.as_dxf import LAYERS
from deadfront.documents.one_line.as_svg import one_line_svg
from deadfront.documents.one_line.clashes import clashes
from deadfront.documents.one_line.drawn import Group
from deadfront.documents.one_line.marks import Path, Words, moved
from deadfront.documents.one_line.page import Drawing
from deadfront.documents.one_line.told import Telling
from deadfront.documents.one_line.tree import tree_of
from deadfront.documents.svg import text_width
from deadfront.errors import NotAllowed
from deadfront.job.model import Nudge
from deadfront.job.read import read_job
from deadfront.msg import said as say
from deadfront.quantities import Interval
from deadfront.results.circuits import CircuitsResult, FaultPoint
from deadfront.topology.graph import graph_of
from deadfront.worksheet.build import fact
from deadfront.worksheet.sheet import SheetHead
from deadfront.worksheet.step import Step
from tests.documents.one_line_houses import invented_house

SEEDS = range(50)
ON = date(2026, 5, 12)
FULL = FilePath(__file__).parents[1] / "houses" / "full_house.toml"
ENGLISH, SPANISH = Catalog("en", strict=True), Catalog("es", strict=True)


@cache
def answered(seed: int) -> Answered:
    """The answers of an invented house; of the house of all sources for -1."""
    return answer(read_job(FULL.read_text(encoding="utf-8")).job if seed < 0 else invented_house(seed))


def head(seed: int) -> SheetHead:
    """The top of its sheets."""
    return sheet_head(answered(seed), revision=None, on=ON)


@cache
def drawn(seed: int, language: str = "en") -> Drawing:
    """The one-line of that house."""
    catalog = ENGLISH if language == "en" else SPANISH
    return drawing_of(answered(seed), catalog, head(seed))


def said(drawing: Drawing, name: str) -> list[str]:
    """The words at one symbol, its conductors' last."""
    group = next(each for each in drawing.groups if each.id == name)
    return [mark.say for mark in group.marks if isinstance(mark, Words) and mark.layer == "labels"]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("seed", [-1, *SEEDS])
def test_nothing_lies_over_anything_else_and_everything_is_on_the_paper(seed: int, language: str) -> None:
    assert clashes(drawn(seed, language)) == []
    words = [mark for mark in drawn(seed, language).marks() if isinstance(mark, Words)]
    sizes = [mark.size for mark in words if mark.layer != "symbols"]  # letters that are part of a symbol aside
    assert min(sizes) >= 6.0  # points: what is read at arm's length


def test_the_invented_houses_are_of_many_kinds() -> None:
    """A generator that made bare services alone would pass everything above."""
    kinds = Counter(kind for seed in SEEDS for kind in {twig.kind for root in _roots(seed) for twig in root.all()})
    wanted = {"transfer": 10, "generator": 15, "inverter": 25, "cells": 15, "array": 20, "inlet": 4,
              "unknown": 3, "disconnect": 25, "fused_disconnect": 5, "evse": 20, "meter": 30,
              "circuits": 45, "point": 50}  # fmt: skip
    assert {kind: count for kind, count in wanted.items() if kinds[kind] < count} == {}
    panels = Counter(len(answered(seed).assessment.at.house.panels) for seed in SEEDS)
    assert panels[1] and panels[2] and panels[3] and sum(panels[n] for n in (4, 5)) >= 5


def _roots(seed: int):  # type: ignore[no-untyped-def]
    return tree_of(answered(seed).assessment.at.house)[0]


@pytest.mark.parametrize("seed", [-1, *SEEDS])
def test_every_panel_switch_transfer_and_source_is_drawn_once(seed: int) -> None:
    house = answered(seed).assessment.at.house
    twigs = [twig for root in _roots(seed) for twig in root.all()]
    names = Counter(twig.id for twig in twigs)
    assert max(names.values()) == 1
    for thing in (*house.panels, *house.switches, *(t for t in house.transfers if t.kind != "interlock")):
        assert sum(1 for twig in twigs if twig.thing == thing.id and not twig.holds) == 1, thing.id
    for source in house.sources:
        assert 1 <= sum(1 for twig in twigs if twig.thing == source.id and twig.kind != "unknown") <= 2, source.id
    held = Counter(ident for twig in twigs for ident in twig.holds)
    held += Counter(twig.thing for twig in twigs if not twig.holds and twig.thing.startswith("b-"))
    assert held == Counter(each.id for each in house.breakers)


@pytest.mark.parametrize("seed", [-1, *SEEDS])
def test_panels_stand_in_the_order_of_the_feeders(seed: int) -> None:
    """Independent: the chain of panels from the graph of the circuits stage, against the nesting of the drawing."""
    house = answered(seed).assessment.at.house
    feeds = graph_of(house).feeds
    chains: dict[str, tuple[str, ...]] = {}

    def walk(twig, above: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
        here = (*above, twig.thing) if twig.kind == "bus" else above
        if twig.kind == "bus":
            chains[twig.thing] = here
        for each in (*twig.below, *twig.beside):
            walk(each, here)

    walk(_roots(seed)[0], ())
    assert {panel: chains[panel] for panel in feeds} == dict(feeds)
    assert len(feeds) >= 1


def test_figures_are_those_of_the_job_and_of_the_fault_sheet() -> None:
    """Of the house of all sources: sizes, ratings and tags as typed there; fault current as the fault sheet rounds."""
    drawing, result = drawn(-1), answered(-1).assessment.circuits
    assert said(drawing, "p-1ma")[:3] == ["Main panel (E)", "bus 225 A, 42 spaces", "SCCR 22 kA"]
    assert said(drawing, "p-3bu")[0] == "Backed-up panel (N)" and "6-3 SER Cu (N)," in said(drawing, "p-3bu")
    assert said(drawing, "b-3tr") == ["60 A 2P (N)", "space 26, 28", "interrupts 22 kA"]
    assert said(drawing, "x-1pv")[-2:] == ["8-3 THWN-2 Cu (E),", "24 ft"]
    assert "neutral floats at set" in said(drawing, "s-2ge") and "output 54 A" in said(drawing, "s-2ge")
    assert said(drawing, "p-1ma-circuits") == ["10 branch circuits", "see circuit schedule"]  # counted in the file
    found = {place.of: place.largest.value.high for place in result.faults if place.largest}
    for panel in ("p-1ma", "p-2ga", "p-3bu"):
        whole = int(found[panel].to_integral_value(rounding="ROUND_CEILING"))  # type: ignore[union-attr]
        assert f"fault {whole:,} A" in said(drawing, panel)


def _fault_words(**steps: Step | None) -> str:
    telling = Telling(answered(-1).assessment.at, CircuitsResult(faults=(FaultPoint("x", say("x"), **steps),)), ENGLISH)
    return telling.fault("x")


def _amperes(low: str, high: str | None) -> Step:
    return fact("x", "flow.largest_fault", Interval(Decimal(low), None if high is None else Decimal(high)), "A", "x")


def test_a_fault_current_is_told_by_its_upper_end_and_never_by_a_smaller_one() -> None:
    """Hand: 9,810.2 goes up to 9,811; of 8,000 and 9,000 the larger; an open upper end is not known."""
    assert _fault_words(largest=_amperes("9000", "9810.2")) == "fault 9,811 A"
    both = {"line_to_line": _amperes("8000", "8000"), "line_to_neutral": _amperes("9000", "9000")}
    assert _fault_words(**both) == "fault 9,000 A"
    assert _fault_words(line_to_line=_amperes("8000", "8000")) == "fault 8,000 A leg to leg"
    assert _fault_words(largest=_amperes("9000", None)) == "fault ? A"
    assert _fault_words() == "fault ? A"


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_not_known_is_a_mark_and_on_the_list(seed: int) -> None:
    drawing = drawn(seed)
    marks = [w.say for g in drawing.groups for w in g.marks if isinstance(w, Words) and "?" in w.say]
    marks = [say for say in marks if say != "?"]  # the symbol itself
    assert bool(drawing.asks) == bool(marks) or any(fact in ("fed_by", "joins") for _, fact in drawing.asks)
    house = answered(seed).assessment.at.house
    without = {panel.id for panel in house.panels if panel.bus_a is None}
    assert {thing for thing, fact in drawing.asks if fact == "bus_a"} == without
    unrated = {switch.id for switch in house.switches if switch.rating_a is None}
    assert {t for t, fact in drawing.asks if fact == "rating_a" and t.startswith("x-")} == unrated
    assert all(ENGLISH.has(f"one_line.fact.{fact}") for _, fact in drawing.asks)


def test_the_same_house_gives_the_same_drawing() -> None:
    again = drawing_of(answer(invented_house(7)), Catalog("en"), head(7))
    assert one_line_svg(again) == one_line_svg(drawn(7))


# --- the judge itself -----------------------------------------------------------------------------------------------
def _with(drawing: Drawing, group: Group) -> Drawing:
    return replace(drawing, groups=tuple(group if each.id == group.id else each for each in drawing.groups))


def _shifted(drawing: Drawing, name: str, onto: str) -> Drawing:
    """One symbol with its words put over another."""
    here, there = (next(g for g in drawing.groups if g.id == each) for each in (name, onto))
    (x, y), (to_x, to_y) = (_corner(each) for each in (here, there))
    return _with(drawing, replace(here, marks=tuple(moved(m, to_x - x + 1, to_y - y + 1) for m in here.marks)))


def _corner(group: Group) -> tuple[float, float]:
    words = next(mark for mark in group.marks if isinstance(mark, Words) and mark.layer == "labels")
    return words.x, words.y


def test_a_symbol_put_over_another_is_caught() -> None:
    found = Counter(clash.kind for clash in clashes(_shifted(drawn(-1), "s-2ge", "p-2ga")))
    assert found["words"] and found["wire"]
    assert Counter(c.kind for c in clashes(_shifted(drawn(-1), "x-1pv", "x-3ba")))["symbols"]


def test_a_line_through_words_and_words_off_the_paper_are_caught() -> None:
    drawing = drawn(-1)
    x, y = _corner(next(g for g in drawing.groups if g.id == "p-1ma"))
    line = Path(((x + 4, y - 30), (x + 4, y + 30)), "wires")
    assert {c.kind for c in clashes(replace(drawing, loose=(*drawing.loose, line)))} == {"wire"}
    off = Words(drawing.width - 5, 40, "beyond the edge", 7.0)
    assert {c.kind for c in clashes(replace(drawing, loose=(*drawing.loose, off)))} == {"off paper"}


def test_words_over_a_symbol_are_caught() -> None:
    drawing = drawn(-1)
    meter = next(g for g in drawing.groups if g.id == "m-1ut")
    strip = next(mark for mark in meter.marks if isinstance(mark, Path))
    on = Words(strip.points[0][0] + 2, strip.points[0][1] + 9, "over", 7.0)
    assert {c.kind for c in clashes(replace(drawing, loose=(*drawing.loose, on)))} == {"symbol"}


# --- moved by hand --------------------------------------------------------------------------------------------------
def test_a_symbol_moved_by_hand_takes_along_what_hangs_from_it_and_nothing_else() -> None:
    """Right 20, down 30: the transfer switch, the backed-up panel and the generator move; the rest stays."""
    moved_by = {"t-1au": Nudge(right_pt=20, down_pt=30)}  # type: ignore[arg-type]
    after = drawing_of(answered(-1), ENGLISH, head(-1), moved_by)
    was, now = _places(drawn(-1)), _places(after)
    along = {"t-1au", "p-3bu", "p-3bu-circuits", "x-2ge", "s-2ge"}
    base = ("utility", *now["utility"], *was["utility"])
    for name in was:
        dx = (now[name][0] - base[1]) / after.scale - (was[name][0] - base[3]) / drawn(-1).scale
        dy = (now[name][1] - base[2]) / after.scale - (was[name][1] - base[4]) / drawn(-1).scale
        assert (round(dx, 3), round(dy, 3)) == ((20, 30) if name in along else (0, 0)), name


def _places(drawing: Drawing) -> dict[str, tuple[float, float]]:
    return {group.id: _corner(group) for group in drawing.groups}


# --- files ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("seed", [-1, 0, 3, 25])
def test_a_dxf_is_read_back_whole_by_its_own_reader(seed: int) -> None:
    data = drawing_file(answered(seed), ENGLISH, "dxf", head(seed), on=ON)
    doc = ezdxf.read(io.StringIO(data.decode("utf-8")))
    audit = doc.audit()
    assert not audit.errors and not audit.fixes
    assert doc.units == ezdxf.units.IN and doc.dxfversion == "AC1024"
    drawing, space = drawn(seed), doc.modelspace()
    texts = Counter(text.dxf.text for text in space.query("TEXT"))
    assert texts == Counter(mark.say for mark in drawing.marks() if isinstance(mark, Words))
    assert {entity.dxf.layer for entity in space} <= set(LAYERS.values())
    for text in space.query("TEXT"):
        assert 0 <= text.dxf.insert.x < text.dxf.align_point.x <= drawing.width / 72
        assert 0 <= text.dxf.insert.y <= drawing.height / 72
    assert {name for name, _ in doc.groups} == {group.id for group in drawing.groups}


def test_accents_survive_in_a_dxf() -> None:
    data = drawing_file(answered(-1), SPANISH, "dxf", head(-1), on=ON)
    texts = {text.dxf.text for text in ezdxf.read(io.StringIO(data.decode("utf-8"))).modelspace().query("TEXT")}
    assert "Compañía eléctrica" in texts


def test_without_the_extra_a_dxf_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    with pytest.raises(NotAllowed) as error:
        drawing_file(answered(-1), ENGLISH, "dxf", head(-1), on=ON)
    assert "deadfront[drawing]" in ENGLISH.say(error.value.msg)


def test_the_pdf_has_a_page_of_the_size_of_the_drawing() -> None:
    data = drawing_file(answered(-1), ENGLISH, "pdf", head(-1), on=ON)
    wide, high = drawn(-1).width, drawn(-1).height
    assert re.search(rb"/MediaBox\s*\[0 0 %d %d\]" % (wide, high), data) and wide > high


def test_an_svg_names_everything_for_those_who_hear_it() -> None:
    text = drawing_file(answered(-1), ENGLISH, "svg", head(-1), on=ON).decode()
    told = text[text.index("<desc>") : text.index("</desc>")]
    assert "Backed-up panel (N)" in told and "Generator (N)" in told and 'role="img"' in text


def test_words_of_an_svg_keep_their_width_in_any_typeface() -> None:
    text = drawing_file(answered(-1), ENGLISH, "svg", head(-1), on=ON).decode()
    root = ElementTree.fromstring(text)
    words = root.findall("{http://www.w3.org/2000/svg}text")
    assert len(words) == sum(isinstance(mark, Words) for mark in drawn(-1).marks()) > 100
    for each in words:
        wanted = text_width(each.text or "", float(each.attrib["font-size"]))
        assert float(each.attrib["textLength"]) == pytest.approx(wanted, abs=0.3)


def test_what_the_work_takes_out_is_said() -> None:
    """The demo house: two breakers are taken out by its work, 30 A and 20 A, as its file says."""
    from deadfront.app import library

    job = read_job((FilePath(library.__file__).parent / "demo_house.toml").read_text(encoding="utf-8")).job
    found = answer(job)
    drawing = drawing_of(found, ENGLISH, sheet_head(found, revision=None, on=ON))
    assert drawing.removed == ("breaker 30 A (R)", "breaker 20 A (R)")


def test_control_power_and_signals_are_said() -> None:
    """The house of all sources: the transfer switch senses its feeder breaker and the generator, and starts it."""
    notes = " ".join(mark.say for mark in drawn(-1).loose if isinstance(mark, Words))
    assert "Transfer switch: control power or sensing comes from" in notes and "Generator; it stays live" in notes
    assert "Signal, engine start (N): from Transfer switch to Generator; not drawn." in notes


def test_a_drawing_says_why_it_is_a_draft() -> None:
    assert head(-1).draft and any("DRAFT" in m.say for m in drawn(-1).loose if isinstance(m, Words) and m.bold)


def _mutated(*changes: tuple[str, str]) -> Answered:
    text = FULL.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return answer(read_job(text).job)


SHARED = ('breaker = "b-4ba"\ndisconnects = ["x-3ba"]', 'breaker = "b-1pv"\ndisconnects = ["x-1pv"]')
CAR = '\n[[before.sources]]\nid = "s-ve"\nname = "Truck"\nkind = "vehicle"\njoins = "breaker"\nbreaker = "b-ev0"\n'
VEHICLE = ("\n[[work]]\n", CAR + "output_a = 40\nvolts = 240\n\n[[work]]\n")
LOOP = ('id = "p-1ma"\nname = "Main panel"\nplace = "utility room, south wall"\nfed_by = "service"',
        'id = "p-1ma"\nname = "Main panel"\nplace = "utility room, south wall"\nfed_by = "b-0mn"')  # fmt: skip


@pytest.mark.parametrize("change", [SHARED, VEHICLE, LOOP], ids=["shared", "vehicle", "loop"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_houses_with_a_shared_disconnect_a_vehicle_or_a_loop_are_drawn_clear(
    change: tuple[str, str], language: str
) -> None:
    found = _mutated(change)
    drawing = drawing_of(found, Catalog(language, strict=True), sheet_head(found, revision=None, on=ON))
    assert clashes(drawing) == []
    twigs = [twig for root in tree_of(found.assessment.at.house)[0] for twig in root.all()]
    assert "reference" not in {twig.kind for twig in twigs}  # nothing goes on elsewhere
    kinds = ("disconnect", "inverter", "bus")
    for ident in ("x-1pv", "s-1pv", "s-3ba", "p-1ma"):
        assert [twig.thing for twig in twigs if twig.kind in kinds].count(ident) == 1


def test_a_charger_on_the_breaker_of_a_vehicle_that_feeds_back_is_drawn_beside_it() -> None:
    twigs = [twig for root in tree_of(_mutated(VEHICLE).assessment.at.house)[0] for twig in root.all()]
    breaker = next(twig for twig in twigs if twig.id == "b-ev0")
    assert {twig.kind for twig in breaker.below} == {"inverter", "evse"}


def test_a_loop_of_feeders_is_said_on_the_drawing_under_a_mark_for_its_feed() -> None:
    found = _mutated(LOOP)
    roots, network = tree_of(found.assessment.at.house)
    assert ("loop", "p-1ma") in network.unknowns
    assert [(root.kind, root.thing) for root in roots[1:]] == [("unknown", "p-1ma")]
    drawing = drawing_of(found, ENGLISH, sheet_head(found, revision=None, on=ON))
    assert ("p-1ma", "fed_by") in drawing.asks
    notes = " ".join(mark.say for mark in drawing.loose if isinstance(mark, Words))
    assert "leads back to itself" in notes
