"""The page Commission by plain forms, no script at all: typed, judged, refused, done again, with a photo; the notice.

Expected figures: hand. 240.2 V is 120.1 V and 120.1 V; 114 V to 126 V is 120 V with 5 % each way (published standard).
"""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

import pytest

from deadfront.job.house import house_at
from deadfront.job.write import write_job
from tests.commissioning.made_up import record
from tests.metering.metered import GOOD as GOOD_CT
from tests.metering.metered import job
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
    assert "Is every test done and right?" in said and re.search(r"\b(\d+) of \1 tests are open\.", said)
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


# --- what the walk found, kept in the directory -----------------------------------------------------------------
def with_channels(pages: Pages, folder: Path, *channels: dict[str, Any]) -> None:
    """The small house gives way to one with two circuits on L1 and these channels."""
    breakers = [{"id": f"b-x{n}", "panel": "p-aa1", "spaces": [n], "rating_a": 20, "poles": 1} for n in (1, 2)]
    circuits = [{"id": f"c-x{n}", "name": f"Circuit {n}", "breaker": f"b-x{n}"} for n in (1, 2)]
    made = job(list(channels), breakers=breakers, circuits=circuits)
    (path := folder / "channels.toml").write_text(write_job(made), encoding="utf-8")
    pages.job = pages.desk.import_job(path).job_id


def exchanged(pages: Pages, folder: Path) -> None:
    """Two channels, each on the circuit of the other, walked line by line; hand: 10 W and 20 W idle, 1500 W on."""
    with_channels(pages, folder, *({**GOOD_CT, "id": f"ch-x{n}", "input": str(n), "name": f"Circuit {n}",
                                    "measures": f"c-x{n}"} for n in (1, 2)))  # fmt: skip
    for ident, idle, meanwhile in (("ch-x1", "10", "1520"), ("ch-x2", "20", "1510")):
        assert typed(pages, f"walk-{ident}", watts="1500", off=idle, on=idle, meanwhile=meanwhile).status_code == 303  # type: ignore[attr-defined]


def offered(pages: Pages) -> dict[str, dict[str, str]]:
    """The forms that keep what was found, by their place on the page."""
    page = pages.get("/commission")
    return {
        place: {name: html.unescape(value) for name, value in re.findall(r'name="(\w+)" value="([^"]*)"', form)}
        for place, form in re.findall(r'<form class="offer" id="([^"]+)"(.*?)</form>', page, re.S)
    }


def directory(pages: Pages) -> dict[str, tuple[str | None, str | None]]:
    """What each channel measures, and its name."""
    found = house_at(pages.desk.open_job(pages.job).job).house.channels
    return {each.id: (each.measures, each.name) for each in found}


PLANNED = {"ch-x1": ("c-x1", "Circuit 1"), "ch-x2": ("c-x2", "Circuit 2")}
FOUND = {"ch-x1": ("c-x2", "Circuit 2"), "ch-x2": ("c-x1", "Circuit 1")}
"""Each on the circuit of the other; the name that was a circuit's goes with it."""


def test_what_the_walk_found_is_offered_kept_and_taken_back(pages: Pages, tmp_path: Path) -> None:
    exchanged(pages, tmp_path)
    said = text_of(pages.get("/commission"))
    assert "Circuit 1: found on Circuit 2, L1; the plan has Circuit 1, L1. Keep" in said
    forms = offered(pages)
    assert set(forms) == {"keep-ch-x1", "keep-ch-x2", "keep-all"}
    before = pages.revision
    answer = post(pages, "/records/keep", forms["keep-all"])
    assert answer.status_code == 303 and answer.headers["location"].endswith("/commission#walk-offers")  # type: ignore[attr-defined]
    assert directory(pages) == FOUND and pages.revision == before + 1, "one revision"
    kept = pages.desk.open_job(pages.job).job
    assert {each.origin for each in kept.origins} == {"measured"}
    assert offered(pages) == {} and "2 proved right, 0 proved wrong, 0 open." in text_of(pages.get("/commission"))
    post(pages, "/walk/undo", {"base": str(pages.revision), "page": "commission"})
    assert directory(pages) == PLANNED and set(offered(pages)) == set(forms)


def test_kept_one_by_one_the_other_is_still_offered(pages: Pages, tmp_path: Path) -> None:
    exchanged(pages, tmp_path)
    post(pages, "/records/keep", offered(pages)["keep-ch-x1"])
    assert directory(pages) == {**PLANNED, "ch-x1": FOUND["ch-x1"]}
    left = offered(pages)
    assert set(left) == {"keep-ch-x2"}, "all of one is no button of its own"
    post(pages, "/records/keep", left["keep-ch-x2"])
    assert directory(pages) == FOUND and offered(pages) == {}


def test_channels_of_no_circuit_are_given_those_they_were_found_on(pages: Pages, tmp_path: Path) -> None:
    bare = {key: value for key, value in GOOD_CT.items() if key not in ("measures", "leg")}
    with_channels(pages, tmp_path, *({**bare, "id": f"ch-x{n}", "input": str(n), "name": f"CT {n}"} for n in (1, 2)))
    card = re.search(r'id="walk-ch-x1">.*?</form>', pages.get("/commission"), re.S)
    assert card and re.findall(r'<option value="([^"]*)"', card[0]) == ["", "c-x1", "c-x2"], "the load is chosen"
    for n, idle, meanwhile in ((1, "10", "20"), (2, "20", "10")):  # hand: only its own load shows
        typed(pages, f"walk-ch-x{n}", circuit=f"c-x{n}", watts="1500", off=idle, on=str(1500 + int(idle)),
              meanwhile=meanwhile)  # fmt: skip
    assert "CT 1: found on Circuit 1, L1; the plan has no conductor." in text_of(pages.get("/commission"))
    post(pages, "/records/keep", offered(pages)["keep-all"])
    found = house_at(pages.desk.open_job(pages.job).job).house.channels
    assert {each.id: (each.measures, each.leg) for each in found} == {"ch-x1": ("c-x1", "L1"), "ch-x2": ("c-x2", "L1")}
    page = pages.get("/commission")
    assert "2 proved right, 0 proved wrong, 0 open." in text_of(page) and "walk-ch-x1-circuit" not in page


def test_keeping_from_a_stale_page_shows_both_sides_and_keeps_nothing(pages: Pages, tmp_path: Path) -> None:
    exchanged(pages, tmp_path)
    shown = offered(pages)["keep-ch-x1"]
    pages.desk.apply(pages.job, pages.revision, [{"do": "set", "path": "w-aa1/ch-x1.name", "value": "Freezer"}])
    there = {**PLANNED, "ch-x1": ("c-x1", "Freezer")}
    answer = post(pages, "/records/keep", shown)
    assert answer.status_code == 409 and "<!doctype html>" in answer.text.lower()  # type: ignore[attr-defined]
    both = re.search(r'<form class="clash" method="post".*?</form>', answer.text, re.S)  # type: ignore[attr-defined]
    assert both and "c-x2" in html.unescape(both[0]) and directory(pages) == there
    again = {name: html.unescape(value) for name, value in
             re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', both[0])}  # fmt: skip
    post(pages, "/again", again)
    assert directory(pages)["ch-x1"] == ("c-x2", "Freezer"), "mine where nobody else was"


@pytest.mark.parametrize("keep", ["", "ch-x1", "ch-x1:c-x1:L1", "ch-zz9:c-x1:L1", "ch-x1:c-x2:L1 ch-x2:c-x2:L1"])
def test_what_is_not_offered_is_not_kept(pages: Pages, tmp_path: Path, keep: str) -> None:
    exchanged(pages, tmp_path)
    answer = post(pages, "/records/keep", {"base": str(pages.revision), "keep": keep})
    assert answer.status_code == 422 and "is not found so any more" in text_of(answer.text)  # type: ignore[attr-defined]
    assert directory(pages) == PLANNED


def test_a_reading_saved_by_script_brings_the_offers_at_the_new_revision(pages: Pages, tmp_path: Path) -> None:
    exchanged(pages, tmp_path)
    ident = form_of(pages, "walk-ch-x2")["id"]
    sent = [{"of": "records", "id": ident, "key": {"test": "ct_step", "thing": "ch-x2", "stage": "as left"},
             "name": "readings.on", "value": value, "was": [was]} for was, value in [("20", "21")]]  # fmt: skip
    told = post(pages, "/records", {"sent": json.dumps(sent), "page": "commission", "places": "{}"}).json()  # type: ignore[attr-defined]
    part = told["parts"]["walk-offers"]
    assert part.count('name="keep"') == 3 and f'name="base" value="{told["revision"]}"' in part
    assert told["revision"] == pages.revision


def test_offers_of_the_walk_in_spanish(pages: Pages, tmp_path: Path) -> None:
    exchanged(pages, tmp_path)
    pages.client.post("/language", data={"language": "es"})
    page = pages.get("/commission")
    assert "Guardar los 2" in page and not re.search(r"\[(web|proof)\.", page) and "Found otherwise" not in page
