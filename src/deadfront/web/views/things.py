"""Any thing of a job: shown with all its facts, added, taken out, struck out; its photo."""

from __future__ import annotations

from anyio.to_thread import run_sync
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from deadfront.errors import NotFound
from deadfront.web import anything
from deadfront.web.desk import at_job
from deadfront.web.render import page
from deadfront.web.shell import home_of
from deadfront.web.thing_page import thing_page
from deadfront.web.upload import receive_file
from deadfront.web.views.typed import Form, number_of, typed_form


def show(request: Request) -> Response:
    """Everything of one thing."""
    at = at_job(request)
    return page(thing_page(at, request.path_params["thing"]), at.catalog)


@typed_form
def add(request: Request, form: Form) -> Response:
    """A thing added; on to its page."""
    at = at_job(request)
    edits = anything.add_edits(at, form)
    at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
    return RedirectResponse(f"/jobs/{at.id}/things/{edits[-1]['thing']['id']}", 303)


@typed_form
def strike_out(request: Request, form: Form) -> Response:
    """A thing struck out."""
    at = at_job(request)
    collection, edits = anything.out_edits(at, request.path_params["thing"])
    at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
    return RedirectResponse(f"/jobs/{at.id}/{home_of(collection)}#list-{collection}", 303)


@typed_form
def work(request: Request, form: Form) -> Response:
    """A thing taken out by the work, or put back."""
    at = at_job(request)
    ident = request.path_params["thing"]
    at.web.desk.apply(at.id, number_of(form, "base"), anything.work_edits_of(at, ident), at.who)
    return RedirectResponse(f"/jobs/{at.id}/things/{ident}", 303)


async def photo(request: Request) -> Response:
    """A photo attached to a hazard, a record, a terminal or a correction."""
    at = await run_sync(at_job, request)
    path = await run_sync(at.web.tray.place)
    try:
        await receive_file(request, path)
        await run_sync(anything.take_photo, at, request.path_params["thing"], path, dict(request.query_params))
    finally:
        await run_sync(at.web.tray.discard, path)
    where = request.query_params.get("page", "")
    if where in ("install", "commission"):
        return RedirectResponse(f"/jobs/{at.id}/{where}#{request.query_params.get('anchor', '')[:80]}", 303)
    return RedirectResponse(f"/jobs/{at.id}/things/{request.path_params['thing']}", 303)


def picture(request: Request) -> Response:
    """A photo that the job names."""
    at = at_job(request)
    data = at.photos.get(request.path_params["name"])
    if data is None:
        raise NotFound("web.not_found")
    return Response(data, media_type=anything.photo_media(data), headers={"cache-control": "no-store"})
