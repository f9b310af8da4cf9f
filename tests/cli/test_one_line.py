"""`deadfront drawing` and the sheet on the terminal: what is written, what is refused."""

from __future__ import annotations

from pathlib import Path

from tests.cli.calling import call

FULL = Path(__file__).parents[1] / "houses" / "full_house.toml"


def test_the_three_kinds_are_written_by_their_ending(tmp_path: Path) -> None:
    for name, begins in (("d.svg", b"<svg"), ("D.PDF", b"%PDF"), ("d.dxf", b"  0\n")):
        done = call("drawing", FULL, "-o", tmp_path / name)
        assert done.code == 0 and "One-line diagram written to" in done.out and "Prove tester" in done.out
        assert (tmp_path / name).read_bytes().startswith(begins)


def test_the_kind_asked_for_goes_before_the_ending_and_the_language_is_kept(tmp_path: Path) -> None:
    out = tmp_path / "drawing.txt"
    assert call("drawing", FULL, "--as", "svg", "-o", out, "--language", "es").code == 0
    assert "Compañía eléctrica" in out.read_text(encoding="utf-8")


def test_before_the_work_the_generator_is_not_there(tmp_path: Path) -> None:
    for step, there in (("before", False), ("w-1ge", True)):
        assert call("drawing", FULL, "--at", step, "-o", tmp_path / "d.svg").code == 0
        assert ("Generator (N)" in (tmp_path / "d.svg").read_text(encoding="utf-8")) is there


def test_another_kind_of_file_is_refused_with_what_is_allowed(tmp_path: Path) -> None:
    done = call("drawing", FULL, "-o", tmp_path / "d.dwg")
    assert done.code == 5 and "svg, pdf and dxf, not dwg" in " ".join((done.err + done.out).split())
    assert not (tmp_path / "d.dwg").exists()
    assert call("drawing", FULL, "--as", "png").code == 2


def test_a_folder_that_is_not_there_and_no_step_are_said(tmp_path: Path) -> None:
    done = call("drawing", FULL, "-o", tmp_path / "nowhere" / "d.svg")
    assert done.code == 4 and "Traceback" not in done.err
    done = call("drawing", FULL, "--at", "w-none", "-o", tmp_path / "d.svg")
    assert done.code != 0 and "w-none" in done.err + done.out and "Traceback" not in done.err


def test_the_sheet_lists_what_is_not_known() -> None:
    done = call("sheet", FULL, "one-line")
    assert done.code == 0 and "What is joined to what" in done.out and "shows nothing dead" in done.out


def test_a_drawing_of_a_move_that_is_no_number_is_told_by_check(tmp_path: Path) -> None:
    """A bad nudge is said by file and field; the drawing is made without it."""
    bad = tmp_path / "bad.toml"
    text = FULL.read_text(encoding="utf-8") + '\n[choices.drawing]\n"p-1ma" = { right_pt = "far" }\n'
    bad.write_text(text, encoding="utf-8")
    done = call("check", bad)
    assert done.code != 0 and "right_pt" in done.out + done.err and "far" in done.out + done.err
    assert call("drawing", bad, "-o", tmp_path / "d.svg").code == 0
