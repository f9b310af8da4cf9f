"""The printed tables, typed by hand from the rules digest; they share no data file with the package under test.

Status follows the digest: Table 220.55 columns A and B from 18 appliances up, Table 220.54 rows 6, 7, 8 and 24 up,
most rows of Table 220.84 and the list of standard ratings are from memory there; the rest was seen in a source.
"""

from __future__ import annotations

from fractions import Fraction

EDITIONS = ("2014", "2017", "2020", "2023", "2026")

# Table 220.55, appliances 1 to 25: (column A percent, column B percent, column C kW).
RANGE_ROWS = {
    1: (80, 80, 8),
    2: (75, 65, 11),
    3: (70, 55, 14),
    4: (66, 50, 17),
    5: (62, 45, 20),
    6: (59, 43, 21),
    7: (56, 40, 22),
    8: (53, 36, 23),
    9: (51, 35, 24),
    10: (49, 34, 25),
    11: (47, 32, 26),
    12: (45, 32, 27),
    13: (43, 32, 28),
    14: (41, 32, 29),
    15: (40, 32, 30),
    16: (39, 28, 31),
    17: (38, 28, 32),
    18: (37, 28, 33),
    19: (36, 28, 34),
    20: (35, 28, 35),
    21: (34, 26, 36),
    22: (33, 26, 37),
    23: (32, 26, 38),
    24: (31, 26, 39),
    25: (30, 26, 40),
}

DRYER_PERCENT = {1: 100, 2: 100, 3: 100, 4: 100, 5: 85, 6: 75, 7: 65, 8: 60, 9: 55, 10: 50, 11: 47}

# Table 220.84: (most units in the row, percent).
MULTIFAMILY_ROWS = [
    (5, 45),
    (7, 44),
    (10, 43),
    (11, 42),
    (13, 41),
    (15, 40),
    (17, 39),
    (20, 38),
    (21, 37),
    (23, 36),
    (25, 35),
    (27, 34),
    (30, 33),
    (31, 32),
    (33, 31),
    (36, 30),
    (38, 29),
    (42, 28),
    (45, 27),
    (50, 26),
    (55, 25),
    (61, 24),
]

STANDARD_RATINGS_A = [
    15,
    20,
    25,
    30,
    35,
    40,
    45,
    50,
    60,
    70,
    80,
    90,
    100,
    110,
    125,
    150,
    175,
    200,
    225,
    250,
    300,
    350,
    400,
    450,
    500,
    600,
    700,
    800,
    1000,
    1200,
    1600,
    2000,
    2500,
    3000,
    4000,
    5000,
    6000,
]


def percent(number: int | Fraction) -> Fraction:
    """A percentage as an exact fraction."""
    return Fraction(number) / 100


def range_column_a(count: int) -> Fraction:
    """Table 220.55 column A, appliances under 3 1/2 kW, as a fraction of the nameplate sum."""
    return percent(RANGE_ROWS[count][0] if count <= 25 else 30)


def range_column_b(count: int) -> Fraction:
    """Table 220.55 column B, 3 1/2 to 8 3/4 kW, as a fraction of the nameplate sum."""
    if count <= 25:
        return percent(RANGE_ROWS[count][1])
    for last, value in ((30, 24), (40, 22), (50, 20), (60, 18)):
        if count <= last:
            return percent(value)
    return percent(16)


def range_column_c_va(count: int) -> Fraction:
    """Table 220.55 column C, not over 12 kW, maximum demand [VA]."""
    if count <= 25:
        return Fraction(RANGE_ROWS[count][2]) * 1000
    if count <= 40:
        return (Fraction(15) + count) * 1000
    return (Fraction(25) + Fraction(3, 4) * count) * 1000


def dryer_factor(count: int) -> Fraction:
    """Table 220.54 as a fraction."""
    if count <= 11:
        return percent(DRYER_PERCENT[count])
    if count <= 23:
        return percent(47 - (count - 11))
    if count <= 42:
        return percent(Fraction(35) - Fraction(1, 2) * (count - 23))
    return percent(25)


def multifamily_factor(units: int) -> Fraction:
    """Table 220.84 as a fraction; three units or more."""
    for last, value in MULTIFAMILY_ROWS:
        if units <= last:
            return percent(value)
    return percent(23)


def lighting_unit_load_va_ft2(edition: str) -> int:
    """General lighting of a dwelling unit for service and feeder [VA/ft2], Part III and the optional house method."""
    return 2 if edition == "2026" else 3


MULTIFAMILY_UNIT_LOAD_VA_FT2 = 3  # every edition: the digest confirms 2 VA/ft2 for 120.41 and 120.82, not for 120.84


def optional_first_va(edition: str) -> int:
    """The part of the general load that the optional house method takes at 100 % [VA]."""
    return 8000 if edition == "2026" else 10000
