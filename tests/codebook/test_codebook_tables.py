"""Laws the tables must keep, and figures that worked examples print."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from deadfront.codebook import (
    EDITIONS,
    Codebook,
    ampacity,
    dryer_percent,
    dwelling_rating,
    dwelling_size,
    motor_current,
    multifamily_percent,
    open_book,
    range_demand,
    standard_ratings,
)
from deadfront.errors import OutOfTable
from deadfront.quantities import size_rank

METALS = ("copper", "aluminum")
COLUMNS = (60, 75, 90)


@pytest.fixture(params=EDITIONS)
def book(request: pytest.FixtureRequest) -> Codebook:
    return open_book(request.param)


# --- cooking -----------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("count", "c_va"),
    [
        (1, 8000),  # published: Annex D1(a)
        (8, 23000),  # published: Annex D5(a), 2 x 4 ranges
        (10, 25000),  # published: Annex D4(a), 10 ranges
        (14, 29000),  # published: Annex D5(a), 2 x 7 ranges
        (20, 35000),  # published: Annex D4(a), 20 ranges
        (24, 39000),  # published: Annex D6 part A
        (30, 45000),  # published: Annex D6 part B
        (40, 55000),  # hand: 15 + 40 kW
        (41, 55750),  # hand: 25 + 0.75 x 41 kW
        (100, 100000),  # hand: 25 + 75 kW
    ],
)
def test_column_c_as_printed(book: Codebook, count: int, c_va: int) -> None:
    assert range_demand(book, count).c_va.value == c_va


def test_one_small_cooking_appliance_takes_80_percent(book: Codebook) -> None:
    """Published: course example, one 3 kW oven at 80 percent is 2400 VA; forum example, 6 kW oven 4800 VA."""
    row = range_demand(book, 1)
    assert row.a_percent.value * 3000 / 100 == 2400
    assert row.b_percent.value * 6000 / 100 == 4800


def test_two_ovens_take_65_percent_in_column_b(book: Codebook) -> None:
    """Published: a municipal code's example, 11,500 VA x 65 percent = 7475 VA."""
    assert range_demand(book, 2).b_percent.value * 11500 / 100 == 7475


def test_cooking_demand_rises_with_the_count_and_its_percents_never_do(book: Codebook) -> None:
    rows = [range_demand(book, count) for count in range(1, 121)]
    for one, next_one in zip(rows, rows[1:], strict=False):
        assert next_one.c_va.value > one.c_va.value
        assert next_one.a_percent.value <= one.a_percent.value
        assert next_one.b_percent.value <= one.b_percent.value
        assert next_one.b_percent.value <= next_one.a_percent.value


def test_column_c_follows_its_own_steps(book: Codebook) -> None:
    """Independent: 5 + 3n to five appliances, 15 + n from five to forty, 25 + 0.75n from forty up [kW]."""
    for count in range(1, 90):
        by_formula = 5000 + 3000 * count if count <= 5 else 15000 + 1000 * count if count <= 40 else 25000 + 750 * count
        assert range_demand(book, count).c_va.value == by_formula


def test_cooking_cells_carry_their_own_status() -> None:
    """Tables' notes: columns A and B two sources to 3, one source to 17, from memory above; C to 30 by examples."""
    book = open_book("2023")
    told = {count: range_demand(book, count) for count in (3, 4, 18, 35, 70)}
    assert [told[count].a_percent.cite.status for count in told] == ["verified", "partly", "memory", "memory", "memory"]
    assert [told[count].c_va.cite.status for count in told] == ["verified", "verified", "verified", "partly", "memory"]
    assert told[18].a_percent.cite.source == "M" and told[18].a_percent.cite.marked
    assert range_demand(open_book("2026"), 3).a_percent.cite.status == "partly"


def test_formula_rows_say_so() -> None:
    book = open_book("2023")
    assert range_demand(book, 28).c_va.row == "26-30: 15000 + 1000 x 28"
    assert range_demand(book, 61).a_percent.row == "61+"
    assert dryer_percent(book, 20).row == "12-23: 47 - 1 x (20 - 11)"
    assert dryer_percent(book, 5).row == "5"


# --- dryers ------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("count", "percent"),
    [
        (1, "100"), (4, "100"), (5, "85"), (9, "55"), (10, "50"), (11, "47"),  # published: pages listing the table
        (12, "46"), (23, "35"),  # hand: 47 - 1, 47 - 12
        (24, "34.5"), (42, "25.5"), (43, "25"),  # hand: 35 - 0.5, 35 - 9.5; from memory above 23
    ],
)  # fmt: skip
def test_dryer_percent(book: Codebook, count: int, percent: str) -> None:
    assert dryer_percent(book, count).value == Decimal(percent)


def test_dryer_percent_falls_without_a_jump_at_the_joins(book: Codebook) -> None:
    percents = [dryer_percent(book, count).value for count in range(1, 60)]
    assert percents == sorted(percents, reverse=True)
    assert percents[22] - percents[23] == percents[41] - percents[42] == Decimal("0.5")
    assert percents[10] - percents[11] == 1


# --- multifamily -------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("units", "percent"),
    [
        (3, 45),  # published: forum's worked duplex, 45 percent as for three units
        (12, 41),  # published: forum's 12-unit building, 41 percent
        (20, 38),  # tables' notes: row checked by a worked example
        (40, 28),  # tables' notes: row checked by a worked example
        (62, 23),  # from memory
    ],
)
def test_multifamily_percent(units: int, percent: int) -> None:
    assert multifamily_percent(open_book("2023"), units).value == percent


def test_multifamily_rows_join_and_never_rise() -> None:
    rows = open_book("2020").table("multifamily_demand").rows
    for row, next_row in zip(rows, rows[1:], strict=False):
        assert next_row["units_min"] == row["units_max"] + 1  # type: ignore[operator]
        assert next_row["percent"] < row["percent"]  # type: ignore[operator]


def test_count_tables_have_no_gap(book: Codebook) -> None:
    for name in ("range_demand", "dryer_demand"):
        rows = book.table(name).rows
        for row, next_row in zip(rows, rows[1:], strict=False):
            assert next_row["count_min"] == row["count_max"] + 1  # type: ignore[operator]


# --- lighting ----------------------------------------------------------------------------------------------------
def test_lighting_demand_as_in_the_worked_example(book: Codebook) -> None:
    """Published: Annex D4(a) main feeder, 3000 VA at 100, 117,000 at 35, 100,800 at 25 percent."""
    rows = book.table("lighting_demand").rows
    load_va, total_va = Decimal(220800), Decimal(0)
    for row in rows:
        upto_va = load_va if row["load_upto_va"] is None else min(load_va, row["load_upto_va"])
        total_va += (upto_va - row["load_over_va"]) * row["percent"] / 100  # type: ignore[operator]
    assert total_va == 3000 + 40950 + 25200


def test_lighting_demand_parts_join_and_fall(book: Codebook) -> None:
    table = book.table("lighting_demand")
    for row, next_row in zip(table.rows, table.rows[1:], strict=False):
        assert next_row["load_over_va"] == row["load_upto_va"]
        assert next_row["percent"] < row["percent"]  # type: ignore[operator]
    assert table.label(table.rows[-1]) == "120000+"


# --- conductors --------------------------------------------------------------------------------------------------
def test_ampacity_rises_with_size_and_with_temperature(book: Codebook) -> None:
    for metal in METALS:
        sizes = [str(row["size"]) for row in book.table("conductor_ampacity").rows if row["metal"] == metal]
        assert sizes == sorted(sizes, key=size_rank)
        for celsius in COLUMNS:
            amperes = [ampacity(book, size, metal, celsius).value for size in sizes]
            assert amperes == sorted(set(amperes))
        for size in sizes:
            by_column = [ampacity(book, size, metal, celsius).value for celsius in COLUMNS]
            assert by_column == sorted(set(by_column))


def test_copper_carries_more_than_aluminum(book: Codebook) -> None:
    for row in book.table("conductor_ampacity").rows:
        if row["metal"] == "aluminum":
            for celsius in COLUMNS:
                carried_a = ampacity(book, str(row["size"]), "aluminum", celsius).value
                assert carried_a < ampacity(book, str(row["size"]), "copper", celsius).value


def test_pre_2011_ampacities_are_not_here(book: Codebook) -> None:
    """Tables' notes, cells that changed: 14 AWG 60 C 20 -> 15, 6 AWG Al 90 C 60 -> 55, 3 AWG 90 C 110 -> 115."""
    assert ampacity(book, "14", "copper", 60).value == 15
    assert ampacity(book, "6", "aluminum", 90).value == 55
    assert ampacity(book, "3", "copper", 90).value == 115


def test_printed_dwelling_sizes_are_the_smallest_that_carry_83_percent(book: Codebook) -> None:
    """Independent: every entry recomputed from the 75 C column."""
    for row in book.table("dwelling_service_conductors").rows:
        rating_a = row["rating_a"]
        assert isinstance(rating_a, Decimal)
        for metal in METALS:
            of_metal = [each for each in book.table("conductor_ampacity").rows if each["metal"] == metal]
            fit = [each["size"] for each in of_metal if each["current_75c_a"] * 100 >= rating_a * 83]  # type: ignore[operator]
            assert dwelling_size(book, rating_a, metal).value == fit[0], (rating_a, metal)


@pytest.mark.parametrize(
    ("size", "metal", "rating_a"),
    [
        ("4", "copper", 100),  # published: distributor's page on Table 310.12
        ("4/0", "aluminum", 200),  # published: the same
        ("2/0", "copper", 200),  # published: the same
        ("600", "aluminum", 400),  # published: the same
        ("2000", "copper", 400),  # hand: 665 A, the rule ends at 400 A
    ],
)
def test_rating_a_conductor_may_serve(book: Codebook, size: str, metal: str, rating_a: int) -> None:
    found = dwelling_rating(book, size, metal)
    assert found is not None and found.value == rating_a


def test_a_size_is_no_better_supported_than_its_ampacity() -> None:
    """Tables' notes: aluminum 600 kcmil stands in one source, 4/0 in two."""
    by_size = [dwelling_rating(open_book("2023"), size, "aluminum") for size in ("600", "4/0")]
    assert [found.cite.status for found in by_size if found] == ["partly", "verified"]


def test_small_conductors_serve_no_whole_dwelling(book: Codebook) -> None:
    """Hand: 6 AWG copper carries 65 A at 75 C, less than 83 A."""
    assert dwelling_rating(book, "6", "copper") is None


# --- motors and standard ratings -----------------------------------------------------------------------------------
def test_motor_current_falls_with_volts_and_rises_with_horsepower(book: Codebook) -> None:
    table = book.table("motor_current_single_phase")
    for column in table.columns[1:]:
        amperes = [row[column] for row in table.rows]
        assert amperes == sorted(set(amperes))  # type: ignore[type-var]
    for row in table.rows:
        by_volts = [row[column] for column in table.columns[1:]]
        assert by_volts == sorted(set(by_volts), reverse=True)  # type: ignore[type-var]


@pytest.mark.parametrize(
    ("hp", "volts", "current_a"),
    [
        ("1/4", "115", "5.8"), ("1/2", "120", "9.8"), ("1/2", "240", "4.9"), ("1", "208", "8.8"), ("3", "200", "19.6"),
    ],
)  # fmt: skip
def test_motor_current(book: Codebook, hp: str, volts: str, current_a: str) -> None:
    """Published: two pages that list the single-phase motor table."""
    assert motor_current(book, hp, Decimal(volts)).value == Decimal(current_a)


def test_ten_amperes_is_a_standard_rating_from_2023() -> None:
    """Published: course page on the standard ratings of 2023."""
    assert [standard_ratings(open_book(each))[0] for each in EDITIONS] == [15, 15, 15, 10, 10]


def test_standard_ratings_rise_and_leave_out_fuse_sizes(book: Codebook) -> None:
    ratings = standard_ratings(book)
    assert list(ratings) == sorted(set(ratings))
    assert not {1, 3, 6, 601} & set(ratings)
    assert {100, 110, 125, 150, 175, 200, 225, 400, 800, 6000} <= set(ratings)


# --- beyond the printed rows ---------------------------------------------------------------------------------------
def test_nothing_is_read_beyond_the_printed_rows(book: Codebook) -> None:
    calls = [
        lambda: range_demand(book, 0),
        lambda: dryer_percent(book, -1),
        lambda: multifamily_percent(open_book("2023"), 2),
        lambda: motor_current(book, "4", Decimal(240)),
        lambda: motor_current(book, "1", Decimal(277)),
        lambda: ampacity(book, "18", "copper", 60),
        lambda: ampacity(book, "4", "silver", 60),
        lambda: ampacity(book, "4", "copper", 105),
        lambda: dwelling_rating(book, "3000", "copper"),
        lambda: dwelling_size(book, Decimal(600), "copper"),
        lambda: dwelling_size(book, Decimal(200), "silver"),
    ]
    for call in calls:
        with pytest.raises(OutOfTable) as refused:
            call()
        assert refused.value.msg.params["allowed"] and refused.value.msg.params["section"]


@given(st.integers(-5, 500))
def test_any_count_is_found_or_refused(count: int) -> None:
    book = open_book("2023")
    if count < 1:
        with pytest.raises(OutOfTable):
            range_demand(book, count)
    else:
        assert 0 < range_demand(book, count).c_va.value <= 8000 * count
        assert 25 <= dryer_percent(book, count).value <= 100


def test_row_status_is_that_of_its_weakest_cell() -> None:
    table = open_book("2023").table("range_demand")
    told = {table.label(row): table.row_status(row) for row in table.rows}
    assert (told["1"], told["4"], told["18"]) == ("verified", "partly", "memory")
    motors = open_book("2026").table("motor_current_single_phase")
    assert motors.row_status(motors.rows[0]) == "partly"
