"""Local amendments: pasted, read, put in force, taken out."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from deadfront.errors import DeadfrontError
from deadfront.store.trouble import StaleRevision
from deadfront.web import further
from deadfront.web.amend_page import amend_page
from deadfront.web.desk import at_job
from deadfront.web.render import page
from deadfront.web.views.typed import Form, field_of, number_of, typed_form


def show(request: Request) -> Response:
    """The amendments of a job."""
    at = at_job(request)
    return page(amend_page(at), at.catalog)


@typed_form
def read(request: Request, form: Form) -> Response:
    """A pasted amendment read, and put in force where that is asked; what was typed stays where it cannot be taken."""
    at = at_job(request)
    try:
        made = further.amendment_of(at, form)
        if field_of(form, "take") != "yes":
            return page(amend_page(at, form, made), at.catalog)
        at.web.desk.apply(at.id, number_of(form, "base"), further.amendment_edits(at, made), at.who)
    except StaleRevision:
        raise
    except DeadfrontError as error:
        return page(amend_page(at, form, None, at.catalog.say(error.msg)), at.catalog, 422)
    return RedirectResponse(f"/jobs/{at.id}/amendments", 303)


@typed_form
def drop(request: Request, form: Form) -> Response:
    """An amendment taken out of force."""
    at = at_job(request)
    at.web.desk.apply(at.id, number_of(form, "base"), further.amendment_out(at, field_of(form, "name")), at.who)
    return RedirectResponse(f"/jobs/{at.id}/amendments", 303)
