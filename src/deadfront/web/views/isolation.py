"""Isolation: a zone's plan shown, its lines ticked."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from deadfront.app.changes import StaleEdits
from deadfront.web.desk import AtJob, at_job
from deadfront.web.entry.typed import BadEntry
from deadfront.web.isolation_page import isolation_page, tick_edits, zone_edits
from deadfront.web.render import page
from deadfront.web.views.typed import Form, field_of, number_of, typed_form


def show(request: Request) -> Response:
    """The plan of a zone."""
    at = at_job(request)
    return page(isolation_page(at, request.query_params.get("zone", "")[:40]), at.catalog)


@typed_form
def tick(request: Request, form: Form) -> Response:
    """Lines ticked, now or while the line was down; ticks of others meanwhile stay."""
    at = at_job(request)
    try:
        try:
            _keep(at, form)
        except StaleEdits:
            _keep(at.again(), form)
    except BadEntry as error:
        return Response(at.catalog.say(error.msg), 422, media_type="text/plain")
    if "changes" in form:
        return Response(status_code=204)
    return RedirectResponse(f"/jobs/{at.id}/isolation?zone={field_of(form, 'zone')}", 303)


def _keep(at: AtJob, form: Form) -> None:
    edits = tick_edits(at, form)
    if edits:
        at.web.desk.apply(at.id, at.opened.revision, edits, at.who)


@typed_form
def zone(request: Request, form: Form) -> Response:
    """A thing made part of the zone of a step of the work."""
    at = at_job(request)
    edits = zone_edits(at, form)
    if edits:
        at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
    return RedirectResponse(f"/jobs/{at.id}/isolation?zone={field_of(form, 'step')}", 303)
