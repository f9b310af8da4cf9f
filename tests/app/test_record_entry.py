"""Fields of records saved: in order, each once, nobody over-typed; what cannot be is said and the rest taken."""

from __future__ import annotations

from pathlib import Path

import pytest

from deadfront.app import record_fields
from deadfront.app.library import Desk
from deadfront.app.record_entry import KEYS, MOST, Sent, save
from deadfront.errors import NotAllowed
from deadfront.job.record_things import Record
from tests.app.desk import new_desk
from tests.commissioning.made_up import HEAD

BUS = {"test": "bus_voltage", "thing": "p-1aa", "stage": "as left"}
FOUND = {"test": "as_found", "thing": "p-1aa", "stage": "as found"}


@pytest.fixture
def at(tmp_path: Path) -> tuple[Desk, str]:
    """A desk with the house."""
    desk = new_desk(tmp_path)
    (path := tmp_path / "house.toml").write_text(HEAD.format(edition="2023", system="120/240 1ph 3w"), encoding="utf-8")
    return desk, desk.import_job(path).job_id


def reading(name: str, value: str, *was: str, id: str = "rec-1aa", key: dict[str, str] | None = None) -> Sent:
    return Sent("records", id, key or BUS, f"readings.{name}", value, was or ("",))


def records(at: tuple[Desk, str]) -> list[Record]:
    job = at[0].open_job(at[1]).job
    return [*job.before.records, *(each for step in job.work for each in step.add.records)]


def test_a_first_reading_makes_the_record_in_the_last_step_as_left(at: tuple[Desk, str]) -> None:
    saved = save(*at, [reading("l1_n", "120.1"), Sent("records", "rec-1aa", BUS, "who", "J. R.", soft=True)])
    assert saved.ids == {"rec-1aa": "rec-1aa"} and not saved.clashes
    (record,) = records(at)
    assert record.readings == {"l1_n": "120.1"} and record.who == "J. R."
    assert at[0].open_job(at[1]).job.work[-1].add.records == (record,), "tag N: as left"


def test_as_found_stands_in_the_house_before_the_work(at: tuple[Desk, str]) -> None:
    save(*at, [Sent("records", "rec-2aa", FOUND, "readings.photographed", "yes")])
    assert [each.test for each in at[0].open_job(at[1]).job.before.records] == ["as_found"]


def test_sent_twice_is_there_once_and_makes_no_second_revision(at: tuple[Desk, str]) -> None:
    queue = [reading("l1_n", "120.1"), reading("l2_n", "120.2"), reading("l1_l2", "240.3")]
    first = save(*at, queue)
    again = save(*at, queue)
    assert again.revision == first.revision and len(records(at)) == 1


def test_a_record_of_the_same_test_is_found_by_another_page(at: tuple[Desk, str]) -> None:
    save(*at, [reading("l1_n", "120.1")])
    saved = save(*at, [reading("l2_n", "120.2", id="rec-9zz")])
    assert saved.ids == {"rec-9zz": "rec-1aa"}
    assert records(at)[0].readings == {"l1_n": "120.1", "l2_n": "120.2"}


def test_done_again_is_a_record_of_its_own(at: tuple[Desk, str]) -> None:
    save(*at, [reading("l1_n", "99")])
    save(*at, [Sent("records", "rec-2aa", BUS, "readings.l1_n", "120", again=True)])
    assert [each.readings["l1_n"] for each in records(at)] == ["99", "120"], "the first one stays"


def test_what_someone_else_typed_meanwhile_stands_and_is_shown(at: tuple[Desk, str]) -> None:
    save(*at, [reading("l1_n", "119.5"), reading("l2_n", "119.9")])
    saved = save(*at, [reading("l1_n", "120.1"), reading("l1_l2", "240.1")])
    assert [(sent.name, theirs) for sent, theirs in saved.clashes] == [("readings.l1_n", "119.5")]
    assert records(at)[0].readings == {"l1_n": "119.5", "l2_n": "119.9", "l1_l2": "240.1"}
    save(*at, [reading("l1_n", "120.1", "", "119.5")])
    assert records(at)[0].readings["l1_n"] == "120.1", "decided: ours over theirs"


def test_typed_on_while_an_answer_was_lost_is_no_clash(at: tuple[Desk, str]) -> None:
    save(*at, [reading("l1_n", "12")])
    saved = save(*at, [reading("l1_n", "120.1", "", "12")])
    assert not saved.clashes and records(at)[0].readings["l1_n"] == "120.1"


def test_filled_in_by_the_page_never_overwrites(at: tuple[Desk, str]) -> None:
    save(*at, [reading("l1_n", "120"), Sent("records", "rec-1aa", BUS, "who", "A. B.")])
    saved = save(*at, [Sent("records", "rec-1aa", BUS, "who", "C. D.", soft=True)])
    assert records(at)[0].who == "A. B." and not saved.clashes


@pytest.mark.parametrize(
    ("name", "value", "key"),
    [("on", "yesterday", "app.records.day"), ("time", "25:00", "app.records.time"),
     ("instruments", "ins-9zz", "app.records.instrument"), ("readings.watts", "5", "app.records.reading"),
     ("readings.l1_n", "1" * 81, "app.records.long"), ("nothing", "x", "app.records.field"),
     ("who", "x" * 81, "app.records.long")],
)  # fmt: skip
def test_what_cannot_be_is_said_and_the_rest_is_taken(at: tuple[Desk, str], name: str, value: str, key: str) -> None:
    saved = save(*at, [Sent("records", "rec-1aa", BUS, name, value), reading("l1_n", "120")])
    assert [msg.key for _, msg in saved.refused] == [key]
    assert records(at)[0].readings == {"l1_n": "120"}


def test_a_wrong_unit_in_a_reading_is_kept_as_typed(at: tuple[Desk, str]) -> None:
    assert not save(*at, [reading("l1_n", "120 A")]).refused
    assert records(at)[0].readings == {"l1_n": "120 A"}


def test_a_cleared_reading_leaves_the_record(at: tuple[Desk, str]) -> None:
    save(*at, [reading("l1_n", "120"), reading("l2_n", "121")])
    save(*at, [reading("l1_n", "", "120")])
    assert records(at)[0].readings == {"l2_n": "121"}
    save(*at, [reading("l2_n", "", "121")])
    assert records(at)[0].readings == {}


def test_terminals_are_found_by_their_name_and_typed_with_units(at: tuple[Desk, str]) -> None:
    key = {"thing": "b-1aa", "terminal": "Load"}

    def entry(ident: str, name: str, value: str, was: str = "") -> Sent:
        return Sent("torques", ident, key, name, value, (was,))

    save(*at, [entry("tq-1aa", "applied_lbf_in", "3 lbf-ft"), entry("tq-1aa", "size", "6 Al")])
    saved = save(*at, [entry("tq-2bb", "applied_lbf_in", "3 lbf-ft"), entry("tq-2bb", "marked_lbf_in", "36")])
    (found,) = [each for step in at[0].open_job(at[1]).job.work for each in step.add.torques]
    assert (found.applied_lbf_in, found.marked_lbf_in, found.size, found.metal) == (36, 36, "6", "aluminum")
    assert not saved.clashes, "the same text is no other one: 3 lbf-ft are 36 lbf-in"
    assert save(*at, [entry("tq-1aa", "applied_lbf_in", "tight", "36")]).refused


def test_items_of_a_notice_keep_the_id_of_the_page(at: tuple[Desk, str]) -> None:
    sent = [Sent("corrections", "cor-1aa", {}, "asks", "Name the workshop.")]
    assert save(*at, sent).ids == save(*at, sent).ids == {"cor-1aa": "cor-1aa"}
    (item,) = [each for step in at[0].open_job(at[1]).job.work for each in step.add.corrections]
    assert item.asks == "Name the workshop."


def test_too_many_or_another_list_is_refused(at: tuple[Desk, str]) -> None:
    with pytest.raises(NotAllowed):
        save(*at, [reading("l1_n", "120")] * (MOST + 1))
    with pytest.raises(NotAllowed):
        save(*at, [Sent("panels", "p-1aa", {}, "name", "x")])


def test_every_field_of_every_list_can_be_typed_or_is_left_out_for_a_reason() -> None:
    for of, model in record_fields.MODELS.items():
        assert set(KEYS[of]) <= set(model.model_fields)
        assert set(record_fields.NOT_TYPED) <= {"id", "seen", "test", "stage", "photo", "name", "readings"}
