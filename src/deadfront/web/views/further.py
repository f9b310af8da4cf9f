"""What is no line of a list: origins, energy management, the steps of the work."""

from __future__ import annotations

from markupsafe import escape
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from deadfront.web import changing, further
from deadfront.web.desk import AtJob, at_job
from deadfront.web.entry.places import EditData
from deadfront.web.fields import origin_told
from deadfront.web.views.typed import Form, field_of, number_of, typed_form


def _saved(at: AtJob, edits: list[EditData], form: Form, place: str) -> Response:
    if edits:
        at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
    return RedirectResponse(f"/jobs/{at.id}/survey#{place}", 303)


@typed_form
def origin(request: Request, form: Form) -> Response:
    """Where a fact comes from; the words of it go beside the field."""
    at = at_job(request)
    answer = changing.made(at, further.origin_edits(at, form), form)
    if answer.status_code != 200:
        return answer
    told = escape(origin_told(at.again(), field_of(form, "of")))
    return HTMLResponse(bytes(answer.body).decode() + str(told))


@typed_form
def add_system(request: Request, form: Form) -> Response:
    """An energy management system added."""
    at = at_job(request)
    edits = further.system_edits(at, form)
    return _saved(at, edits, form, f"thing-{edits[-1]['thing']['id']}")


@typed_form
def drop_system(request: Request, form: Form) -> Response:
    """An energy management system struck out."""
    at = at_job(request)
    return _saved(at, further.system_out(at, request.path_params["thing"]), form, "systems")


@typed_form
def controls(request: Request, form: Form) -> Response:
    """Which loads a system controls."""
    at = at_job(request)
    return changing.made(at, further.control_edits(at, request.path_params["thing"], form), form)


@typed_form
def steps(request: Request, form: Form) -> Response:
    """A step of the work added, moved or struck out."""
    at = at_job(request)
    return _saved(at, further.step_edits(at, form), form, "work-steps")
