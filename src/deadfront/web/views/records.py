"""Install and Commission: shown, typed into, judged while typing."""

from __future__ import annotations

from dataclasses import replace

from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from deadfront.app.changes import StaleEdits
from deadfront.errors import NotAllowed
from deadfront.web import record_saving as saving
from deadfront.web.changing import stale_part
from deadfront.web.commission_page import commission_page
from deadfront.web.desk import at_job
from deadfront.web.install_page import install_page
from deadfront.web.render import html, page, safe
from deadfront.web.views.typed import Form, field_of, number_of, typed_form
from deadfront.web.walk_offers import PLACE, wanted_edits


def commission(request: Request) -> Response:
    """Every test of a job."""
    at = at_job(request)
    return page(commission_page(at, request.query_params.get("again", "")[:80]), at.catalog)


def install(request: Request) -> Response:
    """The work on site."""
    at = at_job(request)
    return page(install_page(at, request.query_params.get("again", "")[:80]), at.catalog)


@typed_form
def save(request: Request, form: Form) -> Response:
    """What was typed, saved; a page with script is told the parts that changed."""
    at = at_job(request)
    saved = saving.save(at, form)
    where = field_of(form, "page") if field_of(form, "page") in saving.PAGES else "commission"
    if "sent" in form:
        return JSONResponse(saving.answer(at.again(), saved, where, saving.places_of(form)))
    if saved.clashes or saved.refused:
        why = saved.refused[0][1] if saved.refused else saving.clash_said(at, saved)
        raise NotAllowed(why.key, **why.params)
    return RedirectResponse(f"/jobs/{at.id}/{where}#{field_of(form, 'anchor')[:80]}", 303)


@typed_form
def judge(request: Request, form: Form) -> Response:
    """The verdict of a test as it is typed."""
    at = at_job(request)
    return HTMLResponse(html(saving.judge(at, form), at.catalog))


@typed_form
def keep(request: Request, form: Form) -> Response:
    """What the walk found otherwise than planned, kept; of a stale page both sides are shown."""
    at = at_job(request)
    edits = wanted_edits(at, form)
    try:
        at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
    except StaleEdits as stale:
        plain = [each.model_dump(mode="json", by_alias=True) for each in edits]
        both = safe(bytes(stale_part(at, stale, plain, form).body).decode())
        return page(replace(commission_page(at), clash=both), at.catalog, 409)
    return RedirectResponse(f"/jobs/{at.id}/commission#{PLACE}", 303)


@typed_form
def judge_walk(request: Request, form: Form) -> Response:
    """The verdicts of the walk along the current transformers as it is typed."""
    return JSONResponse(saving.judge_walk(at_job(request), form))
