"""The sheets of the circuits stage, from a result made by hand: what they say in each state, on screen and on paper."""

from __future__ import annotations

import struct
import zlib
from dataclasses import replace
from datetime import date

import pytest

from deadfront.app.answers import answer as answer_of
from deadfront.app.answers import sheets_of
from deadfront.app.demo import demo_text
from deadfront.cli.sheet_text import sheet_text
from deadfront.documents.catalog import Catalog
from deadfront.documents.circuit_sheets.common import of_kind
from deadfront.documents.circuit_sheets.fault_ruler import fault_bars, fault_pictures, least_rating_a
from deadfront.documents.circuit_sheets.together import circuit_sheets
from deadfront.documents.findings import finding_text
from deadfront.documents.html import sheet_html
from deadfront.documents.pdf import packet_pdf
from deadfront.job.house import house_at
from deadfront.job.read import read_job
from deadfront.msg import said
from deadfront.quantities import between
from deadfront.results.circuits import CircuitsResult, Drop, FaultPoint, Question, Required, Run, Sized
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.sheet import Answer, Photo, Sheet, SheetHead, Table
from deadfront.worksheet.step import Step
from tests.documents.sample_sheet import cite, plain
from tests.documents.snapshots import same_as_kept

EN, ES = Catalog("en", strict=True), Catalog("es", strict=True)
HEAD = SheetHead("14 Hollow Creek Rd", "Marlow Falls", "2023", revision="C", on="2026-05-12")
JOB = """
[job]
format = 1
name = "9 Alder Row"
code.edition = "2023"
[[before.panels]]
id = "p-k3m"
name = "Main panel"
fed_by = "service"
[[before.breakers]]
id = "b-0xe"
panel = "p-k3m"
spaces = [1, 3]
rating_a = 50
[[before.circuits]]
id = "c-7qd"
name = "Range"
breaker = "b-0xe"
cable = { type = "SE", size = "8", metal = "aluminum", conductors = 3, length_ft = 38 }
[[before.hazards]]
id = "h-1aa"
name = "Scorched lug"
kind = "other"
thing = "p-k3m"
evidence = "Insulation brown for an inch"
photo = "lug.png"
[[work]]
id = "w-4c1"
say = "Charger"
add.breakers = [{ id = "b-44t", panel = "p-k3m", spaces = [2, 4], rating_a = 40 }]
add.circuits = [{ id = "c-9pw", name = "EV charger", breaker = "b-44t", cable = { type = "NM-B", size = "8" } }]
"""


def fact(ident: str, value: object, unit: str) -> Step:
    return build.fact(ident, plain(ident), value, unit, f"before/{ident}")  # type: ignore[arg-type]


def check(ident: str, thing: str, outcome: Outcome, severity: Severity = Severity.CORRECT) -> Check:
    words = plain(f"{ident} of {thing}")
    return Check(ident, thing, outcome, severity, words, Reach.NEW, cites=(cite("240.4(D)"),), remedy=words)


def sized(size: str, metal: str, value: int) -> Sized:
    row = f"{size} {metal}, 60 C"
    step = build.lookup(f"n/{size}", plain(f"{size} {metal}"), value, "A", cite("Table 310.16"), table="t", row=row)
    return Sized(size, metal, step)


def result(*checks: Check) -> CircuitsResult:
    load = build.quotient("ev/a", plain("Load"), fact("ev/va", 7680, "VA"), fact("ev/v", 240, "V"))
    least = build.percent_of("ev/least", plain("Continuous"), load, 125, unit="A", cite=cite("625.42"))
    charger = Run(
        "c-9pw", "circuit", plain("EV charger"), "b-44t", load=load, least=least, rating=fact("b-44t", 40, "A"),
        ampacity=fact("c-9pw", 40, "A"), smallest=(sized("8", "copper", 40),), ground=(sized("10", "copper", 30),),
        reach=Reach.NEW,
    )  # fmt: skip
    old = Run(
        "c-7qd", "circuit", plain("Range"), "b-0xe", rating=fact("b-0xe", 50, "A"), ampacity=fact("c-7qd", 35, "A")
    )
    r, x = fact("t/r", "0.0077", "ohm"), fact("t/x", "0.0110", "ohm")
    z = build.hypotenuse("t/z", plain("Impedance"), [r, x])
    fault = build.quotient("t/ll", plain("Leg to leg"), fact("t/v", 240, "V"), z)
    places = (FaultPoint("service", plain("Service"), fault, None, fault, fact("least", between(4000, 5000), "A")),)
    ground = Required("electrode_conductor", "service", plain("Electrode conductor"), (sized("6", "copper", 26240),),
                      "", Outcome.CANNOT_TELL)  # fmt: skip
    question = Question("covered", "p-k3m", "before/p-k3m.seen.covered", plain("Is every opening closed?"), "unknown",
                        "yes", Outcome.CANNOT_TELL, Severity.NOTE, Reach.EXISTING, (cite("408.7"),))  # fmt: skip
    drops = (Drop("c-9pw", fact("drop", "1.4", "%")),)
    return CircuitsResult((old, charger), drops, places, (ground,), (question,), checks)


def sheets(made: CircuitsResult, photos: dict[str, bytes] | None = None) -> dict[str, Sheet]:
    at = house_at(read_job(JOB).job)
    return {sheet.key: sheet for sheet in circuit_sheets(at, made, HEAD, photos=photos)}


def answer(sheet: Sheet) -> tuple[str, Outcome | None]:
    block = next(b for b in sheet.blocks if isinstance(b, Answer))
    return EN.say(block.answer), block.outcome


def png() -> bytes:
    """A photo of two gray dots, by the book of PNG."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = zlib.compress(b"\x00\x40\xc0")
    head = struct.pack(">IIBBBBB", 2, 1, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def test_every_sheet_that_there_is_something_to_say_on() -> None:
    assert list(sheets(result())) == ["circuits", "grounding", "fault", "hazards", "site"]
    bare = house_at(read_job('[job]\nformat = 1\nname = "x"\ncode.edition = "2023"\n').job)
    assert circuit_sheets(bare, CircuitsResult(), HEAD) == []


@pytest.mark.parametrize("outcome", [Outcome.FAILS, Outcome.CANNOT_TELL, Outcome.MEETS])
def test_the_worst_of_a_run_is_its_verdict(outcome: Outcome) -> None:
    made = result(check("circuit.conductor", "c-9pw", outcome), check("circuit.ground", "c-9pw", Outcome.MEETS))
    sheet = sheets(made)["circuits"]
    table = next(b for b in sheet.blocks if isinstance(b, Table))
    by_name = {EN.value(row[1]): row for row in table.rows}
    assert by_name["EV charger (N)"][6].outcome is outcome  # type: ignore[union-attr]
    assert by_name["Range"][6].outcome is Outcome.NOT_APPLICABLE  # type: ignore[union-attr]
    assert answer(sheet)[1] is outcome


def test_a_note_bars_nothing() -> None:
    made = result(check("circuit.conductor", "c-9pw", Outcome.MEETS),
                  check("circuit.voltage_drop", "c-9pw", Outcome.FAILS, Severity.NOTE))  # fmt: skip
    assert answer(sheets(made)["circuits"])[1] is Outcome.MEETS


def test_only_what_the_work_touches_is_worked_line_by_line() -> None:
    text = sheet_html(sheets(result())["circuits"], EN)
    assert "EV charger: what conductors and breaker must be good for" in text and "125" in text
    assert "Range: what" not in text


def test_a_place_without_a_rating_of_its_devices_cannot_tell() -> None:
    assert answer(sheets(result())["fault"])[1] is Outcome.CANNOT_TELL
    made = result(check("fault.interrupting", "service", Outcome.MEETS))
    assert answer(sheets(made)["fault"])[1] is Outcome.MEETS
    assert "Maximum available fault current 17,875\u00a0A" in sheet_html(
        sheets(made)["fault"], EN
    )  # 240 V / 0.0134 ohm


def test_a_hazard_shows_its_photo_or_says_that_there_is_none(tmp_path) -> None:  # type: ignore[no-untyped-def]
    without, with_it = sheets(result())["hazards"], sheets(result(), {"lug.png": png()})["hazards"]
    assert "lug.png is named, but is not in this job" in sheet_html(without, EN)
    assert any(isinstance(b, Photo) for b in with_it.blocks)
    assert 'src="data:image/png;base64,' in sheet_html(with_it, EN)
    plain_pdf = packet_pdf([without], EN, date=date(2026, 5, 12))
    with_photo = packet_pdf([with_it], EN, date=date(2026, 5, 12))
    assert b"/Subtype/Image" in with_photo.replace(b" ", b"") and b"/Subtype/Image" not in plain_pdf.replace(b" ", b"")


def test_the_site_list_has_room_to_tick_what_was_not_looked_at() -> None:
    made = result()
    assert "yes __" in sheet_html(sheets(made)["site"], EN)
    done = replace(made.questions[0], answer="yes", outcome=Outcome.MEETS)
    assert "yes __" not in sheet_html(sheets(replace(made, questions=(done,)))["site"], EN)


@pytest.mark.parametrize("catalog", [EN, ES], ids=["en", "es"])
def test_all_of_them_on_paper_screen_and_terminal(catalog: Catalog, capsys: pytest.CaptureFixture[str]) -> None:
    made = result(
        check("circuit.conductor", "c-9pw", Outcome.FAILS), check("grounding.water", "service", Outcome.FAILS)
    )
    found = list(sheets(made, {"lug.png": png()}).values())
    assert packet_pdf(found, catalog, date=date(2026, 5, 12)).startswith(b"%PDF")
    for sheet in found:
        assert sheet_html(sheet, catalog)
        sheet_text(sheet, catalog)
    printed = capsys.readouterr().out
    assert "EV charger" in printed and "Scorched lug" in printed
    assert said("sheet.circuits.title") is not None


@pytest.mark.parametrize("catalog", [EN, ES], ids=["en", "es"])
@pytest.mark.parametrize("key", ["circuits", "grounding", "fault", "hazards", "site"])
def test_the_sheets_of_the_example_house_are_as_kept(key: str, catalog: Catalog) -> None:
    """Layout and words; the figures are held elsewhere."""
    made = sheets_of(answer_of(read_job(demo_text()).job), catalog, revision=3, on=date(2026, 5, 12))
    sheet = next(each for each in made if each.key == key)
    head = replace(sheet.head, engine="", digest="")
    same_as_kept(f"{key}.{catalog.language}.html", sheet_html(replace(sheet, head=head), catalog) + "\n")


def test_what_endangers_stands_first_and_long_lists_of_facts_are_counted() -> None:
    many = tuple(Missing(f"before/c-{n}.rooms", plain(f"fact {n}"), plain("look")) for n in range(9))
    unsure = replace(check("circuit.ground", "c-9pw", Outcome.CANNOT_TELL), missing=many)
    found = of_kind((unsure, check("circuit.conductor", "c-7qd", Outcome.FAILS, Severity.DANGER)), "circuit")
    assert [each.thing for each in found] == ["c-7qd", "c-9pw"]
    more = finding_text(unsure, EN).more
    assert len(more) == 7 and more[-1] == "and 3 more facts"  # hand: 9 facts, 6 named


def test_fault_currents_are_drawn_against_the_least_rating_there() -> None:
    at = house_at(read_job(JOB + "\n[before.service]\ndisconnect = { sccr_ka = 10 }\n").job)
    drawn = dict(fault_pictures(at, result(), EN))
    assert len(drawn) == 1
    picture = next(iter(drawn.values()))
    assert "10,000" in picture.svg and "17,875" not in picture.svg.partition("<title>")[0]
    assert least_rating_a(at, result().faults[0]).high == 10_000
    bars = fault_bars(result().faults[0], least_rating_a(at, result().faults[0]), EN)
    assert bars[0].outcome is Outcome.FAILS, "240 V / 0.0134 ohm = 17.9 kA over 10 kA"
