"""The code book's own figures, and help."""

from __future__ import annotations

from importlib import resources

from starlette.requests import Request
from starlette.responses import Response

from deadfront.documents.catalog import Catalog
from deadfront.errors import NotFound
from deadfront.web.book_page import book_page
from deadfront.web.contexts import HelpPage
from deadfront.web.desk import language_of, web_of
from deadfront.web.markdown import to_html
from deadfront.web.render import page
from deadfront.web.shell import help_pages


def show(request: Request) -> Response:
    """Any figure of the code book, with where it stands and how sure it is."""
    catalog = Catalog(language_of(request))
    query = request.query_params.get("q", "")[:100]
    return page(book_page(web_of(request), catalog, request.query_params.get("edition", ""), query), catalog)


def help_on(request: Request) -> Response:
    """Help on one finding."""
    name, catalog = request.path_params["check"], Catalog(language_of(request))
    if name not in help_pages():
        raise NotFound("web.not_found")
    text = resources.files("deadfront").joinpath("help").joinpath(f"{name}.md").read_text(encoding="utf-8")
    return page(HelpPage(name, to_html(text)), catalog)
