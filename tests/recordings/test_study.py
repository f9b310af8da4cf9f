"""The study of recordings runs small here, in full with `python -m tests.study.run`; and so does the bench."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.recordings import ESPI_MB, apart, write_feed
from tests.study import recordings


def test_a_small_study_writes_its_section() -> None:
    out: list[str] = []
    recordings.run(out, files=400, feed_bytes=2_000_000)
    text = "\n".join(out)
    assert "400 damaged small files" in text and "| recordings." in text
    assert "ESPI feed of 0.0 GB" in text


def test_damaged_files_go_on_where_they_were_stopped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A run that lost its last task, or was of another engine, ends with the same tally."""
    monkeypatch.setattr(recordings, "PER_TASK", 60)
    kept = tmp_path / "kept.jsonl"
    whole = recordings.damaged(150, kept)
    lines = kept.read_text(encoding="utf-8").splitlines()
    assert len(lines) == 3 and whole.read + sum(whole.refused.values()) == 150
    kept.write_text("\n".join(lines[:2]) + "\n", encoding="utf-8")
    assert recordings.damaged(150, kept) == whole == recordings.damaged(150)
    assert len(kept.read_text(encoding="utf-8").splitlines()) == 3
    monkeypatch.setattr(recordings, "engine_hash", lambda study: "0" * 64)
    assert recordings.damaged(60, kept).read <= 60
    assert len(kept.read_text(encoding="utf-8").splitlines()) == 4


def test_a_feed_streams_in_little_memory(tmp_path: Path) -> None:
    """Ten times the feed costs far less than ten times the memory."""
    small, large = tmp_path / "small.xml", tmp_path / "large.xml"
    write_feed(small, 1_000_000)
    count = write_feed(large, 20_000_000)
    less, more = apart("espi", small), apart("espi", large)
    assert more["readings"] == count
    assert more["mb"] < ESPI_MB and more["mb"] - less["mb"] < 20  # hand: 110,000 readings at a few bytes each
