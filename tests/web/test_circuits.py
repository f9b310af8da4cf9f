"""The circuits pages: what they say of the small house, and everything that can be typed, added, answered on them."""

from __future__ import annotations

import re
import struct
import zlib
from pathlib import Path

import pytest

from deadfront.app.demo import demo_text
from deadfront.documents.catalog import Catalog
from deadfront.job.model import Head
from deadfront.job.things import COLLECTIONS, Model, Service
from deadfront.web.anything import PREFIX
from deadfront.web.entry.shapes import field_shape, leaves
from deadfront.web.fields import label_key, word
from tests.documents.test_circuit_sheets import png
from tests.web.start import Pages

SPECIAL: dict[str, type[Model]] = {"service": Service, "job": Head}
CODES = re.compile(r"[0-9/]+|[A-Z0-9/ -]+|[ab]|NEC")  # sizes, editions, raceways, legs: the same in every language


@pytest.fixture
def demo(pages: Pages, tmp_path: Path) -> Pages:
    """The pages on the example house."""
    (path := tmp_path / "example.toml").write_text(demo_text(), encoding="utf-8")
    pages.job = pages.desk.import_job(path).job_id
    return pages


def before(pages: Pages):  # type: ignore[no-untyped-def]
    return pages.desk.open_job(pages.job).job.before


# --- what the pages say -------------------------------------------------------------------------------------------
def test_the_answer_stands_first_and_each_run_opens(demo: Pages) -> None:
    text = demo.get("/circuits")
    assert text.index('class="ans') < text.index('id="runs-service"') < text.index('id="runs-circuit"')
    line = text[text.index('id="run-c-0xe"') :].partition("</tr>")[0]
    assert "does not meet" in line and f"/jobs/{demo.job}/circuits/c-0xe" in line
    run = demo.get("/circuits/c-9pw")
    assert "what conductors and breaker must be good for" in run and "625.42" in run
    for name in ("w-4c2/c-9pw.cable.size", "w-4c2/c-9pw.cable.runs", "w-4c2/b-44t.rating_a"):
        assert f'id="{name}"' in run, name
    assert 'href="/jobs/' in run and "/things/l-5rt" in run, "the load on it"


def test_working_on_the_page_is_the_working_on_paper(demo: Pages) -> None:
    run = demo.get("/circuits/c-9pw")
    sheet = demo.get("/sheets/circuits")
    rows = re.findall(r'<tr data-step="[^"]*"[^>]*>.*?</tr>', run, re.S)
    assert len(rows) > 6 and all(row in sheet for row in rows)


def test_the_line_on_top_and_the_route_name_the_stage(demo: Pages) -> None:
    text = demo.get("/circuits")
    route = text[text.index('id="route"') :].partition("</ol>")[0]
    assert re.search(r'here" aria-current="page"><a href="[^"]*/circuits">Circuits<small>2 to correct', route)
    spanish = demo.client.post("/language", data={"language": "es", "back": "/"})
    assert spanish.status_code == 200 and "por corregir" in demo.get("/circuits")


def test_the_fault_current_is_drawn_to_scale_or_asked_for(pages: Pages, demo: Pages) -> None:
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="ruler wide"' in demo.get("/circuits")
    demo.post("/facts", path="before/service.utility.transformer.kva", value="")
    assert 'class="ruler' not in demo.get("/circuits") and "The fault current is not known" in demo.get("/circuits")


def test_a_job_without_circuits_says_so(pages: Pages) -> None:
    pages.job = pages.desk.create_job({"name": "Empty", "code": {"edition": "2023"}})
    assert "There is no circuit yet." in pages.get("/circuits")
    assert pages.get("/site") and pages.get("/things/service") and pages.get("/things/job")


def test_every_link_of_a_finding_leads_to_a_page_that_has_its_field(demo: Pages) -> None:
    text = demo.get("/circuits") + demo.get("/circuits/c-s9u")
    links = set(re.findall(r'href="(/jobs/[^"]+|/help/[^"]+)"', text))
    assert len(links) > 40
    for link in links:
        path, _, anchor = link.partition("#")
        answer = demo.client.get(path)
        assert answer.status_code == 200, link
        if "." in anchor:
            assert f'id="{anchor}"' in answer.text, link


# --- the site list ------------------------------------------------------------------------------------------------
def test_a_question_is_answered_by_one_tap_and_taken_back_by_another(demo: Pages) -> None:
    path = "before/service.seen.workmanlike"
    assert f'id="yes-{path}" name="value" value="yes" aria-pressed="false"' in demo.get("/site")
    sent = demo.post("/site", page="site", path=path, value="yes")
    assert sent.status_code == 200 and "#site-list" in sent.text  # type: ignore[attr-defined]
    assert before(demo).service.seen["workmanlike"] == "yes"
    assert f'id="yes-{path}" name="value" value="unknown" aria-pressed="true"' in demo.get("/site")
    demo.post("/site", page="site", path=path, value="unknown")
    assert before(demo).service.seen.get("workmanlike", "unknown") == "unknown"


def test_a_plain_form_answers_too(demo: Pages) -> None:
    path = "before/p-k3m.seen.terminals_torqued"
    data = {"base": str(demo.revision), "path": path, "value": "no", "page": "site"}
    sent = demo.client.post(f"/jobs/{demo.job}/site", data=data, follow_redirects=False)
    assert sent.status_code == 303 and sent.headers["location"].endswith(f"/site#ask-{path}")
    assert before(demo).panels[0].seen["terminals_torqued"] == "no"
    place = demo.get("/site")
    assert "does not meet" in place[place.index(f'id="ask-{path}"') :].partition("</form>")[0]


def test_a_fact_changes_the_verdict(demo: Pages) -> None:
    page = "thing:c-9pw"
    sent = demo.post("/facts", page=page, path="w-4c2/c-9pw.cable.size", value="10")
    assert "#thing-answer" in sent.text and "does not meet" in sent.text  # type: ignore[attr-defined]
    sent = demo.post("/facts", page=page, path="w-4c2/c-9pw.cable.size", value="8")
    answer = sent.text.partition("#thing-answer")[2].partition("</hx-partial>")[0]  # type: ignore[attr-defined]
    assert "meets" in answer and "does not meet" not in answer


# --- every thing, every fact --------------------------------------------------------------------------------------
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_fact_and_every_choice_has_words(language: str) -> None:
    catalog = Catalog(language)
    lacking = []
    for collection, model in {**COLLECTIONS, **SPECIAL}.items():
        for name in leaves(model):
            if name not in ("code.name", "format") and not label_key(catalog, collection, name):
                lacking.append(f"{collection}.{name}")
            shape, options = field_shape(model, tuple(name.split(".")))
            for each in options if shape in ("choice", "many") else ():
                if word(catalog, each) == each and not CODES.fullmatch(each) and language == "es":
                    lacking.append(f"{collection}.{name}: {each}")
    same = {"panel", "neutral", "general", "control", "flush", "cable", "metal", "principal", "no", "solar", "wet"}
    assert [each for each in lacking if each.rpartition(": ")[2] not in same] == []


@pytest.mark.parametrize("collection", PREFIX)
def test_any_thing_is_added_shown_changed_and_struck_out(pages: Pages, collection: str) -> None:
    listed = pages.get("/circuits") + pages.get("/sources") + pages.get("/commission")
    kinds = re.search(rf'id="list-{collection}".*?</details>', listed, re.S)
    assert kinds, "each list stands on the page"
    kind = re.search(r'<select name="kind"><option value="([^"]+)"', kinds[0])
    form = {"list": collection, "name": "One of them", "work": "N", "kind": kind[1] if kind else ""}
    sent = pages.client.post(f"/jobs/{pages.job}/things", data={"base": str(pages.revision), **form},
                             follow_redirects=False)  # fmt: skip
    assert sent.status_code == 303, sent.text[:300]
    ident = sent.headers["location"].rpartition("/")[2]
    text = pages.get(f"/things/{ident}")
    model = COLLECTIONS[collection]
    scope = re.search(rf' id="(before|w-[a-z0-9]+)/{ident}\.note"', text)
    assert scope and scope[1] == "w-4c1" and "[web." not in text
    left_out = {"kind", "unit", "managed_by"} if collection == "loads" else set()
    shown = [name for name in leaves(model) if f'id="{scope[1]}/{ident}.{name}"' in text]
    assert set(leaves(model)) - set(shown) <= left_out
    sent = pages.post("/facts", page=f"thing:{ident}", path=f"{scope[1]}/{ident}.note", value="seen twice")
    assert sent.status_code == 200  # type: ignore[attr-defined]
    assert "seen twice" in pages.get(f"/things/{ident}")
    data = {"base": str(pages.revision)}
    gone = pages.client.post(f"/jobs/{pages.job}/things/{ident}/strike-out", data=data, follow_redirects=False)
    assert gone.status_code == 303
    assert pages.client.get(f"/jobs/{pages.job}/things/{ident}").status_code == 404


def test_a_thing_as_found_is_taken_out_by_the_work_and_stays_after_all(pages: Pages) -> None:
    for out in (True, False):
        pages.client.post(f"/jobs/{pages.job}/things/p-k3m/work", data={"base": str(pages.revision)})
        assert ("p-k3m" in pages.desk.open_job(pages.job).job.work[0].remove) is out


TYPED = [
    ("cable.runs", {"value.wall": "yes", "value.attic": "yes", "many": "yes"}, ("wall", "attic")),
    ("rooms", {"value": "kitchen, unfinished basement"}, ("kitchen", "unfinished basement")),
    ("outlet_kinds", {"value": ""}, ()),
    ("cable.terminals_c", {"value": "75"}, 75),
    ("cable.ambient_c", {"value": "122 F"}, 50),  # hand: (122 - 32) x 5/9
]


@pytest.mark.parametrize(("name", "form", "wanted"), TYPED, ids=lambda each: str(each)[:20])
def test_lists_choices_and_numbers_are_understood(
    pages: Pages, name: str, form: dict[str, str], wanted: object
) -> None:
    sent = pages.post("/facts", path=f"before/c-7qd.{name}", **form)
    assert sent.status_code == 200, sent.text  # type: ignore[attr-defined]
    found: object = before(pages).circuits[0]
    for part in name.split("."):
        found = getattr(found, part)
    assert found == wanted


WRONG = [
    ("before/c-7qd.rooms", "kitchen, ballroom", "ballroom"),
    ("before/c-7qd.cable.ambient_c", "hot", "50, or"),
    ("before/service.utility.transformer.x_over_r", "much", "is not a number"),
    ("job.permit_on", "May 12", "2026-05-12"),
    ("before/c-7qd.cable.sets", "13", "13"),
]


@pytest.mark.parametrize(("path", "value", "said"), WRONG, ids=lambda each: str(each)[:24])
def test_what_is_not_understood_is_said_and_nothing_saved(pages: Pages, path: str, value: str, said: str) -> None:
    revision = pages.revision
    sent = pages.post("/facts", path=path, value=value)
    assert sent.status_code == 422 and said in sent.text and pages.revision == revision  # type: ignore[attr-defined]


def test_conductors_are_counted_by_size(pages: Pages) -> None:
    data = {"base": str(pages.revision), "list": "raceways", "name": "To the garage", "work": "E"}
    sent = pages.client.post(f"/jobs/{pages.job}/things", data=data, follow_redirects=False)
    path = f"before/{sent.headers['location'].rpartition('/')[2]}.wires"
    assert pages.post("/facts", path=path, value="3 x 8, 2 x 12 XHHW-2, 1 x 10 bare").status_code == 200  # type: ignore[attr-defined]
    wires = before(pages).raceways[0].wires
    assert [(w.count, w.size, w.insulation, w.bare) for w in wires] == [
        (3, "8", "THHN/THWN-2", False), (2, "12", "XHHW-2", False), (1, "10", "THHN/THWN-2", True)
    ]  # fmt: skip
    assert 'value="3 x 8, 2 x 12 XHHW-2, 1 x 10 bare"' in pages.get(f"/things/{path[7:].partition('.')[0]}")
    assert pages.post("/facts", path=path, value="three 8s").status_code == 422  # type: ignore[attr-defined]


# --- photos -------------------------------------------------------------------------------------------------------
def test_a_photo_is_stripped_kept_shown_and_printed(demo: Pages) -> None:
    note, plain = b"tEXtplace\x0041.9 N 12.5 W", png()
    marked = plain[:33] + struct.pack(">I", len(note) - 4) + note + struct.pack(">I", zlib.crc32(note)) + plain[33:]
    files = {"file": ("lug.png", marked, "image/png")}
    sent = demo.client.post(f"/jobs/{demo.job}/things/h-1dt/photo", files=files, follow_redirects=False)
    name = before(demo).hazards[0].photo
    assert sent.status_code == 303 and name
    shown = demo.client.get(f"/jobs/{demo.job}/photos/{name}")
    assert shown.headers["content-type"] == "image/png" and b"41.9" not in shown.content
    assert f"/photos/{name}" in demo.get("/things/h-1dt") and f"/photos/{name}" in demo.get("/circuits")
    assert 'src="data:image/png;base64,' in demo.get("/sheets/hazards")
    assert demo.client.get(f"/jobs/{demo.job}/packet.pdf").content.startswith(b"%PDF")


def test_what_is_no_photo_is_refused(demo: Pages) -> None:
    revision = demo.revision
    for thing, data in (("h-1dt", b"not a picture"), ("p-k3m", png())):
        sent = demo.client.post(f"/jobs/{demo.job}/things/{thing}/photo", files={"file": ("x.png", data)})
        assert sent.status_code == 422 and demo.revision == revision
    assert demo.client.get(f"/jobs/{demo.job}/photos/none-such").status_code == 404
