"""The tray of files sent up: one for each job, on disk beside the library, gone when it is closed."""

from __future__ import annotations

import os
from pathlib import Path

from deadfront.app.tray import LEFT_BEHIND_S, Tray


def left(folder: Path) -> list[str]:
    """Everything of trays that is on disk."""
    return sorted(path.name for path in folder.rglob("*") if "tray-" in str(path))


def test_one_file_for_each_job_and_nothing_left(tmp_path: Path) -> None:
    tray = Tray(tmp_path / "library.db")
    assert left(tmp_path) == []
    for number in (1, 2):
        path = tray.place()
        path.write_bytes(b"x" * number)
        tray.put("j-1", path, f"usage {number}.csv")
    held = tray.of("j-1")
    assert held is not None and (held.name, held.size, held.said) == ("usage 2.csv", 2, {})
    assert [name for name in left(tmp_path) if name == "file"] == ["file"], "the first gave way"
    tray.say("j-1", {"zone": "America/Denver"})
    assert tray.of("j-1").said == {"zone": "America/Denver"}  # type: ignore[union-attr]
    tray.discard_unless_held("j-1", held.path)
    assert held.path.exists()
    stray = tray.place()
    stray.write_bytes(b"x")
    tray.discard_unless_held("j-1", stray)
    assert not stray.exists() and not stray.parent.exists()
    tray.drop("j-1")
    tray.drop("j-1")
    assert tray.of("j-1") is None and not held.path.exists()
    tray.close()
    assert left(tmp_path) == []


def test_what_a_program_that_died_left_is_removed_after_a_day(tmp_path: Path) -> None:
    old, young = Tray(tmp_path / "library.db"), Tray(tmp_path / "library.db")
    for tray in (old, young):
        tray.place().write_bytes(b"x")
    folder = old.place().parent.parent
    then = folder.stat().st_mtime - LEFT_BEHIND_S - 60
    os.utime(folder, (then, then))
    Tray(tmp_path / "library.db").place()
    assert not folder.exists()
    assert young.place().parent.parent.is_dir()


def test_nobody_else_reads_what_was_sent_up(tmp_path: Path) -> None:
    place = Tray(tmp_path / "library.db").place()
    assert [folder.stat().st_mode & 0o077 for folder in (place.parent, place.parent.parent)] == [0, 0]
