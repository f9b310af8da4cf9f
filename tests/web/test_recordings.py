"""Recordings by plain forms, no script at all: sent up, explained, read, refused, reduced again, removed.

Expected figures: hand, the working beside each; the recordings are invented (tests/recordings_made.py).
"""

from __future__ import annotations

import errno
import html
import re
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from deadfront.app import feed_drafts
from deadfront.recordings.source import Source
from deadfront.web import upload
from tests.recordings.espi_file import Meter, feed
from tests.recordings_made import made_year
from tests.web.start import HTMX, Pages

YEAR = made_year().encode()
ASKED = {"zone": "America/Denver", "taken": "utility", "occupied": "yes", "power_factor": "0.95"}


@pytest.fixture(autouse=True)
def _ended(pages: Pages) -> object:
    """Nothing goes on in the background after a test."""
    yield
    web(pages).runs.close(20)


def web(pages: Pages) -> object:
    return pages.client.app.state.web  # type: ignore[attr-defined]


def text_of(page: str) -> str:
    """The words of a page without its marks."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).replace("\u00a0", " ").split())


def send(pages: Pages, data: bytes = YEAR, name: str = "usage 2025.csv") -> object:
    files = {"file": (name, data, "text/csv")}
    return pages.client.post(f"/jobs/{pages.job}/recordings/file", files=files, follow_redirects=False)


def answer(pages: Pages, does: str = "look", **form: str) -> object:
    """What a form without script comes to: the rows shown anew, or the reading begun (303, not followed)."""
    data, look = {"does": does, **form}, does == "look"
    return pages.client.post(f"/jobs/{pages.job}/recordings/mapping", data=data, follow_redirects=look)


def read(pages: Pages, **form: str) -> str:
    """Have the file read, and the page of recordings once that has ended."""
    begun = answer(pages, "read", **{**ASKED, **form})
    assert begun.status_code == 303, text_of(begun.text)  # type: ignore[attr-defined]
    assert web(pages).runs.wait(60)  # type: ignore[attr-defined]
    return pages.get("/recordings")


def on_tray(pages: Pages) -> list[Path]:
    """Files on disk that are sent up and not part of a job."""
    folder = pages.desk.library.path.parent
    return [path for path in folder.rglob("*") if ".tray-" in str(path) and path.is_file()]


def kept(pages: Pages) -> list[Path]:
    """Files in the library's shelf."""
    shelf = pages.desk.library.path.with_name(pages.desk.library.path.name + ".files")
    return [path for path in shelf.rglob("*") if path.is_file()] if shelf.is_dir() else []


def rows_of(count: int, line: str, head: str = "time,Usage (kWh)") -> bytes:
    """Quarter hours from 2025-03-01 on; `line` is filled with the time and the number."""
    at = datetime(2025, 3, 1)
    lines = [head] + [line.format(at=at + timedelta(minutes=15 * n), n=n) for n in range(count)]
    return ("\n".join(lines) + "\n").encode()


def test_from_the_load_to_a_figure_without_script(pages: Pages) -> None:
    assert f'href="/jobs/{pages.job}/recordings"' in pages.get("/load")
    assert f'href="/jobs/{pages.job}/recordings"' in pages.get("/survey")
    page = pages.get("/recordings")
    assert "No recording yet." in page and "up to 4 GB" in text_of(page)
    sent = send(pages)
    assert sent.status_code == 303 and sent.headers["location"].endswith("/recordings/mapping")  # type: ignore[attr-defined]
    page = pages.get("/recordings/mapping")
    said = text_of(page)
    assert "1 question must be answered before it can be read." in said
    assert "Where is the house?" in said and "Readings begin in line 2: 2 columns, with comma between them." in said
    # The first row of the file as it stands, and 0.240 kWh in a quarter of an hour: 0.96 kW.
    first = YEAR.decode().splitlines()[1].split(",")
    assert first == ["2025-01-01 00:00", "0.240"]
    assert "2025-01-01 00:00 0.240 2025-01-01 00:00 to 00:15: 0.24 kWh = 0.96 kW" in said, "side by side"
    looked = answer(pages, zone="America/Denver")
    assert "Nothing is left open." in text_of(looked.text)  # type: ignore[attr-defined]
    assert 'value="America/Denver"' in pages.get("/recordings/mapping"), "a reload keeps the answer"
    page = text_of(read(pages))
    # 1.565 kWh in a quarter of an hour: 6,260 W.
    assert "usage 2025.csv is read and is a recording of this job." in page
    assert "Largest quarter hour on the clock: 6,260 W, 2025-01-11 19:00 MST" in page
    assert "To the load, by measured demand" in page and "free of doubt" in page
    assert on_tray(pages) == []
    (thing,) = pages.desk.open_job(pages.job).job.before.recordings
    assert (thing.file, thing.measures, thing.taken, thing.occupied) == ("usage 2025.csv", "both legs", "utility", True)
    assert str(thing.power_factor) == "0.95" and thing.heavier_leg is None and thing.season_load_va is None
    load = pages.get("/load")
    assert load.count('class="plot"') == 3 and "6,260 W" in load
    packet = pages.get("/sheets/evidence")
    plots = re.findall(r'<svg[^>]*class="plot".*?</svg>', load, re.S)
    assert plots and all(plot in packet for plot in plots), "the same picture as in the packet"


def test_the_next_file_with_this_heading_is_understood(pages: Pages) -> None:
    send(pages)
    read(pages)
    send(pages)
    said = text_of(pages.get("/recordings/mapping"))
    assert "explained before" in said and "Nothing is left open." in said
    send(pages, b"Usage of a house\nAccount,1\n\n" + YEAR)
    said = text_of(pages.get("/recordings/mapping"))
    assert "explained before" in said and "Nothing is left open." in said
    assert "2025-01-01 00:00 to 00:15: 0.24 kWh = 0.96 kW" in said, "the same table three lines further down"


def test_what_another_version_remembered_bars_nothing(pages: Pages) -> None:
    send(pages)
    read(pages)
    library = pages.desk.library
    with library.reading() as connection:
        rows = connection.execute(library.tables.preferences.select()).all()
    (key,) = [row.key for row in rows if row.key.startswith("recordings.mapping.")]
    library.set_preference(key, {"columns": [], "moon": "full"})
    send(pages)
    said = text_of(pages.get("/recordings/mapping"))
    assert "explained before" not in said and "1 question must be answered" in said


def test_a_full_disk_is_said_and_nothing_stays(pages: Pages, monkeypatch: pytest.MonkeyPatch) -> None:
    async def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(upload, "_write", full)
    answered = send(pages)
    assert answered.status_code == 503 and "full" in text_of(answered.text)  # type: ignore[attr-defined]
    assert on_tray(pages) == []


def test_the_preview_follows_every_answer(pages: Pages) -> None:
    """Day before month, comma as decimal mark, semicolon; a time names the end: 1,5 kWh to 00:15 began at 00:00."""
    send(pages, b"Zeit;Wert\n" + b"".join(b"01.02.2025 %02d:%02d;1,5\n" % divmod(15 * n, 60) for n in range(1, 40)))
    page = pages.get("/recordings/mapping")
    assert "questions must be answered" in text_of(page)
    cut = html.unescape(re.search(r'name="cut" value="([^"]*)"', page)[1])  # type: ignore[index]
    form = {"cut": cut, "use.0": "start", "use.1": "value", "unit.1": "kWh", "kind.1": "energy", "leg.1": "",
            "zone": "America/Chicago", "date_order": "dmy", "decimal": ","}  # fmt: skip
    said = text_of(answer(pages, **form).text)  # type: ignore[attr-defined]
    assert "2025-02-01 00:15 to 00:30: 1.5 kWh = 6 kW" in said
    said = text_of(answer(pages, **{**form, "date_order": "mdy"}).text)  # type: ignore[attr-defined]
    assert "2025-01-02 00:15 to 00:30: 1.5 kWh = 6 kW" in said
    said = text_of(answer(pages, **{**form, "stamps": "end"}).text)  # type: ignore[attr-defined]
    assert "2025-02-01 00:00 to 00:15: 1.5 kWh = 6 kW" in said
    said = text_of(answer(pages, **{**form, "unit.1": "kW", "kind.1": "mean"}).text)  # type: ignore[attr-defined]
    assert "2025-02-01 00:15 to 00:30: 1.5 kW" in said and "= 6 kW" not in said
    said = text_of(answer(pages, **{**form, "unit.1": "kWh", "kind.1": "register"}).text)  # type: ignore[attr-defined]
    assert "1.5 kWh = 0 kW" in said, "a register that does not rise"
    part = pages.client.post(f"/jobs/{pages.job}/recordings/mapping", data={**form, "does": "look"}, headers=HTMX)
    assert "<html" not in part.text and "2025-02-01 00:15 to 00:30: 1.5 kWh = 6 kW" in text_of(part.text)


def test_another_separator_cuts_the_table_anew(pages: Pages) -> None:
    send(pages, rows_of(40, "{at:%Y-%m-%d %H:%M};{n},5", "time;Usage (kWh)"))
    said = text_of(answer(pages, separator=",").text)  # type: ignore[attr-defined]
    assert "No column of" in said, said
    said = text_of(answer(pages, separator=";", zone="UTC", decimal=",").text)  # type: ignore[attr-defined]
    assert "2025-03-01 00:15 to 00:30: 1.5 kWh = 6 kW" in said


@pytest.mark.parametrize(
    ("form", "say"),
    [
        ({"zone": "Nowhere/Town"}, "No place is known as Nowhere/Town."),
        ({"zone": ""}, "the place of the house, for its clock"),
        ({"zone": "UTC", "power_factor": "1.2"}, "“1.2” is no power factor."),
        ({"zone": "UTC", "season_load_va": "some"}, "“some” is not understood."),
        ({"zone": "UTC", "measures": "L3"}, "“L3” is not allowed here."),
        ({"zone": "UTC", "first_line": "x"}, "“x” is not a whole number"),
        ({"zone": "UTC", "clock": "never"}, "never"),
    ],
)
def test_what_is_not_understood_is_said_and_kept(pages: Pages, form: dict[str, str], say: str) -> None:
    send(pages)
    answered = answer(pages, "read", **form)
    assert answered.status_code == 422 and say in text_of(answered.text)  # type: ignore[attr-defined]
    assert web(pages).runs.of(pages.job) is None  # type: ignore[attr-defined]
    assert pages.revision == 1 and len(on_tray(pages)) == 1 and kept(pages) == []


def test_a_file_that_is_no_recording_is_refused_at_once(pages: Pages) -> None:
    for data in (b"%PDF-1.4 nothing of use", b"name,place\nAda,Den\n", b""):
        answered = send(pages, data)
        assert answered.status_code == 422 and 'role="alert"' in answered.text  # type: ignore[attr-defined]
    bare = pages.client.post(f"/jobs/{pages.job}/recordings/file", data={"file": "x"})
    assert bare.status_code == 400
    for content in (b"--b\r\nnonsense", b"", b"--b\r\nContent-Disposition: form-data\r\n\r\nx\r\n--b--\r\n"):
        kind = {"content-type": "multipart/form-data; boundary=b"}
        broken = pages.client.post(f"/jobs/{pages.job}/recordings/file", content=content, headers=kind)
        assert broken.status_code in (400, 422)
    assert on_tray(pages) == [] and kept(pages) == []


def test_a_refused_recording_leaves_the_library_and_the_job_alone(pages: Pages) -> None:
    """A register that falls all the way is refused only after the whole file is read."""
    send(pages, rows_of(400, "{at:%Y-%m-%d %H:%M},{n}", "time,Usage (kWh)").replace(b",1\n", b",9999\n"))
    page = pages.get("/recordings/mapping")
    cut = html.unescape(re.search(r'name="cut" value="([^"]*)"', page)[1])  # type: ignore[index]
    data = rows_of(400, "{at:%Y-%m-%d %H:%M},{n}")
    falling = data.splitlines()[:1] + [
        line.rsplit(b",", 1)[0] + b",%d" % (1000 - n) for n, line in enumerate(data.splitlines()[1:])
    ]
    send(pages, b"\n".join(falling) + b"\n")
    form = {"cut": cut, "use.0": "start", "use.1": "value", "unit.1": "kWh", "kind.1": "register", "leg.1": ""}
    page = text_of(read(pages, **form))
    assert "could not be read. Nothing of it is in the job." in page and "it never rises" in page
    assert "Back to what it means" in page
    assert pages.revision == 1 and kept(pages) == [] and pages.desk.library.attachments(pages.job) == []
    assert len(on_tray(pages)) == 1, "it stays to be explained better"
    page = text_of(read(pages, **{**form, "kind.1": "energy"}))
    assert "is a recording of this job" in page and on_tray(pages) == []
    pages.client.post(f"/jobs/{pages.job}/recordings/put-away")
    assert "is a recording of this job" not in text_of(pages.get("/recordings"))


def test_two_legs_are_chosen_by_their_names(pages: Pages) -> None:
    """Both peak together where n % 7 = 6 and n % 5 = 4: 506 + 904 = 1,410 W."""
    at = datetime(2025, 1, 1)
    lines = ["time,L1 (W),L2 (W)"]
    lines += [f"{at + timedelta(minutes=15 * n):%Y-%m-%d %H:%M},{500 + n % 7},{900 + n % 5}" for n in range(960)]
    send(pages, "\n".join(lines).encode())
    said = text_of(answer(pages, zone="America/Denver").text)  # type: ignore[attr-defined]
    assert "It holds 2 channels. Say below which to take." in said and "Nothing is left open." not in said
    answered = answer(pages, "read", zone="America/Denver")
    assert answered.status_code == 422  # type: ignore[attr-defined]
    page = answered.text  # type: ignore[attr-defined]
    assert "The file has several channels." in text_of(page)
    boxes = re.findall(r'name="(channel:[^"]*)"', page)
    assert len(boxes) == 2
    assert "1,410 W" in text_of(read(pages, **dict.fromkeys(map(html.unescape, boxes), "yes")))
    (thing,) = pages.desk.open_job(pages.job).job.before.recordings
    assert len(thing.channels) == 2


def test_a_stop_leaves_nothing_behind_and_a_second_page_sees_it(pages: Pages, monkeypatch: pytest.MonkeyPatch) -> None:
    import threading

    begun, go = threading.Event(), threading.Event()
    plain = Source.read

    def slow(self: Source, size: int = 1 << 20) -> bytes:
        data = plain(self, min(size, 20_000) if size > 0 else 20_000)
        if self.bytes_read > 100_000:
            begun.set()
            go.wait(0.05)
        return data

    monkeypatch.setattr(Source, "read", slow)
    send(pages)
    assert answer(pages, "read", **ASKED).status_code == 303  # type: ignore[attr-defined]
    assert begun.wait(20)
    page = pages.get("/recordings")
    assert "usage 2025.csv is being read." in text_of(page) and "Stop reading" in page
    assert 'http-equiv="refresh"' in page, "without script the page looks again by itself"
    part = pages.client.get(f"/jobs/{pages.job}/recordings/run", headers=HTMX)
    assert "<progress" in part.text and "hx-redirect" not in part.headers
    done = int(re.search(r'<progress max="100" value="(\d+)"', part.text)[1])  # type: ignore[index]
    assert 0 < done < 100 and "of 0.8 MB" in text_of(part.text)
    assert send(pages).status_code == 422, "the file being read is not replaced"  # type: ignore[attr-defined]
    again = answer(pages, "read", **ASKED)
    assert again.status_code == 422 and "still being worked on" in text_of(again.text)  # type: ignore[attr-defined]
    pages.client.post(f"/jobs/{pages.job}/recordings/cancel")
    assert web(pages).runs.wait(20)  # type: ignore[attr-defined]
    part = pages.client.get(f"/jobs/{pages.job}/recordings/run", headers=HTMX)
    assert part.headers["hx-redirect"] == f"/jobs/{pages.job}/recordings"
    page = text_of(pages.get("/recordings"))
    assert "Reading usage 2025.csv was stopped. Nothing of it was kept." in page and "No recording yet." in page
    assert on_tray(pages) == [] and kept(pages) == []
    assert pages.revision == 1 and pages.desk.library.attachments(pages.job) == []
    assert pages.desk.library.last_result(pages.job, "recording") is None


def test_the_end_of_the_program_stops_the_reading_and_clears_the_tray(
    pages: Pages, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = Source.read

    def slow(self: Source, size: int = 1 << 20) -> bytes:
        time.sleep(0.05)
        return plain(self, 5_000)

    monkeypatch.setattr(Source, "read", slow)  # 800 kB: eight seconds, if nothing stops it
    with pages.client:
        send(pages)
        assert answer(pages, "read", **ASKED).status_code == 303  # type: ignore[attr-defined]
        assert web(pages).runs.of(pages.job).underway and len(on_tray(pages)) == 1  # type: ignore[attr-defined]
        begun = time.monotonic()
    assert time.monotonic() - begun < 4
    assert web(pages).runs.of(pages.job).status == "stopped"  # type: ignore[attr-defined]
    folder = pages.desk.library.path.parent
    assert [path for path in folder.iterdir() if ".tray-" in path.name] == []
    assert kept(pages) == [] and pages.revision == 1


def test_stale_figures_are_said_and_reduced_again(pages: Pages) -> None:
    send(pages)
    read(pages)
    ident = pages.desk.open_job(pages.job).job.before.recordings[0].id
    edit = {"do": "set", "path": f"before/{ident}.mapping.zone", "value": "America/New_York"}
    pages.desk.apply(pages.job, pages.revision, [edit])
    page = text_of(pages.get("/recordings"))
    assert "Reduce it again before anything relies on it." in page and "Reduce 1 recording again" in page
    assert "6,260 W" not in pages.get("/load")
    assert pages.client.post(f"/jobs/{pages.job}/recordings/again", follow_redirects=False).status_code == 303
    assert web(pages).runs.wait(60)  # type: ignore[attr-defined]
    page = text_of(pages.get("/recordings"))
    assert "usage 2025.csv: reduced again." in page and "6,260 W, 2025-01-11 19:00 EST" in page
    none = pages.client.post(f"/jobs/{pages.job}/recordings/again")
    assert none.status_code == 422 and "nothing to reduce again" in none.text


def test_a_recording_is_removed_and_undo_brings_it_back(pages: Pages) -> None:
    send(pages)
    read(pages)
    ident = pages.desk.open_job(pages.job).job.before.recordings[0].id
    facts = pages.get(f"/things/{ident}")
    assert f'id="before/{ident}.measures"' in facts and f'id="before/{ident}.occupied"' in facts
    where = f"/jobs/{pages.job}/recordings/{ident}/strike-out"
    stale = pages.revision
    pages.desk.apply(pages.job, stale, [{"do": "set", "path": f"before/{ident}.name", "value": "The year before"}])
    assert pages.client.post(where, data={"base": str(stale)}).status_code == 409, "a stale page changes nothing"
    assert "The year before" in pages.get("/recordings")
    pages.client.post(where, data={"base": str(pages.revision)})
    assert "No recording yet." in pages.get("/recordings")
    assert pages.client.post(where, data={"base": str(pages.revision)}).status_code == 404
    pages.client.post(f"/jobs/{pages.job}/walk/undo", data={"base": str(pages.revision), "page": "load"})
    assert "6,260 W" in pages.get("/recordings")


T0 = 1_735_714_800  # 2025-01-01 00:00 in Denver


def feed_of(*flows: str, count: int = 960, uom: str = "72") -> bytes:
    """A utility's feed: 100 to 106 tens of Wh in every quarter of an hour, one meter reading for each direction."""
    readings = [(T0 + 900 * n, 900, 100 + n % 7, ()) for n in range(count)]
    told = {"uom": uom, "powerOfTenMultiplier": "1"}
    return feed(*(Meter(list(readings), {**told, "flowDirection": flow}, f"Register {n}", n)
                  for n, flow in enumerate(flows, 1)))  # fmt: skip


def test_espi_says_itself_what_it_holds(pages: Pages) -> None:
    """100 tens of Wh: 1,000 Wh in a quarter of an hour, 4,000 W; at most 106 of them: 4,240 W."""
    send(pages, feed_of("1"), "usage.xml")
    said = text_of(pages.get("/recordings/mapping"))
    assert "It tells its own units, scale, direction" in said and "Where is the house?" not in said
    assert "energy in the interval, in Wh; drawn from the utility; leg not said; figures of the file times 10" in said
    assert "1735714800 900 100 2025-01-01 00:00 to 00:15: 1,000 Wh = 4,000 W" in said
    page = text_of(read(pages))
    assert "Largest quarter hour on the clock: 4,240 W" in page


def test_a_feed_of_two_directions_asks_which(pages: Pages) -> None:
    send(pages, feed_of("1", "19"), "usage.xml")
    page = pages.get("/recordings/mapping")
    assert "sent back to the utility" in text_of(page)
    boxes = re.findall(r'name="(channel:[^"]*)"', page)
    assert len(boxes) == 2
    assert "The file has several channels." in text_of(answer(pages, "read").text)  # type: ignore[attr-defined]
    assert "4,240 W" in text_of(read(pages, **{html.unescape(boxes[0]): "yes"}))


def test_a_feed_too_large_to_be_looked_through_asks_once_it_is_read(
    pages: Pages, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(feed_drafts, "MOST_BYTES", 1000)
    send(pages, feed_of("1", "19"), "usage.xml")
    assert "channel:" not in pages.get("/recordings/mapping")
    page = text_of(read(pages))
    assert "could not be read" in page and "The file has several channels. Say which:" in page
    assert kept(pages) == [] and pages.revision == 1
    boxes = re.findall(r'name="(channel:[^"]*)"', pages.get("/recordings/mapping"))
    assert len(boxes) == 2, "what reading found is offered now"
    assert "4,240 W" in text_of(read(pages, **{html.unescape(boxes[0]): "yes"}))


def test_a_broken_feed_is_said_on_the_page(pages: Pages) -> None:
    send(pages, feed_of("1")[:5000], "usage.xml")
    said = text_of(pages.get("/recordings/mapping"))
    assert "The XML is broken in line" in said
    answered = answer(pages, "read")
    assert answered.status_code == 422 and kept(pages) == []  # type: ignore[attr-defined]


def test_parquet_is_explained_like_a_table(pages: Pages, tmp_path: Path) -> None:
    """0.25 kWh in a quarter of an hour: 1 kW; the largest, 0.5 kWh, 2 kW."""
    import pyarrow as pa
    from pyarrow import parquet

    at = [datetime(2025, 3, 1) + timedelta(minutes=15 * n) for n in range(960)]
    path = tmp_path / "usage.parquet"
    used = [0.5 if n == 500 else 0.25 for n in range(960)]
    parquet.write_table(pa.table({"start": pa.array(at, pa.timestamp("s")), "used (kWh)": used}), path)
    send(pages, path.read_bytes(), "usage.parquet")
    page = pages.get("/recordings/mapping")
    assert "A table as Parquet." in page and 'name="separator"' not in page
    said = text_of(answer(pages, zone="America/Denver").text)  # type: ignore[attr-defined]
    assert "2025-03-01 00:00 to 00:15: 0.25 kWh = 1 kW" in said
    assert "Largest quarter hour on the clock: 2,000 W" in text_of(read(pages))


def test_a_long_upload_is_allowed_here_only(tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    pages = Pages(tmp_path / "own", max_body_bytes=50_000, max_recording_bytes=2_000_000)
    sent = send(pages)
    assert sent.status_code == 303 and len(YEAR) > 10 * 50_000  # type: ignore[attr-defined]
    web(pages).tray.drop(pages.job)  # type: ignore[attr-defined]
    long = send(pages, YEAR * 3)
    assert long.status_code == 413 and "That recording is too long." in long.text  # type: ignore[attr-defined]

    def pieces() -> object:
        yield b'--b\r\nContent-Disposition: form-data; name="file"; filename="usage.csv"\r\n\r\n'
        for _ in range(60):
            yield b"2025-01-01 00:00,1\n" * 2_500

    kind = {"content-type": "multipart/form-data; boundary=b"}
    claimed = pages.client.post(f"/jobs/{pages.job}/recordings/file", content=pieces(), headers=kind)
    assert claimed.status_code == 413 and "That recording is too long." in claimed.text
    assert on_tray(pages) == []
    for other in ("mapping", "put-away", "cancel", "again"):
        files = {"file": ("usage.csv", YEAR, "text/csv")}
        assert pages.client.post(f"/jobs/{pages.job}/recordings/{other}", files=files).status_code == 413, other
    assert pages.client.post("/jobs", data={"name": "x" * 60_000}).status_code == 413


def test_a_large_file_is_never_whole_in_memory(tmp_path: Path) -> None:
    """40 MB sent up in pieces: the most that is gathered at any time is a few of them."""
    import tracemalloc

    piece = b"2025-01-01 00:00,1\n" * 10_000

    def pieces() -> object:
        yield b'--b\r\nContent-Disposition: form-data; name="file"; filename="usage.csv"\r\n\r\ntime,Usage (kWh)\n'
        for _ in range(210):
            yield piece
        yield b"\r\n--b--\r\n"

    kind = {"content-type": "multipart/form-data; boundary=b"}
    # The test client gathers a body itself; so the reader is fed by hand.
    from anyio import run
    from starlette.requests import Request

    from deadfront.web.upload import receive_file

    async def receive() -> dict[str, object]:
        for body in flow:
            return {"type": "http.request", "body": body, "more_body": True}
        return {"type": "http.request", "body": b"", "more_body": False}

    flow = iter(pieces())  # type: ignore[call-overload]
    headers = [(name.encode(), value.encode()) for name, value in kind.items()]
    scope = {"type": "http", "method": "POST", "headers": headers, "path": "/", "query_string": b""}
    path = tmp_path / "sent"
    tracemalloc.start()
    with ThreadPoolExecutor(1) as own:  # another test's browser may hold a loop in this thread
        name = own.submit(run, receive_file, Request(scope, receive), path).result()  # type: ignore[arg-type]
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert name == "usage.csv" and path.stat().st_size == len(b"time,Usage (kWh)\n") + 210 * len(piece)
    assert most < 8_000_000 < path.stat().st_size


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_word_of_the_pages_is_there(pages: Pages, language: str) -> None:
    pages.client.cookies.set("language", language)
    send(pages)
    texts = [pages.get("/recordings"), pages.get("/recordings/mapping")]
    read(pages)
    texts += [pages.get("/recordings"), pages.get("/load"), pages.get("/survey")]
    for text in texts:
        assert not re.search(r"\[(?:web|recordings|sheet|app|entry)\.[a-z_.]+\]", text), language


FIELDS = ("zone", "date_order", "decimal", "thousands", "separator", "encoding", "header_line", "first_line", "offsets",
          "stamp_form", "stamps", "clock", "interval_min", "use.0", "use.1", "unit.1", "kind.1", "leg.1", "cut", "does",
          "measures", "taken", "occupied", "season_load_va", "power_factor", "name", "channel:x", "use.9")  # fmt: skip
WORDS = (
    "", "UTC", "America/Denver", "../etc", "ymd", "dmy", ".", ",", ";", "\t", "|", "0", "1", "2", "99999", "-1",
    "epoch_s", "epoch_ms", "written", "end", "start", "value", "ignore", "kWh", "A", "register", "instant", "mean",
    "both", "L1", "utf-16", "latin-1", "yes", "1e9", "NaN", "\x00", "٣",
)  # fmt: skip
TYPED = st.one_of(st.sampled_from(WORDS), st.text(max_size=12))


@given(form=st.dictionaries(st.sampled_from(FIELDS), TYPED, max_size=12))
@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_answer_is_answered_in_words(pages: Pages, form: dict[str, str]) -> None:
    if web(pages).tray.of(pages.job) is None:  # type: ignore[attr-defined]
        assert send(pages, YEAR[:20_000]).status_code == 303  # type: ignore[attr-defined]
    sent = answer(pages, form.pop("does", "look"), **form)
    assert sent.status_code in (200, 303, 422), text_of(sent.text)  # type: ignore[attr-defined]
    assert web(pages).runs.wait(30)  # type: ignore[attr-defined]
    run = web(pages).runs.of(pages.job)  # type: ignore[attr-defined]
    assert run is None or run.trouble is None or run.trouble.key != "app.asked.fault"
    assert pages.client.get(f"/jobs/{pages.job}/recordings").status_code == 200
