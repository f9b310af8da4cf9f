"""The sources, their transfer equipment and signals."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from deadfront.web.desk import at_job
from deadfront.web.render import page
from deadfront.web.sources_page import sources_page


def show(request: Request) -> Response:
    """The sources of a job."""
    at = at_job(request)
    return page(sources_page(at), at.catalog)
