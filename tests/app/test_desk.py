"""Opening, changing, undoing: every step a revision, no one's work written over."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.app import library as desk_file
from deadfront.app.changes import StaleEdits, shown
from deadfront.app.clock import now
from deadfront.app.library import Desk
from deadfront.app.values import value_at
from deadfront.errors import EditRefused, JobUnreadable, NotAllowed, NotFound, StaleEdit
from deadfront.store.trouble import StaleRevision
from tests.app.desk import HOUSE, bus, house_job, new_desk, set_bus

EVSE_OFF = {"do": "remove", "path": "w-4c1/l-5rt"}
SECOND_EVSE = {
    "do": "add", "step": "w-4c1", "collection": "loads",
    "thing": {"id": "l-6aa", "kind": "evse", "circuit": "c-9pw", "nameplate_a": 16},
}  # fmt: skip


def test_a_new_job_can_be_opened(desk: Desk) -> None:
    job_id = desk.create_job({"name": "16 Hollow Creek Rd", "code": {"edition": "2020"}}, "J. R.")
    opened = desk.open_job(job_id)
    assert (opened.revision, opened.problems, opened.job.job.name) == (1, (), "16 Hollow Creek Rd")
    assert opened.job.job.code.edition == "2020"
    first = desk.history(job_id)[0]
    assert (first.say.key, first.kind, first.who) == ("app.change.created", "create", "J. R.")
    with pytest.raises(JobUnreadable):
        desk.create_job({"name": "No edition"})
    assert len(desk.library.jobs()) == 1


def test_jobs_get_ids_of_their_own(desk: Desk) -> None:
    ids = [desk.create_job({"name": "A", "code": {"edition": "2023"}}) for _ in range(20)]
    assert len(set(ids)) == 20


def test_an_edit_is_a_revision_and_leaves_the_rest_of_the_text(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    assert desk.open_job(job_id).text == HOUSE
    assert desk.apply(job_id, 1, [set_bus(200)], "J. R.") == 2
    assert desk.open_job(job_id).text == HOUSE.replace("bus_a = 125 ", "bus_a = 200 ")
    assert bus(desk, job_id) == "200" and str(desk.open_job(job_id, 1).job.before.panels[0].bus_a) == "125"
    row = desk.history(job_id)[0]
    assert (row.kind, row.touched, row.who) == ("edit", ("before/p-k3m.bus_a",), "J. R.")
    assert row.edits == [set_bus(200)]
    assert row.say.key == "app.change.set"
    assert dict(row.say.params) == {"path": "before/p-k3m.bus_a", "old": "125", "new": "200"}


def test_the_history_tells_what_changed(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    desk.apply(job_id, 1, [{"do": "set", "path": "before/p-k3m.spaces", "value": 28}])
    desk.apply(job_id, 2, [{"do": "set", "path": "before/p-k3m.spaces", "value": None}])
    desk.apply(job_id, 3, [SECOND_EVSE, set_bus(200)])
    says = [row.say for row in reversed(desk.history(job_id))]
    assert [say.key for say in says] == [
        "app.change.imported", "app.change.filled", "app.change.cleared", "app.change.several",
    ]  # fmt: skip
    assert says[3].params["count"] == 2
    assert [each.key for each in says[3].params["changes"]] == ["app.change.add", "app.change.set"]  # type: ignore[attr-defined]


def test_a_refused_edit_saves_nothing(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    for edits in ([set_bus(-1)], [set_bus(200), {"do": "remove", "path": "before/c-7qd"}], [{"do": "paint"}]):
        with pytest.raises(EditRefused):
            desk.apply(job_id, 1, edits)
    with pytest.raises(NotAllowed, match="app.edit.none"):
        desk.apply(job_id, 1, [])
    assert desk.open_job(job_id).revision == 1


def test_a_stale_edit_shows_both_sides(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    desk.apply(job_id, 1, [set_bus(200)], "A")
    mine = [set_bus(150), {"do": "set", "path": "before/l-2xf.nameplate_w", "value": 9000}]
    with pytest.raises(StaleEdits) as found:
        desk.apply(job_id, 1, mine, "B")
    stale = found.value
    assert (stale.base, stale.current, stale.touched) == (1, 2, ("before/p-k3m.bus_a",))
    assert stale.mine == {"before/p-k3m.bus_a": "150", "before/l-2xf.nameplate_w": "9000"}
    assert stale.theirs == {"before/p-k3m.bus_a": "200", "before/l-2xf.nameplate_w": "12000"}
    assert [(side.path, side.base) for side in stale.clashes] == [("before/p-k3m.bus_a", "125")]
    assert bus(desk, job_id) == "200"
    assert desk.apply(job_id, 2, mine[1:], "B") == 3


def test_a_thing_struck_out_clashes_with_an_edit_of_it(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    desk.apply(job_id, 1, [EVSE_OFF])
    with pytest.raises(StaleEdits) as found:
        desk.apply(job_id, 1, [{"do": "set", "path": "w-4c1/l-5rt.nameplate_a", "value": 24}])
    side = found.value.clashes[0]
    assert (side.base, side.mine, side.theirs) == ("32", "24", None)


def test_saved_between_looking_and_saving(desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    job_id = house_job(desk, tmp_path)
    other, whole = new_desk(tmp_path), desk_file.apply_edits

    def slow(*given: object, **more: object) -> object:
        monkeypatch.undo()
        other.apply(job_id, 1, [set_bus(200)])
        return whole(*given, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(desk_file, "apply_edits", slow)
    with pytest.raises(StaleEdits) as found:
        desk.apply(job_id, 1, [set_bus(150)])
    assert found.value.theirs == {"before/p-k3m.bus_a": "200"}


def test_a_base_that_never_was(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    for base in (0, 5):
        with pytest.raises(StaleRevision):
            desk.apply(job_id, base, [set_bus(200)])


def test_undo_walks_back_and_redo_forward(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    for base, rating in ((1, 150), (2, 200), (3, 225)):
        desk.apply(job_id, base, [set_bus(rating)])
    seen = []
    for base, act in enumerate((desk.undo, desk.undo, desk.redo, desk.undo, desk.undo, desk.redo), 4):
        assert act(job_id, base) == base + 1
        seen.append(bus(desk, job_id))
    assert seen == ["200", "150", "200", "150", "125", "150"]  # hand: one back or forward along 125 150 200 225
    assert desk.open_job(job_id).revision == 10
    with pytest.raises(StaleEdit):
        desk.undo(job_id, 3)
    desk.apply(job_id, 10, [set_bus(100)])
    with pytest.raises(NotAllowed, match="app.redo.nothing"):
        desk.redo(job_id, 11)
    desk.undo(job_id, 11)
    desk.undo(job_id, 12)
    with pytest.raises(NotAllowed, match="app.undo.nothing"):
        desk.undo(job_id, 13)
    row = desk.history(job_id)[0]
    assert (row.kind, row.say.key, row.touched) == ("undo", "app.change.undo", ("before/p-k3m.bus_a",))


def test_restore_brings_back_any_revision_and_can_be_undone(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    desk.apply(job_id, 1, [set_bus(150)])
    desk.apply(job_id, 2, [{"do": "set", "path": "before/l-2xf.nameplate_w", "value": 9000}])
    assert desk.restore(job_id, 3, 1) == 4
    assert desk.open_job(job_id).text == HOUSE
    both = {"before/p-k3m.bus_a", "before/l-2xf.nameplate_w"}
    assert set(desk.history(job_id)[0].touched) == both
    desk.undo(job_id, 4)
    assert bus(desk, job_id) == "150" and set(desk.history(job_id)[0].touched) == both
    with pytest.raises(NotFound):
        desk.restore(job_id, 5, 77)


@settings(max_examples=12)
@given(acts=st.lists(st.sampled_from(["edit", "edit", "undo", "redo", "restore"]), max_size=14))
def test_undo_and_redo_agree_with_two_stacks(acts: list[str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        desk = new_desk(Path(folder))
        job_id = house_job(desk, Path(folder))
        back, forth, texts = [HOUSE], list[str](), [HOUSE]
        for number, act in enumerate(acts, 1):
            base = len(texts)
            try:
                if act == "edit":
                    desk.apply(job_id, base, [set_bus(200 + number)])
                elif act == "restore":
                    desk.restore(job_id, base, (number % base) + 1)
                else:
                    (desk.undo if act == "undo" else desk.redo)(job_id, base)
            except NotAllowed:
                assert (act == "undo" and len(back) == 1) or (act == "redo" and not forth)
                continue
            text = desk.open_job(job_id).text
            if act == "undo":
                forth.append(back.pop())
            elif act == "redo":
                back.append(forth.pop())
            else:
                assert text == (texts[number % base] if act == "restore" else text)
                back, forth = [*back, text], []
            texts.append(text)
            assert text == back[-1]
        assert [desk.open_job(job_id, n).text for n in range(1, len(texts) + 1)] == texts
        assert desk.library.check() == []
        desk.library.close()


def test_an_id_is_never_used_twice(desk: Desk, tmp_path: Path) -> None:
    job_id = house_job(desk, tmp_path)
    desk.apply(job_id, 1, [EVSE_OFF])
    desk.apply(job_id, 2, [SECOND_EVSE])
    desk.undo(job_id, 3)
    assert {"l-5rt", "l-6aa", "w-4c1", "b-44t"} <= desk.used_ids(job_id)
    with pytest.raises(EditRefused, match="id_used"):
        desk.apply(job_id, 4, [SECOND_EVSE])
    fresh = {desk.fresh_id(job_id, "l") for _ in range(50)}
    assert not fresh & desk.used_ids(job_id) and all(each.startswith("l-") for each in fresh)


def test_a_text_is_read_once(desk: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    job_id = house_job(desk, tmp_path)
    monkeypatch.setattr(desk_file, "read_job", lambda text: pytest.fail("read again"))
    assert desk.open_job(job_id).job is desk.open_job(job_id).job
    monkeypatch.undo()
    readings = desk_file.Readings(2)
    held = [readings.read(HOUSE + "#" * n) for n in range(3)]
    assert readings.read(HOUSE + "##") is held[2] and readings.read(HOUSE) is not held[0]


def test_values_at_paths(desk: Desk, tmp_path: Path) -> None:
    job = desk.library.head(house_job(desk, tmp_path)).json | {"assumptions": ["nothing_else_connected"]}
    for path, value in {
        "job.name": "14 Hollow Creek Rd",
        "job.code.edition": "2023",
        "before/service.disconnect.rating_a": "100",
        "before/complete.loads": None,
        "before/l-2xf.nameplate_w": "12000",
        "before/l-2xf": {"id": "l-2xf", "kind": "range", "circuit": "c-7qd", "nameplate_w": "12000"},
        "w-4c1/b-0xe.spaces": [5, 7],
        "w-4c1/l-2xf": {"removed": True},
        "w-4c1/l-5rt.nameplate_a": "32",
        "w-4c1/l-zzz": None,
        "w-9zz/l-5rt": None,
        "w-4c1.say": "Charger in the garage, range taken out",
        "before/l-zzz.nameplate_w": None,
        "assumptions.nothing_else_connected": True,
        "assumptions.other": None,
    }.items():
        assert value_at(job, path) == value, path
    with pytest.raises(EditRefused):
        value_at(job, "what is this")


def test_values_in_a_line_of_history_are_short() -> None:
    assert shown("x" * 200) == "x" * 77 + "..."
    assert (shown({"id": "l-2xf"}), shown([1, 2]), shown({}), shown("12")) == ("l-2xf", 2, "0", "12")


def test_the_clock_tells_its_zone() -> None:
    assert now().tzinfo is not None
