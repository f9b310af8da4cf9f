"""The example house: made once in a folder, with its library, its job file and its packet."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from deadfront.app.answers import Answered, answer, packet
from deadfront.app.clock import Clock, now
from deadfront.app.library import Desk
from deadfront.documents.catalog import Catalog
from deadfront.store.library import open_library
from deadfront.store.trouble import guarded

LIBRARY = "library.db"
JOB_FILE = "14-hollow-creek-rd.toml"
PACKET = "14-hollow-creek-rd.pdf"


@dataclass(frozen=True, slots=True)
class Demo:
    """The example house and where its files are."""

    job_id: str
    revision: int
    answered: Answered
    library: Path
    job_file: Path
    packet: Path


def demo_text() -> str:
    """The job file of the example house."""
    return resources.files("deadfront.app").joinpath("demo_house.toml").read_text(encoding="utf-8")


def build_demo(folder: Path, catalog: Catalog, clock: Clock = now) -> Demo:
    """Make the example house in a folder; what was changed there since stays as it is.

    Raises:
        LibraryTrouble: the folder cannot be written, or the library in it cannot be used.
    """
    job_file = folder / JOB_FILE
    with guarded(folder):
        folder.mkdir(parents=True, exist_ok=True)
        if not job_file.exists():
            job_file.write_text(demo_text(), encoding="utf-8")
    with open_library(folder / LIBRARY) as library:
        desk = Desk(library, clock)
        name = example_name()
        there = [row.id for row in library.jobs() if row.name == name]
        job_id = there[-1] if there else desk.import_job(job_file).job_id
        found = desk.open_job(job_id)
    answered = answer(found.job)
    pdf = packet(answered, catalog, revision=found.revision, on=clock().date())
    with guarded(folder):
        (folder / PACKET).write_bytes(pdf)
    return Demo(job_id, found.revision, answered, folder / LIBRARY, job_file, folder / PACKET)


def example_name() -> str:
    """The name of the example job."""
    from deadfront.job.read import read_job

    return read_job(demo_text()).job.job.name
