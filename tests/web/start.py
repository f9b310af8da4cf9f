"""What the tests of the pages share: a desk on a new library, a client with its key, a server and a browser."""

from __future__ import annotations

import re
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import uvicorn
from starlette.testclient import TestClient

from deadfront.app.library import Desk
from deadfront.web.serve import make_app
from deadfront.web.settings import Settings
from tests.app.desk import house_job, new_desk

CHROMIUM = "/usr/bin/chromium"
ARGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
HTMX = {"hx-request": "true"}


def settings(**more: object) -> Settings:
    """Settings that also answer to the test client's name."""
    return Settings(hosts=("127.0.0.1", "localhost", "testserver"), today=lambda: date(2026, 5, 12), **more)  # type: ignore[arg-type]


class Pages:
    """A library with one small house, and a client that holds the key.

    Attributes:
        job: Id of the small house.
    """

    def __init__(self, folder: Path, **more: object) -> None:
        self.desk: Desk = new_desk(folder)
        self.job = house_job(self.desk, folder)
        self.settings = settings(**more)
        self.client = self.new_client()
        self.client.get(f"/?key={self.settings.key}")

    def new_client(self) -> TestClient:
        """Another browser, without the key."""
        app = make_app(self.desk, self.settings)
        return TestClient(app, base_url="http://testserver", headers={"origin": "http://testserver"})

    @property
    def revision(self) -> int:
        """The current revision of the small house."""
        return self.desk.library.job(self.job).revision

    def get(self, path: str) -> str:
        """A page of the small house."""
        answer = self.client.get(f"/jobs/{self.job}{path}")
        assert answer.status_code == 200, (path, answer.status_code, answer.text[:300])
        return answer.text

    def post(self, where: str, /, base: int | None = None, **form: str) -> object:
        """A change of the small house as the page sends it."""
        data = {"base": str(self.revision if base is None else base), "page": "survey", **form}
        return self.client.post(f"/jobs/{self.job}{where}", data=data, headers=HTMX)

    def blank(self, table: str) -> dict[str, str]:
        """The ids of a blank line, as the page hands them out."""
        found = re.findall(r'<tbody class="row blank.*?</tbody>', self.get("/survey"), re.S)
        line = next(text for text in found if f'/rows/{table}"' in text)
        return dict(re.findall(r'type="hidden" name="(key|breakers)" value="([^"]*)"', line))


@contextmanager
def served(desk: Desk, told: Settings) -> Iterator[str]:
    """The pages on a free port of this machine; the address without the key."""
    door = socket.create_server(("127.0.0.1", 0))
    config = uvicorn.Config(make_app(desk, told), log_level="error", timeout_graceful_shutdown=2)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{door.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(10)
        door.close()
