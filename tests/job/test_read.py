"""Reading and writing: each text with what is made of it."""

from __future__ import annotations

import time
from decimal import Decimal
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.errors import JobUnreadable
from deadfront.job.model import Job
from deadfront.job.read import read_job
from deadfront.job.schema import job_schema, job_schema_text
from deadfront.job.tree import parsed
from deadfront.job.write import new_job_text, write_job

HEAD = '[job]\nname = "A"\ncode.edition = "2023"\n'
GOOD = (Path(__file__).parents[1] / "jobs" / "hollow_creek.toml").read_text(encoding="utf-8")


def test_a_whole_house_reads_without_a_problem_and_writes_back_the_same() -> None:
    got = read_job(GOOD)
    assert got.problems == () and len(got.job.before.circuits) == 42 and got.text == GOOD
    assert read_job(write_job(got.job)).job == got.job


def test_quantities_as_typed() -> None:
    text = (
        HEAD + '[before.service]\nconductors = { size = "3/0 Al", length_ft = "62\'" }\ndisconnect.rating_a = "200 A"\n'
    )
    service = read_job(text).job.before.service
    assert (service.conductors.size, service.conductors.metal) == ("3/0", "aluminum")
    assert (service.conductors.length_ft, service.disconnect.rating_a) == (Decimal(62), Decimal(200))


@pytest.mark.parametrize(
    ("block", "key", "line", "found"),
    [
        ('[[before.loads]]\nid = "l-aa"\nkind = "rnage"\n', "unknown_kind", 6, "rnage"),
        ('[[before.loads]]\nid = "l-aa"\nkind = "range"\nwats = 3\n', "unknown_field", 7, "wats"),
        ('[[before.loads]]\nid = "l-aa"\nkind = "range"\nnameplate_w = "much"\n', "not_a_number", 7, "much"),
        ('[[before.loads]]\nid = "l-aa"\nkind = "range"\nnameplate_w = -4\n', "out_of_range", 7, "-4"),
        ('[[before.loads]]\nid = "LOAD"\nkind = "range"\n', "bad_id", 5, "LOAD"),
        ('[[before.loads]]\nid = "l-aa"\nkind = "range"\nquantity = true\n', "not_a_number", 7, "true"),
        ('[[before.loads]]\nid = "l-aa"\nkind = "range"\nnameplate_w = 1e400\n', "bad_number", 7, "1E+400"),
        ('[[before.loads]]\nid = "l-aa"\nkind = "range"\nnote = "a\\u0007"\n', "bad_characters", 7, "a\\u0007"),
        ('[[before.loads]]\nid = "l-aa"\nkind = = 3\n', "unreadable_block", 6, "kind = = 3"),
    ],
)
def test_a_bad_thing_is_named_kept_and_uncounted(block: str, key: str, line: int, found: str) -> None:
    text = HEAD + block + '[[before.loads]]\nid = "l-bb"\nkind = "dryer"\n[before]\ncomplete.loads = "yes"\n'
    got = read_job(text, file="house.toml")
    assert [p.msg.key for p in got.problems] == [f"job.read.{key}"]
    params = got.problems[0].msg.params
    assert (params["file"], params["line"], params["found"]) == ("house.toml", line, found)
    assert [k.text for k in got.kept] == [block]
    assert [load.id for load in got.job.before.loads] == ["l-bb"] and got.job.before.complete.loads == "unknown"


def test_a_table_below_a_damaged_step_is_not_given_to_the_step_before() -> None:
    text = (
        HEAD
        + '[[work]]\nid = "w-aa"\nsay = "One"\n[[work]]\nid = = 3\n[[work.add.loads]]\nid = "l-aa"\nkind = "evse"\n'
    )
    got = read_job(text)
    assert [step.id for step in got.job.work] == ["w-aa"] and got.job.work[0].add.loads == ()
    assert len(got.kept) == 2 and got.job.before.complete.loads == "unknown"


def test_an_id_used_twice_and_a_reference_to_nothing() -> None:
    text = (
        HEAD + '[[before.loads]]\nid = "l-aa"\nkind = "dryer"\ncircuit = "c-no"\n'
        '[[before.loads]]\nid = "l-aa"\nkind = "range"\n'
    )
    got = read_job(text)
    assert {p.msg.key for p in got.problems} == {"job.read.id_twice", "job.read.no_such_thing"}
    assert got.job.before.loads[0].circuit == "c-no"  # the reference stays


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("", "no_job_table"),
        ("[job]\nname = \n", "no_job_table"),
        ('[job]\nname = "A"\n', "job_table"),
        ("[job]\nformat = 2\n", "newer_format"),
        ('[job]\nformat = "x"\n', "bad_format"),
        ("x" * 2_000_001, "too_large"),
        (b"[job]\nname = '\xff'", "not_utf8"),
    ],
)
def test_no_job(text: str | bytes, key: str) -> None:
    with pytest.raises(JobUnreadable) as error:
        read_job(text)
    assert error.value.msg.key == f"job.read.{key}"


def test_format_0_is_brought_up() -> None:
    """As upgrade.py tells it: edition, rating_a, sccr_ka and watts stood elsewhere."""
    text = '[job]\nformat = 0\nname = "A"\nedition = "2017"\n[before.service]\nrating_a = 100\nsccr_ka = 10\n'
    text += '[[before.loads]]\nid = "l-aa"\nkind = "dryer"\nwatts = 5000\n'
    got = read_job(text)
    assert got.problems == () and len(got.upgraded) == 4
    assert got.job.job.code.edition == "2017" and got.job.before.service.disconnect.sccr_ka == 10
    assert got.job.before.loads[0].nameplate_w == 5000


def test_a_fresh_file_reads() -> None:
    text = new_job_text({"name": 'He said "hi"', "code": {"edition": "2026"}})
    assert read_job(text).problems == () and read_job(text).job.job.code.edition == "2026"


def test_the_schema_accepts_the_house_and_refuses_a_slip() -> None:
    schema = job_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    check = jsonschema.Draft202012Validator(schema)

    def plain(value: object) -> object:
        if isinstance(value, dict):
            return {key: plain(each) for key, each in value.items()}
        if isinstance(value, list):
            return [plain(each) for each in value]
        return (
            value if isinstance(value, (str, int, bool)) else float(value) if isinstance(value, Decimal) else str(value)
        )

    assert list(check.iter_errors(plain(parsed(GOOD)))) == []
    assert list(check.iter_errors(plain(parsed(GOOD.replace("nameplate_w", "nameplate_watts", 1)))))
    assert job_schema_text() == job_schema_text() and "[ft2]" in job_schema_text()


words = st.text(st.characters(exclude_categories=["Cc", "Cs", "Cf"]), min_size=1, max_size=30).filter(str.strip)
amounts = st.decimals(min_value=Decimal("0.001"), max_value=10**6, places=3) | st.integers(1, 10**6).map(Decimal)
loads = st.fixed_dictionaries(
    {"kind": st.sampled_from(["range", "dryer", "evse", "other"])},
    optional={"name": words, "note": words, "nameplate_w": amounts, "nameplate_a": amounts, "motor": st.booleans(),
              "quantity": st.integers(1, 500), "hp": st.sampled_from(["1/2", "1-1/2", "3"])},
)  # fmt: skip


@settings(max_examples=100)
@given(st.lists(loads, max_size=6), st.lists(loads, max_size=3), words, amounts)
def test_written_and_read_again_is_the_same_job(
    before: list[dict], added: list[dict], name: str, area: Decimal
) -> None:  # type: ignore[type-arg]
    job = Job.model_validate({
        "job": {"name": name.strip(), "code": {"edition": "2023"}},
        "before": {"loads": [{"id": f"l-b{n}", **load} for n, load in enumerate(before)],
                   "units": [{"id": "u-1a", "floor_area_ft2": area + 1}], "complete": {"units": "yes"}},
        "work": [{"id": "w-aa", "say": name,
                  "add": {"loads": [{"id": f"l-a{n}", **each} for n, each in enumerate(added)]},
                  "set": {"u-1a": {"name": name, "floor_area_ft2": area + 2}}}],
        "assumptions": ["typical_sizes"],
        "amendments": [{"name": name, "values": [{"x": area, "y": [True, name]}]}],
        "origins": [{"of": "before/u-1a.floor_area_ft2", "from": "plans", "who": name}],
    })  # fmt: skip
    got = read_job(write_job(job))
    assert got.problems == () and got.job == job


@pytest.mark.parametrize("number", ["1e999999999", "-1e999999999", "0x" + "f" * 200_000])
def test_a_number_beyond_all_reason_is_said_and_confined(number: str) -> None:
    """Neither an overflow nor a stall: the number's own block is set aside in words."""
    text = f'[job]\nname = "x"\ncode.edition = "2023"\n\n[[before.units]]\nid = "u-1aa"\nfloor_area_ft2 = {number}\n'
    started = time.monotonic()
    got = read_job(text)
    assert got.problems and got.job.before.units == ()
    assert time.monotonic() - started < 20
