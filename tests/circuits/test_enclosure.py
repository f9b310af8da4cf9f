"""Openings of enclosures and the radio signal at the closed panel.

Holes: 1/2 is 7/8 in, 3/4 is 1-7/64 in, 1 is 1-3/8 in (hole-saw guide and a connector maker's page); above from memory.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from deadfront.circuits.rules.each import enclosure_openings, enclosure_signal
from deadfront.codebook import EDITIONS, open_book
from deadfront.codebook.knockouts import knockout
from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.documents.findings import finding_text
from deadfront.errors import OutOfTable
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from tests.circuits.site_house import PLAIN, facts, one

NOMINAL = {
    "1/2": "7/8", "3/4": "71/64", "1": "11/8", "1-1/4": "111/64", "1-1/2": "127/64", "2": "79/32", "2-1/2": "95/32",
    "3": "115/32", "3-1/2": "33/8", "4": "297/64",
}  # fmt: skip
"""Published as fractions of an inch: 7/8, 1-7/64, 1-3/8, 1-47/64, 1-63/64, 2-15/32, 2-31/32, 3-19/32, 4-1/8,
4-41/64."""


def checks(*, new: bool = True, mounting: str | None = "surface", **opening: Any) -> list[Check]:
    """The checks of one opening in the main panel, new or found."""
    thing = {"id": "o-01", "panel": "p-m1", **opening}
    panels = [{**PLAIN["panels"][0], "mounting": mounting}]
    work = [{"id": "w-01", "say": "Opening", "add": {"openings": [thing]}}] if new else []
    made = list(enclosure_openings.checks(facts(PLAIN, *work, panels=panels, openings=[] if new else [thing])))
    for check in made:
        assert check.id in enclosure_openings.IDS
        for language in LANGUAGES:
            text = finding_text(check, Catalog(language, strict=True))
            assert "[" not in text.say + " ".join(text.more)
    return made


def outcome(ident: str, **opening: Any) -> Outcome | None:
    """What one check of an opening comes to; None where it is not made."""
    found = [each for each in checks(**opening) if each.id == f"enclosure.{ident}"]
    return found[0].outcome if found else None


# --- the table -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("edition", EDITIONS)
def test_holes_by_trade_size(edition: str) -> None:
    book = open_book(edition)
    holes = [knockout(book, size) for size in NOMINAL]
    for size, hole in zip(NOMINAL, holes, strict=True):
        assert abs(hole.nominal_in - Decimal(Fraction(NOMINAL[size]).numerator) / Fraction(NOMINAL[size]).denominator
                   ) <= Decimal("0.0006"), size  # fmt: skip
        assert (hole.cite.code, hole.cite.edition) == (
            "trade practice",
            "",
        ) and hole.least_in <= hole.saw_in <= hole.most_in
    assert [h.cite.status for h in holes] == ["partly"] * 3 + ["memory"] * 7
    for hole, larger in zip(holes, holes[1:], strict=False):
        assert hole.most_in < larger.least_in == hole.next_in
    assert holes[-1].next_in is None
    with pytest.raises(OutOfTable):
        knockout(book, "5")


# --- openings ------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"state": "open"}, Outcome.FAILS),
        ({"state": "used", "passes": "nothing"}, Outcome.FAILS),
        ({"state": "used", "passes": "cable"}, None),
        ({"passes": "cable"}, None),
        ({}, Outcome.CANNOT_TELL),
        ({"state": "closed", "fitting_listed": True}, Outcome.MEETS),
        ({"state": "closed", "fitting_listed": False}, Outcome.FAILS),
        ({"state": "closed"}, Outcome.CANNOT_TELL),
    ],
)
def test_open_closed_or_used(fields: dict[str, Any], expected: Outcome | None) -> None:
    assert outcome("opening", **fields) is expected


@pytest.mark.parametrize(
    ("fields", "expected"),
    [({"state": "open"}, Outcome.FAILS), ({}, Outcome.CANNOT_TELL), ({"state": "closed"}, None)],
)
def test_an_old_opening_is_told_where_it_is_open_and_asked_as_a_note(
    fields: dict[str, Any], expected: Outcome | None
) -> None:
    assert outcome("opening", new=False, **fields) is expected
    for check in checks(new=False, **fields):
        assert check.reach is Reach.EXISTING
        assert check.severity is (Severity.CORRECT if expected is Outcome.FAILS else Severity.NOTE)


@pytest.mark.parametrize("passes", ["cable", "raceway", "CT leads", "antenna", "control wires", None])
@pytest.mark.parametrize(("listed", "expected"), [(True, Outcome.MEETS), (False, Outcome.FAILS),
                                                  (None, Outcome.CANNOT_TELL)])  # fmt: skip
def test_fittings(passes: str | None, listed: bool | None, expected: Outcome) -> None:
    assert outcome("fitting", state="used", passes=passes, fitting_listed=listed) is expected
    old = outcome("fitting", new=False, state="used", passes=passes, fitting_listed=listed)
    assert old is (None if listed is None else expected)


def test_outdoors_above_live_parts_the_fitting_is_for_wet_places() -> None:
    def cited(side: str, mounting: str) -> str:
        made = checks(state="used", passes="cable", fitting_listed=False, side=side, mounting=mounting)
        return one(made, "enclosure.fitting", "o-01").cites[0].section

    assert [cited("top", "outdoor"), cited("bottom", "outdoor"), cited("top", "surface")] == ["312.2", "312.5", "312.5"]


@pytest.mark.parametrize(
    ("mounting", "sealed", "expected"),
    [
        ("outdoor", True, Outcome.MEETS), ("outdoor", False, Outcome.FAILS), ("outdoor", None, Outcome.CANNOT_TELL),
        ("surface", False, None), ("flush", None, None),
        (None, None, Outcome.CANNOT_TELL), (None, False, Outcome.CANNOT_TELL), (None, True, Outcome.MEETS),
    ],
)  # fmt: skip
def test_seals(mounting: str | None, sealed: bool | None, expected: Outcome | None) -> None:
    assert outcome("seal", state="used", passes="antenna", sealed=sealed, mounting=mounting) is expected


def test_where_the_place_of_the_panel_is_not_known_it_is_asked_for() -> None:
    made = checks(state="used", passes="antenna", mounting=None)
    paths = [m.path for m in one(made, "enclosure.seal", "o-01").missing]
    assert paths == ["before/p-m1.mounting", "w-01/o-01.sealed"]


@pytest.mark.parametrize(
    ("size", "cut", "listed", "expected"),
    [
        ("3/4", None, None, Outcome.NOT_APPLICABLE),
        ("3/4", "1.109", None, Outcome.MEETS), ("3/4", "1.125", None, Outcome.MEETS),  # the hole, its usual saw
        ("3/4", "1.1", None, Outcome.FAILS), ("3/4", "0.875", None, Outcome.FAILS),  # a hole for 1/2
        ("3/4", "1.2", None, Outcome.CANNOT_TELL), ("3/4", "1.2", True, Outcome.MEETS),
        ("3/4", "1.2", False, Outcome.FAILS),
        ("3/4", "1.375", None, Outcome.FAILS), ("3/4", "1.375", True, Outcome.MEETS),  # a hole for 1; washers listed
        ("4", "4.625", None, Outcome.MEETS), ("4", "5", None, Outcome.CANNOT_TELL),
    ],
)  # fmt: skip
def test_cut_holes(size: str, cut: str | None, listed: bool | None, expected: Outcome) -> None:
    made = checks(state="used", passes="raceway", trade_size=size, diameter_in=cut, fitting_listed=listed)
    check = one(made, "enclosure.hole", "o-01")
    assert check.outcome is expected
    assert check.step is not None and check.step.op == "lookup"
    assert check.step.value.low == knockout(open_book("2023"), size).nominal_in


def test_a_trade_size_that_is_none_is_told_with_what_is_allowed() -> None:
    check = one(checks(state="used", passes="raceway", trade_size="5/7"), "enclosure.hole", "o-01")
    assert check.outcome is Outcome.CANNOT_TELL
    assert "1/2, 3/4, 1" in Catalog("en", strict=True).say(check.say)
    assert [m.path for m in check.missing] == ["w-01/o-01.trade_size"]


def test_an_opening_without_a_panel_never_passes_in_silence() -> None:
    two = {"id": "w-01", "say": "x", "add": {"panels": [{"id": "p-m2"}],
           "openings": [{"id": "o-01", "state": "used", "passes": "cable"}]}}  # fmt: skip
    made = list(enclosure_openings.checks(facts(PLAIN, two)))
    assert one(made, "enclosure.seal", "o-01").outcome is Outcome.CANNOT_TELL
    assert one(made, "enclosure.seal", "o-01").missing[0].path == "w-01/o-01.panel"


# --- signal --------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("measured", "needed", "expected", "apart"),
    [
        (67, 75, Outcome.MEETS, 8), (75, 75, Outcome.MEETS, 0), (80, 75, Outcome.FAILS, 5),  # hand: 75 - 67, 80 - 75
        (None, 75, Outcome.CANNOT_TELL, None), (67, None, Outcome.CANNOT_TELL, None),
    ],
)  # fmt: skip
def test_signal(measured: int | None, needed: int | None, expected: Outcome, apart: int | None) -> None:
    panels = [{**PLAIN["panels"][0], "signal_below_dbm": measured, "signal_needed_dbm": needed}]
    (check,) = enclosure_signal.checks(facts(PLAIN, panels=panels))
    assert (check.outcome, check.severity) == (expected, Severity.NOTE)
    assert (None if check.step is None else check.step.value.low) == apart
    for language in LANGUAGES:
        text = finding_text(check, Catalog(language, strict=True))
        assert apart is None or f"{apart} dB" in text.say.replace("\u00a0", " ")


def test_signal_is_asked_for_only_where_there_is_gear() -> None:
    assert list(enclosure_signal.checks(facts(PLAIN))) == []
    gear = [{"id": "g-01", "kind": "metering", "panel": "p-m1"}]
    (check,) = enclosure_signal.checks(facts(PLAIN, gear=gear))
    assert [m.path for m in check.missing] == ["before/p-m1.signal_below_dbm", "before/p-m1.signal_needed_dbm"]
