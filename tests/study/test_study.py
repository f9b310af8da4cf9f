"""The study runs small here; in full with `python -m tests.study.run`. The page committed belongs to this engine."""

from __future__ import annotations

import warnings

from tests.study import loads, run


def test_a_small_study_writes_its_table() -> None:
    out: list[str] = []
    loads.run(out, houses=15, blanks=2, tables_of=("2026",))
    text = "\n".join(out)
    assert "| houses | 15 | 15 | 15 | 15 | 15 |" in text
    assert "method: standard" in text
    assert text.count("\n| 2026 |") == 1


def test_the_studies_are_found() -> None:
    assert [name for name, each in run.studies() if not callable(each)] == []
    assert "loads" in [name for name, _ in run.studies()]


def test_every_study_says_what_it_stands_on() -> None:
    assert {name for name, _ in run.studies()} == set(run.ROOMS)


def test_the_page_is_looked_at(tmp_path, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    """A section of another engine, or one that is not there, is told apart; a study run alone keeps the others."""
    monkeypatch.setattr(run, "PAGE", tmp_path / "study.md")
    assert "not there" in str(run.stale())
    run.PAGE.write_text("nothing", encoding="utf-8")
    assert "lacks loads, recordings" in str(run.stale())
    for name in run.ROOMS:
        run.write(name, run.heading(name, run.engine_hash(name)) + "\n\nfigures of " + name)
    assert run.stale() is None
    run.write("recordings", run.heading("recordings", "0" * 64) + "\n\nother figures")
    assert "made with another engine: recordings:" in str(run.stale())
    text = run.PAGE.read_text(encoding="utf-8")
    assert [text.count(f"figures of {name}") for name in run.ROOMS] == [name != "recordings" for name in run.ROOMS]
    assert "other figures" in text


def test_the_committed_page_is_said_to_be_stale() -> None:
    """Said, not failed: a change of the engine comes first, the full counts after it."""
    assert run.PAGE.exists()
    why = run.stale()
    if why is not None:
        warnings.warn(why, stacklevel=1)
