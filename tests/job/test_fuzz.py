"""Whatever happens to a job file, reading it ends soon, in a job or a clear error, and no byte of it is lost."""

from __future__ import annotations

import random
import time
from contextlib import suppress
from pathlib import Path

import pytest

from deadfront.errors import DeadfrontError, EditRefused
from deadfront.job.blocks import cut
from deadfront.job.edit import apply_edits, edit_from_dict
from deadfront.job.house import house_at
from deadfront.job.read import read_job
from deadfront.job.write import write_job

GOOD = (Path(__file__).parents[1] / "jobs" / "hollow_creek.toml").read_text(encoding="utf-8")
SMALL = "\n\n".join(GOOD.split("\n\n")[i] for i in (0, 1, 2, 3, 4, 5, 6, 7, 8, -1)) + "\n"
WORK = GOOD[GOOD.index("# --- the work") :]
SMALL += '[[before.circuits]]\nid = "c-3zz"\n[before.circuits.cable]\nsize = "12"\n' + WORK
TOKENS = ["[", "]", "[[", '"', '"""', "'''", "#", "=", "\n", "{", "}", "\\",
          "1e999", "nan", "-1", "true",
          "[[work]]\n", "[before]\n", "id = 1\n", ".", "\x00", "\ud800", "\u202e",
          "é", "9" * 30, "\t", "\r", "[job]\n", ","]  # fmt: skip


def mutated(text: str, rng: random.Random) -> str:
    """The text with one to three small damages."""
    for _ in range(rng.randint(1, 3)):
        kind, at = rng.randrange(6), rng.randrange(len(text) + 1)
        if kind == 0:
            text = text[:at] + rng.choice(TOKENS) + text[at:]
        elif kind == 1:
            text = text[:at] + text[at + rng.randint(1, 12) :]
        elif kind == 2:
            text = text[:at] + chr(rng.randrange(32, 127)) + text[at + 1 :]
        elif kind == 3:
            lines = text.split("\n")
            del lines[rng.randrange(len(lines))]
            text = "\n".join(lines)
        elif kind == 4:
            lines = text.split("\n")
            lines.insert(rng.randrange(len(lines)), rng.choice(lines))
            text = "\n".join(lines)
        else:
            text = text[:at]
    return text


def damage(files: int, seed: int = 5) -> dict[str, int]:
    """Damage a job file so many times: read, refused and set-aside counts; anything lost or raised stops it."""
    rng, read, damaged, refused = random.Random(seed), 0, 0, 0
    for _ in range(files):
        text = mutated(SMALL, rng)
        for whole in (True, False):
            assert "".join(block.text for block in cut(text, whole=whole)) == text
        try:
            got = read_job(text)
        except DeadfrontError:
            refused += 1
            continue
        read += 1
        damaged += bool(got.kept)
        assert bool(got.kept) <= bool(got.problems)
        house_at(got.job)
        for kept in got.kept:
            assert kept.line_only or kept.text in text or kept.text.startswith("[["), kept
            if kept.collection and not kept.line_only:
                assert getattr(got.job.before.complete, kept.collection) == "unknown"
        written = write_job(got.job, got.kept)
        again = read_job(written)
        assert again.job.before == got.job.before and again.job.job == got.job.job, text
        if not any(kept.place[:1] == ("work",) and not kept.line_only for kept in got.kept):
            assert again.job == got.job, text
        for kept in got.kept:
            words = kept.text.strip() if not kept.line_only else kept.text.partition(" = ")[2].strip().strip("[]")
            assert words in written, text
    return {"read": read, "set aside": damaged, "refused": refused}


def test_a_damaged_file_ends_in_a_job_or_a_clear_error() -> None:
    started = time.monotonic()
    seen = damage(2500)
    read, damaged, refused = seen["read"], seen["set aside"], seen["refused"]
    assert read > 1000 and damaged > 500 and refused > 50  # the cases are not trivial
    assert time.monotonic() - started < 120


def test_damage_costs_only_its_own_block() -> None:
    """One loads block of the house made unreadable: everything else is as it was."""
    whole = read_job(GOOD).job
    got = read_job(GOOD.replace('kind = "dryer"', 'kind = dryer"'))
    assert [k.collection for k in got.kept] == ["loads"] and 'kind = dryer"' in got.kept[0].text
    assert {load.id for load in whole.before.loads} - {load.id for load in got.job.before.loads} == {
        load.id for load in whole.before.loads if load.kind == "dryer"
    }
    assert got.job.before.circuits == whole.before.circuits and got.job.before.service == whole.before.service
    assert got.job.before.complete.circuits == "yes" and got.job.before.complete.loads == "unknown"


@pytest.mark.parametrize(
    "text",
    [
        "[" * 100_000,
        "x = " + "[" * 100_000,
        "x = " + "{a=" * 50_000,
        "[job]\nx = " + '"' * 200_001,
        "[job]\n" + "a." * 100_000 + "b = 1",
        "[" + "a." * 100_000 + "b]",
        "[" + '"a".' * 100_000 + "b]",
        "'''" * 100_001,
        '"""\\' * 100_000,
        "[job]\nname = 'a'\ncode.edition = '2023'\n" + "[x]\n" * 19_000,
        "[job]\nname = 'a'\ncode.edition = '2023'\n" + "[[before.loads]]\nid = 'l-x1'\n" * 6_000,
        "[job]\nname = 'a'\ncode.edition = '2023'\n[before]\nloads = [" + "1, " * 4_999 + "]",
        "[job]\nname = 'a'\ncode.edition = '2023'\n" + "[[before.loads]]\nid = 'l-x1'\nkind = 'zzzzzz'\n" * 900,
        "[job]\nname = 'a'\ncode.edition = '2023'\nx = " + "9" * 20_000,
        "[job]\nname = 'a'\ncode.edition = '2023'\nx = 1e" + "9" * 2_000,
        "# \n" * 600_000,
        "a\n" * 900_000,
        "\ufeff" * 1000,
    ],
    ids=range(18),
)
def test_no_text_stalls_the_reader(text: str) -> None:
    started = time.monotonic()
    with suppress(DeadfrontError):
        read_job(text)
    assert time.monotonic() - started < 12


def random_edit(rng: random.Random, ids: list[str], steps: list[str]) -> dict[str, object]:
    """An edit that may or may not make sense."""
    ident, step = rng.choice([*ids, "l-none", "service"]), rng.choice([*steps, "before", "w-none"])
    field = rng.choice(["name", "nameplate_w", "circuit", "breaker", "cable.size", "spaces", "kind", "zz", "panel"])
    value = rng.choice([None, 5, "4.5 kW", "x", True, [1, 3], {"size": "8"}, 1.5, -3, rng.choice(ids), "evse", "12"])
    new = f"l-{rng.randrange(10**6):06d}"
    return rng.choice([
        {"do": "set", "path": f"{step}/{ident}.{field}", "value": value},
        {"do": "set", "path": rng.choice(["job.name", "job.code.edition", "choices.rely_on", "before/complete.loads",
                                          "choices.readings.evse_floor", "before/service.disconnect.rating_a"]),
         "value": rng.choice([None, "2020", "yes", 150, "200 A"])},
        {"do": "add", "step": step, "collection": rng.choice(["loads", "circuits", "panels"]),
         "thing": {"id": new, "kind": "other"} if rng.random() < 0.6 else {"id": new}},
        {"do": "remove", "path": f"{step}/{ident}", "cascade": rng.random() < 0.5},
        {"do": "take_out", "step": step, "id": ident},
        {"do": "put_back", "step": step, "id": ident},
        {"do": "move", "step": step, "id": ident, "fields": {field.split(".")[0]: value}},
        {"do": "set_in_step", "step": step, "id": ident, "fields": {field.split(".")[0]: value}},
        {"do": "add_step", "id": f"w-{rng.randrange(10**4):04d}", "say": "More", "after": rng.choice([None, step])},
        {"do": "drop_step", "id": step},
        {"do": "order_steps", "ids": rng.sample(steps, len(steps))},
        {"do": rng.choice(["assume", "unassume"]), "name": rng.choice(["typical_sizes", "nothing_else"])},
        {"do": "set_origin", "of": f"before/{ident}.{field}", "from": "owner"},
        {"do": "drop_origin", "path": f"before/{ident}.{field}"},
        {"do": "set_amendments", "amendments": [{"a": 1}] * rng.randrange(3)},
    ])  # fmt: skip


@pytest.mark.parametrize("start", [GOOD, write_job(read_job(GOOD).job)], ids=["by hand", "written"])
def test_random_edits_apply_whole_or_not_at_all(start: str) -> None:
    rng, done, refused, text = random.Random(7), 0, 0, start
    comments = [line for line in text.split("\n") if line.startswith("#")]
    for _ in range(250):
        job = read_job(text).job
        house = house_at(job)
        ids, steps = list(house.tags), [step.id for step in job.work] or ["w-4c1"]
        try:
            edit = edit_from_dict(random_edit(rng, ids, steps))
            applied = apply_edits(text, [edit])
        except EditRefused:
            refused += 1
            continue
        done += 1
        again = read_job(applied.text)
        assert again.job == applied.job and not again.kept
        house_at(applied.job)
        text = applied.text
    assert done > 40 and refused > 40
    assert all(line in text for line in comments[:1])


def test_edits_on_damaged_files_keep_the_damage() -> None:
    rng, done = random.Random(11), 0
    for _ in range(300):
        text = mutated(SMALL, rng)
        try:
            got = read_job(text)
            ids = list(house_at(got.job).tags) or ["l-xx"]
            steps = [step.id for step in got.job.work] or ["w-4c1"]
            applied = apply_edits(text, [edit_from_dict(random_edit(rng, ids, steps))])
        except DeadfrontError:
            continue
        done += 1
        for kept in got.kept:
            if not kept.line_only and kept.text in text:
                assert kept.text.rstrip().split("\n")[0] in applied.text
    assert done > 30


def test_a_line_set_aside_finds_its_step_though_the_id_was_typed_with_a_blank() -> None:
    """A work step whose id ends in a tab: the line that cannot be taken is written back within that step."""
    text = SMALL.replace('id = "w-4c1"', 'id = "w-4c1\t"').replace('id = "l-6w2"', 'id = "l-6w9"')
    got = read_job(text)
    lines = [kept for kept in got.kept if kept.line_only]
    assert lines and all(kept.within == kept.within.strip() for kept in lines)
    written = write_job(got.job, got.kept)
    assert all(kept.text.partition(" = ")[2].strip().strip("[]") in written for kept in lines)
