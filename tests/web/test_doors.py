"""The doors: key, host, origin, length, headers; refusals in words and never a traceback."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from deadfront.app.library import Desk
from deadfront.web.doors import HEADERS, POLICY
from deadfront.web.serve import ROUTES
from tests.web.start import HTMX, Pages


def test_without_the_key_nothing_opens(pages: Pages) -> None:
    stranger = pages.new_client()
    for path in ("/", f"/jobs/{pages.job}/survey", f"/jobs/{pages.job}/file", "/book", "/nothing"):
        answer = stranger.get(path)
        assert answer.status_code == 403, path
        assert "This page is locked." in answer.text and pages.job not in answer.text
    assert stranger.get("/?key=wrong").status_code == 403
    assert stranger.get("/?key=").status_code == 403


def test_the_key_becomes_a_cookie_and_leaves_the_address(pages: Pages) -> None:
    stranger = pages.new_client()
    answer = stranger.get(f"/book?q=range&key={pages.settings.key}", follow_redirects=False)
    assert answer.status_code == 303 and answer.headers["location"] == "/book?q=range"
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie and "samesite=strict" in cookie
    assert stranger.get("/book").status_code == 200


def test_a_key_in_a_doubled_slash_does_not_lead_away(pages: Pages) -> None:
    answer = pages.new_client().get(
        f"http://testserver//evil.example/?key={pages.settings.key}", follow_redirects=False
    )
    assert answer.headers.get("location", "/").startswith("/") and not answer.headers.get("location", "").startswith(
        "//"
    )


def test_each_start_has_its_own_key(pages: Pages) -> None:
    from tests.web.start import settings

    assert settings().key != pages.settings.key and settings().cookie != pages.settings.cookie


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "127.0.0.1:x", "", "localhost.", "[::1"])
def test_other_hosts_are_refused(pages: Pages, host: str) -> None:
    answer = pages.client.get("/", headers={"host": host})
    assert answer.status_code == 421 and "not ours" in answer.text


WRITES = [route for route in ROUTES if "POST" in (getattr(route, "methods", None) or ())]


@pytest.mark.parametrize("route", WRITES, ids=lambda route: route.path)
def test_every_write_asks_for_our_own_origin(pages: Pages, route: object) -> None:
    path = re.sub(r"\{job\}", pages.job, route.path)  # type: ignore[attr-defined]
    path = re.sub(r"\{\w+\}", "circuits", path)
    before = pages.revision
    for origin in (
        "http://[",
        "http://evil.example",
        "null",
        "",
        "https://testserver",
        "http://testserver.evil.example",
    ):
        answer = pages.client.post(path, data={"base": str(before)}, headers={"origin": origin})
        assert answer.status_code == 403 and "only from these pages" in answer.text, (path, origin)
    crossing = {"sec-fetch-site": "cross-site"}
    assert pages.client.post(path, data={}, headers=crossing).status_code == 403
    bare = TestClient(pages.client.app, base_url="http://testserver", cookies=dict(pages.client.cookies))
    assert bare.post(path, data={"base": str(before)}).status_code == 403
    assert pages.revision == before


def test_no_page_changes_anything_by_being_looked_at(pages: Pages) -> None:
    before = pages.revision
    for route in WRITES:
        path = re.sub(r"\{\w+\}", pages.job, route.path)  # type: ignore[attr-defined]
        assert pages.client.get(path).status_code in (200, 404, 405)
    assert pages.revision == before


def test_every_answer_carries_the_headers(pages: Pages) -> None:
    stranger = pages.new_client()
    answers = [
        pages.client.get("/"),
        pages.client.get("/nothing"),
        pages.client.get("/static/desk.css"),
        stranger.get("/"),
        pages.client.get("/", headers={"host": "evil.example"}),
        pages.client.delete("/"),
    ]
    for answer in answers:
        for name, value in HEADERS.items():
            assert answer.headers[name] == value, answer.url
    assert "unsafe" not in POLICY and "*" not in POLICY
    assert answers[0].headers["cache-control"] == "no-store"


def test_nothing_inline_in_any_page(pages: Pages) -> None:
    paths = ["/", "/first-look", "/book", *(f"/jobs/{pages.job}/{p}" for p in ("survey", "load", "history", "packet"))]
    for path in [*paths, f"/jobs/{pages.job}/sheets/load"]:
        text = pages.client.get(path).text
        assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:|hx-on|\bjs:", text), path
        assert not re.search(r"<script(?![^>]*\ssrc=\"/static/)", text), path
        assert "http://" not in text.replace("http://www.w3.org/2000/svg", ""), path


def test_too_long_is_said_whatever_length_is_claimed(pages: Pages) -> None:
    long = {"name": "x" * (pages.settings.max_body_bytes + 10)}
    answer = pages.client.post("/jobs", data=long)
    assert answer.status_code == 413 and "too long" in answer.text

    def pieces() -> object:
        yield b"name="
        for _ in range(20):
            yield b"x" * 100_000

    form = {"content-type": "application/x-www-form-urlencoded"}
    answer = pages.client.post("/jobs", content=pieces(), headers=form)
    assert answer.status_code == 413
    assert len(pages.desk.library.jobs()) == 1


def test_a_fault_of_ours_is_said_in_words(pages: Pages, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("secret inner words")

    monkeypatch.setattr(Desk, "history", broken)
    answer = pages.client.get(f"/jobs/{pages.job}/history")
    assert answer.status_code == 500
    assert "went wrong here, not with you" in answer.text
    assert "secret" not in answer.text and "Traceback" not in answer.text
    part = pages.client.get(f"/jobs/{pages.job}/history", headers=HTMX)
    assert part.headers["hx-retarget"] == "#trouble" and "<html" not in part.text


def test_addresses_and_methods_that_are_not_there(pages: Pages) -> None:
    for path in ("/nothing", "/jobs/j-none/survey", f"/jobs/{pages.job}/sheets/none", "/help/none", "/static/none.css"):
        answer = pages.client.get(path)
        assert answer.status_code == 404 and "<h1>" in answer.text, path
    answer = pages.client.delete("/jobs")
    assert answer.status_code == 405 and "cannot be done here" in answer.text
    assert pages.client.get("/static/../serve.py").status_code == 404
    assert pages.client.get("/static/%2e%2e/serve.py").status_code == 404
