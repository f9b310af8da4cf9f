"""Any form sent to any address: an answer in words, never a fault, and nothing that was there is lost."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from deadfront.errors import DeadfrontError
from deadfront.job.read import read_job
from deadfront.web.serve import ROUTES
from tests.web.start import HTMX, Pages

POSTS = [route.path for route in ROUTES if "POST" in (getattr(route, "methods", None) or ())]  # type: ignore[union-attr]
NAMES = [
    "path",
    "value",
    "key",
    "breakers",
    "panel",
    "spaces",
    "name",
    "rating",
    "cable",
    "length",
    "protection",
    "work",
    "what",
    "circuit",
    "nameplate",
    "volts",
    "area",
    "small",
    "laundry",
    "count",
    "bus",
    "main_at",
    "fed_by",
    "page",
    "text",
    "made",
    "edits",
    "number",
    "base",
    "place",
    "edition",
    "existing",
    "signer",
    "license",
    "language",
    "back",
    "disconnect",
    "wanted",
    "of",
    "from",
    "who",
    "on",
    "does",
    "step",
    "say",
    "take",
    "kind",
    "output",
    "load.l-5rt",
]
TEXTS = st.one_of(
    st.sampled_from(
        [
            "",
            "yes",
            "no",
            "unknown",
            "E",
            "N",
            "R",
            "1, 3",
            "9",
            "13a",
            "4/0 Al",
            "12-2 NM",
            "4.5 kW",
            "32 A",
            "1/2 hp",
            "survey",
            "load",
            "c-7qd",
            "b-0xe",
            "l-2xf",
            "p-k3m",
            "w-4c1",
            "before/l-2xf.nameplate_w",
            "before/complete.loads",
            "job.name",
            "before/service.conductors.size",
            "choices.rely_on",
            "standard",
            "[]",
            '[{"do":"unassume","name":"x"}]',
            "dryer\t9\t5 kW",
            "9\tDen\t20\n10\tBed\t15",
            "service",
            "add",
            "up",
            "drop",
            "N w-4c1",
            "R w-4c1",
            "solar",
            "seen",
            "2026-05-12",
            '[[bar]]\nrule = "dwelling_optional_load"',
            "1e999",
            "NaN",
            "Infinity",
            "2023",
            "\x00",
            "‮",
            "٣",
            "²",
            "'''",
            '"""',
            "\\",
        ]
    ),
    st.text(max_size=60),
)
FORMS = st.dictionaries(st.sampled_from(NAMES), TEXTS, max_size=9)


@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(
    st.lists(
        st.tuples(
            st.sampled_from(POSTS),
            st.sampled_from(["circuits", "loads", "units", "panels", "sources", "undo", "redo", "x"]),
            FORMS,
            st.booleans(),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_no_form_breaks_anything(sent: list[tuple[str, str, dict[str, str], bool]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        pages = Pages(Path(folder))
        texts: dict[int, str] = {}
        for path, word, form, current in sent:
            where = re.sub(r"\{(?!job)\w+\}", word, path.replace("{job}", pages.job))
            data = {**form, "base": str(pages.revision)} if current else form
            answer = pages.client.post(where, data=data, headers=HTMX, follow_redirects=False)
            assert answer.status_code < 500, (where, data, answer.text[:300])
            for number in range(1, pages.revision + 1):
                text = pages.desk.library.revision(pages.job, number).text
                assert texts.setdefault(number, text) == text, "a revision never changes"
            try:
                assert read_job(text).problems == (), (where, data)
            except DeadfrontError as error:  # pragma: no cover - would be a job that cannot be opened any more
                raise AssertionError(where, data) from error
        for page in ("survey", "load", "history", "packet"):
            answer = pages.client.get(f"/jobs/{pages.job}/{page}")
            assert answer.status_code == 200, (page, sent, answer.text[-600:])


@settings(max_examples=20, deadline=None, derandomize=True)
@given(st.text(max_size=200))
def test_no_address_breaks_anything(text: str) -> None:
    from urllib.parse import quote

    with tempfile.TemporaryDirectory() as folder:
        pages = Pages(Path(folder))
        for address in (
            f"/{quote(text)}",
            f"/jobs/{quote(text, safe='')}/survey",
            f"/book?q={quote(text)}&edition={quote(text)}",
            f"/help/{quote(text, safe='')}",
            f"/static/{quote(text)}",
        ):
            assert pages.client.get(address).status_code < 500, address
