"""The circuits and the site list."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from deadfront.web import changing
from deadfront.web.circuits_page import circuits_page
from deadfront.web.desk import at_job
from deadfront.web.render import page
from deadfront.web.site_page import site_page
from deadfront.web.views.typed import Form, field_of, number_of, typed_form


def show(request: Request) -> Response:
    """The circuits of a job."""
    at = at_job(request)
    return page(circuits_page(at), at.catalog)


def site(request: Request) -> Response:
    """The site list of a job."""
    at = at_job(request)
    return page(site_page(at), at.catalog)


@typed_form
def answer(request: Request, form: Form) -> Response:
    """A question of the site list answered: the parts that change, or the whole page where nothing else is asked."""
    at = at_job(request)
    edits = changing.fact_edits_of(at, form)
    if request.headers.get("hx-request") == "true":
        return changing.made(at, edits, form)
    at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
    return RedirectResponse(f"/jobs/{at.id}/site#ask-{field_of(form, 'path')}", 303)
