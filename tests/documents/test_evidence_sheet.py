"""The evidence sheet of a measured demand, sentence by sentence as an inspector asks for them.

The recordings are made here and read as any file is. Expected figures: hand, the working beside each.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest

from deadfront.documents import evidence_holds, plots
from deadfront.documents.catalog import Catalog
from deadfront.documents.evidence_sheet import evidence_sheet
from deadfront.documents.html import sheet_html
from deadfront.job.things import Recording
from deadfront.loads.rules.answer import load_answer
from deadfront.recordings.mapping import Column, Mapping
from deadfront.recordings.read import read
from deadfront.recordings.reduce import reduce_channel
from deadfront.results.recordings import Reduction
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.sheet import Answer, Findings, Sheet, SheetHead, Table, Working
from tests.documents.snapshots import same_as_kept
from tests.loads.test_edges import EVSE
from tests.loads.test_measured import LEG, RANGE, YEAR, measured
from tests.recordings.test_household import YEARS
from tests.recordings_made import made_year

EN, ES = Catalog("en", strict=True), Catalog("es", strict=True)
HEAD = SheetHead("14 Hollow Creek Rd", "Marlow Falls", "2023", revision="C", on="May 12")
MAPPING = Mapping((Column("Start time", "start"), Column("Usage (kWh)", "value", "kWh", "energy")),
                  zone="America/Denver")  # fmt: skip
MEANT = {"file": "usage.csv", "mapping": MAPPING.to_json(), "form": "csv", "channels": ("Usage (kWh)",)}


def reduced(text: str, mapping: Mapping = MAPPING) -> Reduction:
    found = read(BytesIO(text.encode()), mapping)
    return reduce_channel(found, found.channels[0])


def hourly(days: int = 365) -> str:
    """The made year by the hour: each the sum of its four quarter hours."""
    head, *rows = made_year(days).splitlines()
    cells = [row.split(",") for row in rows]
    every = [(cells[at][0], sum(float(v) for _, v in cells[at : at + 4])) for at in range(0, len(cells), 4)]
    return "\n".join([head, *(f"{stamp},{kwh:.3f}" for stamp, kwh in every)]) + "\n"


def sheet_of(*recordings: Recording, by: dict[str, Reduction], **more: Any) -> Sheet:
    context = measured(*recordings, by=by, **more)
    made = evidence_sheet(load_answer(context, "measured"), HEAD, EN)
    assert made is not None
    return made


def rows_of(sheet: Sheet, key: str, catalog: Catalog = EN) -> dict[str, str]:
    """The rows of the first table of a kind: first cell to second."""
    table = next(b for b in sheet.blocks if isinstance(b, Table) and b.key == key)
    return {catalog.value(row[0]): catalog.value(row[1]).replace("\u00a0", " ") for row in table.rows}


def holds(sheet: Sheet) -> dict[str, str]:
    return rows_of(sheet, "holds")


def headline(sheet: Sheet) -> tuple[str, Outcome | None]:
    block = sheet.blocks[0]
    assert isinstance(block, Answer)
    return EN.say(block.answer).replace("\u00a0", " "), block.outcome


@pytest.fixture(scope="module")
def year() -> Reduction:
    return reduced(made_year())


@pytest.fixture(scope="module")
def month() -> Reduction:
    return reduced(made_year(31))


@pytest.mark.parametrize("catalog", [EN, ES], ids=["en", "es"])
def test_the_evidence_sheet_is_as_kept(catalog: Catalog, month: Reduction) -> None:
    """A leg of 31 days with a stretch of estimated readings: words, tables and plots."""
    leg = LEG.model_copy(update={**MEANT, "season_load_va": Decimal(3500)})
    context = measured(leg, by={"r-01": replace(month, provenance=replace(month.provenance, engine="0"))})
    sheet = evidence_sheet(load_answer(context, "measured"), HEAD, catalog)
    assert sheet is not None
    same_as_kept(f"evidence.{catalog.language}.html", sheet_html(sheet, catalog) + "\n")


def test_no_recording_no_sheet() -> None:
    assert evidence_sheet(load_answer(measured(by={}), "measured"), HEAD, EN) is None


def test_the_answer_says_figure_and_service(year: Reduction) -> None:
    """6,260 W x 1.25 / 240 V = 32.6 A on the clock; a new 48 A EVSE on top: 80.6, 81 A of 200 A; four of
    them: 32.6 + 4 x 48 = 224.6, 225 A."""
    at_clock = {"readings": {"measured_demand": "clock_quarter_hours"}}
    recording = YEAR.model_copy(update=MEANT)
    sheet = sheet_of(recording, by={"r-01": year}, loads=(RANGE, EVSE), new=("l-ev",), **at_clock)
    words, outcome = headline(sheet)
    assert "81 A with what the work adds, against 200 A" in words and outcome is Outcome.MEETS
    four = [EVSE.model_copy(update={"id": f"l-e{n}"}) for n in range(4)]
    more = {"loads": (RANGE, *four), "new": tuple(each.id for each in four), **at_clock}
    words, outcome = headline(sheet_of(recording, by={"r-01": year}, **more))
    assert words.startswith("It may stand, and the service does not carry it: 225 A") and outcome is Outcome.FAILS
    open_end = recording.model_copy(update={"power_factor": None})
    words, outcome = headline(sheet_of(open_end, by={"r-01": year}, **at_clock))
    assert "not closed yet: at least 33 A" in words and outcome is Outcome.CANNOT_TELL


def test_utility_data_are_the_total_of_both_legs_and_the_split_is_unknown(year: Reduction) -> None:
    sheet = sheet_of(YEAR.model_copy(update=MEANT), by={"r-01": year})
    told = holds(sheet)
    assert "total of both legs" in told["The two legs"] and "how much is not known" in told["The two legs"]
    assert rows_of(sheet, "recording")["Conductors"] == "both legs together; how it divides between them is not known"
    found = next(b for b in sheet.blocks if isinstance(b, Findings))
    ids = [check.id for check in found.checks]
    assert "load.measured_split" in ids and "load.service_conductors" in ids, "the rule's third condition stands there"


@pytest.mark.parametrize(("update", "words"), [
    ({"heavier_leg": True}, "found to be the heavier leg"),
    ({"heavier_leg": None}, "Whether it is the heavier leg is not said"),
    ({"heavier_leg": False}, "found not to be the heavier leg"),
    ({"measures": "both legs"}, "at least half of the total and at most all of it"),
    ({"measures": None}, "Which conductors were measured is not said"),
])  # fmt: skip
def test_thirty_days_name_the_heavier_leg(update: dict[str, object], words: str, month: Reduction) -> None:
    told = holds(sheet_of(LEG.model_copy(update={**MEANT, **update}), by={"r-01": month}))
    assert words in told["The two legs"]


@pytest.mark.parametrize(("factor", "assumptions", "words"), [
    (Decimal("0.97"), (), "Measured at the maximum demand: 0.97"), (None, (), "no upper end until it is"),
    (None, ("power_factor_085",), "assumed between 0.85 and 1"),
])  # fmt: skip
def test_power_factor_is_a_range_unless_measured(
    factor: Decimal | None, assumptions: Sequence[str], words: str, year: Reduction
) -> None:
    recording = YEAR.model_copy(update={**MEANT, "power_factor": factor})
    told = holds(sheet_of(recording, by={"r-01": year}, assumptions=assumptions))
    assert words in told["Power factor"]


def test_an_hour_is_a_bound_and_says_so() -> None:
    """The planted quarter hour in an hour of 2 to 4.6 kWh: at least the hour's mean, at most four times its kWh."""
    coarse = reduced(hourly())
    sheet = sheet_of(YEAR.model_copy(update=MEANT), by={"r-01": coarse})
    told = holds(sheet)
    assert "four times its kWh" in told["Interval and bound"] and "four times their sum" in told["Interval and bound"]
    kwh = max(float(row.split(",")[1]) for row in hourly().splitlines()[1:])
    peaks = rows_of(sheet, "peaks")
    assert peaks["On the clock, all readings"] == f"{kwh * 1000:,.0f} to {kwh * 4000:,.0f} W"
    html = sheet_html(sheet, EN)
    assert html.count("quarter hours inside may pass") == 3, "each plot says that it shows means of an hour"


def test_where_quarter_hours_begin(year: Reduction) -> None:
    """Six readings of 5 minutes, 4, 4, 16, 16, 12, 4 kW ...: blocks by phase 10,667, 12,000, 14,667 W (hand)."""
    told = holds(sheet_of(YEAR.model_copy(update=MEANT), by={"r-01": year}))
    assert "cannot be moved" in told["Where quarter hours begin"] and "11 %" in told["Where quarter hours begin"]
    five = "Start time,Usage (kWh)\n" + "".join(
        f"2025-01-01 00:{5 * n:02},{kw / 12:.9f}\n" for n, kw in enumerate((4, 4, 16, 16, 12, 4, 4, 4, 4))
    )
    told = holds(sheet_of(YEAR.model_copy(update=MEANT), by={"r-01": reduced(five)}))
    assert told["Where quarter hours begin"].startswith("Tried at 3 places: the largest is 10,666 to 14,667 W")


@pytest.mark.parametrize(("season", "words"), [
    (None, "It must be"), (Decimal(0), "Nothing is added"), (Decimal(3500), "3,500 VA is added"),
])  # fmt: skip
def test_the_season_not_recorded_is_a_line_of_its_own(season: Decimal | None, words: str, month: Reduction) -> None:
    sheet = sheet_of(LEG.model_copy(update={**MEANT, "season_load_va": season}), by={"r-01": month})
    assert words in holds(sheet)["Other seasons"]
    worked = next((b for b in sheet.blocks if isinstance(b, Working)), None)
    names = set() if worked is None else {step.id for step in walk(worked.step)}
    assert ("measured/r-01/adjusted" in names) is bool(season)


def walk(step: Any) -> list[Any]:
    return [step, *(each for arg in step.args for each in walk(arg))]


@pytest.mark.parametrize(("since", "words"), [
    (None, "a lower end"), (Decimal(0), "None was connected"), (Decimal(2400), "2,400 VA"),
])  # fmt: skip
def test_loads_added_since(since: Decimal | None, words: str, year: Reduction) -> None:
    told = holds(sheet_of(YEAR.model_copy(update={**MEANT, "added_since_va": since}), by={"r-01": year}))
    assert words in told["Loads added since"]


def test_what_thirty_days_can_miss_is_what_the_measured_house_shows(month: Reduction, year: Reduction) -> None:
    """Worst and median shares and phases of three years of a measured house (tests/recordings/test_household.py)."""
    told = holds(sheet_of(LEG.model_copy(update=MEANT), by={"r-01": month}))
    assert "46.7 %" in told["What 30 days can miss"] and "70 to 84 %" in told["What 30 days can miss"]
    assert float(evidence_holds.WORST_30_DAYS) == round(100 * min(each[3] for each in YEARS.values()), 1)
    medians = [each[4] for each in YEARS.values()]
    assert (round(100 * min(medians)), round(100 * max(medians))) == (
        evidence_holds.LOWEST_MEDIAN, evidence_holds.HIGHEST_MEDIAN,
    )  # fmt: skip
    moved = max((highest - lowest) / highest for _, lowest, highest, _, _ in YEARS.values())
    assert round(100 * moved) == evidence_holds.PHASE_MOVES
    assert "30 days, here" not in told
    assert "possible stretches" in holds(sheet_of(YEAR.model_copy(update=MEANT), by={"r-01": year}))["30 days, here"]


def test_the_mapping_names_times_and_figures_only() -> None:
    """A column of quality is no time."""
    columns = (*MAPPING.columns, Column("quality", "quality"))
    mapping = replace(MAPPING, columns=columns)
    text = "".join(
        f"{line},{'quality' if n == 0 else 'estimated' if 100 <= n < 104 else 'actual'}\n"
        for n, line in enumerate(made_year(31).splitlines())
    )
    recording = LEG.model_copy(update={**MEANT, "mapping": mapping.to_json()})
    sheet = sheet_of(recording, by={"r-01": reduced(text, mapping)})
    assert "time in Start time, which" in rows_of(sheet, "recording")["What it means"]
    assert rows_of(sheet, "quality")["estimated"] == "4", "counted"
    bars = re.findall(r"h[\d.]+v5h-", "".join(b.svg for b in sheet.blocks if hasattr(b, "svg")))
    assert len(bars) == 1, "and drawn: one day of the month (readings 99 to 103 lie on January 2), none in its week"


def test_doubtful_days_are_drawn_where_they_lie(month: Reduction) -> None:
    """January 3 and 4 (days 2 and 3 from 0): two bars; a stretch that ends at midnight takes no day more."""
    day_2 = month.quality.first_s + 2 * 86_400
    drawn = plots.day_hours_plot(month.days, EN, [(day_2, day_2 + 2 * 86_400)], evidence_zone())
    assert len(re.findall(r"h[\d.]+v5h-", drawn)) == 2
    assert "v5h-" not in plots.day_hours_plot(month.days, EN, [], evidence_zone())


def evidence_zone() -> Any:
    from deadfront.documents.evidence_sheet import zone_of

    return zone_of(LEG.model_copy(update=MEANT))


def test_a_recording_that_could_not_be_read_says_why() -> None:
    from deadfront.msg import said

    why = said("load.may.measured_file_missing", file="usage.csv")
    context = replace(measured(YEAR.model_copy(update=MEANT), by={}), unread={"r-01": why})
    sheet = evidence_sheet(load_answer(context, "measured"), HEAD, EN)
    assert sheet is not None
    html = sheet_html(sheet, EN).replace("\u00a0", " ")
    assert html.count("depends on usage.csv, which is not beside the job") >= 2
