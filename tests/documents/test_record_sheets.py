"""Sheets after the work: every test with its readings as typed, its limit with origin, who, when, with what.

Expected figures: hand, beside each.
"""

from __future__ import annotations

from datetime import date

import pytest

from deadfront.app.answers import answer, sheet_head, sheets_of
from deadfront.cli.sheet_text import sheet_text
from deadfront.documents.catalog import Catalog
from deadfront.documents.html import sheet_html
from deadfront.job.read import read_job
from deadfront.worksheet.sheet import Picture, Sheet
from tests.commissioning.made_up import HEAD, record

TODAY = date(2026, 6, 5)
STEP = {"leg": "L1", "l1_idle": "121.4 121.3 121.4", "l2_idle": "120.9 120.9 121.0", "l1_loaded": "119.3 119.2 119.3",
        "l2_loaded": "121.2 121.2 121.3", "step_a": "12.5"}  # fmt: skip
TORQUE = """[[work.add.torques]]
id = "tq-1a"
thing = "b-1aa"
terminal = "load terminal"
marked_lbf_in = 36
applied_lbf_in = 36
tool = "ins-3t"
who = "J. R."
on = 2026-06-01
"""
CORRECTION = """[[work.add.corrections]]
id = "cor-1a"
given_on = 2026-06-03
section = "408.4"
asks = "Directory: name the workshop."
thing = "p-1aa"
done = "Named."
who = "J. R."
on = 2026-06-04
photo = "ph-9"
"""


def sheets(*more: str, language: str = "en", blank: bool = False) -> dict[str, Sheet]:
    """The sheets of the house with these records."""
    text = HEAD.format(edition="2023", system="120/240 1ph 3w") + "\n".join(more)
    read = read_job(text)
    assert not read.problems, read.problems
    made = sheets_of(answer(read.job), Catalog(language, strict=True), revision=3, on=TODAY, blank=blank)
    return {each.key: each for each in made}


def told(sheet: Sheet, language: str = "en") -> str:
    return sheet_html(sheet, Catalog(language, strict=True))


def test_nothing_written_no_sheet_but_one_to_write_on() -> None:
    assert not {"installation", "torque", "commissioning", "corrections"} & set(sheets())
    blank = sheets(blank=True)
    assert {"installation", "torque", "commissioning", "corrections"} <= set(blank)
    text = told(blank["commissioning"])
    assert "Not yet:" in text and "________" in text, "room to write the readings"


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_record_says_reading_limit_origin_instrument_verdict(language: str) -> None:
    found = sheets(record("service_voltage", "service", {"l1_l2": "241.2", "l1_n": "120.5", "l2_n": "120.7 V"}),
                   record("neutral_step", "service", STEP, "rec-2a"), language=language)  # fmt: skip
    text = told(found["commissioning"], language)
    for part in ("241.2", "120.7 V", "J. R.", "2026-06-01", "Meter 1", "2026-01-10", "CAT IV"):
        assert part in text, part
    pictures = [each for each in found["commissioning"].blocks if isinstance(each, Picture)]
    assert len(pictures) == 2 and "114 V" in pictures[0].svg and "126 V" in pictures[0].svg, "120 V, 5 % each way"
    assert "121.37" in pictures[1].svg, "hand: (121.4 + 121.3 + 121.4) / 3 = 121.37 V"
    words = "published standard" if language == "en" else "norma publicada"
    assert words in text and "[sheet" not in text


def test_the_torque_log_shows_target_tool_and_verdict() -> None:
    text = told(sheets(TORQUE)["torque"])
    for part in ("load terminal", "36", "Driver 3", "J. R.", "lbf-in"):
        assert part in text, part


def test_a_correction_is_shown_with_what_was_done() -> None:
    text = told(sheets(CORRECTION)["corrections"])
    for part in ("Yes, the one item.", "408.4", "Directory: name the workshop.", "done: Named.", "2026-06-04"):
        assert part in text, part
    open_ = told(sheets(CORRECTION.replace('done = "Named."\n', ""))["corrections"])
    assert "Not yet: 1 of 1 items is open." in open_


def test_open_tests_bar_no_signature_but_an_open_item_of_a_notice_does() -> None:
    text = HEAD.format(edition="2023", system="120/240 1ph 3w")
    with_record = answer(read_job(text + record("service_voltage", "service", {})).job)
    barred = answer(read_job(text + CORRECTION.replace('done = "Named."\n', "")).job)
    plain = answer(read_job(text).job)
    assert with_record.standing.to_find == plain.standing.to_find
    assert with_record.standing.to_correct == plain.standing.to_correct
    assert barred.standing.to_correct == plain.standing.to_correct + 1


def test_the_sheets_are_told_on_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    for sheet in sheets(TORQUE, CORRECTION, blank=True).values():
        sheet_text(sheet, Catalog("en", strict=True))
    assert "Commissioning record" in capsys.readouterr().out
    assert sheet_head(answer(read_job(HEAD.format(edition="2023", system="120/240 1ph 3w")).job), revision=1, on=TODAY)


def test_the_walk_along_the_transformers_is_on_the_record(capsys: pytest.CaptureFixture[str]) -> None:
    """Independent: readings by Kirchhoff's law, one transformer turned round."""
    from deadfront.job.model import Job
    from tests.metering.metered import GOOD, job
    from tests.metering.test_recorded_walk import metered, walked

    plan = metered(4)
    breakers = [{"id": f"b-x{i:02d}", "panel": "p-aa1", "spaces": [i + 1], "rating_a": 20, "poles": 1}
                for i in range(4)]  # fmt: skip
    circuits = [{"id": f"c-x{i:02d}", "name": f"Circuit {i + 1}", "breaker": f"b-x{i:02d}"} for i in range(4)]
    legs = {each.id: each.conductor.leg for each in plan.channels if each.conductor}
    channels = [{**GOOD, "id": each.id, "name": each.id, "measures": each.conductor.of, "leg": legs[each.id],
                 "voltage_leg": legs[each.id], **({"role": "mains"} if each.role == "mains" else {})}
                for each in plan.channels if each.conductor]  # fmt: skip
    made = job(channels, breakers=breakers, circuits=circuits).model_dump(mode="json", exclude_none=True)
    made["work"][0]["add"]["records"] = [
        each.model_dump(mode="json", exclude_none=True) for each in walked(plan, turned=("ch-x01",))
    ]
    found = sheets_of(answer(Job.model_validate(made)), Catalog("en", strict=True), revision=1, on=TODAY)
    sheet = {each.key: each for each in found}["commissioning"]
    text = told(sheet)
    assert "Load steps at the current transformers" in text and "Never open" in text
    sheet_text(sheet, Catalog("en", strict=True))
    assert "ch-x01" in capsys.readouterr().out
