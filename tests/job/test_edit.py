"""Edits: what each does to the text, that everything else keeps its bytes, and what is refused."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from deadfront.errors import EditRefused
from deadfront.job.edit import apply_edits, conflicts, edit_from_dict
from deadfront.job.house import house_at
from deadfront.job.ids import new_id
from deadfront.job.origins import origin_of
from deadfront.job.read import read_job

GOOD = (Path(__file__).parents[1] / "jobs" / "hollow_creek.toml").read_text(encoding="utf-8")
JOB = read_job(GOOD).job
RANGE = next(load for load in JOB.before.loads if load.kind == "range")


def apply(text: str, *edits: dict[str, object]):  # type: ignore[no-untyped-def]
    return apply_edits(text, [edit_from_dict(edit) for edit in edits])


def changed_lines(before: str, after: str) -> tuple[list[str], list[str]]:
    """Lines only in the old text, and only in the new one."""
    old, new = before.split("\n"), after.split("\n")
    return [x for x in old if old.count(x) > new.count(x)], [x for x in new if new.count(x) > old.count(x)]


def test_setting_a_field_changes_its_line_alone() -> None:
    got = apply(GOOD, {"do": "set", "path": f"before/{RANGE.id}.nameplate_w", "value": "9.6 kW"})
    assert changed_lines(GOOD, got.text) == (["nameplate_w = 12000"], ["nameplate_w = 9600"])
    assert got.touched == (f"before/{RANGE.id}.nameplate_w",)


def test_a_comment_on_the_line_stays() -> None:
    got = apply(GOOD, {"do": "set", "path": "before/service.utility.fault_current_ka", "value": 14})
    assert "utility.fault_current_ka = 14   # by letter" in got.text
    assert got.job.before.service.utility.fault_current_ka == 14


def test_none_clears_a_field_to_unknown() -> None:
    got = apply(GOOD, {"do": "set", "path": f"before/{RANGE.id}.nameplate_w", "value": None})
    assert changed_lines(GOOD, got.text) == (["nameplate_w = 12000"], [])


@pytest.mark.parametrize(
    ("edit", "key"),
    [
        ({"do": "set", "path": f"before/{RANGE.id}.nameplate_w", "value": "lots"}, "job.read.not_a_number"),
        ({"do": "set", "path": f"before/{RANGE.id}.nameplate_w", "value": -1}, "job.read.out_of_range"),
        ({"do": "set", "path": f"before/{RANGE.id}.circuit", "value": "c-none"}, "job.read.no_such_thing"),
        ({"do": "set", "path": f"before/{RANGE.id}.kind", "value": "rnage"}, "job.read.unknown_kind"),
        ({"do": "set", "path": f"before/{RANGE.id}.id", "value": "l-new"}, "job.edit.id_stays"),
        ({"do": "set", "path": "before/l-none.name", "value": "x"}, "job.edit.no_such_thing"),
        ({"do": "set", "path": "before/l-5rt.nameplate_a", "value": 40}, "job.edit.not_there"),
        ({"do": "set", "path": "job.code.edition", "value": "1999"}, "job.read.not_allowed"),
        ({"do": "set", "path": "job.name", "value": None}, "job.read.missing_field"),
        ({"do": "add", "step": "before", "collection": "loads", "thing": {"id": JOB.work[0].remove[0],
          "kind": "other"}}, "job.edit.id_used"),
        ({"do": "remove", "path": f"before/{RANGE.circuit}"}, "job.edit.still_named"),
        ({"do": "take_out", "step": "w-none", "id": RANGE.id}, "job.edit.no_such_step"),
        ({"do": "put_back", "step": "w-4c1", "id": RANGE.id}, "job.edit.not_out"),
        ({"do": "order_steps", "ids": ["w-4c1"]}, "job.edit.not_all_steps"),
        ({"do": "unassume", "name": "nothing_else"}, "job.edit.not_assumed"),
    ],
)  # fmt: skip
def test_refused(edit: dict[str, object], key: str) -> None:
    with pytest.raises(EditRefused) as refused:
        apply(GOOD, edit)
    assert refused.value.msg.key == key
    assert {"path", "found"} <= set(refused.value.msg.params)


@pytest.mark.parametrize(
    "data", [{}, {"do": "fly"}, {"do": "set"}, {"do": "set", "path": "nowhere/x"}, {"do": 5}, "set"]
)
def test_what_is_no_edit_is_refused(data: object) -> None:
    with pytest.raises(EditRefused):
        edit_from_dict(data)  # type: ignore[arg-type]


def test_all_or_nothing() -> None:
    with pytest.raises(EditRefused):
        apply(GOOD, {"do": "assume", "name": "nothing_else"}, {"do": "set", "path": "before/l-none.name", "value": 1})


def test_add_take_out_put_back_and_remove_come_back_to_the_same_job() -> None:
    thing = {"id": "l-zz9", "kind": "other", "nameplate_w": 300}
    added = apply(GOOD, {"do": "add", "step": "before", "collection": "loads", "thing": thing})
    assert added.job.before.loads[-1].id == "l-zz9" and house_at(added.job).tag("l-zz9") == "E"
    out = apply(added.text, {"do": "take_out", "step": "w-4c2", "id": "l-zz9"})
    assert house_at(out.job).tag("l-zz9") == "R"
    back = apply(out.text, {"do": "put_back", "step": "w-4c2", "id": "l-zz9"})
    assert back.job == added.job
    assert apply(back.text, {"do": "remove", "path": "before/l-zz9"}).job == JOB


def test_cascade_lets_go_of_what_is_struck_out() -> None:
    got = apply(GOOD, {"do": "remove", "path": f"before/{RANGE.circuit}", "cascade": True})
    assert next(load for load in got.job.before.loads if load.id == RANGE.id).circuit is None


def test_steps_are_added_ordered_and_dropped() -> None:
    got = apply(GOOD, {"do": "add_step", "id": "w-0aa", "say": "Make it safe", "after": "before"})
    assert [step.id for step in got.job.work] == ["w-0aa", "w-4c1", "w-4c2"]
    got = apply(got.text, {"do": "order_steps", "ids": ["w-4c2", "w-0aa", "w-4c1"]})
    assert [step.id for step in got.job.work] == ["w-4c2", "w-0aa", "w-4c1"]
    assert "[[work]]                   # the owner's first wish" in got.text
    got = apply(got.text, {"do": "drop_step", "id": "w-0aa"}, {"do": "order_steps", "ids": ["w-4c1", "w-4c2"]})
    assert got.job == JOB


def test_origins() -> None:
    path = f"before/{RANGE.id}.nameplate_w"
    assert origin_of(JOB, path).origin == "nameplate"  # type: ignore[union-attr]
    got = apply(GOOD, {"do": "set_origin", "of": path, "from": "owner"})
    assert origin_of(got.job, path).origin == "owner"  # type: ignore[union-attr]
    assert origin_of(apply(got.text, {"do": "drop_origin", "path": path}).job, path) is None


def test_conflicts_pair_my_edit_with_their_path() -> None:
    mine = [edit_from_dict({"do": "set", "path": "before/l-2xf.name", "value": "x"}),
            edit_from_dict({"do": "assume", "name": "aa"})]  # fmt: skip
    assert conflicts(mine, ["before/l-2xf", "before/l-3xf.name", "assumptions.bb"]) == ((mine[0], "before/l-2xf"),)


def test_an_edit_on_an_older_format_brings_it_up() -> None:
    """Format 0 had `edition` in [job] and `watts` in a load."""
    old = '[job]\nformat = 0\nname = "A"\nedition = "2020" # ours\n'
    old += '[[before.loads]]\nid = "l-aa"\nkind = "dryer"\nwatts = 5000\n'
    got = apply(old, {"do": "set", "path": "job.name", "value": "B"})
    assert got.job.job.code.edition == "2020" and got.job.before.loads[0].nameplate_w == 5000
    assert "watts" not in got.text and "format = 1" in got.text


def test_new_ids_are_free_and_short() -> None:
    rng, taken = random.Random(1), set()
    for _ in range(2000):
        taken.add(new_id("l", taken, rng))
    assert len(taken) == 2000 and all(len(ident) <= 6 for ident in taken)
