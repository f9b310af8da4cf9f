"""Who may enter: named hosts only, a key, writes only from our own pages, nothing too long; never a traceback."""

from __future__ import annotations

import logging
import re
import secrets
from collections.abc import Awaitable, Callable
from urllib.parse import parse_qsl, urlencode, urlsplit

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from deadfront.web.settings import Settings

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
OPEN_TO_ALL = "/static/"
UPLOADS = "/import"
RECORDINGS = re.compile(r"/jobs/[^/]+/recordings/file")
PHOTOS = re.compile(r"/jobs/[^/]+/things/[^/]+/photo")
log = logging.getLogger("deadfront.web")
Refusal = Callable[[Request, str, int], Response]


class TooLong(Exception):
    """More was sent than is allowed."""


class Doors:
    """The outermost layer: refuses, limits, and turns every fault into a page in words.

    Args:
        app: What is behind the door.
        settings: Key, hosts, limits.
        refuse: Makes the page for a refusal from its key and status.
    """

    def __init__(self, app: ASGIApp, settings: Settings, refuse: Refusal) -> None:
        self.app, self.settings, self.refuse = app, settings, refuse

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        request = Request(scope)
        started = False

        async def guarded(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                message = {**message, "headers": self._headers(request, message["headers"])}
            await send(message)

        try:
            answer = self._refusal(request) or self._entry(request)
            if answer is None:
                await self.app(scope, self._limited(request, receive), guarded)
                return
        except TooLong:
            answer = self.refuse(request, self._long(request), 413)
        except Exception as error:  # a fault of ours: said in words, never as a traceback
            log.error("%s %s: %s", request.method, request.url.path, type(error).__name__)
            log.debug("the fault", exc_info=error)
            answer = self.refuse(request, "fault", 500)
        if not started:
            await answer(scope, receive, guarded)

    def _headers(self, request: Request, headers: list[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
        own = dict(HEADERS)
        if not request.url.path.startswith(OPEN_TO_ALL):
            own["cache-control"] = "no-store"
        given = {name.lower() for name, _ in headers}
        return [*headers, *((n.encode(), v.encode()) for n, v in own.items() if n.encode() not in given)]

    def _refusal(self, request: Request) -> Response | None:
        if not self._named(request.headers.get("host", "")):
            return self.refuse(request, "host", 421)
        if request.method not in ("GET", "HEAD") and not self._ours(request):
            return self.refuse(request, "origin", 403)
        length = request.headers.get("content-length", "0")
        if not length.isdigit() or int(length) > self._limit(request):
            return self.refuse(request, self._long(request), 413)
        return None

    def _named(self, host: str) -> bool:
        name, _, port = host.rpartition(":") if not host.endswith("]") and ":" in host else (host, "", "")
        return name.lower() in self.settings.hosts and (port.isdigit() or not port)

    def _ours(self, request: Request) -> bool:
        """Whether a write comes from one of our own pages."""
        try:
            origin = urlsplit(request.headers.get("origin", ""))
        except ValueError:
            return False
        site = request.headers.get("sec-fetch-site", "same-origin")
        same = origin.netloc.lower() == request.headers.get("host", "").lower()
        return same and origin.scheme == request.url.scheme and site == "same-origin"

    def _entry(self, request: Request) -> Response | None:
        """Lets in who holds the key; takes the key out of the address."""
        if request.url.path.startswith(OPEN_TO_ALL):
            return None
        given = request.query_params.get("key")
        if given is not None and request.method == "GET":
            if not secrets.compare_digest(given.encode(), self.settings.key.encode()):
                return self.refuse(request, "key", 403)
            rest = [(name, value) for name, value in parse_qsl(request.url.query) if name != "key"]
            answer = RedirectResponse("/" + request.url.path.lstrip("/") + ("?" + urlencode(rest) if rest else ""), 303)
            answer.set_cookie(self.settings.cookie, self.settings.key, httponly=True, samesite="strict", path="/")
            return answer
        held = request.cookies.get(self.settings.cookie, "")
        if not secrets.compare_digest(held.encode(), self.settings.key.encode()):
            return self.refuse(request, "key", 403)
        return None

    def _limit(self, request: Request) -> int:
        settings, path = self.settings, request.url.path
        if request.method == "POST" and RECORDINGS.fullmatch(path):
            return settings.max_recording_bytes
        large = path == UPLOADS or (request.method == "POST" and PHOTOS.fullmatch(path) is not None)
        return settings.max_upload_bytes if large else settings.max_body_bytes

    def _long(self, request: Request) -> str:
        return "too_long_recording" if RECORDINGS.fullmatch(request.url.path) else "too_long"

    def _limited(self, request: Request, receive: Receive) -> Callable[[], Awaitable[Message]]:
        taken, limit = 0, self._limit(request)

        async def counting() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > limit:
                raise TooLong
            return message

        return counting
