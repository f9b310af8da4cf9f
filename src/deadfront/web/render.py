"""Contexts to pages: Jinja with everything escaped, words from the catalogs."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.responses import HTMLResponse

from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.web import circuit_contexts as k
from deadfront.web import contexts as c
from deadfront.web import drawing_contexts as d
from deadfront.web import isolation_contexts as i
from deadfront.web import panel_contexts as p
from deadfront.web import record_contexts as e
from deadfront.web import recording_contexts as r
from deadfront.web import source_contexts as s

TEMPLATES: dict[type, str] = {
    c.SurveyPage: "survey.html", c.LoadPage: "load.html", c.JobsPage: "jobs.html", c.FirstLookPage: "first.html",
    c.HistoryPage: "history.html", c.PacketPage: "packet.html", c.SheetPage: "sheet.html", c.BookPage: "book.html",
    c.HelpPage: "help.html", c.TroublePage: "trouble.html", c.StalePart: "stale.html", c.SharesPart: "shares.html",
    c.PastePart: "paste.html", c.AmendPage: "amend.html",
    k.CircuitsPage: "circuits.html", k.SitePage: "site.html", k.ThingPage: "thing.html",
    r.RecordingsPage: "recordings.html", r.MappingPage: "mapping.html", r.RunPart: "run.html",
    s.SourcesPage: "sources.html", d.OneLinePage: "one_line.html",
    e.CommissionPage: "commission.html", e.InstallPage: "install.html", e.SaidPart: "record_said.html",
    i.IsolationPage: "isolation.html",
    p.PanelPage: "panel.html", p.PanelDraftPart: "panel_draft_part.html", p.PanelRunPart: "panel_run.html",
}  # fmt: skip
"""The template of every page and part."""


def _environment() -> Environment:
    env = Environment(
        loader=PackageLoader("deadfront.web", "templates"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    env.globals["languages"] = LANGUAGES
    return env


ENV = _environment()


def given(context: Any) -> dict[str, Any]:
    """The keys of a context."""
    return {each.name: getattr(context, each.name) for each in fields(context)}


def html(context: Any, catalog: Catalog, *, template: str = "", **more: Any) -> str:
    """A context as HTML."""
    name = template or TEMPLATES[type(context)]
    return ENV.get_template(name).render(**given(context), w=catalog.key, language=catalog.language, **more)


def page(context: Any, catalog: Catalog, status: int = 200, **more: Any) -> HTMLResponse:
    """A context as an answer."""
    return HTMLResponse(html(context, catalog, **more), status)


def safe(text: str) -> Markup:
    """HTML that documents made: every text in it is escaped already."""
    return Markup(text)
