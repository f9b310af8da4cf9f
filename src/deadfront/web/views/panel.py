"""The panel: shown, tried, kept; its times; the search for even legs."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from deadfront.errors import DeadfrontError, NotAllowed
from deadfront.web import panel_page as pages
from deadfront.web.desk import AtJob, at_job
from deadfront.web.entry.typed import BadEntry
from deadfront.web.panel_search import begin
from deadfront.web.panel_times import time_edits
from deadfront.web.render import html, page
from deadfront.web.views.typed import Form, field_of, number_of, typed_form


def _asked(given: object) -> dict[str, str]:
    return {name: str(given.get(name, ""))[:4000] for name in pages.ASKED}  # type: ignore[attr-defined]


def _home(at: AtJob, panel: str, place: str = "") -> Response:
    return RedirectResponse(f"/jobs/{at.id}/panel?panel={panel}{place}", 303)


def _refused(at: AtJob, form: Form, error: DeadfrontError) -> Response:
    asked = {"panel": field_of(form, "panel"), "puts": field_of(form, "puts")}
    return page(pages.panel_page(at, asked, at.catalog.say(error.msg)), at.catalog, 422)


def show(request: Request) -> Response:
    """A panel of a job, as it stands or as it is tried."""
    at = at_job(request)
    return page(pages.panel_page(at, _asked(request.query_params)), at.catalog)


@typed_form
def judge(request: Request, form: Form) -> Response:
    """A layout that is tried, judged; nothing is kept."""
    at = at_job(request)
    return HTMLResponse(html(pages.draft_part(at, _asked(form)), at.catalog))


@typed_form
def keep(request: Request, form: Form) -> Response:
    """A layout kept: its moves are work of the job."""
    at, asked = at_job(request), _asked(form)
    try:
        pages.keep(at, asked, number_of(form, "base"))
    except (NotAllowed, BadEntry) as error:
        return _refused(at, form, error)
    return _home(at, asked["panel"])


@typed_form
def times(request: Request, form: Form) -> Response:
    """A time at which the legs are compared: added, changed, struck out."""
    at = at_job(request)
    try:
        edits = time_edits(at, form)
        if edits:
            at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
    except BadEntry as error:
        return _refused(at, form, error)
    return _home(at, field_of(form, "panel"), "#times")


@typed_form
def search(request: Request, form: Form) -> Response:
    """The search for even legs, begun."""
    at = at_job(request)
    try:
        begin(at, field_of(form, "panel"))
    except NotAllowed as error:
        return _refused(at, form, error)
    return _home(at, field_of(form, "panel"), "#search")


@typed_form
def cancel(request: Request, form: Form) -> Response:
    """The search stopped; what was found until then stays."""
    at = at_job(request)
    at.web.runs.cancel(at.id)
    return _home(at, field_of(form, "panel"), "#search")


def run(request: Request) -> Response:
    """How far the search is; the whole page anew once it has ended."""
    at, panel = at_job(request), request.query_params.get("panel", "")
    part = pages.run_part(at, panel)
    return HTMLResponse(html(part, at.catalog), headers={} if part.search.busy else {"HX-Refresh": "true"})
