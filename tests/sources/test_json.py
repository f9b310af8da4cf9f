"""The sources answer as data: what the invented house with everything comes to, by the same figures as the result."""

from __future__ import annotations

from pathlib import Path

from deadfront.app.sources_json import told_sources
from deadfront.assess.run import assess
from deadfront.codebook import open_book
from deadfront.documents.catalog import Catalog
from deadfront.job.read import read_job

HOUSE = Path(__file__).resolve().parents[1] / "houses" / "full_house.toml"


def test_the_house_with_everything_as_data() -> None:
    """Hand: solar 32 A and battery 24 A count for 40 + 30; with a 200 A main 270 is just 120 percent of 225."""
    job = read_job(HOUSE.read_text(encoding="utf-8")).job
    assert job is not None
    result = assess(job, open_book("2023")).sources
    for language in ("en", "es"):
        told = told_sources(result, Catalog(language, strict=True)).model_dump(mode="json")
        main = next(each for each in told["buses"] if each["of"] == "p-1ma")
        assert (main["outcome"], main["sources_a"]["high"], main["main_a"]["high"]) == ("meets", "70.00", "200")
        opposite = next(each for each in main["options"] if each["key"] == "opposite_end")
        assert float(opposite["used_a"]["low"]) == 270 and float(opposite["limit_a"]["high"]) == 270
        total = next(each for each in main["options"] if each["key"] == "sum")
        assert float(total["over_a"]["low"]) == 45 and {each["key"] for each in total["ways"]} >= {"main", "bus"}
        assert all(each["places"] for each in main["options"] if each["outcome"] != "does not apply")
        assert told["strings"][0]["by"] == "coefficient" and told["neutral"] and told["signals"] and told["starts"]
