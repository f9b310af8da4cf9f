"""The pages as an application, and the server that hands them out on this machine."""

from __future__ import annotations

import socket
import webbrowser
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from anyio.to_thread import run_sync
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

import deadfront.documents
from deadfront.app.answers import Answers, origin_words, shares, sheet_head, sheets_of, sign
from deadfront.app.answers import packet as packet_of
from deadfront.app.asked import Runs
from deadfront.app.library import Desk
from deadfront.app.panel_papers import search_sheets
from deadfront.app.photos import photos_of
from deadfront.app.tray import Tray
from deadfront.codebook import Overlay
from deadfront.errors import DeadfrontError
from deadfront.web import trouble
from deadfront.web.desk import Web
from deadfront.web.doors import Doors
from deadfront.web.settings import LOOPBACK, Settings
from deadfront.web.views import (
    amend,
    book,
    circuits,
    drawing,
    further,
    history,
    isolation,
    jobs,
    load,
    packet,
    panel,
    recordings,
    records,
    sources,
    survey,
    things,
)

STATIC = Path(__file__).parent / "static"
DOCUMENTS = Path(deadfront.documents.__file__).parent


async def _sheet_css(_: Request) -> Response:
    return FileResponse(DOCUMENTS / "sheet.css", media_type="text/css")


ROUTES = [
    Route("/", jobs.show),
    Route("/jobs", jobs.create, methods=["POST"]),
    Route("/import", jobs.bring_in, methods=["POST"]),
    Route("/who", jobs.who, methods=["POST"]),
    Route("/language", jobs.language, methods=["POST"]),
    Route("/first-look", jobs.first_look),
    Route("/first-look", jobs.look, methods=["POST"]),
    Route("/book", book.show),
    Route("/help/{check}", book.help_on),
    Route("/jobs/{job}/survey", survey.show),
    Route("/jobs/{job}/circuits", circuits.show),
    Route("/jobs/{job}/circuits/{thing}", things.show),
    Route("/jobs/{job}/panel", panel.show),
    Route("/jobs/{job}/panel/judge", panel.judge, methods=["POST"]),
    Route("/jobs/{job}/panel/keep", panel.keep, methods=["POST"]),
    Route("/jobs/{job}/panel/times", panel.times, methods=["POST"]),
    Route("/jobs/{job}/panel/search", panel.search, methods=["POST"]),
    Route("/jobs/{job}/panel/cancel", panel.cancel, methods=["POST"]),
    Route("/jobs/{job}/panel/run", panel.run),
    Route("/jobs/{job}/sources", sources.show),
    Route("/jobs/{job}/one-line", drawing.show),
    Route("/jobs/{job}/one-line.{form}", drawing.send),
    Route("/jobs/{job}/one-line/move", drawing.move, methods=["POST"]),
    Route("/jobs/{job}/isolation", isolation.show),
    Route("/jobs/{job}/isolation/zone", isolation.zone, methods=["POST"]),
    Route("/jobs/{job}/isolation/ticks", isolation.tick, methods=["POST"]),
    Route("/jobs/{job}/install", records.install),
    Route("/jobs/{job}/commission", records.commission),
    Route("/jobs/{job}/records", records.save, methods=["POST"]),
    Route("/jobs/{job}/records/judge", records.judge, methods=["POST"]),
    Route("/jobs/{job}/records/keep", records.keep, methods=["POST"]),
    Route("/jobs/{job}/records/walk", records.judge_walk, methods=["POST"]),
    Route("/jobs/{job}/site", circuits.site),
    Route("/jobs/{job}/site", circuits.answer, methods=["POST"]),
    Route("/jobs/{job}/things", things.add, methods=["POST"]),
    Route("/jobs/{job}/things/{thing}", things.show),
    Route("/jobs/{job}/things/{thing}/strike-out", things.strike_out, methods=["POST"]),
    Route("/jobs/{job}/things/{thing}/work", things.work, methods=["POST"]),
    Route("/jobs/{job}/things/{thing}/photo", things.photo, methods=["POST"]),
    Route("/jobs/{job}/photos/{name}", things.picture),
    Route("/jobs/{job}/facts", survey.fact, methods=["POST"]),
    Route("/jobs/{job}/rows/{table}", survey.row, methods=["POST"]),
    Route("/jobs/{job}/rows/{table}/strike-out", survey.strike_out, methods=["POST"]),
    Route("/jobs/{job}/paste/{table}", survey.paste, methods=["POST"]),
    Route("/jobs/{job}/paste/{table}/take", survey.take_pasted, methods=["POST"]),
    Route("/jobs/{job}/origins", further.origin, methods=["POST"]),
    Route("/jobs/{job}/systems", further.add_system, methods=["POST"]),
    Route("/jobs/{job}/systems/{thing}/strike-out", further.drop_system, methods=["POST"]),
    Route("/jobs/{job}/systems/{thing}/controls", further.controls, methods=["POST"]),
    Route("/jobs/{job}/steps", further.steps, methods=["POST"]),
    Route("/jobs/{job}/amendments", amend.show),
    Route("/jobs/{job}/amendments/read", amend.read, methods=["POST"]),
    Route("/jobs/{job}/amendments/drop", amend.drop, methods=["POST"]),
    Route("/jobs/{job}/load", load.show),
    Route("/jobs/{job}/load/shares", load.shares),
    Route("/jobs/{job}/load/worked/{fold}", load.worked),
    Route("/jobs/{job}/assume", load.assume, methods=["POST"]),
    Route("/jobs/{job}/recordings", recordings.show),
    Route("/jobs/{job}/recordings/file", recordings.send_up, methods=["POST"]),
    Route("/jobs/{job}/recordings/mapping", recordings.explain),
    Route("/jobs/{job}/recordings/mapping", recordings.answer, methods=["POST"]),
    Route("/jobs/{job}/recordings/put-away", recordings.put_away, methods=["POST"]),
    Route("/jobs/{job}/recordings/run", recordings.run),
    Route("/jobs/{job}/recordings/cancel", recordings.cancel, methods=["POST"]),
    Route("/jobs/{job}/recordings/again", recordings.again, methods=["POST"]),
    Route("/jobs/{job}/recordings/{thing}/strike-out", recordings.strike_out, methods=["POST"]),
    Route("/jobs/{job}/history", history.show),
    Route("/jobs/{job}/again", history.again, methods=["POST"]),
    Route("/jobs/{job}/walk/{way}", history.walk, methods=["POST"]),
    Route("/jobs/{job}/packet", packet.show),
    Route("/jobs/{job}/packet.pdf", packet.pdf),
    Route("/jobs/{job}/sheets/{sheet}", packet.sheet),
    Route("/jobs/{job}/sign", packet.issue, methods=["POST"]),
    Route("/jobs/{job}/file", jobs.send),
    Route("/jobs/{job}/close", jobs.close, methods=["POST"]),
    Route("/static/sheet.css", _sheet_css),
    Mount("/static/fonts/screen", StaticFiles(directory=DOCUMENTS / "fonts" / "screen")),
    Mount("/static", StaticFiles(directory=STATIC)),
]  # fmt: skip
"""Every address there is."""


def make_app(desk: Desk, settings: Settings) -> Starlette:
    """The pages on a desk, behind their doors."""
    runs, tray = Runs(desk.rng), Tray(desk.library.path)

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        yield
        await run_sync(runs.close)
        tray.close()

    app = Starlette(
        routes=ROUTES,
        lifespan=lifespan,
        middleware=[Middleware(Doors, settings=settings, refuse=trouble.refuse)],
        exception_handlers={DeadfrontError: trouble.on_deadfront_error, HTTPException: trouble.on_http_error},
    )
    app.state.web = Web(
        desk, Answers(), settings, runs, tray, sheets_of, packet_of, shares, sign, origin_words, photos_of,
        sheet_head, search_sheets,
    )  # fmt: skip
    return app


def serve(
    library_path: Path, host: str = "127.0.0.1", port: int = 0, open_browser: bool = False,
    overlay: Overlay | None = None,
) -> None:  # fmt: skip
    """Hand out the pages of a library until stopped; says the address that opens them."""
    import uvicorn

    from deadfront.store.library import open_library

    hosts = LOOPBACK if host in LOOPBACK else (*LOOPBACK, host)
    settings = Settings(hosts=hosts, overlay=overlay)
    with open_library(library_path) as library, socket.create_server((host, port)) as door:
        address = f"http://{host}:{door.getsockname()[1]}/?key={settings.key}"
        print(address, flush=True)
        if open_browser:
            webbrowser.open(address)
        config = uvicorn.Config(
            make_app(Desk(library), settings), log_level="warning", access_log=False, server_header=False,
            date_header=False, timeout_graceful_shutdown=3,
        )  # fmt: skip
        uvicorn.Server(config).run(sockets=[door])
