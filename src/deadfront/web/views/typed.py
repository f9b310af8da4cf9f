"""Reading forms: short texts only, no files, no surprises."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from functools import wraps

from anyio.to_thread import run_sync
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException
from starlette.requests import Request
from starlette.responses import Response

Form = dict[str, str]
MAX_FIELDS = 400


def typed_form(view: Callable[[Request, Form], Response]) -> Callable[[Request], Awaitable[Response]]:
    """A view that is handed its form as plain texts; a name given several times keeps the last."""

    @wraps(view)
    async def reading(request: Request) -> Response:
        try:
            data = await request.form(max_files=0, max_fields=MAX_FIELDS)
        except (MultiPartException, HTTPException, ValueError) as error:
            raise HTTPException(400) from error
        form = {name: value for name, value in data.multi_items() if isinstance(value, str)}
        return await run_sync(view, request, form)

    return reading


def field_of(form: Form, name: str) -> str:
    """A field of a form, "" where it is not there."""
    return form.get(name, "")


def number_of(form: Form, name: str) -> int:
    """A whole number of a form, 0 where it is none."""
    text = form.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
