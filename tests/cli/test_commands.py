"""Each command does what its help says, and ends with the exit code it names."""

from __future__ import annotations

import json
import sys
import zipfile
from pathlib import Path

import jsonschema
import pytest

from deadfront.app.assess_json import assess_schema
from deadfront.job.read import read_job
from tests.cli.calling import call
from tests.cli.conftest import FULL


def test_assess_says_the_answer_first_and_the_cautions_last(house: Path) -> None:
    done = call("assess", house)
    lines = done.out.splitlines()
    assert done.code == 1
    assert lines[0].startswith("14 Hollow Creek Rd | Marlow Falls | 2023 NEC")
    assert lines[1].startswith("◇ ") and "cannot tell" in lines[1]
    assert "Screening figure; not a permit calculation until the license holder signs." in done.out
    assert "The line side stays live with the main open." in done.out


def test_a_method_that_may_not_be_used_has_no_figure_and_no_verdict(full: Path) -> None:
    text = FULL.replace("floor_area_ft2 = 1400", "floor_area_ft2 = 1400\ncount = 2")
    full.write_text(text.replace("existing = true", "existing = false"), encoding="utf-8")
    line = next(each for each in call("assess", full).out.splitlines() if each.startswith("  Existing dwelling"))
    assert "no figure" in line and "does not apply" in line and "not known yet" not in line


def test_readings_chosen_and_assumptions_made_are_printed(full: Path) -> None:
    chosen = FULL + '[[before.loads]]\nid = "l-2ac"\nkind = "air_conditioner"\nnameplate_va = 4000\n'
    full.write_text(chosen + '[choices.readings]\nexisting_hvac = "left_out"\n', encoding="utf-8")
    done = call("assess", full)
    assert "Reading: heating and cooling already there: left out (chosen in the job)" in done.out
    assert "Assumed:" not in done.out
    assumed = FULL.replace('complete.loads = "yes"', 'complete.loads = "unknown"')
    full.write_text('assumptions = ["nothing_else_connected"]\n' + assumed, encoding="utf-8")
    done = call("assess", full)
    lines = done.out.splitlines()
    assert lines[1].startswith("◇ cannot tell: ") and lines[1].endswith("on named assumptions only.")
    assert lines[2] == "  Assumed: Nothing is connected but what is listed."


def test_a_part_assumed_ample_shows_no_figure(full: Path) -> None:
    text = FULL.replace('conductors = { size = "2 Al", needs_correction = false }\n', "").replace(
        "socket_a = 125\n", ""
    )
    full.write_text('assumptions = ["disconnect_is_smallest"]\n' + text, encoding="utf-8")
    out = call("assess", full).out
    parts = {line.split("  ")[1]: line for line in out.splitlines() if line.startswith(("  Service con", "  Meter"))}
    assert len(parts) == 2 and all(line.endswith("assumed ample") for line in parts.values()), parts
    assert "100,000" not in out


def test_no_pattern_and_no_inner_name_is_shown(full: Path) -> None:
    full.write_text(FULL.replace("l-1ra", "RANGE"), encoding="utf-8")
    done = call("check", full)
    assert "one to three small letters, a hyphen" in " ".join(done.out.split()) and "such as l-2xf" in done.out
    assert "^[" not in done.out and "]{" not in done.out
    full.write_text(FULL, encoding="utf-8")
    out = " ".join(call("assess", full, "--edition", "2026").out.split())
    assert "existing_dwelling_load" not in out
    assert "evse_va_min" not in call("codebook", "show", "evse_va_min", "--edition", "2020").err


def test_every_shape_stands_beside_its_word(house: Path) -> None:
    wrong = ("does not meet", "Danger", "To correct", "Worth knowing")
    words = {"●": "meets", "■": wrong, "◇": ("cannot tell", "To find out", " open: ")}
    for line in call("assess", house).out.splitlines():
        for shape, word in words.items():
            if shape in line:
                assert any(each in line for each in ([word] if isinstance(word, str) else word)), line


def test_exit_codes_follow_the_answer(house: Path, full: Path) -> None:
    small = full.with_name("small.toml")
    small.write_text(FULL.replace("rating_a = 100", "rating_a = 30"), encoding="utf-8")
    unsure = full.with_name("unsure.toml")
    unsure.write_text(FULL.replace('complete.loads = "yes"', ""), encoding="utf-8")
    for command in ("assess", "check"):
        codes = tuple(call(command, each).code for each in (full, small, unsure, house))
        assert codes == (0, 1, 3, 1), "the example house has a circuit that is wrong"


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (["nonsense"], 2, "There is no command 'nonsense'"),
        (["assess"], 2, "Missing argument"),
        (["assess", "{job}", "--edition", "1999"], 2, "1999"),
        (["assess", "nowhere.toml"], 4, "There is no job nowhere.toml"),
        (["assess", "j-none"], 4, "There is no job j-none"),
        (["assess", "{job}", "--at", "w-none"], 4, "w-none"),
        (["codebook", "show", "nothing_of_this_name"], 2, "nothing_of_this_name"),
        (["codebook", "show", "evse_va_min", "--edition", "2020"], 5, "No other edition is borrowed"),
        (["explain", "load.nothing"], 2, "load.nothing"),
        (["new", "{job}", "--name", "A", "--edition", "2023"], 5, "is there already"),
        (["new", "a.txt", "--name", "A", "--edition", "2023"], 5, "ends in .toml"),
        (["first-look", "--edition", "2023", "--no-ask", "-a", "disconnect"], 2, "KEY=VALUE"),
        (["first-look", "--edition", "2023", "--no-ask", "-a", "disconnect=large"], 5, "large"),
        (["packet", "{job}", "-o", "{folder}/none/a.pdf"], 4, "cannot be read or written"),
    ],
)
def test_trouble_is_said_in_words(
    arguments: list[str], code: int, said: str, full: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DEADFRONT_LIBRARY", str(full.parent / "library.db"))
    monkeypatch.chdir(full.parent)
    done = call(*[each.format(job=full, folder=full.parent) for each in arguments])
    assert (done.code, done.out) == (code, "")
    assert said in done.err and "Traceback" not in done.err


def test_a_line_that_was_not_understood_is_never_a_pass(full: Path) -> None:
    full.write_text(FULL + "nameplate_kw = 40\n", encoding="utf-8")
    done = call("assess", full)
    assert done.code == 3 and "nameplate_kw" in done.out
    assert call("check", full).code == 1


def test_the_library_is_where_it_is_said_to_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DEADFRONT_LIBRARY", raising=False)
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    made = call("new", "--name", "A", "--edition", "2023")
    assert made.code == 0 and (tmp_path / "data" / "deadfront" / "library.db").is_file()
    monkeypatch.setenv("DEADFRONT_LIBRARY", str(tmp_path / "mine.db"))
    assert call("new", "--name", "B", "--edition", "2023").code == 0
    assert "B" in call("jobs").out and " A\n" not in call("jobs").out
    assert " A\n" in call("jobs", "--library", tmp_path / "data" / "deadfront").out


def test_another_edition_is_only_tried(house: Path) -> None:
    before = house.read_bytes()
    assert "2026 NEC" in call("assess", house, "--edition", "2026").out
    assert house.read_bytes() == before


def test_a_step_of_the_work_is_assessed(full: Path) -> None:
    text = FULL + '\n[[work]]\nid = "w-1ev"\nsay = "Charger"\n[[work.add.loads]]\nid = "l-9ev"\nkind = "evse"\n'
    full.write_text(text + "nameplate_a = 200\n", encoding="utf-8")
    assert (call("assess", full, "--at", "before").code, call("assess", full).code) == (0, 1)
    assert call("assess", full, "--at", "w-1ev").code == 1


def test_shares_are_those_of_the_step_asked_for(house: Path) -> None:
    after, before = (json.loads(call("assess", house, "--json", "--matters", *at).out)["shares"]
                     for at in ([], ["--at", "before"]))  # fmt: skip
    assert {s["load"] for s in after} - {s["load"] for s in before} == {"l-t1v", "l-5rt"}
    assert {s["load"] for s in before} - {s["load"] for s in after} == {"l-4zb", "l-5bc"}


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("more", [[], ["--matters"], ["--at", "before"]])
def test_json_keeps_its_schema(house: Path, language: str, more: list[str]) -> None:
    done = call("assess", house, "--json", "--language", language, *more)
    data = json.loads(done.out)
    jsonschema.Draft202012Validator(assess_schema()).validate(data)
    assert (data["format"], data["version"], data["language"], done.code) == ("deadfront.assess", 1, language, 1)
    assert (data["shares"] is None) == ("--matters" not in more)
    assert data["cautions"] and data["to_find"][0]["how"]


def test_json_says_the_same_as_the_words(full: Path) -> None:
    data = json.loads(call("assess", full, "--json").out)
    relied = next(m for m in data["methods"] if m["key"] == data["relied"])
    assert (data["outcome"], relied["verdict"]) == ("meets", "meets")
    assert f"{relied['current_whole_a']['high']} A" in call("assess", full).out


def test_a_range_without_an_upper_end_is_null_in_json_never_a_large_number(house: Path) -> None:
    data = json.loads(call("assess", house, "--json").out)
    assert {m["key"]: m["current_whole_a"]["high"] for m in data["methods"] if m["current_whole_a"]} == {
        "standard": None, "optional": None, "existing": None}  # fmt: skip


def test_schemas_are_printed() -> None:
    for which in ("job", "assess"):
        jsonschema.Draft202012Validator.check_schema(json.loads(call("schema", which).out))


def test_new_makes_a_file_that_reads_without_a_problem(tmp_path: Path) -> None:
    path = tmp_path / "elm.toml"
    assert call("new", path, "--name", "9 Elm St", "--edition", "2020", "--place", "Marlow Falls").code == 0
    read = read_job(path.read_text(encoding="utf-8"))
    assert (read.job.job.name, read.job.job.code.edition, read.problems) == ("9 Elm St", "2020", ())


def test_packet_is_a_pdf_or_one_html_file(full: Path) -> None:
    pdf, html = full.with_suffix(".pdf"), full.with_suffix(".html")
    assert call("packet", full, "-o", pdf).code == call("packet", full, "--html", "-o", html).code == 0
    assert pdf.read_bytes().startswith(b"%PDF-")
    text = html.read_text(encoding="utf-8")
    assert "9 Elm St" in text and "DRAFT" in text and "<script" not in text


def test_a_job_goes_through_the_library_and_comes_out_the_same(full: Path) -> None:
    library, out = full.parent / "lib.db", full.parent / "out.zip"
    job = call("import", full, "--library", library, "--who", "R. A.").out.split()[3].rstrip(",")
    assert job in call("jobs", "--library", library).out
    assert "R. A." in call("history", job, "--library", library).out
    assert call("assess", job, "--library", library).code == 0
    assert call("export", job, out, "--library", library).code == 0
    with zipfile.ZipFile(out) as made:
        assert made.read("job.toml").decode() == FULL
    assert call("assess", out).code == 0


def test_signing_is_refused_while_anything_bars_it_and_done_once_nothing_does(house: Path, full: Path) -> None:
    library = full.parent / "lib.db"
    who = ["--signer", "R. Alvarez", "--license", "ME-1042", "--library", library]
    barred, fit = (call("import", each, "--library", library).out.split()[3].rstrip(",") for each in (house, full))
    done = call("issue", barred, "--revision", "1", *who)
    assert done.code == 1 and "Not signed." in done.out
    assert call("issue", fit, "--revision", "2", *who).code == 5
    assert call("issue", fit, "--revision", "1", *who).code == 0
    assert "signed by R. Alvarez" in call("history", fit, "--library", library).out
    assert "signed by" not in call("history", barred, "--library", library).out


def test_confirmed_values_lose_their_mark(tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    entry = '[[confirmed]]\nname = "optional_heat_few_percent"\nedition = "2023"\nvalue = '
    mine.write_text(f'holder = "R. A."\nlicense = "1"\ndate = 2026-05-12\n{entry}65\n', encoding="utf-8")
    show = ("codebook", "show", "optional_heat_few_percent", "--edition", "2023")
    assert "from memory, check with the book" in " ".join(call(*show).out.split())
    confirmed = " ".join(call(*show, "--overlay", mine).out.split())
    assert "R. A., 2026-05-12" in confirmed and "check with the book" not in confirmed.partition("M: ")[0]
    mine.write_text(mine.read_text("utf-8").replace("65", "66"), encoding="utf-8")
    assert call(*show, "--overlay", mine).code == 4


def test_every_entry_of_the_code_book_can_be_shown() -> None:
    for line in call("codebook", "list", "--edition", "2023").out.splitlines()[1:]:
        name = line.split()[0]
        assert call("codebook", "show", name).code == 0, name


def test_a_first_look_is_never_a_pass(tmp_path: Path) -> None:
    out = tmp_path / "look.toml"
    done = call("first-look", "--edition", "2023", "--no-ask", "-a", "disconnect=400", "-a", "floor_area=800", "-a",
                "cooking=none", "-a", "dryer=none", "-a", "heating=none", "-o", out)  # fmt: skip
    assert done.code == 3 and "typical_sizes" in out.read_text(encoding="utf-8")


def test_the_demo_keeps_what_was_changed_in_it(tmp_path: Path) -> None:
    first = call("demo", "--out", tmp_path, "--no-serve")
    assert first.code == 0 and len(first.out.splitlines()) <= 14
    file = tmp_path / "14-hollow-creek-rd.toml"
    file.write_text(file.read_text("utf-8") + "# mine\n", encoding="utf-8")
    assert call("demo", "--out", tmp_path, "--no-serve").code == 0
    assert file.read_text("utf-8").endswith("# mine\n")
    assert len(call("jobs", "--library", tmp_path).out.splitlines()) == 2
