"""What is said when something is not done: refusals at the door, unknown addresses, faults; always in words."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from deadfront.documents.catalog import Catalog
from deadfront.errors import DeadfrontError, EditionNotEncoded, NotFound, StaleEdit
from deadfront.store.trouble import LibraryTrouble
from deadfront.web.contexts import TroublePage
from deadfront.web.desk import language_of
from deadfront.web.entry.typed import BadEntry
from deadfront.web.render import html

STATUS = ((NotFound, 404), (StaleEdit, 409), (LibraryTrouble, 503), (BadEntry, 422), (EditionNotEncoded, 422))


def status_of(error: DeadfrontError) -> int:
    """The status that fits an error; what was asked for cannot be done: 422."""
    return next((status for kind, status in STATUS if isinstance(error, kind)), 422)


def told(request: Request, heading: str, say: str, status: int, back: str = "/") -> Response:
    """A page, or for a change on a page the words beside it."""
    catalog = Catalog(language_of(request))
    if request.headers.get("hx-request") == "true":
        headers = {} if status == 422 else {"HX-Retarget": "#trouble", "HX-Reswap": "innerHTML"}
        words = say if status == 422 else f"{heading} {say}"
        return HTMLResponse(html(TroublePage("", words, back), catalog, template="said.html"), status, headers)
    return HTMLResponse(html(TroublePage(heading, say, back), catalog), status)


def _back(request: Request) -> str:
    parts = request.url.path.split("/")
    return f"/jobs/{parts[2]}/history" if len(parts) > 3 and parts[1] == "jobs" else "/"


def refuse(request: Request, key: str, status: int) -> Response:
    """A refusal at the door."""
    catalog = Catalog(language_of(request))
    return told(request, catalog.key(f"web.door.{key}.heading"), catalog.key(f"web.door.{key}.say"), status)


def on_deadfront_error(request: Request, error: Exception) -> Response:
    """An error that carries its own words."""
    assert isinstance(error, DeadfrontError)
    catalog = Catalog(language_of(request))
    back = "/" if isinstance(error, NotFound) else _back(request)
    return told(request, catalog.key("web.trouble.heading"), catalog.say(error.msg), status_of(error), back)


def on_http_error(request: Request, error: Exception) -> Response:
    """An address or a method that is not there, or a form that cannot be read."""
    assert isinstance(error, HTTPException)
    catalog = Catalog(language_of(request))
    key = {404: "not_found", 405: "method"}.get(error.status_code, "form")
    say = catalog.key(f"web.door.{key}.say")
    return told(request, catalog.key(f"web.door.{key}.heading"), say, error.status_code)
