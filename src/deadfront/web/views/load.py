"""The load and the choices that are the electrician's."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from deadfront.web import changing
from deadfront.web.desk import at_job
from deadfront.web.load_page import load_page, shares_part, worked_body
from deadfront.web.render import page
from deadfront.web.views.typed import Form, field_of, typed_form


def show(request: Request) -> Response:
    """The load of a job."""
    at = at_job(request)
    return page(load_page(at), at.catalog)


@typed_form
def assume(request: Request, form: Form) -> Response:
    """A named assumption made or taken back."""
    at = at_job(request)
    name = field_of(form, "name")
    wanted = field_of(form, "made") == "yes"
    edits = [{"do": "assume" if wanted else "unassume", "name": name}] if wanted != (name in at.job.assumptions) else []
    return changing.made(at, edits, form)


def shares(request: Request) -> Response:
    """How much each load matters, on request."""
    at = at_job(request)
    return page(shares_part(at), at.catalog)


def worked(request: Request) -> Response:
    """One figure line by line, when it is unfolded."""
    return HTMLResponse(worked_body(at_job(request), request.path_params["fold"]))
