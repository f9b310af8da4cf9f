"""History: what changed, undo, redo, bring back; and making my edits again after someone saved first."""

from __future__ import annotations

import json

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from deadfront.app.changes import StaleEdits
from deadfront.errors import JobUnreadable, NotFound
from deadfront.web.changing import stale_part
from deadfront.web.desk import AtJob, at_job
from deadfront.web.history_page import chosen_edits, history_page
from deadfront.web.render import page
from deadfront.web.shell import PAGES
from deadfront.web.views.typed import Form, field_of, number_of, typed_form


def show(request: Request) -> Response:
    """Every revision."""
    at = at_job(request)
    return page(history_page(at), at.catalog)


def _back(at: AtJob, form: Form, otherwise: str = "history") -> Response:
    where = field_of(form, "page")
    where = where if where in (*PAGES, "history") else otherwise
    return RedirectResponse(f"/jobs/{at.id}/{where}", 303)


@typed_form
def walk(request: Request, form: Form) -> Response:
    """Undo, redo or bring back."""
    at = at_job(request)
    desk, base, way = at.web.desk, number_of(form, "base"), request.path_params["way"]
    if way == "restore":
        desk.restore(at.id, base, number_of(form, "number"), at.who)
    elif way in ("undo", "redo"):
        (desk.undo if way == "undo" else desk.redo)(at.id, base, at.who)
    else:
        raise NotFound("web.not_found")
    return _back(at, form)


@typed_form
def again(request: Request, form: Form) -> Response:
    """My edits made again, those chosen, on what stands now."""
    at = at_job(request)
    try:
        edits = chosen_edits(json.loads(field_of(form, "edits")), form)
    except (ValueError, TypeError, AttributeError, RecursionError) as error:
        raise JobUnreadable("web.not_understood") from error
    if edits:
        try:
            at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
        except StaleEdits as stale:
            return stale_part(at, stale, edits, form)
        except RecursionError as error:
            raise JobUnreadable("web.not_understood") from error
    return _back(at, form, "survey")
