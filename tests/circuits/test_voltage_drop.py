"""Voltage drop: figures by hand, what is not known, and laws that no house may break."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.circuits.rules.flows.drop_steps import Amperes, DropCase, Factor, Flow, drop_percent
from deadfront.circuits.rules.flows.segments import SegmentCase
from deadfront.codebook import open_book
from deadfront.codebook.impedance import conductor_impedance
from deadfront.msg import said
from deadfront.physics.drop import phasor_drop
from deadfront.quantities import SIZES, point
from deadfront.results.circuits import CircuitsResult, Drop
from deadfront.worksheet.check import Check, Outcome, Severity
from tests.circuits.flow_houses import answered, service_house

NEAR = Decimal("0.0005")


def house(cable: dict[str, Any], *, poles: int = 2, load: dict[str, Any] | None = None, **more: Any) -> CircuitsResult:
    """A house with one new circuit."""
    loads = [] if load is None else [{"id": "l-one", "kind": "other", "circuit": "c-one", **load}]
    spaces = (2, 4) if poles == 2 else (2,)
    collections: dict[str, Any] = {
        "breakers": [{"id": "b-one", "panel": "p-main", "spaces": spaces, "rating_a": 60, "poles": poles}],
        "circuits": [{"id": "c-one", "breaker": "b-one", "cable": cable, "outlet_kinds": ["fixed equipment"]}],
        "loads": loads,
    }
    return answered(service_house(**collections, **more), new=("c-one", "b-one"))


def drop_of(result: CircuitsResult, of: str = "c-one") -> Drop:
    return next(each for each in result.drops if each.of == of)


def check_of(result: CircuitsResult, ident: str) -> Check:
    return next(each for each in result.checks if each.id == ident and each.thing == "c-one")


SIX = {"type": "THWN-2 in raceway", "size": "6", "metal": "copper", "length_ft": 100}
IN_PVC = {"raceways": [{"id": "r-one", "kind": "PVC40"}]}


@pytest.mark.parametrize(("factor", "volts"), [("1", "4.70"), ("0.85", "4.25")])
def test_forty_eight_amperes_over_one_hundred_feet(factor: str, volts: str) -> None:
    """Hand: 48 A, 100 ft, 6 AWG copper in PVC (0.49 + j0.051 ohm/kft): 4.70 V at unity, 4.25 V at 0.85 lagging."""
    result = house(
        {**SIX, "raceway": "r-one"}, load={"nameplate_a": 48, "volts": 240, "power_factor": factor}, **IN_PVC
    )
    here = drop_of(result).here.value
    assert here.high is not None
    assert abs(here.low * Decimal("2.4") - Decimal(volts)) < Decimal("0.006")
    exact = phasor_drop(240, 48, float(factor), 0.2 * (0.49 + 0.051j))
    assert abs(float(here.low) * 2.4 - exact) < 1e-9 and here.low == here.high


def test_an_unknown_raceway_gives_a_range_that_holds_every_raceway() -> None:
    load = {"nameplate_a": 48, "volts": 240, "power_factor": "0.85"}
    open_ended = drop_of(house(SIX, load=load)).here
    assert not open_ended.value.exact and any(m.path.endswith("raceway") for m in open_ended.all_missing())
    for kind in ("PVC40", "IMC"):
        exact = drop_of(house({**SIX, "raceway": "r-one"}, load=load, raceways=[{"id": "r-one", "kind": kind}])).here
        assert open_ended.value.high is not None
        assert open_ended.value.low <= exact.value.low <= open_ended.value.high


def test_a_leg_to_neutral_circuit_loses_on_leg_and_neutral() -> None:
    """Hand: 12 A over 50 ft of 12 AWG NM-B, heat: 2 x 12 x 0.05 x 2.0 = 2.40 V of 120 V, less 0.0007 V across."""
    cable = {"type": "NM-B", "size": "12", "metal": "copper", "length_ft": 50}
    result = house(cable, poles=1, load={"kind": "space_heat", "nameplate_w": 1440, "volts": 120})
    here = drop_of(result).here.value
    assert abs(here.low - 2) < NEAR and here.exact


def amperes(value: object) -> Amperes:
    return Amperes(said("flow.circuit_load"), point(Decimal(str(value))))


lengths = st.tuples(
    st.sampled_from(["14", "10", "6", "2", "1/0", "4/0", "500"]), st.decimals(1, 300, places=1),
    st.decimals(1, 150, places=1), st.decimals("0.3", 1, places=3), st.sampled_from(["pvc", "aluminum", "steel"]),
)  # fmt: skip


@settings(max_examples=60)
@given(st.lists(lengths, min_size=1, max_size=4), st.booleans(), st.decimals(1, 30, places=1))
def test_steps_agree_with_complex_numbers(path: list[tuple[Any, ...]], to_neutral: bool, back: Decimal) -> None:
    """Independent: V - |V - sum of I Z| in complex floats, each length with its own current and power factor."""
    book, flows, lost = open_book("2023"), [], 0j
    for number, (size, feet, current, factor, raceway) in enumerate(path):
        case = SegmentCase(f"s{number}", said("flow.drop"), "x", size, "copper", feet, 1, None, None, True, (raceway,))
        flows.append(Flow(case, amperes(current), amperes(back) if to_neutral else None, Factor(factor, factor, True)))
        row = conductor_impedance(book, size, "copper", raceway)
        ohm = complex(float(row.resistance.value), float(row.reactance.value)) * float(feet) / 1000
        turned = complex(float(factor), -((1 - float(factor) ** 2) ** 0.5))
        lost += turned * ohm * (float(current) + float(back) if to_neutral else 2 * float(current))
    volts = 120 if to_neutral else 240
    found = drop_percent(DropCase(book, "t", f"nominal_volts_{volts}", tuple(flows))).value
    if lost.real < volts:  # beyond that no load could draw the current
        assert found.exact
        assert float(found.low) == pytest.approx(max(100 * (volts - abs(volts - lost)) / volts, 0), abs=1e-9)


def test_the_way_from_the_transformer_is_never_less_than_the_run() -> None:
    cable = {"type": "NM-B", "size": "12", "metal": "copper", "length_ft": 50}
    result = house(cable, poles=1, load={"kind": "space_heat", "nameplate_w": 1440, "volts": 120})
    drop = drop_of(result)
    assert drop.all_along is not None and drop.all_along.value.low >= drop.here.value.low
    assert check_of(result, "circuit.voltage_drop").severity is Severity.NOTE


def test_what_is_missing_ahead_leaves_at_least_the_drop_of_the_run() -> None:
    result = house({**SIX, "raceway": "r-one"}, load={"nameplate_a": 48, "volts": 240}, drop_ft=None, **IN_PVC)
    drop = drop_of(result)
    assert drop.all_along is not None
    assert drop.all_along.value.high is None and drop.all_along.value.low == drop.here.value.low
    assert "before/service.drop.length_ft" in {m.path for m in drop.all_along.all_missing()}
    assert check_of(result, "circuit.voltage_drop").outcome is Outcome.CANNOT_TELL


def test_without_a_load_the_basis_is_named() -> None:
    result = house({"type": "NM-B", "size": "6", "metal": "copper", "length_ft": 400})
    drop = drop_of(result)
    assert "drop_at_80_percent" in drop.here.all_assumed()
    found = check_of(result, "circuit.voltage_drop")
    assert found.outcome is Outcome.FAILS and found.say.key.endswith("_basis")


@pytest.mark.parametrize("length", [0, None])
def test_a_length_of_zero_or_none_is_no_length(length: int | None) -> None:
    result = house({"type": "NM-B", "size": "6", "metal": "copper"} | ({} if length is None else {"length_ft": length}))
    assert drop_of(result).here.value.low == 0 and not drop_of(result).here.value.exact
    assert check_of(result, "circuit.voltage_drop").outcome is Outcome.CANNOT_TELL
    said = [each for each in result.checks if each.id == "circuit.length"]
    assert [each.outcome for each in said] == ([Outcome.FAILS] if length == 0 else [])


def test_a_size_that_no_table_prints_is_said() -> None:
    result = house({"type": "NM-B", "size": "18", "metal": "copper", "length_ft": 40})
    missing = check_of(result, "circuit.voltage_drop").missing
    assert any(m.what.key == "codebook.out_of_table" for m in missing)


def test_bigger_never_drops_more_and_longer_never_less() -> None:
    load = {"nameplate_a": 40, "volts": 240, "power_factor": "0.9"}
    sizes = [size for size in SIZES if size not in ("18", "16", "700", "800", "900", "1250", "1500", "1750", "2000")]
    for metal in ("copper", "aluminum"):
        drops = []
        for size in sizes[metal == "aluminum" :]:
            cable = {"type": "THWN-2", "size": size, "metal": metal, "length_ft": 100, "raceway": "r-one"}
            drops.append(drop_of(house(cable, load=load, **IN_PVC)).here.value.low)
        assert drops == sorted(drops, reverse=True)
    cable = {**SIX, "raceway": "r-one"}
    by_length = [drop_of(house({**cable, "length_ft": ft}, load=load, **IN_PVC)).here.value.low for ft in (1, 10, 90)]
    assert by_length == sorted(by_length) and by_length[0] > 0


def test_swapped_legs_change_nothing() -> None:
    cable = {"type": "NM-B", "size": "12", "metal": "copper", "length_ft": 50}
    both = []
    for space in (1, 3):
        built = service_house(
            breakers=[{"id": "b-one", "panel": "p-main", "spaces": [space], "rating_a": 20, "poles": 1}],
            circuits=[{"id": "c-one", "breaker": "b-one", "cable": cable}],
        )
        found = drop_of(answered(built, new=("c-one",)))
        assert found.all_along is not None
        both.append((found.here.value, found.all_along.value))
    assert both[0] == both[1]


def test_a_circuit_whose_drop_cannot_begin_says_what_it_waits_for() -> None:
    built = service_house(circuits=[{"id": "c-one"}])
    told = check_of(answered(built, new=("c-one",)), "circuit.voltage_drop")
    assert told.outcome is Outcome.CANNOT_TELL and told.severity is Severity.NOTE
    assert {m.path for m in told.missing} >= {"w-new/c-one.breaker", "w-new/c-one.cable.length_ft"}
    bare = built.model_copy(update={"service": built.service.model_copy(update={"system": None})})
    told = check_of(answered(bare, new=("c-one",)), "circuit.voltage_drop")
    assert "before/service.system" in {m.path for m in told.missing}


def test_an_untouched_circuit_gets_its_figure_and_no_check() -> None:
    cable = {"type": "NM-B", "size": "14", "metal": "copper", "length_ft": 400}
    built = service_house(
        breakers=[{"id": "b-one", "panel": "p-main", "spaces": [1], "rating_a": 15, "poles": 1}],
        circuits=[{"id": "c-one", "breaker": "b-one", "cable": cable}],
    )
    result = answered(built)
    assert drop_of(result).here.value.low > 10
    assert not [each for each in result.checks if each.id == "circuit.voltage_drop"]
