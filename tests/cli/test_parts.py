"""`deadfront parts` and the panel's sheets on the terminal: what is listed, what is written, what is refused."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from tests.cli.calling import call
from tests.documents.panel_house import JOB


@pytest.fixture
def alder(tmp_path: Path) -> Path:
    path = tmp_path / "alder.toml"
    path.write_text(JOB, encoding="utf-8")
    return path


def test_the_parts_are_listed_by_sections_with_the_assumption(alder: Path) -> None:
    done = call("parts", alder)
    assert done.code == 0
    assert "  44 ft  NM-B 8-2 Cu, ground as the cable has it: EV charger, garage, EV outlet, garage, second" in done.out
    assert "10 % for cutting and slack: an assumption" in " ".join(done.out.split())
    assert done.out.index("Breakers") < done.out.index("Conductors") < done.out.index("Taken out")


def test_a_workbook_and_a_csv_are_written_whole(alder: Path, tmp_path: Path) -> None:
    for name in ("p.xlsx", "p.csv", "P.CSV"):
        done = call("parts", alder, "-o", tmp_path / name)
        assert done.code == 0 and f"Written: {tmp_path / name}" in done.out.replace("\n", "")
    assert zipfile.is_zipfile(tmp_path / "p.xlsx")
    assert (tmp_path / "p.csv").read_bytes().startswith(b"\xef\xbb\xbfsection,part,")


def test_the_words_follow_the_language(alder: Path, tmp_path: Path) -> None:
    assert call("parts", alder, "-o", tmp_path / "p.csv", "--language", "es").code == 0
    assert "Conductores,NM-B 8-2 Cu" in (tmp_path / "p.csv").read_text(encoding="utf-8-sig").replace('"', "")


def test_another_kind_of_file_is_refused_with_what_is_allowed(alder: Path, tmp_path: Path) -> None:
    done = call("parts", alder, "-o", tmp_path / "p.ods")
    assert done.code == 5 and ".xlsx and .csv, not as .ods" in done.err + done.out
    assert not (tmp_path / "p.ods").exists()


def test_a_folder_that_is_not_there_is_said(alder: Path, tmp_path: Path) -> None:
    done = call("parts", alder, "-o", tmp_path / "nowhere" / "p.csv")
    assert done.code == 4 and "Traceback" not in done.err
    assert not (tmp_path / "nowhere").exists()


def test_before_the_work_there_is_nothing_to_bring(alder: Path) -> None:
    assert "There is no work in this job that needs a part" in " ".join(
        call("parts", alder, "--at", "before").out.split()
    )


@pytest.mark.parametrize(("name", "words"), [
    ("panel", "Where does each breaker stand"), ("directory", "No: 2 names must be changed."),
    ("labels", "METER DISCONNECT, NOT SERVICE EQUIPMENT"), ("parts", "Filler plate for an empty space"),
])  # fmt: skip
def test_each_paper_is_a_sheet_of_the_terminal_too(alder: Path, name: str, words: str) -> None:
    done = call("sheet", alder, name)
    assert done.code == 0 and words in " ".join(done.out.split())
