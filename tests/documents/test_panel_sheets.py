"""The papers of the panel stage: what each says of a house, at what size, in both languages, as a file."""

from __future__ import annotations

import csv
import re
import xml.etree.ElementTree as ET
import zipfile
from datetime import date
from decimal import Decimal
from io import BytesIO, StringIO

import pytest
from fontTools.ttLib import TTFont

from deadfront.app.answers import sheets_of
from deadfront.app.parts import parts
from deadfront.documents import svg
from deadfront.documents.catalog import Catalog
from deadfront.documents.html import sheet_html
from deadfront.documents.panel_sheets.parts import Part
from deadfront.documents.panel_sheets.parts_file import harmless, parts_csv, parts_xlsx
from deadfront.documents.panel_sheets.print_size import CAPITAL, INCH_MM, U
from deadfront.documents.panel_sheets.translate import in_language
from deadfront.documents.pdf import packet_pdf
from deadfront.msg import said
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Answer, Caution, Paragraph, Picture, Sheet, Table
from tests.documents.panel_house import JOB, house
from tests.documents.snapshots import same_as_kept
from tests.documents.test_panel_elevation import FONTS, SPACE, texts
from tests.panel.houses import breaker
from tests.panel.houses import house as panel_house

EN, ES = Catalog("en", strict=True), Catalog("es", strict=True)
ON = date(2026, 5, 12)
KEYS = ["panel", "directory", "labels", "parts"]


def sheets(text: str = JOB, catalog: Catalog = EN) -> dict[str, Sheet]:
    return {sheet.key: sheet for sheet in sheets_of(house(text), catalog, revision=1, on=ON)}


def answer(sheet: Sheet) -> tuple[str, Outcome | None]:
    block = next(b for b in sheet.blocks if isinstance(b, Answer))
    return EN.say(block.answer), block.outcome


def rows(sheet: Sheet, key: str) -> list[list[str]]:
    return [[EN.value(cell) for cell in row] for block in sheet.blocks
            if isinstance(block, Table) and block.key == key for row in block.rows]  # fmt: skip


def pictures(sheet: Sheet) -> list[Picture]:
    return [block for block in sheet.blocks if isinstance(block, Picture)]


def listed(text: str = JOB) -> dict[str, Part]:
    return {EN.say(part.what): part for part in parts(house(text))}


# what there is


def test_the_papers_are_in_the_packet_where_there_is_a_panel_and_only_there() -> None:
    assert [key for key in sheets() if key in KEYS] == KEYS
    bare = '[job]\nformat = 1\nname = "x"\ncode.edition = "2023"\n'
    assert not set(KEYS) & set(sheets(bare))
    assert "parts" not in sheets(JOB[: JOB.index("[[work]]")]), "no work asks for no part"


@pytest.mark.parametrize("catalog", [EN, ES], ids=["en", "es"])
@pytest.mark.parametrize("key", KEYS)
def test_each_is_laid_out_as_it_was_read_and_kept(key: str, catalog: Catalog) -> None:
    sheet = sheets(catalog=catalog)[key]
    html = re.sub(r"<svg.*?</svg>", "<svg/>", sheet_html(sheet, catalog), flags=re.S)
    html = re.sub(r"result [0-9a-f]{12}|resultado [0-9a-f]{12}", "result", html)
    same_as_kept(f"panel_{key}.{catalog.language}.html", html)


@pytest.mark.parametrize("catalog", [EN, ES], ids=["en", "es"])
def test_all_of_them_on_paper(catalog: Catalog) -> None:
    made = [sheet for key, sheet in sheets(catalog=catalog).items() if key in KEYS]
    assert packet_pdf(made, catalog, date=ON).startswith(b"%PDF")


# elevation


LABEL_READ = JOB.replace("spaces = 12\n", "spaces = 12\ncircuits_max = 24\nhalf_spaces = [11]\n").replace(
    "spaces = 8\n", "spaces = 8\ncontrollable_spaces = [1, 2, 3, 4]\n"
)


def test_a_label_that_was_not_read_is_no_yes_on_paper() -> None:
    """Half-size breakers stand in a panel whose label was not read: cannot tell, and the sheet says what to read."""
    block = next(b for b in sheets()["panel"].blocks if isinstance(b, Answer))
    assert block.outcome is Outcome.CANNOT_TELL
    assert any("how many circuits the label allows" in EN.say(msg) for msg in block.more)
    assert answer(sheets(LABEL_READ)["panel"])[1] is Outcome.MEETS


def test_a_breaker_without_a_space_is_cannot_tell_and_not_wrong() -> None:
    text = panel_house(breaker("kit", "2", 1800), breaker("den", "", 1200))
    sheet = sheets(text)["panel"]
    assert answer(sheet)[1] is Outcome.CANNOT_TELL and rows(sheet, "wrong") == []
    drawn = pictures(sheet)[0].svg
    assert "den, 20 A: no space yet" in drawn and "stands in no space" not in drawn


def test_a_layout_with_a_conflict_does_not_meet_and_is_drawn_so() -> None:
    wrong = LABEL_READ.replace(
        'id = "b-3aa"\npanel = "p-1aa"\nspaces = [5]', 'id = "b-3aa"\npanel = "p-1aa"\nspaces = [7]'
    )
    sheet = sheets(wrong)["panel"]
    assert answer(sheet)[1] is Outcome.FAILS
    assert any("Kitchen counter, left of sink" in row[1] for row in rows(sheet, "wrong"))
    assert (
        pictures(sheet)[0].svg.count('stroke-dasharray="6 3"')
        > 0
        == pictures(sheets()["panel"])[0].svg.count('stroke-dasharray="6 3"')
    )


def test_a_list_that_is_not_complete_is_never_a_yes() -> None:
    open_ = JOB.replace('breakers = "yes", circuits', 'breakers = "unknown", circuits')
    assert answer(sheets(open_)["panel"])[1] is Outcome.CANNOT_TELL
    assert "nothing entered" in pictures(sheets(open_)["panel"])[0].svg
    assert ">free<" not in pictures(sheets(open_)["panel"])[0].svg
    named = open_.replace("Bobbie's room", "Den, north").replace('"Lights"', '"Lighting, hall, first floor"')
    assert answer(sheets(named)["directory"])[1] is Outcome.CANNOT_TELL


def test_an_unknown_system_draws_no_legs_and_cannot_tell() -> None:
    sheet = sheets(JOB.replace('system = "120/240 1ph 3w"\n', ""))["panel"]
    assert answer(sheet)[1] is Outcome.CANNOT_TELL
    assert ">L1<" not in pictures(sheet)[0].svg and ">Lights (RL)<" in pictures(sheet)[0].svg


def test_an_unknown_number_of_spaces_is_said_and_drawn_nowhere() -> None:
    sheet = sheets(JOB.replace("spaces = 12\n", "").replace("spaces = 8\n", ""))["panel"]
    assert pictures(sheet) == [] and "cannot be drawn" in sheet_html(sheet, EN)


def test_before_and_after_show_what_the_work_does() -> None:
    both = pictures(sheets()["panel"])[1].svg.split("</svg>")[0]
    words = re.findall(r">([^<>]+)</text>", both)
    assert {"As found", "After the work"} <= set(words)
    joined = " ".join(words)
    assert "Range (R)" in joined and "EV charger, garage (N)" in joined and joined.count("Lights (RL)") == 2


def test_the_danger_of_the_line_side_stands_on_the_elevation_and_verify_on_the_directory() -> None:
    cautions = {key: [EN.say(b.say) for b in sheets()[key].blocks if isinstance(b, Caution)] for key in KEYS}
    assert any(words.startswith("Line side stays live with the main open.") for words in cautions["panel"])
    assert any(words.startswith("Verify before touch; label may be wrong.") for words in cautions["directory"])


# directory


def test_each_breaker_has_one_line_and_the_names_are_checked() -> None:
    sheet = sheets()["directory"]
    assert answer(sheet) == ("No: 2 names must be changed.", Outcome.FAILS)
    told = {row[0]: row for row in rows(sheet, "directory")}
    assert told["2"][1:] == ["Bobbie's room", "15 A 1P", "does not meet"]
    assert told["6, 8"][1:] == ["EV charger, garage", "40 A 2P GFCI", "meets"]
    assert told["4"][1] == "Solar, south roof" and told["9"][1] == "Garage panel"
    assert told["11a"][1] == "Spare"


def test_what_is_not_traced_is_not_spare() -> None:
    open_ = JOB.replace('circuits = "yes", loads', 'circuits = "no", loads')
    open_ = open_.replace("Bobbie's room", "Den, north").replace('"Lights"', '"Lighting, hall, first floor"')
    sheet = sheets(open_)["directory"]
    assert {row[0]: row[1] for row in rows(sheet, "directory")}["11a"] == "not traced yet"
    assert answer(sheet)[1] is Outcome.CANNOT_TELL
    assert "Spare" not in pictures(sheet)[0].svg


def test_the_place_that_the_job_knows_is_offered() -> None:
    (row,) = (row for row in rows(sheets()["directory"], "names") if "Bobbie" in row[0])
    assert row[1] == "bedroom, second floor, north"


def test_there_is_a_card_in_each_language_with_the_caution_on_it() -> None:
    first, second = pictures(sheets()["directory"])[:2]
    assert "CIRCUIT DIRECTORY" in first.svg and "Verify before touch; label may be wrong." in first.svg
    assert "DIRECTORIO DE CIRCUITOS" in second.svg and "Verifique antes de tocar" in second.svg
    assert first.width_mm == second.width_mm == Decimal(150)


# Spanish by the glossary of this project; "tomacorriente", "sótano" and the like are common practice in the USA.
@pytest.mark.parametrize(("english", "spanish"), [
    ("Kitchen outlets, north wall", "Tomacorrientes de la cocina, pared norte"), ("Range", "Estufa"),
    ("Smoke and CO alarms", "Alarmas de humo y CO"), ("Heat pump 2", "Bomba de calor 2"),
    ("Lighting, second floor and attic", "Alumbrado, segundo piso y ático"), ("Bobbie's room", None), ("", None),
    ("EV charger, garage / Garage panel", "Cargador de vehículo eléctrico, garaje / panel del garaje"),
])  # fmt: skip
def test_a_name_is_put_into_spanish_whole_or_not_at_all(english: str, spanish: str | None) -> None:
    assert in_language(english, "es") == spanish
    if spanish is not None:
        assert in_language(spanish, "en") == english[:1] + english[1:].replace("Garage panel", "garage panel")


def test_the_card_in_the_other_language_says_what_it_could_not_put_into_it() -> None:
    sheet = sheets()["directory"]
    first, second = pictures(sheet)[:2]
    assert ">EV charger, garage<" in first.svg and "Cargador de" in second.svg
    kept = [EN.say(b.say) for b in sheet.blocks if isinstance(b, Paragraph) and b.say.key == "sheet.directory.kept"]
    assert kept and "Bobbie's room" in kept[0] and "EV charger" not in kept[0]
    spanish = JOB.replace('place = "Marlow Falls"', 'place = "Marlow Falls"\nlanguage = "es"')
    first, second = pictures(sheets(spanish)["directory"])[:2]
    assert ">EV charger, garage<" in second.svg and "Cargador" not in second.svg, (
        "what is typed stays on the card in its language"
    )


@pytest.mark.parametrize(("edition", "section"), [("2020", "408.4(A)"), ("2023", "408.4")])
def test_the_directory_is_cited_by_edition(edition: str, section: str) -> None:
    sheet = sheets(JOB.replace('edition = "2023"', f'edition = "{edition}"'))["directory"]
    assert [cite.section for cite in sheet.cites] == [section]


# labels


def test_the_labels_that_the_facts_ask_for() -> None:
    told = "\n".join(row[1] for row in rows(sheets()["labels"], "label_list"))
    for words in (
        "EMERGENCY DISCONNECT / METER DISCONNECT, NOT SERVICE EQUIPMENT",
        "PANEL: Main panel / Fed from: utility service",
        "SERVICE DISCONNECT",
        "BACKFED BREAKER. DO NOT RELOCATE. / Fed from its load side by: Solar, south roof",
        "Circuits 5 and 7 share a neutral.",
        "PANEL: Garage panel / Fed from: Main panel, space 9",
    ):
        assert words in told


def test_the_fault_current_is_that_of_the_circuits_stage_and_its_lack_is_said() -> None:
    """Hand: 8 kA leg to leg by the letter (7 kA to neutral), and 120 % of the 12 A of solar: 8,014.4 A, rounded up."""
    told = "\n".join(row[1] for row in rows(sheets()["labels"], "label_list"))
    assert "fault current" not in told
    assert "Main panel: the fault current is not known to its upper end yet" in sheet_html(sheets()["labels"], EN)
    known = JOB.replace('kind = "solar"', 'kind = "solar"\noutput_a = 12')
    known = known.replace("fault_current_ka = 8\n", "fault_current_ka = 8\nutility.fault_current_neutral_ka = 7\n")
    told = "\n".join(row[1] for row in rows(sheets(known)["labels"], "label_list"))
    assert "Maximum available fault current 8,015 A, calculated 2026-05-12" in told


def test_no_emergency_label_in_an_edition_that_asks_for_none_nor_without_the_device() -> None:
    for text in (JOB.replace('edition = "2023"', 'edition = "2017"'), JOB.replace('present = "yes"', 'present = "no"')):
        assert "EMERGENCY" not in sheet_html(sheets(text)["labels"], EN)


def letter_mm(node: ET.Element) -> float:
    """Height of the capitals of a text on paper, from the typeface's own letter H."""
    font = TTFont(FONTS / "AtkinsonHyperlegibleNext-Bold.ttf")
    return float(node.attrib["font-size"]) * font["glyf"]["H"].yMax / font["head"].unitsPerEm / U


def test_letters_of_the_emergency_marking_are_no_smaller_than_the_rule_names() -> None:
    """1/2 in by 230.85(E)(2), 2023: from memory, as the code book of this project says too."""
    label = next(each for each in pictures(sheets()["labels"]) if "EMERGENCY" in each.svg)
    drawn = ET.fromstring(label.svg)
    letters = [letter_mm(node) for node in drawn.iter(f"{SPACE}text")]
    assert letters and min(letters) >= INCH_MM / 2 - 0.05
    assert float(label.width_mm) * U == pytest.approx(float(drawn.attrib["viewBox"].split()[2]))
    assert any("the least by the rule" in row[2] for row in rows(sheets()["labels"], "label_list"))


def test_the_height_of_capitals_is_that_of_the_typeface() -> None:
    for weight in ("Bold", "Regular"):
        font = TTFont(FONTS / f"AtkinsonHyperlegibleNext-{weight}.ttf")
        assert font["glyf"]["H"].yMax / font["head"].unitsPerEm == pytest.approx(CAPITAL, abs=0.001)


def test_labels_stay_inside_their_line_and_on_the_page() -> None:
    for label in pictures(sheets()["labels"]):
        assert label.width_mm <= 159, "the page is 159.9 mm wide between its margins"
        drawn = ET.fromstring(label.svg)
        _, _, wide, high = map(float, drawn.attrib["viewBox"].split())
        for words in texts(drawn):
            assert words.left >= 0 and words.right <= wide and words.top >= 0 and words.bottom <= high, words


# parts


def test_the_parts_follow_from_what_the_work_does() -> None:
    found = {name: EN.value(part.quantity) for name, part in listed().items()}
    assert found["Breaker, 40 A 2P, GFCI, full size"] == "1"
    assert found["NM-B 8-2 Cu, ground as the cable has it"] == "44"  # hand: (18 + 22) ft x 1.10
    assert found["SER 2-3 Al, ground as the cable has it"] == "not known yet"
    assert found["Panel, 8 spaces, bus 100 A, surface"] == "1"
    assert found["Lug, 2 Al"] == "2" and found["Neutral lug, 2 Al"] == "1"
    assert found["Ground bar kit"] == "1" and "Main bonding jumper (screw, strap or wire)" not in found
    assert found["Knockout closure, trade size 1/2"] == "1"
    assert found["Filler plate for an empty space"] == "2"  # hand: 1 and 3 of the range; 5 to 8, 4, 9, 10 are taken
    assert found["Ground rod, 8 ft"] == "1"
    out = [part for part in listed().values() if part.section == "out"]
    assert [part.used for part in out] == [("Range",)]


def test_the_allowance_is_an_assumption_in_sight_on_every_length() -> None:
    lengths = [part.length for part in listed().values() if part.length is not None]
    assert lengths and all("parts_cutting_allowance" in step.all_assumed() for step in lengths)
    assert "for cutting and slack: an assumption" in sheet_html(sheets()["parts"], EN)


def test_a_relocated_breaker_is_no_part_and_a_longer_cable_only_its_addition() -> None:
    assert not any("Lights" in part.used for part in listed().values())
    longer = JOB + "[work.set.c-1zz]\ncable = { length_ft = 60 }\n"
    before = '[[before.circuits]]\nid = "c-1zz"\nname = "Attic fan"\nbreaker = "b-6aa"\n'
    before += 'cable = { type = "NM-B", size = "12", metal = "copper", conductors = 2, length_ft = 40 }\n'
    found = listed(longer.replace("[[before.openings]]", before + "[[before.openings]]"))
    assert EN.value(found["NM-B 12-2 Cu, ground as the cable has it"].quantity) == "22"  # hand: (60 - 40) x 1.10


HOSTILE = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", " =1", "\u00a0=1", '=HYPERLINK("http://x")', "\r\n=1")


@pytest.mark.parametrize("name", HOSTILE)
def test_no_cell_is_ever_a_formula(name: str) -> None:
    part = Part("breakers", said("thing.named", name=name), 1, used=(name,), note=said("thing.named", name=name))
    for text in list(csv.reader(StringIO(parts_csv([part], EN).decode("utf-8-sig"))))[1]:
        assert not text.lstrip().startswith(("=", "+", "-", "@")), text
    cells = xlsx_cells(parts_xlsx([part], EN, on=ON))
    assert not any(cell.lstrip().startswith(("=", "+", "-", "@")) for row in cells for cell in row)
    assert sum(cell.startswith("'") for cell in cells[1]) == 3


def test_plain_words_stay_as_they_are() -> None:
    assert [harmless(text) for text in ("Range", "a=b", "12-2 NM-B", "")] == ["Range", "a=b", "12-2 NM-B", ""]


def xlsx_cells(data: bytes) -> list[list[str]]:
    """The cells of a workbook read from its own parts; fails on any formula, link or outside reference."""
    space = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
    with zipfile.ZipFile(BytesIO(data)) as book:
        assert not [name for name in book.namelist() if "external" in name.lower() or "vba" in name.lower()]
        sheet = ET.fromstring(book.read("xl/worksheets/sheet1.xml"))
        strings = ET.fromstring(book.read("xl/sharedStrings.xml"))
        assert "Target=" not in book.read("xl/worksheets/sheet1.xml").decode()
    shared = ["".join(t.text or "" for t in each.iter(f"{space}t")) for each in strings]
    assert list(sheet.iter(f"{space}f")) == [] and list(sheet.iter(f"{space}hyperlink")) == []
    found = []
    for row in sheet.iter(f"{space}row"):
        values = []
        for cell in row.iter(f"{space}c"):
            value = cell.find(f"{space}v")
            text = "" if value is None or value.text is None else value.text
            values.append(shared[int(text)] if cell.attrib.get("t") == "s" else text)
        found.append(values)
    return found


@pytest.mark.parametrize("catalog", [EN, ES], ids=["en", "es"])
def test_workbook_and_csv_hold_the_same(catalog: Catalog) -> None:
    every = parts(house())
    book = xlsx_cells(parts_xlsx(every, catalog, on=ON))
    plain = list(csv.reader(StringIO(parts_csv(every, catalog).decode("utf-8-sig"))))
    assert len(book) == len(plain) == len(every) + 1
    for sheet_row, text_row in zip(book, plain, strict=True):
        assert [cell for cell in sheet_row if cell] == [cell for cell in text_row if cell]


def test_a_workbook_is_the_same_every_time() -> None:
    """The same list on the same day gives the same bytes."""
    assert parts_xlsx(parts(house()), EN, on=ON) == parts_xlsx(parts(house()), EN, on=ON)


def test_text_in_a_drawing_is_escaped() -> None:
    hostile = JOB.replace("Bobbie's room", "<script>x</script>").replace('name = "Main panel"', 'name = "a\\"><b>"')
    for sheet in sheets(hostile).values():
        for picture in pictures(sheet):
            assert "<script" not in picture.svg and "<b>" not in picture.svg
            for each in picture.svg.split("</svg>")[:-1]:
                ET.fromstring(f"{each}</svg>")
    assert svg.FACE in pictures(sheets(hostile)["panel"])[0].svg


def cards(text: str) -> list[str]:
    """The cards for the door, as drawn."""
    return [each.svg for each in pictures(sheets(text)["directory"])]


@pytest.mark.parametrize(
    ("name", "draft"),
    [("Den, north", False), ("Bobbie's room", True)],
)
def test_a_card_with_a_name_that_fails_is_a_draft_on_its_face(name: str, draft: bool) -> None:
    text = panel_house(breaker("kit", "2", 1800, name="Kitchen counter"), breaker("den", "4", 1200, name=name))
    english, spanish = cards(text)
    assert ("DRAFT: NOT FOR THE DOOR YET" in english) is draft and ("BORRADOR" in spanish) is draft


def test_the_legs_of_split_phase_are_headed_by_what_is_counted_on_them() -> None:
    heads = next(
        block.columns for block in sheets()["panel"].blocks if isinstance(block, Table) and block.key == "legs"
    )
    assert [EN.say(each) for each in heads[1:3]] == ["120 V loads on L1", "120 V loads on L2"]


# what a step of the work does, in order


def acts(text: str) -> list[tuple[str, list[str]]]:
    """What the panel sheet tells of the work: each step with its acts."""
    blocks, found = sheets(text)["panel"].blocks, list[tuple[str, list[str]]]()
    for at, block in enumerate(blocks):
        if isinstance(block, Table) and block.key == "moves":
            head = blocks[at - 1]
            assert isinstance(head, Paragraph)
            found.append((EN.say(head.say), [EN.value(row[1]) for row in block.rows]))
    return found


REMOVES = """
[[work]]
id = "w-1aa"
say = "New dryer circuit"
remove = ["b-dry", "c-dry"]
add.breakers = [{ id = "b-new", panel = "p-k3m", rating_a = 30, poles = 2, spaces = [5, 7] }]
add.circuits = [{ id = "c-new", name = "Dryer, laundry", breaker = "b-new" }]
move.b-kit.spaces = [3]
"""
SHARED = """
[[work]]
id = "w-1aa"
say = "Evened"
move.b-aaa.spaces = [3]
move.b-bbb.spaces = [1]
"""


def test_what_comes_out_comes_out_first() -> None:
    text = panel_house(breaker("kit", "2", 1800), breaker("dry", "5, 7", 5000, poles=2), more=REMOVES)
    assert acts(text) == [("New dryer circuit", [
        "Take out dry (5 and 7) for good.", "Move kit from 2 to 3. Check first that its conductors reach.",
        "Put in Dryer, laundry, new, into 5 and 7.",
    ])]  # fmt: skip
    assert listed(text)["Filler plate for an empty space"].used == ("2",), "5 and 7 are taken again"
    assert "Cable, not entered yet" in listed(text)


def shared() -> str:
    """Two hots of one neutral, not tied, that the work moves."""
    one = breaker("aaa", "1", 1500) + 'shares_neutral_with = "c-bbb"\n'
    return panel_house(one, breaker("bbb", "4", 300), more=SHARED)


def test_a_shared_neutral_that_is_moved_is_tied_in_the_order_and_in_the_parts() -> None:
    told = acts(shared())
    assert told[0][1][-1] == "Put a listed handle tie on aaa and bbb: from now on they open together."
    tie = listed(shared())["Handle tie, listed for the two breakers"]
    assert tie.count == 1 and set(tie.used) == {"aaa", "bbb"}
    tied = shared().replace("spaces = [1]\npoles", 'tied_with = "b-bbb"\nspaces = [1]\npoles')
    assert "handle tie" not in str(acts(tied)), "the tie that is there goes with them"
    assert "Handle tie, listed for the two breakers" not in listed(tied)


def test_every_step_has_its_own_order_and_one_that_cannot_be_worked_says_why() -> None:
    more = REMOVES.replace("move.b-kit.spaces = [3]", "") + (
        '[[work]]\nid = "w-2bb"\nsay = "Sump"\nmove.b-kit.spaces = [5]\n'
    )
    text = panel_house(breaker("kit", "2", 1800), breaker("dry", "5, 7", 5000, poles=2), more=more)
    assert acts(text)[1] == ("Sump", ["This step cannot be worked as it stands: "
                                      "kit and Dryer, laundry: said to be in the same space, 5."])  # fmt: skip
    assert [name for name, _ in acts(text)] == ["New dryer circuit", "Sump"]


def test_the_installation_sheet_has_the_same_order_under_its_steps() -> None:
    text = panel_house(breaker("kit", "2", 1800), breaker("dry", "5, 7", 5000, poles=2), more=REMOVES)
    blank = {each.key: each for each in sheets_of(house(text), EN, revision=1, on=ON, blank=True)}
    (name, told), *_ = acts(text)
    assert rows(blank["installation"], "work_steps") == [
        ["1", name], *([f"1.{n}", words] for n, words in enumerate(told, start=1)),
    ]  # fmt: skip
