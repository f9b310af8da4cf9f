"""The jobs of the library: new, brought in, sent away, closed; and the first look."""

from __future__ import annotations

import tempfile
from pathlib import Path
from urllib.parse import quote

from anyio.to_thread import run_sync
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.errors import DeadfrontError
from deadfront.web import jobs_page as pages
from deadfront.web.desk import LANGUAGE_COOKIE, WHO_COOKIE, at_job, language_of, shown_name, web_of, who_of
from deadfront.web.render import page
from deadfront.web.views.typed import Form, field_of, typed_form


def show(request: Request) -> Response:
    """Every job."""
    catalog = Catalog(language_of(request))
    return page(pages.jobs_page(web_of(request), catalog), catalog)


@typed_form
def create(request: Request, form: Form) -> Response:
    """A new job; what was typed stays where it cannot be taken."""
    web, catalog = web_of(request), Catalog(language_of(request))
    try:
        job_id = web.desk.create_job(pages.head_of(form, catalog.language), who_of(request))
    except DeadfrontError as error:
        return page(pages.jobs_page(web, catalog, form, catalog.say(error.msg)), catalog, 422)
    return RedirectResponse(f"/jobs/{job_id}/survey", 303)


async def bring_in(request: Request) -> Response:
    """A job file uploaded."""
    web, catalog = web_of(request), Catalog(language_of(request))
    try:
        form = await request.form(max_files=1, max_fields=10)
    except (MultiPartException, HTTPException, ValueError) as error:
        raise HTTPException(400) from error
    sent = form.get("file")
    if not isinstance(sent, UploadFile) or not sent.filename:
        return page(pages.jobs_page(web, catalog, {}, catalog.key("web.jobs.no_file")), catalog, 422)
    data = await sent.read()
    await form.close()
    return await run_sync(_take_in, request, sent.filename, data)


def _take_in(request: Request, name: str, data: bytes) -> Response:
    web, catalog = web_of(request), Catalog(language_of(request))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / pages.safe_name(name)
        path.write_bytes(data)
        try:
            done = web.desk.import_job(path, who_of(request))
        except DeadfrontError as error:
            said = catalog.say(error.msg).replace(f"{folder}/", "")
            return page(pages.jobs_page(web, catalog, {}, said), catalog, 422)
    noted = tuple(catalog.say(msg) for msg in (*done.notes, *(p.located for p in done.problems)))
    if noted:
        return page(pages.jobs_page(web, catalog, {}, "", noted), catalog)
    return RedirectResponse(f"/jobs/{done.job_id}/survey", 303)


def send(request: Request) -> Response:
    """A job as a job file."""
    at = at_job(request)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "job.zip"
        at.web.desk.export_job(at.id, path)
        data = path.read_bytes()
    return pages.download(data, f"{pages.file_name(at.job.job.name)}.zip", "application/zip")


@typed_form
def close(request: Request, form: Form) -> Response:
    """A job closed: its house after the work is the next job's house as found."""
    at = at_job(request)
    return RedirectResponse(f"/jobs/{at.web.desk.close_job(at.id, at.who)}/survey", 303)


@typed_form
def language(request: Request, form: Form) -> Response:
    """The language of this browser."""
    chosen = field_of(form, "language")
    answer = RedirectResponse(pages.local(field_of(form, "back")), 303)
    if chosen in LANGUAGES:
        answer.set_cookie(LANGUAGE_COOKIE, chosen, max_age=31_536_000, httponly=True, samesite="strict")
    return answer


@typed_form
def who(request: Request, form: Form) -> Response:
    """The name of whoever works in this browser, for the history."""
    answer = Response(status_code=204)
    name = quote(shown_name(field_of(form, "who")))
    answer.set_cookie(WHO_COOKIE, name, max_age=31_536_000, httponly=True, samesite="strict")
    return answer


def first_look(request: Request) -> Response:
    """Ten questions."""
    catalog = Catalog(language_of(request))
    return page(pages.first_look_page(web_of(request), catalog), catalog)


async def look(request: Request) -> Response:
    """The first look answered: a job, and its load."""
    form = await request.form(max_files=0, max_fields=200)
    answers: dict[str, list[str]] = {}
    for name, value in form.multi_items():
        answers.setdefault(name, []).append(str(value))
    return await run_sync(_looked, request, answers)


def _looked(request: Request, answers: dict[str, list[str]]) -> Response:
    web, catalog = web_of(request), Catalog(language_of(request))
    try:
        job_id = pages.look_at(web, catalog, answers, who_of(request))
    except DeadfrontError as error:
        return page(pages.first_look_page(web, catalog, answers, catalog.say(error.msg)), catalog, 422)
    return RedirectResponse(f"/jobs/{job_id}/load", 303)
