"""A recording in the library: understood, kept, reduced, stale, remembered, and on the packet.

Expected figures: hand, the working beside each; the recording is invented (tests/recordings_made.py).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from deadfront.app import reductions
from deadfront.app.answers import answer, sheets_of, sign
from deadfront.app.library import Desk
from deadfront.app.recordings import add_recording, reduce_again, understood
from deadfront.app.signing import NotSignable
from deadfront.documents.catalog import Catalog
from deadfront.documents.standalone import standalone_html
from deadfront.errors import DeadfrontError
from deadfront.recordings.mapping import Mapping
from deadfront.recordings.trouble import ReadingStopped
from deadfront.worksheet.check import Outcome
from tests.app.desk import HOUSE, house_job
from tests.recordings_made import made_year

SOURCES = '\n[before]\ncomplete.sources = "yes"\n'
MORE = {"taken": "utility", "power_factor": "1", "added_since_va": "0"}


@pytest.fixture(scope="module")
def year(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented year as a file."""
    path = tmp_path_factory.mktemp("recording") / "usage.csv"
    path.write_text(made_year(), encoding="utf-8")
    return path


def meant(path: Path, desk: Desk | None = None) -> Mapping:
    guess = understood(None if desk is None else desk.library, path, "America/Denver").guess
    assert guess is not None
    return guess.mapping


def added(desk: Desk, folder: Path, path: Path, **more: object) -> str:
    job_id = house_job(desk, folder, HOUSE.replace("\n[before.service]", SOURCES + "\n[before.service]"))
    said = {**MORE, **more}
    add_recording(desk, job_id, 1, path, mapping=meant(path), measures="both legs", said=said)
    return job_id


def test_a_recording_becomes_a_thing_a_file_and_a_figure(desk: Desk, tmp_path: Path, year: Path) -> None:
    """1.565 kWh in a quarter hour: 6,260 W on the clock."""
    job_id = added(desk, tmp_path, year)
    opened = desk.open_job(job_id)
    (thing,) = opened.job.before.recordings
    assert (opened.revision, thing.file, thing.form) == (2, "usage.csv", "csv")
    assert thing.measures == "both legs" and thing.mapping is not None and thing.mapping["zone"] == "America/Denver"
    (row,) = [each for each in desk.library.attachments(job_id) if each.hash == thing.sha256]
    assert desk.library.attachment(row.hash).data == year.read_bytes()
    demand = opened.measured[thing.id].demand
    assert demand is not None and round(demand.block.low) == 6260


def test_it_is_one_more_way_to_the_load(desk: Desk, tmp_path: Path, year: Path) -> None:
    """6,260 W x 1.25 = 7,825 VA; the new 32 A EVSE at 240 V: 7,680; 15,505 VA on the clock."""
    opened = desk.open_job(added(desk, tmp_path, year))
    job = opened.job.model_copy(update={
        "choices": opened.job.choices.model_copy(update={"readings": {"measured_demand": "clock_quarter_hours"}})
    })  # fmt: skip
    method = answer(job, measured=opened.measured).assessment.load.method("measured")
    assert method is not None and method.total is not None
    assert method.admissible is Outcome.MEETS
    assert (method.total.value.low, method.total.value.high) == (15505, 15505)


def test_another_version_makes_it_stale_and_bars_a_signature(
    desk: Desk, tmp_path: Path, year: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job_id = added(desk, tmp_path, year)
    monkeypatch.setattr(reductions, "__version__", "9.9")
    fresh = Desk(desk.library, desk.clock, desk.rng)
    opened = fresh.open_job(job_id)
    assert opened.measured == {}
    standing = answer(opened.job, measured=opened.measured).standing
    assert not standing.signable
    with pytest.raises(NotSignable):
        sign(fresh, job_id, 2, signer="J. R.", license="ME-1")
    html = standalone_html(
        sheets_of(answer(opened.job), Catalog("en"), revision=2, on=date(2026, 5, 12)), Catalog("en")
    )
    assert "still to be reduced" in html and "6,260" not in html


def test_it_is_reduced_again_from_what_was_kept(desk: Desk, tmp_path: Path, year: Path) -> None:
    job_id = added(desk, tmp_path, year)
    table = desk.library.tables.results
    with desk.library.writing() as connection:
        connection.execute(table.delete())
    fresh = Desk(desk.library, desk.clock, desk.rng)
    assert fresh.open_job(job_id).measured == {}
    assert reduce_again(fresh, job_id) == ()
    assert list(fresh.open_job(job_id).measured) == [fresh.open_job(job_id).job.before.recordings[0].id]


def test_another_mapping_is_another_input(desk: Desk, tmp_path: Path, year: Path) -> None:
    job_id = added(desk, tmp_path, year)
    ident = desk.open_job(job_id).job.before.recordings[0].id
    desk.apply(job_id, 2, [{"do": "set", "path": f"before/{ident}.mapping.zone", "value": "America/New_York"}])
    assert desk.open_job(job_id).measured == {}


def test_what_was_said_of_a_heading_is_remembered(desk: Desk, tmp_path: Path, year: Path) -> None:
    assert not understood(desk.library, year, "").remembered
    added(desk, tmp_path, year)
    again = understood(desk.library, year, "")
    assert again.remembered and again.guess is not None and again.guess.mapping.zone == "America/Denver"


def test_stopped_or_changed_keeps_nothing(desk: Desk, tmp_path: Path, year: Path) -> None:
    job_id = house_job(desk, tmp_path)
    with pytest.raises(ReadingStopped):
        add_recording(desk, job_id, 1, year, mapping=meant(year), stop=lambda: True)
    with pytest.raises(DeadfrontError):
        desk.library.attach_file(job_id, year, "0" * 64, "text/csv", "recording-0")
    assert desk.open_job(job_id).revision == 1
    assert desk.library.attachments(job_id) == []


def test_two_channels_must_be_named(desk: Desk, tmp_path: Path) -> None:
    path = tmp_path / "legs.csv"
    rows = ["time,L1 (W),L2 (W)"]
    rows += [
        f"2025-01-{1 + n // 96:02} {n // 4 % 24:02}:{n % 4 * 15:02},{500 + n % 7},{900 + n % 5}" for n in range(960)
    ]
    path.write_text("\n".join(rows), encoding="utf-8")
    job_id = house_job(desk, tmp_path)
    mapping = replace(meant(path))
    with pytest.raises(DeadfrontError) as refused:
        add_recording(desk, job_id, 1, path, mapping=mapping)
    assert refused.value.msg.key == "app.recording.which_channel"
    names = refused.value.msg.params["allowed"]
    assert isinstance(names, tuple)
    add_recording(desk, job_id, 1, path, mapping=mapping, channels=names, measures="both legs")
    (found,) = desk.open_job(job_id).measured.values()
    assert found.demand is not None
    # The two peak together where n % 7 = 6 and n % 5 = 4: 506 + 904 = 1,410 W.
    assert round(found.demand.block.low) == 1410


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_packet_holds_the_evidence(desk: Desk, tmp_path: Path, year: Path, language: str) -> None:
    opened = desk.open_job(added(desk, tmp_path, year))
    catalog = Catalog(language, strict=language == "en")
    sheets = sheets_of(answer(opened.job, measured=opened.measured), catalog, revision=2, on=date(2026, 5, 12))
    keys = [sheet.key for sheet in sheets]
    assert keys[:2] == ["load", "evidence"] and keys[-1] == "todo"
    html = standalone_html(sheets, catalog)
    assert html.count('class="plot"') == 3 and "2025-01-11 19:00 MST" in html
    assert catalog.lacking == set()
    assert "[" not in "".join(str(catalog.say(sheet.title)) for sheet in sheets)
