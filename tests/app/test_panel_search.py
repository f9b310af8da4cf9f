"""The search as something asked for: kept by what went into it, stale when that changes, gone with a deleted job.

Expected figures: hand, the working beside each.
"""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from deadfront.app import panel_papers, panel_search
from deadfront.app.answers import Answered, answer, sheet_head
from deadfront.app.library import Desk
from deadfront.app.panel_keeping import keeping_edits
from deadfront.app.panel_layouts import apart_of, tried
from deadfront.app.panel_search import KIND, Searched, input_hash, latest, limits_of, search
from deadfront.documents.catalog import Catalog
from deadfront.store.rows import AskedResult
from deadfront.worksheet.sheet import Table
from tests.app.desk import house_job
from tests.panel.houses import breaker, house

pytest.importorskip("highspy", reason="the extra solve is not installed")

UNEVEN = [breaker("rng", "1, 3", 9600, poles=2), breaker("kit", "2", 1800), breaker("den", "5", 1200),
          breaker("hal", "6", 240)]  # fmt: skip


def job_of(desk: Desk, folder: Path, text: str) -> tuple[str, Answered]:
    """A job in the library, answered."""
    ident = house_job(desk, folder, text)
    return ident, again(desk, ident)


def again(desk: Desk, ident: str) -> Answered:
    """A job of the library as it stands."""
    return answer(desk.open_job(ident).job)


def searched(desk: Desk, ident: str) -> Searched | None:
    """What is kept of the search for its first panel."""
    return latest(desk, ident, again(desk, ident).assessment.panels[0])


def found(desk: Desk, ident: str, **more: object) -> Searched:
    """Search, and what is kept of it then."""
    search(desk, ident, again(desk, ident).assessment.panels[0], lambda _: None, lambda: False, **more)  # type: ignore[arg-type]
    kept = searched(desk, ident)
    assert kept is not None
    return kept


def test_the_curve_is_kept_and_read_back(desk: Desk, tmp_path: Path) -> None:
    """Hand: 15, 10 and 2 A; the most even split is 15 against 12: 3 A by one move, and less than that by none."""
    ident, job = job_of(desk, tmp_path, house(*UNEVEN))
    told: list[int] = []
    assert limits_of(job.assessment.panels[0]) == (100, 50, 30, 20, 10)
    assert search(desk, ident, job.assessment.panels[0], told.append, lambda: False) == 5 and told == [1, 2, 3, 4, 5]
    kept = searched(desk, ident)
    assert kept is not None and not kept.stale and not kept.stopped and kept.stands is None
    assert [(p.limit_tenths, p.status, p.moves) for p in kept.points] == [
        (100, "proven", 1), (50, "proven", 1), (30, "proven", 1), (20, "impossible", None), (10, "impossible", None),
    ]  # fmt: skip
    assert kept.points[2].apart_tenths == 30 and dict(kept.points[2].layout or ())["b-kit"].spaces == (4,)
    assert kept.clash_tenths == 20 and "panel.rule.limit" in {each.key for each in kept.clash}


def test_a_changed_load_makes_it_stale_and_the_old_load_makes_it_hold_again(desk: Desk, tmp_path: Path) -> None:
    ident, _ = job_of(desk, tmp_path, house(*UNEVEN))
    found(desk, ident)
    desk.apply(ident, 1, [{"do": "set", "path": "before/c-kit.load_va", "value": "1200"}])
    kept = searched(desk, ident)
    assert kept is not None and kept.stale and kept.bars
    desk.undo(ident, 2)
    kept = searched(desk, ident)
    assert kept is not None and not kept.stale


def test_what_was_found_before_a_change_holds_again_after_it_is_undone(desk: Desk, tmp_path: Path) -> None:
    """Also where another search came in between. Hand: 10, 10 and 2 A are most even as 12 against 10."""
    ident, _ = job_of(desk, tmp_path, house(*UNEVEN))
    found(desk, ident)
    desk.apply(ident, 1, [{"do": "set", "path": "before/c-kit.load_va", "value": "1200"}])
    assert [p.status for p in found(desk, ident).points].count("impossible") == 1
    desk.undo(ident, 2)
    kept = searched(desk, ident)
    assert kept is not None and not kept.stale
    assert [p.status for p in kept.points].count("impossible") == 2


def test_another_time_makes_it_stale(desk: Desk, tmp_path: Path) -> None:
    ident, _ = job_of(desk, tmp_path, house(*UNEVEN))
    found(desk, ident)
    desk.apply(ident, 1, [{"do": "set", "path": "choices.panel_loads", "value": [{"name": "night", "others": "off"}]}])
    kept = searched(desk, ident)
    assert kept is not None and kept.bars


def test_another_version_of_the_program_makes_it_stale(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ident, _ = job_of(desk, tmp_path, house(*UNEVEN))
    found(desk, ident)
    monkeypatch.setattr(panel_search, "__version__", "99.0")
    kept = searched(desk, ident)
    assert kept is not None and kept.stale


def test_two_jobs_alike_each_keep_their_own(desk: Desk, tmp_path: Path) -> None:
    one, job = job_of(desk, tmp_path, house(*UNEVEN))
    other, _ = job_of(desk, tmp_path, house(*UNEVEN))
    case = job.assessment.panels[0].case
    assert case is not None and input_hash(one, case) != input_hash(other, case)
    assert input_hash(one, case) == input_hash(one, replace(case, told=()))
    found(desk, one)
    assert searched(desk, other) is None
    found(desk, other)
    assert searched(desk, one) is not None


def test_a_search_that_is_stopped_keeps_what_came(desk: Desk, tmp_path: Path) -> None:
    ident, job = job_of(desk, tmp_path, house(*UNEVEN))
    count = 0

    def tell(done: int) -> None:
        nonlocal count
        count = done

    search(desk, ident, job.assessment.panels[0], tell, lambda: count >= 2)
    kept = searched(desk, ident)
    assert kept is not None and kept.stopped and 2 <= len(kept.points) < 5


def test_stopped_before_the_first_point_nothing_is_kept(desk: Desk, tmp_path: Path) -> None:
    ident, job = job_of(desk, tmp_path, house(*UNEVEN))
    begun = time.monotonic()
    assert search(desk, ident, job.assessment.panels[0], lambda _: None, lambda: True) in (0, 1)
    assert time.monotonic() - begun < 8


def test_groups_are_searched_with_what_they_cost(desk: Desk, tmp_path: Path) -> None:
    both = [breaker("kit", "2", 1800, 'group = "kitchen"'), breaker("dis", "7", 1200, 'group = "kitchen"')]
    ident, _ = job_of(desk, tmp_path, house(*both, breaker("hal", "6", 240)))
    kept = found(desk, ident)
    assert kept.groups and all(each.layout for _, several in kept.groups for each in several)
    assert {each.extra for _, several in kept.groups for each in several} == {0, 2}


def test_it_goes_with_a_deleted_job_and_recordings_stay(desk: Desk, tmp_path: Path) -> None:
    ident, _ = job_of(desk, tmp_path, house(*UNEVEN))
    found(desk, ident)
    now = datetime(2026, 5, 12, tzinfo=UTC)
    desk.library.put_result(AskedResult("recording", "h" * 64, "1", ident, now, {}))
    desk.library.mark(ident, "closed", at=now)
    assert desk.library.last_result(ident, f"{KIND}p-k3m") is not None
    desk.library.mark(ident, "deleted", at=now)
    assert desk.library.last_result(ident, f"{KIND}p-k3m") is None
    assert desk.library.last_result(ident, "recording") is not None, "another job may hold the same file"


def test_what_was_kept_in_another_form_is_asked_for_again(desk: Desk, tmp_path: Path) -> None:
    ident, _ = job_of(desk, tmp_path, house(*UNEVEN))
    kept = AskedResult(f"{KIND}p-k3m", "h" * 64, "1", ident, datetime(2026, 5, 12, tzinfo=UTC), {"points": [{}]})
    desk.library.put_result(kept)
    assert searched(desk, ident) is None


def test_the_packet_has_it_while_it_holds_and_says_that_it_is_left_out(desk: Desk, tmp_path: Path) -> None:
    ident, job = job_of(desk, tmp_path, house(*UNEVEN))
    catalog, on = Catalog("en", strict=True), date(2026, 5, 12)
    head = sheet_head(job, revision=1, on=on)
    assert panel_papers.search_sheets(desk, ident, job, head, catalog) == ()
    found(desk, ident)
    sheets = panel_papers.search_sheets(desk, ident, job, head, catalog)
    assert [sheet.key for sheet in sheets] == ["panel_search"]
    assert panel_papers.left_out(desk, ident, job) == ()
    desk.apply(ident, 1, [{"do": "set", "path": "before/c-kit.load_va", "value": "1200"}])
    now = again(desk, ident)
    assert panel_papers.search_sheets(desk, ident, now, head, catalog) == ()
    said = [catalog.say(each) for each in panel_papers.left_out(desk, ident, now)]
    assert len(said) == 1 and said[0].startswith("Main panel: its search for even legs is stale")


def kept_point(desk: Desk, ident: str) -> str:
    """Search, and keep the layout for legs within 3 A: the kitchen goes to 4."""
    point = next(p for p in found(desk, ident).points if p.limit_tenths == 30)
    job = again(desk, ident)
    chosen = tried(job, "p-k3m", dict(point.layout or ()))
    opened = desk.open_job(ident)
    edits = keeping_edits(job.job, opened.text, chosen, "w-9aa", "Evened", lambda: "b-z10", own_step=True)
    desk.apply(ident, opened.revision, edits)
    return ident


def test_a_kept_layout_stands_and_may_go_into_the_packet(desk: Desk, tmp_path: Path) -> None:
    ident, _ = job_of(desk, tmp_path, house(*UNEVEN))
    kept = searched(desk, kept_point(desk, ident))
    assert kept is not None and kept.stale and kept.stands == 30 and not kept.bars


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("before/c-kit.load_va", "1200"), ("before/c-den.load_va", "1212"), ("before/p-k3m.reserved", [8]),
        ("before/p-k3m.circuits_max", 8), ("choices.panel_loads", [{"name": "night", "others": "off"}]),
        ("before/service.disconnect.rating_a", "200"), ("before/b-hal.fixed", True), ("w-9aa/b-kit.spaces", [8]),
    ],
)  # fmt: skip
def test_a_kept_layout_stands_no_longer_once_anything_else_changed(
    desk: Desk, tmp_path: Path, path: str, value: object
) -> None:
    """Loads, times, the label, the main, a breaker that must stay, or its own place: stale, and out of the packet."""
    ident, _ = job_of(desk, tmp_path, house(*UNEVEN))
    kept_point(desk, ident)
    edit = {"do": "set", "path": path, "value": value}
    if path.startswith("w-"):
        edit = {"do": "move", "step": "w-9aa", "id": "b-kit", "fields": {"spaces": value}}
    desk.apply(ident, 2, [edit])
    kept = searched(desk, ident)
    assert kept is not None and kept.stale and kept.stands is None and kept.bars
    assert len(panel_papers.left_out(desk, ident, again(desk, ident))) == 1


def test_where_loads_are_not_on_file_the_whole_range_is_told_and_nothing_is_kept_for_certain(
    desk: Desk, tmp_path: Path
) -> None:
    """Hand: the attic's 20 A breaker on L2 is counted at 16 A. The den to L2 leaves 17 against 26 A: 9 A, within 10 A;
    the hall to L2 25 against 18 A: 7 A. The attic may draw 0 to 20 A: 7 to 13 A, or 3 to 23 A apart."""
    ident, _ = job_of(desk, tmp_path, house(*UNEVEN, breaker("att", "7")))
    kept, job = found(desk, ident), again(desk, ident)
    point = next(p for p in kept.points if p.limit_tenths == 100)
    apart = apart_of(job, "p-k3m", point)
    assert apart is not None and apart.high is not None and apart.high > 10 >= (point.apart_tenths or 0) / 10
    sheet = panel_papers.search_sheets(desk, ident, job, sheet_head(job, revision=1, on=date(2026, 5, 12)),
                                       Catalog("en", strict=True))[0]  # fmt: skip
    rows = next(block.rows for block in sheet.blocks if isinstance(block, Table))
    told = [Catalog("en").value(cell) for cell in rows[0]]
    assert " to " in told[2] and "not for certain" in told[3], told


def test_a_kept_layout_of_another_version_of_the_program_is_barred(
    desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ident, _ = job_of(desk, tmp_path, house(*UNEVEN))
    kept_point(desk, ident)
    monkeypatch.setattr(panel_search, "__version__", "99.0")
    kept = searched(desk, ident)
    assert kept is not None and kept.bars
