"""An edit with 300 records and 200 photos in the job against the same edit with none: as a ratio."""

from __future__ import annotations

import json
import statistics
import struct
import tempfile
import time
import zlib
from collections.abc import Iterator
from pathlib import Path

from deadfront.app import library
from deadfront.job.model import Job
from tests.web.start import HTMX, Pages

RECORDS, PHOTOS = 300, 200
TIMES = 15
LIMIT = 1.5
DEMO = Path(library.__file__).parent / "demo_house.toml"
READINGS = {
    "bus_voltage": {"l1_l2": "240.2", "l1_n": "120.1", "l2_n": "120.1"},
    "polarity": {"l_n": "120.1", "l_g": "120.0", "n_g": "0.8", "g_remote": "0.3", "load_a": "9"},
    "ground_fault": {"trips": "yes", "power_off": "yes", "resets": "yes"},
    "arc_fault": {"trips": "yes", "power_off": "yes", "resets": "yes"},
    "neutral_step": {"leg": "L1", "l1_idle": "121.4 121.3 121.4", "l2_idle": "120.9 120.9 121.0",
                     "l1_loaded": "119.3 119.2 119.3", "l2_loaded": "121.2 121.2 121.3", "step_a": "12.5"},
    "insulation": {"disconnected": "yes", "test_v": "500", "l_n_mohm": "550", "l_g_mohm": "550", "n_g_mohm": "550"},
    "dead": {"proved_before": "yes", "l1_l2": "0", "l1_n": "0", "l2_n": "0", "l1_g": "0", "l2_g": "0", "n_g": "0",
             "proved_after": "yes"},
    "loaded_voltage": {"l1_l2": "238.2", "l1_n": "119.1", "l2_n": "119.1"},
}  # fmt: skip


def rows() -> Iterator[tuple[str, float, str, float, str, float | None]]:
    """The lines of the bench: what, figure, unit, noise, in words, limit."""
    for what in ("fact", "reading"):
        plain, full = times_ms(what, 0, 0), times_ms(what, RECORDS, PHOTOS)
        ratio = statistics.median(full) / statistics.median(plain)
        noise = ratio * max(_spread(plain), _spread(full))
        told = f"{statistics.median(full):.0f} ms against {statistics.median(plain):.0f} ms"
        yield f"edit of a {what} with {RECORDS} records and {PHOTOS} photos over one with none", ratio, "x", noise, \
            told, LIMIT  # fmt: skip


def _spread(times: list[float]) -> float:
    ordered = sorted(times)
    return (ordered[len(times) * 3 // 4] - ordered[len(times) // 4]) / statistics.median(times) / 2


def times_ms(what: str, records: int, photos: int, edits: int = TIMES) -> list[float]:
    """Times [ms] of an edit, of this process, from what was typed to the parts of the page that answer it."""
    with tempfile.TemporaryDirectory() as folder:
        pages = Pages(Path(folder))
        pages.job = pages.desk.import_job(DEMO).job_id
        job = pages.desk.open_job(pages.job).job
        fill(pages, job, records, photos)
        edit = _fact if what == "fact" else _reading
        edit(pages, job, 0)
        found = []
        for number in range(1, edits + 1):
            began = time.process_time()
            edit(pages, job, number)
            found.append((time.process_time() - began) * 1000)
        return found


def fill(pages: Pages, job: Job, records: int, photos: int) -> None:
    """So many records, the first of them with photos."""
    if not records:
        return
    edits = []
    gone = {ident for step in job.work for ident in step.remove}
    things = [each.id for name in ("panels", "circuits", "breakers") for each in getattr(job.before, name)]
    things = [each for each in things if each not in gone]
    for number in range(records):
        test = tuple(READINGS)[number // len(things) % len(READINGS)]
        thing = {"id": f"rec-b{number:03d}", "test": test, "thing": things[number % len(things)],
                 "readings": READINGS[test], "who": "J. R.", "on": "2026-05-12",
                 "time": f"{number // 60 + 8:02d}:{number % 60:02d}"}  # fmt: skip
        if number < photos:
            thing["photo"] = f"photo-{number:03d}"
            pages.desk.attach(pages.job, photo(number), "image/png", f"photo-{number:03d}")
        step = job.work[-1].id if job.work else "before"
        edits.append({"do": "add", "step": step, "collection": "records", "thing": thing})
    pages.desk.apply(pages.job, pages.revision, edits, "bench")


def photo(number: int) -> bytes:
    """A picture of some hundred kilobytes, another each time."""
    side = 240
    line = b"\0" + bytes((number * 7 + n * n) % 251 for n in range(side * 3))
    pixels = b"".join(bytes([line[0]]) + line[1:] for _ in range(side))

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(pixels, 0)) + chunk(b"IEND", b"")


def _fact(pages: Pages, job: Job, number: int) -> None:
    load = job.before.loads[0]
    data = {"base": str(pages.revision), "page": "load", "path": f"before/{load.id}.nameplate_w",
            "value": str(3000 + number)}  # fmt: skip
    answer = pages.client.post(f"/jobs/{pages.job}/facts", data=data, headers=HTMX)
    assert answer.status_code == 200, answer.text[:300]


def _reading(pages: Pages, job: Job, number: int) -> None:
    key = {"test": "service_voltage", "thing": "service", "stage": "as found"}
    sent = {"of": "records", "id": "rec-zzz1", "key": key, "name": "readings.l1_n", "value": f"{118 + number / 10}",
            "was": ["", *(f"{118 + each / 10}" for each in range(number))]}  # fmt: skip
    data = {"sent": json.dumps([sent]), "page": "commission", "places": '{"rec-zzz1": "service_voltage.service.found"}'}
    answer = pages.client.post(f"/jobs/{pages.job}/records", data=data)
    assert answer.status_code == 200 and not answer.json()["clashes"], answer.text[:300]


if __name__ == "__main__":
    for row in rows():
        print(row)
