"""The survey and what is typed into it: facts, lines, lists."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from deadfront.web import changing
from deadfront.web.desk import at_job
from deadfront.web.render import page
from deadfront.web.survey_page import survey_page
from deadfront.web.views.typed import typed_form


def show(request: Request) -> Response:
    """The survey of a job."""
    at = at_job(request)
    return page(survey_page(at), at.catalog)


@typed_form
def fact(request: Request, form: dict[str, str]) -> Response:
    """One fact typed."""
    at = at_job(request)
    edits = changing.fact_edits_of(at, form)
    return changing.made(at, edits, form)


@typed_form
def row(request: Request, form: dict[str, str]) -> Response:
    """One line of a list typed."""
    at = at_job(request)
    table = request.path_params["table"]
    edits = changing.row_edits(at, table, form)
    return changing.made(at, edits, form, table=table)


@typed_form
def strike_out(request: Request, form: dict[str, str]) -> Response:
    """A line struck out."""
    at = at_job(request)
    edits = changing.strike_out_edits(at, request.path_params["table"], form)
    return changing.made(at, edits, form)


@typed_form
def paste(request: Request, form: dict[str, str]) -> Response:
    """What would be understood of a pasted list."""
    at = at_job(request)
    return page(changing.pasted(at, request.path_params["table"], form), at.catalog, saved=0)


@typed_form
def take_pasted(request: Request, form: dict[str, str]) -> Response:
    """A pasted list entered."""
    at = at_job(request)
    return changing.take_pasted(at, request.path_params["table"], form)
