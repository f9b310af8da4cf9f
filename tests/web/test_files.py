"""New jobs, job files in and out, the first look, the packet, signing, the code book."""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.documents.html import block_html
from deadfront.web.desk import AtJob
from deadfront.web.load_page import cut
from tests.web.start import Pages


def bring_in(pages: Pages, name: str, data: bytes) -> object:
    return pages.client.post("/import", files={"file": (name, data)})


def test_a_new_job(pages: Pages) -> None:
    answer = pages.client.post(
        "/jobs", data={"name": "9 Elm Ct", "place": "Marlow Falls", "edition": "2020", "existing": "yes"}
    )
    assert answer.url.path.endswith("/survey") and "9 Elm Ct" in answer.text and "2020 NEC" in answer.text
    listed = pages.client.get("/").text
    assert "9 Elm Ct" in listed and "<option selected>2020</option>" in listed, "the edition used last comes first"


@pytest.mark.parametrize("typed", [{"name": ""}, {"name": "x" * 121}, {"name": "A", "edition": "1881"}, {}])
def test_a_new_job_that_cannot_be_keeps_what_was_typed(pages: Pages, typed: dict[str, str]) -> None:
    answer = pages.client.post("/jobs", data={"place": "Marlow Falls", **typed})
    assert answer.status_code == 422 and 'value="Marlow Falls"' in answer.text
    assert len(pages.desk.library.jobs()) == 1


def test_a_job_file_goes_out_and_comes_back(pages: Pages) -> None:
    sent = pages.client.get(f"/jobs/{pages.job}/file")
    assert sent.headers["content-disposition"] == 'attachment; filename="14-Hollow-Creek-Rd.zip"'
    answer = bring_in(pages, "house.zip", sent.content)
    assert answer.status_code == 200 and "14 Hollow Creek Rd" in answer.text
    assert len(pages.desk.library.jobs()) == 2


def bomb() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as held:
        held.writestr("job.toml", "x" * 20_000_000)
    return out.getvalue()


JUNK = [
    ("job.zip", b"not a zip"),
    ("job.toml", b"\xff\xfe\x00"),
    ("job.toml", b"= ="),
    ("job.exe", b"MZ"),
    ("", b""),
    ("../../etc/passwd", b"root"),
    ("job.toml", b""),
    ("..", b"x"),
    ("job.zip", b"PK\x03\x04" + bytes(99)),
    ("job.zip", bomb()),
    ("<img src=x onerror=alert(1)>.toml", b"a"),
    ("job.toml", b"[" * 5000),
]


@pytest.mark.parametrize(("name", "data"), JUNK, ids=range(len(JUNK)))
def test_junk_is_refused_in_words(pages: Pages, name: str, data: bytes) -> None:
    answer = bring_in(pages, name, data)
    assert answer.status_code in (400, 422), answer.status_code
    assert ('role="alert"' in answer.text or "<h1>" in answer.text) and "Traceback" not in answer.text
    assert "/tmp" not in answer.text and "<img src=x" not in answer.text
    assert len(pages.desk.library.jobs()) == 1


def test_a_file_with_a_damaged_block_comes_in_with_what_it_says(pages: Pages) -> None:
    text = b'[job]\nformat = 1\nname = "Half"\ncode.edition = "2023"\n[[before.loads]]\nid = "l-aaa"\nkind = 7\n'
    answer = bring_in(pages, "half.toml", text)
    assert answer.status_code == 200 and 'class="noted' in answer.text


def test_the_first_look_makes_a_job_and_shows_its_load(pages: Pages) -> None:
    answers = {"name": "Door", "edition": "2023", "disconnect": "100", "floor_area": "1,500 sq ft", "wanted": "evse_32"}
    answer = pages.client.post("/first-look", data=answers)
    assert answer.url.path.endswith("/load") and "Door" in answer.text
    assert "Nothing else is connected than what is listed." in answer.text
    wrong = pages.client.post("/first-look", data={**answers, "disconnect": "many"})
    assert wrong.status_code == 422 and 'value="many"' in wrong.text
    assert len(pages.desk.library.jobs()) == 2
    assert pages.client.post("/first-look", data={"dryer": "<b>"}).status_code == 422
    assert pages.client.post("/first-look", data={}).url.path.endswith("/load"), "unknown is always allowed"


def test_the_packet_as_pdf_and_signing_only_when_nothing_bars_it(pages: Pages) -> None:
    paper = pages.client.get(f"/jobs/{pages.job}/packet.pdf")
    assert paper.content.startswith(b"%PDF") and paper.headers["content-type"] == "application/pdf"
    text = pages.get("/packet")
    assert "This bars a signature" in text and 'name="signer"' not in text
    form = {"base": str(pages.revision), "signer": "J. R.", "license": "E-1"}
    answer = pages.client.post(f"/jobs/{pages.job}/sign", data=form)
    assert answer.status_code == 422 and pages.desk.library.issues(pages.job) == []


def test_a_job_is_closed_into_the_next(pages: Pages) -> None:
    answer = pages.client.post(f"/jobs/{pages.job}/close")
    assert answer.url.path.endswith("/survey") and answer.url.path != f"/jobs/{pages.job}/survey"
    assert pages.client.post(f"/jobs/{pages.job}/close").status_code in (409, 422)
    assert "closed" in pages.client.get("/").text


def test_the_code_book_tells_section_status_and_source(pages: Pages) -> None:
    text = pages.client.get("/book?edition=2023&q=220.55").text
    assert "220.55" in text and "verified" in text
    assert "Nothing found." in pages.client.get("/book?q=unheard-of").text
    assert pages.client.get("/book?edition=<b>&q=<script>").status_code == 200
    assert "<script>" not in pages.client.get("/book?q=<script>").text.replace('<script src="', "").replace(
        "<script type", ""
    )


def test_help_is_linked_only_where_there_is_a_page(pages: Pages) -> None:
    import re

    for link in set(re.findall(r'href="(/help/[^"]+)"', pages.get("/survey"))):
        assert pages.client.get(link).status_code == 200


def test_help_text_can_be_nothing_but_text() -> None:
    from deadfront.web.markdown import to_html

    made = str(to_html("# A <b>\n\nText **bold** and `code <i>`.\n\n- one\n- two\n  on\n\n1. first\n"))
    assert made == (
        "<h1>A &lt;b&gt;</h1>\n<p>Text <strong>bold</strong> and <code>code &lt;i&gt;</code>.</p>\n"
        "<ul><li>one</li><li>two on</li></ul>\n<ul><li>first</li></ul>"
    )
    assert "<a" not in str(to_html("[x](javascript:alert(1)) <script>"))


FINISHED = """\
[job]
format = 1
name = "Finished"
code.edition = "2023"
existing = true
[before]
complete = { units = "yes", panels = "yes", circuits = "yes", loads = "yes", breakers = "yes", meters = "yes" }
[before.service]
system = "120/240 1ph 3w"
disconnect = { rating_a = 200, sccr_ka = 22 }
conductors = { size = "4/0", metal = "aluminum", needs_correction = false, terminals_c = 75 }
utility = { limit = "none", fault_current_ka = 10 }
[[before.meters]]
id = "m-aaa"
socket_a = 200
[[before.panels]]
id = "p-aaa"
fed_by = "service"
bus_a = 200
[[before.units]]
id = "u-aaa"
floor_area_ft2 = 1500
small_appliance_circuits = 2
laundry_circuits = 1
[[before.loads]]
id = "l-aaa"
kind = "dishwasher"
nameplate_w = 1200
"""


def test_signing_freezes_the_answers_and_tells_what_changed_since(pages: Pages) -> None:
    answer = bring_in(pages, "finished.toml", FINISHED.encode())
    pages.job = answer.url.path.split("/")[2]
    text = pages.get("/packet")
    assert 'name="signer"' in text, text[text.index('id="sign"') :][:900]
    assert "Nothing bars a signature" in text and 'href="/jobs/' + pages.job + '/packet#sign"' in text
    none = pages.client.post(f"/jobs/{pages.job}/sign", data={"base": "1", "signer": " ", "license": ""})
    assert none.status_code == 422
    signed = pages.client.post(f"/jobs/{pages.job}/sign", data={"base": "1", "signer": "J. <b>", "license": "E-1"})
    assert "J. &lt;b&gt;, license E-1" in signed.text and "Every answer is as signed." in signed.text
    pages.post("/facts", path="before/l-aaa.nameplate_w", value="9 kW")
    assert "Answers that are no longer as signed" in pages.get("/packet")
    assert (
        pages.client.post(f"/jobs/{pages.job}/sign", data={"base": "1", "signer": "J", "license": "E"}).status_code
        == 409
    )


def test_the_load_page_is_the_sheet_with_before_and_after(pages: Pages) -> None:
    """The same sheet as on paper: where there is work it shows the house as found beside the house after it."""
    web = pages.client.app.state.web  # type: ignore[attr-defined]
    at = AtJob(web, pages.desk.open_job(pages.job), Catalog("en", strict=True))
    assert at.answered.before is not None
    sheet = next(each for each in at.sheets() if each.key == "load")
    text = pages.get("/load")
    first, _ = cut(sheet)
    assert len(first) > 3 and all(block_html(block, at.catalog) in text for block in first)
    alone = next(s for s in web.sheets(_without_before(at.answered), at.catalog, revision=1, on=web.settings.today())
                 if s.key == "load")  # fmt: skip
    assert len(alone.blocks) < len(sheet.blocks) or alone.blocks != sheet.blocks, "the comparison is on it"


def _without_before(answered: object) -> object:
    return replace(answered, before=None)  # type: ignore[type-var]
