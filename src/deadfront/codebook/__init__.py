"""What the codes say: editions, local amendments, tables as data, rules named by subject.

Comes in: an edition, local amendments, a license holder's confirmations; its own data files.
Goes out: Values, Tables, Rules and found rows, each with section, status and source.
May import: quantities, errors, msg, worksheet.
Start reading: book.py, then entries.py; data/coverage says what is supported.
"""

from deadfront.codebook.amendments import (
    Amendment,
    Requirement,
    amendment_from_dict,
    as_dict,
    read_amendments,
)
from deadfront.codebook.book import Codebook, open_book
from deadfront.codebook.editions import EDITIONS
from deadfront.codebook.entries import Rule, Table, Value
from deadfront.codebook.lookup import (
    Found,
    ampacity,
    dryer_percent,
    dwelling_rating,
    dwelling_size,
    motor_current,
    multifamily_percent,
    range_demand,
    standard_ratings,
)
from deadfront.codebook.overlay import Overlay, read_overlay

__all__ = [
    "EDITIONS",
    "Amendment",
    "Codebook",
    "Found",
    "Overlay",
    "Requirement",
    "Rule",
    "Table",
    "Value",
    "amendment_from_dict",
    "ampacity",
    "as_dict",
    "dryer_percent",
    "dwelling_rating",
    "dwelling_size",
    "motor_current",
    "multifamily_percent",
    "open_book",
    "range_demand",
    "read_amendments",
    "read_overlay",
    "standard_ratings",
]
