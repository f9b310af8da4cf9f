"""Every fact that any answer waits for has a field, on the survey or the site list; filling it ends the wait for it."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from deadfront.app.answers import answer
from deadfront.app.demo import demo_text
from deadfront.documents.catalog import Catalog
from deadfront.job.house import HouseAt
from deadfront.job.model import Added, Code, Head, Job, WorkStep
from deadfront.job.read import read_job
from deadfront.job.things import COLLECTIONS, EnergyManagement, House, Load, Service, Unit
from deadfront.web.desk import AtJob
from deadfront.web.entry.shapes import shape_of
from deadfront.web.render import html
from deadfront.web.site_page import site_page
from deadfront.web.survey_page import survey_page
from deadfront.worksheet.check import Outcome
from tests.laws.blanks import blank
from tests.loads.from_case import job_of
from tests.oracle.houses import random_case
from tests.web.start import Pages

EDITIONS = ("2017", "2020", "2023", "2026")
HOLLOW_CREEK = Path(__file__).parents[1] / "jobs" / "hollow_creek.toml"


def job_from(at: HouseAt, edition: str, existing: bool | None) -> Job:
    """A house of the laws as a job: what is tagged new stands in a step of the work."""
    parts: dict[str, tuple[Any, ...]] = {name: getattr(at.house, name) for name in COLLECTIONS}
    new = {name: tuple(t for t in things if at.tags[t.id].letter == "N") for name, things in parts.items()}
    old = {name: tuple(t for t in things if at.tags[t.id].letter != "N") for name, things in parts.items()}
    step = next((tag.step for tag in at.tags.values() if tag.letter == "N"), "w-01")
    work = (WorkStep(id=step, say="what is new", add=Added(**new)),) if any(new.values()) else ()
    return Job(job=Head(name="A house", code=Code(edition=edition), existing=existing),
               before=at.house.model_copy(update=old), work=work)  # fmt: skip


def with_blanks() -> list[Job]:
    """Houses with facts left out, of every edition; one family, two, many, a unit on two legs of a wye."""
    found = []
    for seed in range(48):
        edition, shape = EDITIONS[seed % 4], (None, "two_family", "multifamily", "wye_unit")[seed // 4 % 4]
        blanked = blank(seed, edition, shape)
        found.append(job_from(blanked.context.at, edition, None if seed % 3 else True))
    return found


def with_nothing() -> list[Job]:
    """Houses of which almost nothing is known: each fact of the service, of units, systems, loads is waited for."""
    found = []
    for seed in range(24):
        edition, shape = EDITIONS[seed % 4], (None, "two_family", "multifamily", "wye_unit")[seed // 4 % 4]
        house = job_of(random_case(seed, edition, shape)).before
        unsaid = ("nameplate_va", "volts", "hp", "neutral", "motor", "supplemental_w", "together", "separate_units")
        bare = tuple(load.model_copy(update=dict.fromkeys((*unsaid, "unit"))) for load in house.loads)
        units = tuple(Unit(id=unit.id, count=unit.count, small_appliance_circuits=2) for unit in house.units)
        system = EnergyManagement(id="e-01", controls=(bare[0].id,) if bare else ())
        charger = Load(id="l-e01", kind="evse", nameplate_a=48, setting_a=24)
        service = house.service.model_copy(update={"conductors": house.service.conductors.model_copy(
            update={"needs_correction": (None, True)[seed % 2], "terminals_c": None,
                    "metal": (None, "copper")[seed % 2]}
        )}) if seed % 3 else Service()  # fmt: skip
        new = Added(loads=(charger,), energy_management=(system,))
        found.append(Job(
            job=Head(name="A house", code=Code(edition=edition)),  # type: ignore[arg-type]
            before=House(service=service, units=units if seed % 5 else (), loads=bare, meters=(), panels=()),
            work=(WorkStep(id="w-01", say="charger", add=new),),
        ))  # fmt: skip
    return found


def files() -> list[Job]:
    """The example house and the house of the tests, and each without what is known of its service and loads."""
    whole = [read_job(text).job for text in (demo_text(), HOLLOW_CREEK.read_text(encoding="utf-8"))]
    bare = []
    for job in whole:
        loads = tuple(Load(id=load.id, kind=load.kind) for load in job.before.loads)
        before = job.before.model_copy(update={"service": Service(), "loads": loads, "meters": ()})
        bare.append(job.model_copy(update={"before": before}))
    return [*whole, *bare]


def page_of(job: Job, at: AtJob) -> tuple[str, str]:
    """The survey and the site list of a job that stands in no library."""
    found = replace(at, opened=replace(at.opened, job=job, text=job.model_dump_json()))
    return html(survey_page(found), at.catalog), html(site_page(found), at.catalog)


@pytest.mark.parametrize("jobs", [with_blanks, with_nothing, files], ids=lambda each: each.__name__)
def test_every_fact_waited_for_has_its_field(pages: Pages, jobs: Any) -> None:
    opened = pages.desk.open_job(pages.job)
    at = AtJob(_web(pages), opened, Catalog("en", strict=True))
    seen: Counter[str] = Counter()
    for job in jobs():
        found = answer(job).assessment
        paths = [item.missing.path for item in found.to_find if ".seen." not in item.missing.path]
        text, site = page_of(job, at)
        todo = text[text.index('id="todo"') : text.index('id="thing-service"')]
        looked = [each.path for each in found.circuits.questions if each.outcome is Outcome.CANNOT_TELL]
        assert all(f'value="{path}"' in site for path in looked), "each question has its two answers on the site list"
        for path in paths:
            seen[path.rpartition(".")[2]] += 1
            assert re.search(rf'<(?:input|select)[^>]* id="{re.escape(path)}"', text), (path, job.job.code.edition)
            assert len(re.findall(rf' id="{re.escape(path)}"', text)) == 1, f"{path} stands once"
        lines = len(paths) + bool(looked)  # all questions of the site list are one line
        assert todo.count("<li>") == lines == todo.count('class="to"') + todo.count('class="fact loose"')
    least = {"with_blanks": 6, "with_nothing": 14, "files": 6}[jobs.__name__]
    assert len(seen) >= least, seen


def test_among_them_are_the_facts_that_have_no_column(pages: Pages) -> None:
    """The houses above really wait for the facts of systems, units, conductors; none of it by accident left out."""
    seen = {item.missing.path.rpartition(".")[2] for job in with_nothing() for item in answer(job).assessment.to_find}
    assert {
        "listed", "set_point_a", "lost_signal", "monitors", "restricted_access", "corrected_ampacity_a", "unit",
        "needs_correction", "setting_restricted", "supplemental_w", "separate_units", "floor_area_ft2",
    } <= seen, seen  # fmt: skip


FILLS = {
    "corrected_ampacity_a": "150", "unit": "house", "lost_signal": "holds limit", "monitors": "service",
    "set_point_a": "80", "floor_area_ft2": "1840", "size": "4/0 Al", "meters": "200 A", "system": "120/240 1ph 3w",
    "limit": "none", "terminals_c": "75", "metal": "aluminum", "nameplate_w": "5 kW", "volts": "240",
    "supplemental_w": "5 kW", "separate_units": "2", "small_appliance_circuits": "2", "laundry_circuits": "1",
    "rating_a": "20", "bus_a": "200", "type": "NM-B", "runs": "wall", "fault_current_ka": "8",
}  # fmt: skip


def fill(job: Job, path: str) -> str:
    """Something that may be typed for a fact."""
    name = path.rpartition(".")[2]
    shape, options = shape_of(job, path)
    known = name in FILLS and not (name == "size" and "service.conductors" not in path)
    if known or shape == "yes_no":
        return FILLS.get(name, "yes")
    if shape in ("choice", "many"):
        return "yes" if "yes" in options else options[len(options) // 2]
    return {"quantity": "20", "whole": "2", "number": "2", "day": "2026-05-12", "wires": "2 x 12"}.get(shape, "yes")


def test_typing_each_of_them_in_turn_ends_the_list(pages: Pages) -> None:
    """From a house with nothing to one that nothing is missing of, by the fields of the page alone."""
    text = pages.desk.open_job(pages.job).text
    extra = """
[[before.units]]
id = "u-1aa"
[[before.units]]
id = "u-2bb"
[[before.energy_management]]
id = "e-1aa"
controls = ["l-5rt"]
[[before.loads]]
id = "l-hp1"
kind = "heat_pump"
[[before.loads]]
id = "l-sh1"
kind = "space_heat"
"""
    (path := Path(pages.desk.library.path).parent / "bare.toml").write_text(text + extra, encoding="utf-8")
    pages.job = pages.desk.import_job(path).job_id
    done: list[str] = []
    for _ in range(250):
        job = pages.desk.open_job(pages.job).job
        found = answer(job).assessment.to_find
        left = [item.missing.path for item in found if item.missing.path not in ("before/complete.panels",)]
        if not left:
            break
        assert left[0] not in done, f"{left[0]} was typed and is still waited for"
        sent = pages.post("/facts", path=left[0], value=fill(job, left[0]))
        assert sent.status_code == 200, (left[0], sent.text[:200])
        done.append(left[0])
    assert left == [] and len(done) > 15, done


def _web(pages: Pages) -> Any:
    return pages.client.app.state.web  # type: ignore[attr-defined]
