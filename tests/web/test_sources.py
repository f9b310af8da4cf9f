"""The sources page: the answer first, then paths, buses, neutral by state, truth tables, the one-line, the lists."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.web.start import Pages

FULL = Path(__file__).parents[1] / "houses" / "full_house.toml"


@pytest.fixture
def full(pages: Pages) -> Pages:
    """The pages on a house with solar, battery, generator and transfer switch."""
    pages.job = pages.desk.import_job(FULL).job_id
    return pages


def test_the_answer_stands_first_then_cautions_then_tables(full: Pages) -> None:
    text = full.get("/sources")
    order = ["Does every source join", "More than one source: list and lock all.", "Check CO, exhaust",
             "t-paths", "t-bus", "t-strings", "t-neutral", "t-capacity", "t-signal", 'id="source-checks"',
             'id="one-line-sheet"', 'id="list-transfers"']  # fmt: skip
    places = [text.index(each) for each in order]
    assert places == sorted(places)
    assert "Solar disconnect, south wall, then" in text and "the alternate side of Transfer switch" in text
    assert "Any one of these makes it pass: " in text and "sender without supply" in text
    assert '<figure class="picture" tabindex="0" aria-label="The one-line diagram"><svg' in text


def test_every_link_of_a_finding_leads_to_its_field(full: Pages) -> None:
    text = full.get("/sources")
    part = text[text.index('id="source-checks"') :].partition("</section>")[0]
    links = re.findall(r'href="(/jobs/[^"]+)"', part)
    assert links
    for link in links:
        path, _, anchor = link.partition("#")
        assert f'id="{anchor}"' in full.client.get(path).text, link


def test_the_route_tells_the_sources_in_a_few_words(full: Pages) -> None:
    text = full.get("/sources")
    route = text[text.index('id="route"') :].partition("</ol>")[0]
    assert re.search(r'here" aria-current="page"><a href="[^"]*/sources">Sources<small>\d+ to find out', route)
    assert "[" not in re.sub(r"<[^>]+>", "", route)


def test_a_fact_changes_the_answer_and_spanish_says_it_too(full: Pages) -> None:
    sent = full.post("/facts", page="sources", path="w-1ge/s-2ge.neutral_bonded", value="yes")
    assert "#sources-sheet" in sent.text  # type: ignore[attr-defined]
    assert "more than once" in sent.text and "Neutral current returns through ground" in sent.text  # type: ignore[attr-defined]
    full.client.post("/language", data={"language": "es", "back": "/"})
    text = full.get("/sources")
    assert "más de una vez" in text and "[" not in re.sub(r"<[^>]+>|\[hx[^\]]*", "", text[text.index("<main") :])


def test_a_house_without_sources_says_so_in_one_line(pages: Pages) -> None:
    assert "is not known" in pages.get("/sources")
    pages.post("/facts", page="sources", path="before/complete.sources", value="yes")
    text = pages.get("/sources")
    assert "No source of power but the utility." in text and "none but the utility" in text
    assert "t-bus" not in text and "one-line-sheet" not in text and "More than one source" not in text
    assert 'id="list-sources"' in text and 'id="list-signals"' in text


def test_a_source_is_added_on_the_page_and_struck_out_again(pages: Pages) -> None:
    form = {"list": "transfers", "name": "In the garage", "work": "E", "kind": "manual switch"}
    sent = pages.client.post(f"/jobs/{pages.job}/things", data={"base": str(pages.revision), **form},
                             follow_redirects=False)  # fmt: skip
    ident = sent.headers["location"].rpartition("/")[2]
    thing = pages.get(f"/things/{ident}")
    assert f'href="/jobs/{pages.job}/sources#list-transfers"' in thing
    gone = pages.client.post(f"/jobs/{pages.job}/things/{ident}/strike-out", data={"base": str(pages.revision)},
                             follow_redirects=False)  # fmt: skip
    assert gone.headers["location"].endswith("/sources#list-transfers")


def test_the_sheet_is_in_the_packet(full: Pages) -> None:
    assert 'id="sheet-sources"' in full.get("/sheets/sources")
    assert "/sheets/sources" in full.get("/packet")
