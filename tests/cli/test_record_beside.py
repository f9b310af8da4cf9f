"""`deadfront record` on a job that is a file, a folder or a zip. Figures: hand, from tests/recordings_made.py."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from deadfront.app import record_beside, reducing
from tests.cli.calling import Called, call
from tests.cli.conftest import FULL
from tests.cli.test_record import WANTED
from tests.recordings_made import made_year

COMMENT = 'complete.loads = "yes"   # the attic too\ncomplete.sources = "yes"'


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A job file, and a recording of 31 days beside it."""
    monkeypatch.setenv("DEADFRONT_LIBRARY", str(tmp_path / "library.db"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "elm.toml").write_text(FULL.replace('complete.loads = "yes"', COMMENT), encoding="utf-8")
    (tmp_path / "usage.csv").write_text(made_year(31), encoding="utf-8")
    return tmp_path


def measured(where: object) -> dict[str, Any]:
    """The method of the measured demand in the answer of a job."""
    data = json.loads(call("assess", where, "--json").out)
    found: dict[str, Any] = next(each for each in data["methods"] if each["key"] == "measured")
    return found


def recorded(where: object, file: object = "usage.csv") -> Called:
    done = call("record", where, file, *WANTED)
    assert done.code == 0, done.err
    return done


def test_it_is_registered_in_the_file_and_the_answer_reads_it(folder: Path) -> None:
    """6,260 W on L1: 52.17 A on 120 V, 12,520 VA at 240 V, times 1.25: 15,650 VA, 65.2 A."""
    before = (folder / "elm.toml").read_text(encoding="utf-8")
    done = recorded("elm.toml")
    assert "31 days" in done.out and "6,260 W" in done.out
    after = (folder / "elm.toml").read_text(encoding="utf-8")
    assert after.startswith(before.rstrip("\n")) and "# the attic too" in after, "every byte that was there stays"
    assert 'file = "usage.csv"' in after and "sha256 = " in after
    method = measured("elm.toml")
    assert method["admissible"] == "meets" and "65" in json.dumps(method)
    assert call("packet", "elm.toml", "--html", "-o", "elm.html").code == 0
    assert "Measured demand: the evidence" in (folder / "elm.html").read_text(encoding="utf-8")
    assert "One recording was reduced" in call("record", "elm.toml", "--again").out


@pytest.mark.parametrize(("spoil", "reason"), [
    ("missing", "which is not beside the job"), ("changed", "its checksum differs"),
    ("emptied", "its checksum differs"), ("folder", "which is not beside the job"),
])  # fmt: skip
def test_a_file_missing_or_changed_is_never_used(folder: Path, spoil: str, reason: str) -> None:
    recorded("elm.toml")
    usage = folder / "usage.csv"
    if spoil == "changed":
        usage.write_text(usage.read_text().replace("1.565", "1.065"), encoding="utf-8")
    elif spoil == "emptied":
        usage.write_bytes(b"")
    else:
        usage.unlink()
        if spoil == "folder":
            usage.mkdir()
    done = call("assess", "elm.toml")
    assert reason in " ".join(done.out.split()) and "to find out" in done.out
    method = measured("elm.toml")
    assert (method["admissible"], method.get("load_va")) == ("cannot tell", None), method
    again = call("record", "elm.toml", "--again")
    assert again.code == 3 and reason in again.err


def test_a_name_that_leads_elsewhere_is_refused(folder: Path) -> None:
    recorded("elm.toml")
    (folder / "inner").mkdir()
    text = (folder / "elm.toml").read_text(encoding="utf-8").replace('"usage.csv"', '"../usage.csv"')
    (folder / "inner" / "elm.toml").write_text(text, encoding="utf-8")
    done = call("assess", "inner/elm.toml")
    assert "could not be read" in " ".join(done.out.split()) and measured("inner/elm.toml")["admissible"] != "meets"


def test_a_recording_from_elsewhere_is_copied_beside(folder: Path) -> None:
    (folder / "sent").mkdir()
    shutil.move(folder / "usage.csv", folder / "sent" / "usage.csv")
    recorded("elm.toml", "sent/usage.csv")
    assert (folder / "usage.csv").read_bytes() == (folder / "sent" / "usage.csv").read_bytes()
    assert measured("elm.toml")["admissible"] == "meets"


def test_another_file_of_that_name_is_never_written_over(folder: Path) -> None:
    (folder / "sent").mkdir()
    (folder / "sent" / "usage.csv").write_text(made_year(32), encoding="utf-8")
    before = (folder / "elm.toml").read_bytes(), (folder / "usage.csv").read_bytes()
    done = call("record", "elm.toml", "sent/usage.csv", *WANTED)
    assert done.code == 5 and "Rename" in done.err
    assert ((folder / "elm.toml").read_bytes(), (folder / "usage.csv").read_bytes()) == before


def test_twice_is_refused(folder: Path) -> None:
    recorded("elm.toml")
    done = call("record", "elm.toml", "usage.csv", *WANTED)
    assert done.code == 5 and "in the job already" in done.err


def test_a_job_changed_meanwhile_is_left_alone(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = record_beside._put_beside

    def slow(*arguments: Any) -> None:
        (folder / "elm.toml").write_text(FULL + "# someone else\n", encoding="utf-8")
        real(*arguments)

    monkeypatch.setattr(record_beside, "_put_beside", slow)
    done = call("record", "elm.toml", "usage.csv", *WANTED)
    assert done.code == 5 and "was changed" in done.err
    assert (folder / "elm.toml").read_text(encoding="utf-8") == FULL + "# someone else\n"


def job_folder(folder: Path) -> Path:
    """The job as a folder with its list of hashes."""
    done = call("import", "elm.toml")
    job = next(word.strip(",.") for word in done.out.split() if word.startswith("j-"))
    assert call("export", job, "elm").code == 0
    return folder / "elm"


def test_a_folder_keeps_it_among_its_attachments_and_its_list_fits(folder: Path) -> None:
    recorded(job_folder(folder))
    (folder / "usage.csv").unlink()
    assert measured("elm")["admissible"] == "meets"
    lines = (folder / "elm" / "SHA256SUMS").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 3 and any("attachments/recording-" in line for line in lines)
    done = call("import", "elm")
    assert done.code == 0, done.err
    job = next(word.strip(",.") for word in done.out.split() if word.startswith("j-"))
    assert "came along" in done.out and "0 recordings were reduced" in call("record", job, "--again").out
    assert measured(job)["admissible"] == "meets"
    assert call("export", job, "elm.zip").code == 0
    assert measured("elm.zip")["admissible"] == "meets", "a zip carries its recordings along"


def test_a_zip_is_not_changed_in_place(folder: Path) -> None:
    job = next(word.strip(",.") for word in call("import", "elm.toml").out.split() if word.startswith("j-"))
    assert call("export", job, "elm.zip").code == 0
    before = (folder / "elm.zip").read_bytes()
    done = call("record", "elm.zip", "usage.csv", *WANTED)
    assert done.code == 5 and "zip" in done.err and (folder / "elm.zip").read_bytes() == before


def test_a_folder_changed_by_hand_is_not_recorded_into(folder: Path) -> None:
    inside = job_folder(folder) / "job.toml"
    inside.write_text(inside.read_text(encoding="utf-8") + "# by hand\n", encoding="utf-8")
    done = call("record", "elm", "usage.csv", *WANTED)
    assert done.code == 4 and not list((folder / "elm" / "attachments").iterdir())


def test_without_the_part_that_reads_recordings_the_command_to_install_it_is_said(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    recorded("elm.toml")
    monkeypatch.setattr(reducing, "can_read", lambda: False)
    done = call("record", "elm.toml", "usage.csv", *WANTED)
    assert done.code == 5 and 'pip install "deadfront[data]"' in done.err
    out = " ".join(call("assess", "elm.toml").out.split())
    assert "is not installed" in out and measured("elm.toml")["admissible"] == "cannot tell"


def test_a_recording_beside_a_job_comes_along_into_the_library(folder: Path) -> None:
    recorded("elm.toml")
    done = call("import", "elm.toml")
    assert done.code == 0 and "usage.csv came along" in done.out
    (folder / "usage.csv").unlink()
    job = next(word.strip(",.") for word in done.out.split() if word.startswith("j-"))
    assert measured(job)["admissible"] == "meets"
    done = call("import", "elm.toml")
    assert done.code == 0 and "stayed behind" in done.out and "is not beside the job" in " ".join(done.out.split())
