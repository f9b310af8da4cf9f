"""The page Commission by plain forms, no script at all: typed, judged, refused, done again, with a photo; the notice.

Expected figures: hand. 240.2 V is 120.1 V and 120.1 V; 114 V to 126 V is 120 V with 5 % each way (published standard).
"""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

import pytest

from tests.commissioning.made_up import record
from tests.web.made_records import with_work
from tests.web.start import Pages

BUS = {"test": "bus_voltage", "thing": "p-1aa", "stage": "as left"}
GOOD = {"l1_l2": "240.2", "l1_n": "120.1", "l2_n": "120.1"}
PNG = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010802000000907753de0000000c4944415408d763f8ffff3f0005fe02fe"
    "dccc59e70000000049454e44ae426082"
)


@pytest.fixture(autouse=True)
def _work(pages: Pages, tmp_path: Path) -> None:
    with_work(pages, tmp_path)


def text_of(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).replace("\u00a0", " ").split())


def form_of(pages: Pages, anchor: str, where: str = "commission") -> dict[str, str]:
    """The fields of a card as the page hands them out; of choices, those chosen."""
    page = pages.get(f"/{where}")
    card = re.search(rf'<section class="test[^"]*" id="{re.escape(anchor)}">.*?</form>', page, re.S)
    assert card, anchor
    fields = {}
    for tag in re.findall(r"<input[^>]*>", card[0]):
        name, value = re.search(r' name="([^"]*)"', tag), re.search(r' value="([^"]*)"', tag)
        if name and ('type="radio"' not in tag or " checked" in tag):
            fields[name[1]] = html.unescape(value[1]) if value else ""
    for name, options in re.findall(r'<select[^>]*name="([^"]*)"[^>]*>(.*?)</select>', card[0], re.S):
        chosen = re.search(r'value="([^"]*)" selected', options) or re.search(r'value="([^"]*)"', options)
        fields[name] = chosen[1] if chosen else ""
    return fields


def post(pages: Pages, path: str, form: dict[str, str]) -> object:
    return pages.client.post(f"/jobs/{pages.job}{path}", data=form, follow_redirects=False)


def typed(pages: Pages, anchor: str, **readings: str) -> object:
    form = {
        "f.who": "J. R.",
        **{name: value for name, value in form_of(pages, anchor).items() if value},
        **{f"f.readings.{name}": value for name, value in readings.items()},
    }
    return post(pages, "/records", form)


def records(pages: Pages) -> list[object]:
    job = pages.desk.open_job(pages.job).job
    return [*job.before.records, *(each for step in job.work for each in step.add.records)]


def test_every_test_due_stands_there_with_method_cautions_and_its_place_in_the_sequence(pages: Pages) -> None:
    said = text_of(pages.get("/commission"))
    assert "May the next step be taken?" in said and re.search(r"\b(\d+) of \1 tests are open\.", said)
    for words in ("Absence of voltage", "Insulation resistance", "Neutral by a load step", "Receptacle wiring",
                  "Prove tester, test, prove again.", "Line side stays live with the main open.",
                  "Never lift a shared or service neutral with a hot live.",
                  "A screen that says 0 W or open is not dead."):  # fmt: skip
        assert words in said, words
    assert said.index("Power to the line side; read it") < said.index("Main closed; read the bus")


def test_readings_are_saved_with_who_when_and_what_and_judged(pages: Pages) -> None:
    pages.client.post("/who", data={"who": "J. R."}, headers={"hx-request": "true"})
    answer = typed(pages, "bus_voltage.p-1aa.left", **GOOD)
    assert answer.status_code == 303 and answer.headers["location"].endswith("/commission#bus_voltage.p-1aa.left")  # type: ignore[attr-defined]
    (found,) = records(pages)
    assert found.readings == GOOD and found.who == "J. R." and str(found.on) == "2026-05-12"  # type: ignore[attr-defined]
    assert found.instruments == ("ins-1m",)  # type: ignore[attr-defined]
    said = text_of(pages.get("/commission"))
    assert "Main panel: 240.2 V, legs 120.1 V and 120.1 V." in said and "published standard" in said
    (found_open,) = re.findall(r"\b(\d+) of (\d+) tests are open\.", said)
    assert int(found_open[0]) == int(found_open[1]) - 1, "one is done"


def test_a_wrong_test_stops_and_leads_there(pages: Pages) -> None:
    typed(pages, "bus_voltage.p-1aa.left", l1_l2="240", l1_n="95", l2_n="145")
    page = pages.get("/commission")
    assert "Stop. Main panel: legs 95 V and 145 V. The neutral has moved: stop." in text_of(page)
    assert f'href="/jobs/{pages.job}/commission#bus_voltage.p-1aa.left"' in page, "the slip leads to the test"
    assert "1 test wrong" in text_of(page), "and the route says it"


def test_what_cannot_be_typed_is_refused_in_words(pages: Pages) -> None:
    form = {**form_of(pages, "bus_voltage.p-1aa.left"), "f.on": "yesterday", "f.readings.l1_n": "120"}
    answer = post(pages, "/records", form)
    assert answer.status_code == 422 and "is no day" in answer.text  # type: ignore[attr-defined]
    assert records(pages)[0].readings == {"l1_n": "120"}, "the rest is kept"  # type: ignore[attr-defined]


def test_done_again_beside_the_first(pages: Pages) -> None:
    typed(pages, "bus_voltage.p-1aa.left", l1_l2="240", l1_n="95", l2_n="145")
    page = pages.client.get(f"/jobs/{pages.job}/commission?again=bus_voltage.p-1aa.left").text
    card = re.search(r'id="bus_voltage.p-1aa.left-more">.*?</form>', page, re.S)
    assert card
    ident = re.search(r'name="id" value="(rec-[^"]+)"', card[0])
    form = {"of": "records", "id": ident[1], "page": "commission", "again": "yes",  # type: ignore[index]
            **{f"key.{name}": value for name, value in BUS.items()}, "f.on": "2026-05-13", "was.on": "",
            "f.instruments": "ins-1m", "f.who": "J. R.",
            **{f"f.readings.{name}": value for name, value in GOOD.items()}}  # fmt: skip
    assert post(pages, "/records", form).status_code == 303  # type: ignore[attr-defined]
    assert len(records(pages)) == 2
    assert "Main panel: 240.2 V, legs 120.1 V and 120.1 V." in text_of(pages.get("/commission")), "the newest counts"


def test_does_not_apply_takes_a_reason(pages: Pages) -> None:
    form = form_of(pages, "neutral_step.service.left")  # fmt: skip
    post(pages, "/records", {**form, "f.who": "J. R.", "f.not_applicable": "Metal-clad cable to one outlet."})
    assert "does not apply: Metal-clad cable to one outlet." in text_of(pages.get("/commission"))


def test_judged_while_typing_and_nothing_saved(pages: Pages) -> None:
    form = {f"key.{name}": value for name, value in BUS.items()} | {f"f.readings.{n}": v for n, v in GOOD.items()}
    answer = post(pages, "/records/judge", {**form, "f.instruments": "ins-1m", "f.on": "2026-05-12", "f.who": "x"})
    assert "240.2 V" in text_of(answer.text) and 'class="verdict out-meets"' in answer.text  # type: ignore[attr-defined]
    assert records(pages) == []
    unknown = post(pages, "/records/judge", {**form, "key.test": "wishing"})
    assert unknown.status_code == 404 and "is none of the tests" in unknown.text  # type: ignore[attr-defined]


@pytest.mark.parametrize("text", ["{", "[1]", '{"a": 1}', "[" * 5000, '[{"of": "panels"}]', '[{"key": 3, "was": 4}]'])
def test_a_queue_that_is_none_is_refused_in_words(pages: Pages, text: str) -> None:
    answer = post(pages, "/records", {"sent": text})
    assert answer.status_code == 422 and "Traceback" not in answer.text  # type: ignore[attr-defined]
    assert records(pages) == []


def test_a_queue_answers_with_the_parts_that_changed(pages: Pages) -> None:
    sent = [{"of": "records", "id": "rec-1zz", "key": BUS, "name": f"readings.{name}", "value": value, "was": [""]}
            for name, value in GOOD.items()]  # fmt: skip
    told = post(pages, "/records", {"sent": json.dumps(sent), "page": "commission",
                                    "places": '{"rec-1zz": "bus_voltage.p-1aa.left"}'}).json()  # type: ignore[attr-defined]  # fmt: skip
    assert told["ids"] == {"rec-1zz": "rec-1zz"} and told["clashes"] == [] and told["refused"] == []
    assert {"line", "route", "slips", "record-answer", "sequence", "said-bus_voltage.p-1aa.left"} <= set(told["parts"])
    assert told["parts"]["open-bus_voltage-left"] in ("", "1")
    page = pages.get("/commission")
    for place in told["parts"]:
        assert f'id="{place}"' in page, f"{place} stands on the page"


def test_a_photo_makes_the_record_and_loses_its_place(pages: Pages) -> None:
    page = pages.get("/commission")
    action = re.search(r'action="(/jobs/[^"]+/photo\?[^"]*test=visual[^"]*)"', page)
    assert action
    answer = pages.client.post(html.unescape(action[1]), files={"file": ("p.png", PNG, "image/png")},
                               follow_redirects=False)  # fmt: skip
    assert answer.status_code == 303 and "/commission#visual.p-1aa.left" in answer.headers["location"]
    (found,) = records(pages)
    assert found.test == "visual" and found.photo  # type: ignore[attr-defined]
    assert pages.client.get(f"/jobs/{pages.job}/photos/{found.photo}").status_code == 200  # type: ignore[attr-defined]
    none = pages.client.post(html.unescape(action[1]), files={"file": ("p.png", b"", "image/png")})
    assert none.status_code in (400, 422), "an empty photo is said"


def test_items_of_a_notice_are_open_until_proved_and_bar_a_signature(pages: Pages) -> None:
    form = form_of(pages, "correction-new")
    post(pages, "/records", {**form, "f.asks": "Name the workshop in the directory.", "f.section": "408.4"})
    said = text_of(pages.get("/commission"))
    assert "The notice asks: Name the workshop in the directory. Nothing done yet." in said
    barred = text_of(pages.get("/packet"))
    assert "Nothing done yet" in barred
    ident = form["id"]
    post(pages, "/records", {**form_of(pages, f"thing-{ident}"), "f.done": "Named.", "f.who": "J. R.",
                             "f.on": "2026-05-13"})  # fmt: skip
    assert "Its proof is not complete." in text_of(pages.get("/commission")), "the photo is missing"
    pages.client.post(f"/jobs/{pages.job}/things/{ident}/photo?page=commission",
                      files={"file": ("p.png", PNG, "image/png")})  # fmt: skip
    assert "Nothing done yet" not in text_of(pages.get("/packet"))
    sheet = text_of(pages.get("/sheets/corrections"))
    assert "Yes, the one item." in sheet and "done: Named." in sheet


def test_every_sheet_after_the_work_can_be_read_and_printed_blank(pages: Pages) -> None:
    for key in ("commissioning", "torque", "installation", "corrections"):
        assert "[sheet" not in pages.get(f"/sheets/{key}")
    assert "/sheets/commissioning" not in pages.get("/packet"), "not in the packet as long as nothing is written"


def test_in_spanish_no_word_is_missing(pages: Pages, tmp_path: Path) -> None:
    with_work(pages, tmp_path, record("dead", "p-1aa", {"l1_n": "120"}))
    pages.client.post("/language", data={"language": "es"})
    for where in ("/commission", "/install"):
        page = pages.get(where)
        assert 'lang="es"' in page and not re.search(r"\[(web|commission|sheet|remedy)\.", page)
        assert "Absence of voltage" not in page and "Torque log" not in page
