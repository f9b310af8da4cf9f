"""The server as a process: it says its address, is killed, starts again, and the library has every saved change."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit

import httpx2
import pytest

START = "import sys; from pathlib import Path; from deadfront.web.serve import serve; serve(Path(sys.argv[1]))"


class Started:
    """One start of the program on a library."""

    def __init__(self, library: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", START, str(library)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        assert self.process.stdout is not None
        self.address = self.process.stdout.readline().strip()
        parts = urlsplit(self.address)
        self.base = f"{parts.scheme}://{parts.netloc}"
        self.client = httpx2.Client(base_url=self.base, headers={"origin": self.base}, follow_redirects=True)
        self.client.get(self.address)

    def stop(self) -> str:
        """Kill it without a warning; what it had said on its error stream."""
        self.client.close()
        self.process.kill()
        return self.process.communicate(timeout=10)[1]


def test_killed_and_started_again(tmp_path: Path) -> None:
    library = tmp_path / "library.db"
    first = Started(library)
    try:
        made = first.client.post("/jobs", data={"name": "9 Elm Ct", "edition": "2023"})
        assert made.status_code == 200, made.text
        job = made.url.path.split("/")[2]
        form = {"base": "1", "page": "survey", "path": "before/service.disconnect.rating_a", "value": "200 A"}
        saved = first.client.post(f"/jobs/{job}/facts", data=form)
        assert saved.status_code == 200
    finally:
        said = first.stop()
    assert said == "", "nothing on the error stream"
    second = Started(library)
    try:
        assert second.address != first.address
        text = second.client.get(f"/jobs/{job}/survey").text
        assert "9 Elm Ct" in text and 'value="200 A"' in text
        with httpx2.Client(base_url=second.base) as stranger:
            assert stranger.get(f"/jobs/{job}/survey").status_code == 403
            old_key = {"cookie": "; ".join(f"{c.name}={c.value}" for c in first.client.cookies.jar)}
            assert stranger.get("/", headers=old_key).status_code == 403, "the key of the last start opens nothing"
    finally:
        second.stop()


def test_it_listens_on_this_machine_only(tmp_path: Path) -> None:
    started = Started(tmp_path / "library.db")
    try:
        assert urlsplit(started.address).hostname == "127.0.0.1"
        port = urlsplit(started.address).port
        hexed = f"{port:04X}"
        listening = [
            line.split()[1]
            for line in Path("/proc/net/tcp").read_text().splitlines()[1:]
            if line.split()[3] == "0A" and line.split()[1].endswith(f":{hexed}")
        ]
        assert listening == [f"0100007F:{hexed}"]
    except FileNotFoundError:
        pytest.skip("this system does not list its sockets")
    finally:
        started.stop()
