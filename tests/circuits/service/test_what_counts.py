"""What counts as an electrode: what it is, how long and how thick it is, and what else stands in the system."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.documents.catalog import Catalog
from tests.circuits.service.houses import checks_of, required, told
from tests.circuits.service.test_grounding_checks import ROD, ROD_2, WATER, grounding

OTHER = {"id": "e-zz", "kind": "other", "conductor_size": "8", "conductor_metal": "copper"}


@pytest.mark.parametrize(
    ("electrodes", "outcome"),
    [
        ([OTHER], "CANNOT_TELL only_other"),
        ([OTHER, WATER], "CANNOT_TELL only_other"),
        ([OTHER, ROD], "MEETS met"),
        ([{**WATER, "length_ft": 4}], "FAILS not_one"),
        ([WATER], "FAILS water_alone"),
    ],
)
def test_what_nobody_named_is_no_pass(electrodes: list[dict[str, Any]], outcome: str) -> None:
    """250.52(B): metal gas piping underground and aluminum are none (from memory)."""
    assert told(grounding(*electrodes), "grounding.electrodes")[0] == outcome


def test_no_larger_conductor_is_asked_for_to_what_may_be_a_gas_pipe() -> None:
    facts = grounding(OTHER, conductor_size="8", conductor_metal="copper")
    found = [check for check in checks_of(facts) if check.id == "grounding.electrode_conductor"]
    assert {check.outcome.name for check in found} == {"CANNOT_TELL"}
    assert required(facts, "electrode_conductor", "e-zz").smallest == ()


def test_a_single_rod_is_not_supplemented_by_what_nobody_named() -> None:
    assert told(grounding(ROD, OTHER), "grounding.rods") == ["CANNOT_TELL alone_open"]
    assert told(grounding(ROD, OTHER, electrodes_resistance_ohm=60), "grounding.rods") == ["CANNOT_TELL alone_open"]


@pytest.mark.parametrize(
    ("inches", "listed", "outcome"),
    [
        (0.375, True, "FAILS"),
        (0.5, None, "CANNOT_TELL"),
        (0.5, True, "MEETS"),
        (0.5, False, "FAILS"),
        (0.625, None, "MEETS"),
    ],
)
def test_a_thin_rod_is_none(inches: float, listed: bool | None, outcome: str) -> None:
    """From memory: 5/8 in, or 1/2 in where listed (250.52(A)(5))."""
    rod = {**ROD, "diameter_in": inches} | ({} if listed is None else {"listed": listed})
    assert told(grounding(rod), "grounding.electrodes", "e-aa")[1] == f"{outcome} thick_{outcome.lower()}"


SHORT_PIPE = {**WATER, "length_ft": 4}
BOND = {"water_pipe": "yes", "water_bonded": "yes", "water_bond_size": "4", "water_bond_metal": "copper",
        "water_bond_ft": 30}  # fmt: skip


def test_a_short_water_pipe_beside_rods_is_piping_to_bond() -> None:
    """250.52(A)(1): under 10 ft it is no electrode; 250.68(C)(1), the 5 ft, is not its rule (from memory)."""
    facts = grounding(ROD, ROD_2, SHORT_PIPE, **BOND)
    assert told(facts, "grounding.electrodes", "e-bb") == ["NOT_APPLICABLE length_not_applicable"]
    assert told(facts, "grounding.water") == ["MEETS meets"]
    alone = grounding(SHORT_PIPE, **BOND)
    assert told(alone, "grounding.electrodes", "e-bb") == ["FAILS length_fails"]


def test_two_rods_too_close_are_one_finding() -> None:
    rods = grounding({**ROD, "apart_ft": 4}, {**ROD_2, "apart_ft": 4})
    found = [check.thing for check in checks_of(rods) if check.id == "grounding.rods"]
    assert found == ["e-aa"]
    three = grounding({**ROD, "apart_ft": 4}, {**ROD_2, "apart_ft": 8})
    found = [check.outcome.name for check in checks_of(three) if check.id == "grounding.rods"]
    assert found == ["FAILS", "MEETS"]


def test_an_electrode_without_a_name_is_called_by_kind_and_number() -> None:
    found = [c.say for c in checks_of(grounding(ROD, ROD_2)) if (c.id, c.thing) == ("grounding.electrodes", "e-ab")]
    assert Catalog("en").say(found[0]) == "rod 2: 8 ft in the earth is long enough."
