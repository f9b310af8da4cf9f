"""The one-line: shown, its symbols moved, its files."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from deadfront.errors import NotFound
from deadfront.web.desk import at_job
from deadfront.web.drawing_page import MEDIA, file_of, move_edits, one_line_page
from deadfront.web.entry.typed import BadEntry
from deadfront.web.jobs_page import download, file_name
from deadfront.web.render import page
from deadfront.web.views.typed import Form, number_of, typed_form


def show(request: Request) -> Response:
    """The one-line of a job."""
    at = at_job(request)
    return page(one_line_page(at), at.catalog)


@typed_form
def move(request: Request, form: Form) -> Response:
    """A symbol moved by hand, or put back."""
    at = at_job(request)
    try:
        edits = move_edits(at, form)
        if edits:
            at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
    except (BadEntry, NotFound) as error:
        return page(one_line_page(at, at.catalog.say(error.msg)), at.catalog, 422)
    return RedirectResponse(f"/jobs/{at.id}/one-line", 303)


def send(request: Request) -> Response:
    """The drawing as a file."""
    at, form = at_job(request), request.path_params["form"]
    if form not in MEDIA:
        raise NotFound("web.not_found")
    return download(file_of(at, form), f"{file_name(at.job.job.name)}-one-line.{form}", MEDIA[form])
