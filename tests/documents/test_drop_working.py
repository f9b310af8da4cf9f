"""The circuit schedule works the drop that it prints; the whole way only where a finding tells of it."""

from __future__ import annotations

from pathlib import Path

from deadfront.assess.run import assess
from deadfront.codebook.book import open_book
from deadfront.documents.circuit_sheets.common import touched
from deadfront.documents.circuit_sheets.schedule import working_of
from deadfront.documents.circuit_sheets.together import circuit_sheets
from deadfront.job.read import read_job
from deadfront.worksheet.sheet import SheetHead, Working

HOUSE = Path(__file__).parents[1] / "houses" / "full_house.toml"


def test_the_whole_way_is_worked_only_where_a_finding_tells_of_it() -> None:
    job = read_job(HOUSE.read_text("utf-8")).job
    found = assess(job, open_book(job.job.code.edition))
    told = {each.thing for each in found.circuits.checks if each.is_finding and each.id == "circuit.voltage_drop"}
    sheet = next(each for each in circuit_sheets(found.at, found.circuits, SheetHead("a", "b", "c"))
                 if each.key == "circuits")  # fmt: skip
    printed = {id(block.step) for block in sheet.blocks if isinstance(block, Working)}
    drops = {each.of: each for each in found.circuits.drops if each.all_along is not None}
    worked = [run for run in found.circuits.runs if run.of in drops and touched(run.reach)]
    assert {run.of in told for run in worked} == {True, False}, "a house with both"
    for run in worked:
        drop = drops[run.of]
        assert (id(drop.all_along) in printed, id(drop.here) in printed) == (run.of in told, run.of not in told)
        own = [each.step for each in working_of(run, found.circuits, {}) if isinstance(each, Working)]
        assert drop.all_along in own, "on its own page the whole way is worked"
