"""The commissioning answer as data: tests with readings as typed, the torque log, the sequence, corrections."""

from __future__ import annotations

import json

from deadfront.app.answers import answer
from deadfront.app.assess_json import told
from deadfront.documents.catalog import Catalog
from deadfront.job.read import read_job
from tests.commissioning.made_up import HEAD, record
from tests.documents.test_record_sheets import CORRECTION, TORQUE


def test_it_says_what_the_pages_say() -> None:
    text = HEAD.format(edition="2023", system="120/240 1ph 3w")
    more = record("service_voltage", "service", {"l1_l2": "241.2", "l1_n": "120.5", "l2_n": "120 A"})
    found = told(answer(read_job(text + more + TORQUE + CORRECTION).job), Catalog("en", strict=True))
    data = json.loads(json.dumps(found))["commissioning"]
    (test,) = [each for each in data["tests"] if each["record"]]
    assert (test["test"], test["thing"], test["stage"], test["outcome"]) == (
        "service_voltage", "service", "as left", "cannot tell")  # fmt: skip
    typed = {each["key"]: each["typed"] for each in test["readings"]}
    assert typed["l2_n"] == "120 A", "as typed"
    assert any("does not belong" in each["trouble"] for each in test["readings"])
    assert [(each["terminal"], each["outcome"]) for each in data["torque"] if each["id"]] == [
        ("load terminal", "meets")]  # fmt: skip
    assert data["sequence"][0]["state"] == "next"
    assert [(each["asks"], each["outcome"]) for each in data["corrections"]] == [
        ("Directory: name the workshop.", "meets")]  # fmt: skip
