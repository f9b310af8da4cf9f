"""All methods on one case: a dict by method name, standard, optional_one, existing, two_family and multifamily.

Each answer is {"total_va": Fraction, "amperes": Fraction, "minimum_service_a": int, "parts": {...}, ...},
or {"refused": why}. A case this engine cannot read raises ValueError.
"""

from __future__ import annotations

from collections.abc import Callable

from . import model, optional, several, standard
from .tables import EDITIONS

METHODS: dict[str, Callable[[dict], dict]] = {
    "standard": standard.standard,
    "optional_one": optional.optional_one,
    "existing": optional.existing,
    "two_family": several.two_family,
    "multifamily": several.multifamily,
}


def one_method(method: str, case: dict) -> dict:
    """One method on one case, a refusal included."""
    if case["edition"] not in EDITIONS:
        return {"refused": f"edition {case['edition']} is not one of {', '.join(EDITIONS)}"}
    model.check_case(case)
    try:
        return METHODS[method](case)
    except model.RefusedError as refusal:
        return {"refused": str(refusal)}


def calculate(case: dict) -> dict[str, dict]:
    """Every method on one case."""
    return {method: one_method(method, case) for method in METHODS}
