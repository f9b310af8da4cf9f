"""Recordings of the demand: sent up, explained, read in the background, reduced again, removed."""

from __future__ import annotations

from anyio.to_thread import run_sync
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from deadfront.errors import DeadfrontError, NotFound
from deadfront.web import mapping_page as mapping
from deadfront.web import recordings_page as pages
from deadfront.web.desk import at_job
from deadfront.web.incoming import take_up
from deadfront.web.render import html, page
from deadfront.web.upload import receive_file
from deadfront.web.views.typed import Form, field_of, number_of, typed_form


def _home(job_id: str, place: str = "") -> Response:
    return RedirectResponse(f"/jobs/{job_id}/recordings{place}", 303)


def show(request: Request) -> Response:
    """The recordings of a job."""
    at = at_job(request)
    return page(pages.recordings_page(at), at.catalog)


async def send_up(request: Request) -> Response:
    """A recording file, written to disk as it comes."""
    at = await run_sync(at_job, request)
    path = await run_sync(at.web.tray.place)
    try:
        name = await receive_file(request, path)
        return await run_sync(_sent_up, request, path, name)
    finally:
        await run_sync(at.web.tray.discard_unless_held, at.id, path)


def _sent_up(request: Request, path: object, name: str) -> Response:
    at = at_job(request)
    try:
        take_up(at, path, name)  # type: ignore[arg-type]
    except DeadfrontError as error:
        return page(pages.recordings_page(at, at.catalog.say(error.msg)), at.catalog, 422)
    return _home(at.id, "/mapping")


def explain(request: Request) -> Response:
    """What the file sent up seems to mean."""
    at = at_job(request)
    if at.web.tray.of(at.id) is None:
        return _home(at.id)
    return page(mapping.mapping_page(at), at.catalog)


@typed_form
def answer(request: Request, form: Form) -> Response:
    """What was answered about the file; and the reading of it, where that is asked for."""
    at, trouble = at_job(request), ""
    at.web.tray.say(at.id, mapping.answers_in(form))
    if field_of(form, "does") == "read":
        try:
            mapping.start_reading(at)
            return _home(at.id)
        except NotFound:
            return _home(at.id)
        except DeadfrontError as error:
            trouble = at.catalog.say(error.msg)
    part = request.headers.get("hx-request") == "true"
    if not part and not trouble:
        return _home(at.id, "/mapping")
    context = mapping.mapping_page(at, trouble)
    body = html(context, at.catalog, template="mapping_form.html") if part else html(context, at.catalog)
    return HTMLResponse(body, 422 if trouble else 200)


@typed_form
def put_away(request: Request, form: Form) -> Response:
    """The file sent up removed, and what is said of a run that has ended."""
    at = at_job(request)
    running = at.web.runs.of(at.id)
    if running is None or not running.underway:
        at.web.runs.put_away(at.id)
        at.web.tray.drop(at.id)
    return _home(at.id)


def run(request: Request) -> Response:
    """How far it is; the whole page anew once it has ended."""
    at = at_job(request)
    home = {"HX-Redirect": f"/jobs/{at.id}/recordings"}
    if at.web.runs.of(at.id) is None:
        return Response(status_code=204, headers=home)
    part = pages.run_part(at)
    return HTMLResponse(html(part, at.catalog), headers={} if part.run.underway else home)


@typed_form
def cancel(request: Request, form: Form) -> Response:
    """What is underway stopped."""
    at = at_job(request)
    at.web.runs.cancel(at.id)
    return _home(at.id)


@typed_form
def again(request: Request, form: Form) -> Response:
    """Stale recordings reduced again."""
    at = at_job(request)
    try:
        pages.reduce_all(at)
    except DeadfrontError as error:
        return page(pages.recordings_page(at, at.catalog.say(error.msg)), at.catalog, 422)
    return _home(at.id)


@typed_form
def strike_out(request: Request, form: Form) -> Response:
    """A recording struck out."""
    at = at_job(request)
    pages.strike_out(at, request.path_params["thing"], number_of(form, "base"))
    return _home(at.id)
