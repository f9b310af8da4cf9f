"""The packet: sheets to read and to print, signing, the job file."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from deadfront.web.desk import at_job
from deadfront.web.jobs_page import download, file_name
from deadfront.web.packet_page import packet_page, sheet_page, sign
from deadfront.web.render import page
from deadfront.web.views.typed import Form, field_of, number_of, typed_form


def show(request: Request) -> Response:
    """The packet of a job."""
    at = at_job(request)
    return page(packet_page(at), at.catalog)


def sheet(request: Request) -> Response:
    """One sheet as it is printed."""
    at = at_job(request)
    return page(sheet_page(at, request.path_params["sheet"]), at.catalog)


def pdf(request: Request) -> Response:
    """All sheets as one PDF."""
    at = at_job(request)
    on, number = at.web.settings.today(), at.opened.revision
    data = at.web.packet(at.answered, at.catalog, revision=number, on=on, photos=at.photos, more=at.asked_sheets())
    return download(data, f"{file_name(at.job.job.name)}.pdf", "application/pdf")


@typed_form
def issue(request: Request, form: Form) -> Response:
    """Sign: freeze the revision and every answer, where nothing bars it."""
    at = at_job(request)
    sign(at, number_of(form, "base"), field_of(form, "signer"), field_of(form, "license"))
    return RedirectResponse(f"/jobs/{at.id}/packet", 303)
