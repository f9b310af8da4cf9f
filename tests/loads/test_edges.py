"""Edges: EVSE settings and management, parts of the service, several units, three phases, amendments, refusals.

Expected figures: hand, the working beside each.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from deadfront.codebook import open_book
from deadfront.codebook.amendments import Amendment, Setting
from deadfront.errors import NotAllowed
from deadfront.job.house import HouseAt, Tag, house_at
from deadfront.job.model import Job
from deadfront.job.things import (
    Breaker,
    Circuit,
    Complete,
    Conductors,
    Disconnect,
    EnergyManagement,
    House,
    Load,
    Meter,
    Panel,
    Service,
    Unit,
    Utility,
)
from deadfront.loads.rules.answer import load_answer
from deadfront.loads.rules.context import NOTHING_ELSE, Context
from deadfront.quantities import Interval, point
from deadfront.results.loads import LoadResult, Method
from deadfront.worksheet.check import Outcome, Severity

UNIT = Unit(id="u-01", floor_area_ft2=Decimal(1500), small_appliance_circuits=2, laundry_circuits=1)
WIRE = Conductors(size="4/0", metal="aluminum", terminals_c=75, needs_correction=False)
EVSE = Load(id="l-ev", kind="evse", nameplate_a=Decimal(48), volts=Decimal(240))
FACTS: dict[str, Any] = {
    "listed": True, "set_point_a": Decimal(40), "restricted_access": True, "lost_signal": "holds limit"
}  # fmt: skip


def service(**more: Any) -> Service:
    """A 200 A service on 4/0 aluminum, nothing in doubt."""
    said: dict[str, Any] = {
        "system": "120/240 1ph 3w", "disconnect": Disconnect(rating_a=Decimal(200)), "conductors": WIRE,
        "utility": Utility(limit="none"),
    }  # fmt: skip
    return Service(**{**said, **more})


def house(*loads: Load, edition: str = "2023", new: tuple[str, ...] = (), **more: Any) -> Context:
    """A house of 1,500 ft2: 9,000 VA of lighting and circuits, 5,100 VA after the tiers (3,000 + 35 % of 6,000)."""
    extra = {name: more.pop(name) for name in ("amendments", "assumptions", "readings", "existing") if name in more}
    parts: dict[str, Any] = {
        "complete": Complete(loads="yes"), "service": service(), "units": (UNIT,), "loads": loads,
        "meters": (Meter(id="m-01", socket_a=Decimal(200)),),
        "panels": (Panel(id="p-01", fed_by="service", bus_a=Decimal(200)),),
    }  # fmt: skip
    built = House(**{**parts, **more})
    things = (*built.units, *built.loads, *built.meters, *built.panels, *built.energy_management, *built.breakers)
    tags = {t.id: Tag("N", "w-01") if t.id in new else Tag("E", "before") for t in (*things, *built.circuits)}
    book = open_book(edition, amendments=extra.get("amendments", ()))
    return Context(
        book, HouseAt(built, "before", tags), frozenset(extra.get("assumptions", ())), extra.get("readings", {}),
        extra.get("existing", True),
    )  # fmt: skip


def by(context: Context, key: str = "standard") -> Method:
    found = load_answer(context).method(key)
    assert found is not None
    return found


def total(context: Context, key: str = "standard") -> tuple[Decimal, Decimal | None]:
    step = by(context, key).total
    assert step is not None
    return step.value.low, step.value.high


def outcome(answer: LoadResult, check: str) -> Outcome:
    return next(each.outcome for each in answer.checks if each.id == check)


# ---------- EVSE


@pytest.mark.parametrize(("edition", "restricted", "low", "high"), [
    # 48 A x 240 V = 11,520 VA; set to 32 A: 7,680 VA. 5,100 + those.
    ("2023", True, 12780, 12780), ("2023", False, 16620, 16620), ("2023", None, 12780, 16620),
    ("2020", True, 12780, 12780), ("2017", True, 16620, 16620), ("2014", None, 16620, 16620),
])  # fmt: skip
def test_an_adjusted_setting_counts_only_guarded_and_encoded(
    edition: str, restricted: bool | None, low: int, high: int
) -> None:
    load = EVSE.model_copy(update={"setting_a": Decimal(32), "setting_restricted": restricted})
    answer = load_answer(house(load, edition=edition))
    method = answer.method("standard")
    assert method is not None and method.total is not None
    assert (method.total.value.low, method.total.value.high) == (low, high)
    expected = {True: Outcome.MEETS, False: Outcome.FAILS, None: Outcome.CANNOT_TELL}[restricted]
    assert outcome(answer, "load.evse_setting") is (Outcome.FAILS if edition < "2020" else expected)
    waits = [missing.path for missing in method.waits_for()]
    assert ("before/l-ev.setting_restricted" in waits) == (restricted is None and edition >= "2020")


def test_a_setting_below_the_least_load_of_2023_is_raised_to_it() -> None:
    """16 A x 240 V = 3,840 VA, but 220.57 has 7,200 VA at least: 5,100 + 7,200."""
    load = EVSE.model_copy(update={"setting_a": Decimal(16), "setting_restricted": True})
    assert total(house(load)) == (12300, 12300)


def test_an_evse_without_a_nameplate() -> None:
    """2023: at least 7,200 VA, no upper limit. 2026: the nameplate, so nothing is known before it is read or chosen."""
    bare = Load(id="l-ev", kind="evse")
    assert total(house(bare)) == (12300, None)
    # 2026: 2 VA/ft2: 3,000 + 4,500 = 7,500; 3,000 + 35 % of 4,500 = 4,575 VA.
    assert total(house(bare, edition="2026")) == (4575, None)
    assert total(house(bare, edition="2026", new=("l-ev",))) == (4575, None)
    assert "w-01/l-ev.nameplate_w" in [m.path for m in by(house(bare, edition="2026", new=("l-ev",))).waits_for()]


def test_a_managed_group_counts_its_set_point_once_all_its_facts_are_on_file() -> None:
    """Two EVSE of 11,520 VA on a feeder held to 40 A: 40 x 240 x 125 % = 12,000 VA; 5,100 + 12,000."""
    first, second = (EVSE.model_copy(update={"id": i, "circuit": c}) for i, c in (("l-ev", "c-e1"), ("l-e2", "c-e2")))
    fed = {
        "breakers": (
            Breaker(id="b-f1", panel="p-01"), Breaker(id="b-e1", panel="p-02"), Breaker(id="b-e2", panel="p-02"),
        ),
        "circuits": (Circuit(id="c-e1", breaker="b-e1"), Circuit(id="c-e2", breaker="b-e2")),
        "panels": (Panel(id="p-01", fed_by="service", bus_a=Decimal(200)), Panel(id="p-02", fed_by="b-f1")),
    }  # fmt: skip
    whole = EnergyManagement(id="e-01", monitors="b-f1", controls=("l-ev", "l-e2"), **FACTS)
    assert total(house(first, second, energy_management=(whole,), **fed)) == (17100, 17100)
    for field in FACTS:
        lacking = whole.model_copy(update={field: None})
        assert total(house(first, second, energy_management=(lacking,), **fed)) == (28140, 28140), field
    # Conductors that do not carry the EVSE hold nothing back; circuits not entered leave it open.
    other = whole.model_copy(update={"monitors": "b-x1"})
    fed["breakers"] += (Breaker(id="b-x1", panel="p-01"),)
    assert total(house(first, second, energy_management=(other,), **fed)) == (28140, 28140)
    assert total(house(EVSE, EVSE.model_copy(update={"id": "l-e2"}), energy_management=(whole,))) == (17100, 28140)
    assert total(house(EVSE, second, energy_management=(whole,), edition="2017")) == (28140, 28140)
    no_limit = whole.model_copy(update={"lost_signal": "no limit"})
    assert total(house(EVSE, second, energy_management=(no_limit,))) == (28140, 28140)


# ---------- energy management of the service

SYSTEM = EnergyManagement(id="e-01", monitors="service", controls=("l-ev",), **{**FACTS, "set_point_a": Decimal(80)})


def test_the_limit_stands_for_the_load_as_a_continuous_load() -> None:
    """80 A x 240 V x 125 % = 24,000 VA, 100 A; the rest (5,100 VA) is less."""
    other = Load(id="l-ot", kind="other", nameplate_va=Decimal(30000))
    assert total(house(EVSE, energy_management=(SYSTEM,)), "energy_management") == (24000, 24000)
    # What it cannot hold down counts where it is more, by the least method: existing 8,000 + 40 % of 31,000 = 20,400.
    assert total(house(EVSE, other, energy_management=(SYSTEM,)), "energy_management") == (24000, 24000)
    more = other.model_copy(update={"nameplate_va": Decimal(60000)})
    # Existing 8,000 + 40 % of 61,000 = 32,400; optional 10,000 + 40 % of 59,000 = 33,600; standard 65,100 VA.
    assert total(house(EVSE, more, energy_management=(SYSTEM,)), "energy_management") == (32400, 32400)


def test_on_three_phases_the_limit_has_the_root_of_three() -> None:
    """80 A x 125 % is 100 A on any system."""
    context = house(EVSE, energy_management=(SYSTEM,), service=service(system="208Y/120 3ph 4w"))
    method = by(context, "energy_management")
    assert method.rounded is not None and method.rounded.value.low == 100
    assert method.amperes is not None and abs(method.amperes.value.low - 100) < Decimal("0.001")


@pytest.mark.parametrize("field", [*FACTS, "monitors"])
def test_a_missing_fact_keeps_the_limit_from_counting(field: str) -> None:
    lacking = SYSTEM.model_copy(update={field: None})
    answer = load_answer(house(EVSE, energy_management=(lacking,)))
    method = answer.method("energy_management")
    assert method is not None and method.total is None
    assert (method.admissible, method.verdict) == (Outcome.CANNOT_TELL, Outcome.CANNOT_TELL)
    assert f"before/e-01.{field}" in [missing.path for missing in method.missing]
    assert outcome(answer, "load.energy_management") is Outcome.CANNOT_TELL


@pytest.mark.parametrize(("field", "value"), [
    ("listed", False), ("restricted_access", False), ("lost_signal", "no limit")])  # fmt: skip
def test_an_unfit_system_may_not_be_counted(field: str, value: object) -> None:
    method = by(house(EVSE, energy_management=(SYSTEM.model_copy(update={field: value}),)), "energy_management")
    assert (method.admissible, method.total) == (Outcome.FAILS, None)


@pytest.mark.parametrize("edition", ["2014", "2017", "2020"])
def test_before_2023_no_section_lets_a_limit_stand_for_the_load(edition: str) -> None:
    method = by(house(EVSE, energy_management=(SYSTEM,), edition=edition), "energy_management")
    assert (method.admissible, method.verdict, method.total) == (Outcome.CANNOT_TELL, Outcome.CANNOT_TELL, None)


def test_where_no_method_may_be_used_for_the_rest_it_is_unknown() -> None:
    """Standard barred, optional and existing not to be used: the set point alone may not pass for the load."""
    barred = Amendment(name="A", barred=("dwelling_standard_load", "dwelling_optional_load"))
    context = house(EVSE, energy_management=(SYSTEM,), amendments=(barred,), existing=False)
    method = by(context, "energy_management")
    assert method.total is not None and method.total.value.high is None
    assert method.verdict is Outcome.CANNOT_TELL


# ---------- the service and the verdict

BIG = Load(id="l-ot", kind="other", nameplate_va=Decimal(30000))  # standard 35,100 VA, 146 A


@pytest.mark.parametrize(("parts", "verdict"), [
    ({}, Outcome.MEETS),
    ({"meters": ()}, Outcome.CANNOT_TELL),
    ({"panels": ()}, Outcome.CANNOT_TELL),
    ({"service": service(utility=Utility())}, Outcome.CANNOT_TELL),
    ({"service": service(utility=Utility(limit="limited"))}, Outcome.CANNOT_TELL),
    ({"service": service(utility=Utility(limit="limited", limit_a=Decimal(146)))}, Outcome.MEETS),
    ({"service": service(utility=Utility(limit="limited", limit_a=Decimal(145)))}, Outcome.FAILS),
    ({"service": service(disconnect=Disconnect())}, Outcome.CANNOT_TELL),
    ({"service": service(disconnect=Disconnect(rating_a=Decimal(125))), "meters": ()}, Outcome.FAILS),
    ({"panels": (Panel(id="p-01", fed_by="service", bus_a=Decimal(125)),), "meters": ()}, Outcome.FAILS),
    ({"service": service(conductors=Conductors())}, Outcome.CANNOT_TELL),
    ({"service": service(conductors=WIRE.model_copy(update={"needs_correction": True}))}, Outcome.CANNOT_TELL),
    ({"service": service(conductors=Conductors(size="2", metal="aluminum", needs_correction=True, terminals_c=75))},
     Outcome.FAILS),
])  # fmt: skip
def test_one_unknown_part_is_no_pass_and_one_small_part_fails(parts: dict[str, Any], verdict: Outcome) -> None:
    context = house(BIG, **parts)
    answer = load_answer(context, "standard")
    method = answer.method("standard")
    assert method is not None and method.verdict is verdict
    assert outcome(answer, "load.service_carries") is verdict


def test_parallel_sets_are_rated_by_their_ampacity() -> None:
    """Two sets of 1/0 copper at 75 C: 2 x 150 = 300 A; one set of 1/0 by the 83 percent rule: 175 A."""
    two = Conductors(size="1/0", metal="copper", sets=2, terminals_c=75, needs_correction=False)
    for conductors, amperes in ((two, 300), (two.model_copy(update={"sets": 1}), 175)):
        answer = load_answer(house(BIG, service=service(conductors=conductors)))
        part = next(p for p in answer.limit.parts if p.id == "service/conductors")
        assert part.value.low == part.value.high == amperes


def test_two_small_sets_below_100_a_bar_the_optional_method() -> None:
    """Two sets of 8 copper at 60 C terminals: 80 A."""
    small = Conductors(size="8", metal="copper", sets=2, terminals_c=60, needs_correction=False)
    assert by(house(BIG, service=service(conductors=small)), "optional").admissible is Outcome.FAILS


def test_a_verdict_with_the_list_of_loads_open() -> None:
    """Not complete: never meets; nor by the named assumption, which gives a bounded figure and is a finding."""
    answer = load_answer(house(BIG, complete=Complete()), "standard")
    method = answer.method("standard")
    assert method is not None and method.verdict is Outcome.CANNOT_TELL
    assert "before/complete.loads" in [missing.path for missing in method.waits_for()]
    closed = load_answer(house(BIG, complete=Complete(), assumptions=(NOTHING_ELSE,)), "standard")
    method = closed.method("standard")
    assert method is not None and method.verdict is Outcome.CANNOT_TELL
    assert method.total is not None and method.total.value.exact
    assert outcome(closed, "load.assumption") is Outcome.CANNOT_TELL
    huge = BIG.model_copy(update={"nameplate_va": Decimal(60000)})
    assert by(house(huge, complete=Complete())).verdict is Outcome.FAILS


# ---------- several units, wyes


def test_two_units_take_the_lesser_of_both_ways() -> None:
    """Two alike, 12 kW range and 10 kW heat each, 2023.

    Standard: 18,000 VA of lighting and circuits: 3,000 + 5,250 = 8,250; ranges 11,000; heat 20,000: 39,250 VA.
    Three units: 3 x (9,000 + 12,000 + 10,000) x 45 % = 41,850 VA.
    """
    loads = (Load(id="l-r1", kind="range", unit="u-01", nameplate_va=Decimal(12000)),
             Load(id="l-h1", kind="space_heat", unit="u-01", nameplate_va=Decimal(10000)))  # fmt: skip
    context = house(*loads, units=(UNIT.model_copy(update={"count": 2}),))
    assert total(context, "two_family") == (39250, 39250)
    # With a 12,000 VA water heater each: standard 63,250, three units 3 x 43,000 x 45 % = 58,050 VA.
    heater = Load(id="l-w1", kind="water_heater", unit="u-01", nameplate_va=Decimal(12000))
    assert total(house(*loads, heater, units=(UNIT.model_copy(update={"count": 2}),)), "two_family") == (58050, 58050)
    assert by(context, "optional").admissible is Outcome.FAILS
    assert by(house(*loads), "two_family").admissible is Outcome.NOT_APPLICABLE


def test_three_units_need_electric_cooking_and_climate() -> None:
    """3 x (9,000 + 12,000 + 10,000) x 45 % = 41,850 VA; without the heat or the range the method may not be used."""
    cook = Load(id="l-r1", kind="range", unit="u-01", nameplate_va=Decimal(12000))
    heat = Load(id="l-h1", kind="space_heat", unit="u-01", nameplate_va=Decimal(10000))
    three = (UNIT.model_copy(update={"count": 3}),)
    assert total(house(cook, heat, units=three), "multifamily") == (41850, 41850)
    assert by(house(cook, units=three), "multifamily").why.key == "load.may.lacks_climate"
    assert by(house(heat, units=three), "multifamily").why.key == "load.may.lacks_cooking"
    assert by(house(cook, units=three), "multifamily").admissible is Outcome.FAILS
    assert by(house(cook, units=three, complete=Complete()), "multifamily").admissible is Outcome.CANNOT_TELL


@pytest.mark.parametrize("key", ["two_family", "multifamily", "existing"])
def test_2026_refuses_what_was_not_read(key: str) -> None:
    """Tables 120.83 and 120.84 were not seen in any source."""
    units = {"two_family": 2, "multifamily": 3, "existing": 1}[key]
    context = house(BIG, edition="2026", units=(UNIT.model_copy(update={"count": units}),))
    method = by(context, key)
    assert (method.admissible, method.verdict, method.total) == (Outcome.CANNOT_TELL, Outcome.CANNOT_TELL, None)
    assert method.why.key == "codebook.not_encoded"


@pytest.mark.parametrize(("system", "amperes"), [
    # 5,100 VA of lighting and 30,000 VA: 35,100 / 240; 5,100 / 240 + 30,000 / 208; 35,100 / (208 x root 3).
    ("120/240 1ph 3w", "146.25"), ("208Y/120 1ph 3w", "165.4808"), ("208Y/120 3ph 4w", "97.4279")])  # fmt: skip
def test_amperes_by_system(system: str, amperes: str) -> None:
    method = by(house(BIG, service=service(system=system)))
    assert method.amperes is not None and abs(method.amperes.value.low - Decimal(amperes)) < Decimal("0.001")


def test_an_unknown_system_leaves_the_amperes_open() -> None:
    method = by(house(BIG, service=service(system=None)))
    assert method.amperes is not None
    assert method.amperes.value.low == Decimal("146.25")
    assert method.amperes.value.high == Decimal(35100) / 208
    assert "before/service.system" in [missing.path for missing in method.waits_for()]


def test_outside_the_range_table_nameplates_stand_on_three_phases_too() -> None:
    """Three cooktops of 1,500 VA in a wye building: 4,500 VA; 5,100 + 4,500."""
    cooktop = Load(id="l-c1", kind="cooktop", nameplate_va=Decimal(1500), quantity=3)
    assert total(house(cooktop, service=service(system="208Y/120 3ph 4w"))) == (9600, 9600)


# ---------- existing dwelling


def test_a_new_blower_alone_is_no_added_heating() -> None:
    """Readings stay open; all existing heat pump parts count in the pool by their reading.

    Pool 9,000 + 5,000 (compressor) + 9,000 (supplement, not together) = 23,000: 8,000 + 40 % of 15,000 = 14,000 VA;
    the blower of 1,000 VA in the pool makes it 14,400 VA.
    """
    pump = Load(id="l-hp", kind="heat_pump", nameplate_va=Decimal(5000), supplemental_w=Decimal(9000), together=False)
    blower = Load(id="l-bl", kind="air_handler", nameplate_va=Decimal(1000))
    both = {"readings": {"existing_hvac": "both_in_pool"}}
    assert total(house(pump, **both), "existing") == (14000, 14000)
    assert total(house(pump, blower, new=("l-bl",), **both), "existing") == (14400, 14400)
    # With the pump itself new: 8,000 + 40 % of 1,000 + the larger, 9,000 + blower 1,000 = 18,400 VA.
    assert total(house(pump, blower, new=("l-hp",), **both), "existing") == (18400, 18400)
    assert by(house(pump, existing=False), "existing").admissible is Outcome.FAILS
    assert by(house(pump, existing=None), "existing").verdict is Outcome.CANNOT_TELL


# ---------- amendments


def test_an_amendment_bars_a_method() -> None:
    barred = Amendment(name="Marlow Falls 8.20", barred=("dwelling_optional_load",))
    answer = load_answer(house(BIG, amendments=(barred,)), "optional")
    method = answer.method("optional")
    assert method is not None and (method.admissible, method.total) == (Outcome.FAILS, None)
    assert method.why.params["amendment"] == "Marlow Falls 8.20"
    assert answer.offered != "optional"
    assert outcome(answer, "load.service_carries") is Outcome.FAILS


def test_an_amendment_sets_a_value() -> None:
    """Least service 150 A: 35,100 VA would need 150 A anyway, 5,100 VA now does too."""
    raised = Amendment(name="A", values=(("service_min_one_family_a", Setting(Decimal(150))),))
    for amendments, amperes in (((), 100), ((raised,), 150)):
        minimum = load_answer(house(amendments=amendments), "standard").minimum
        assert minimum is not None and minimum.value.low == minimum.value.high == amperes


def test_an_amendment_selects_a_reading_over_the_job() -> None:
    """Heat 12,000 VA found: left out 8,000 + 400 = 8,400; larger whole 20,400 VA."""
    heat = Load(id="l-h1", kind="space_heat", nameplate_va=Decimal(12000))
    chosen = Amendment(name="A", selected=(("existing_hvac", "larger_at_100"),))
    readings = {"existing_hvac": "left_out"}
    assert total(house(heat, readings=readings), "existing") == (8400, 8400)
    method = by(house(heat, readings=readings, amendments=(chosen,)), "existing")
    assert method.total is not None and method.total.value.low == 20400
    assert [(r.chosen, r.by) for r in method.readings] == [("larger_at_100", "amendment")]


# ---------- bounds from a breaker


def test_a_breaker_bounds_a_resistance_heater_alone_on_it() -> None:
    """30 A x 240 V = 7,200 VA at most; two loads on the breaker, or a motor, are not bounded."""
    heater = Load(id="l-w1", kind="water_heater", circuit="c-01")
    breaker = Breaker(id="b-01", rating_a=Decimal(30))
    wiring: dict[str, Any] = {"breakers": (breaker,), "circuits": (Circuit(id="c-01", breaker="b-01"),)}
    assert total(house(heater, **wiring)) == (5100, 12300)
    assert by(house(heater, **wiring)).verdict is Outcome.MEETS
    shared = Load(id="l-w2", kind="water_heater", circuit="c-01", nameplate_va=Decimal(1000))
    assert total(house(heater, shared, **wiring)) == (6100, None)
    assert total(house(heater.model_copy(update={"kind": "well_pump"}), **wiring)) == (5100, None)


def test_replaced_context_changes_nothing_else() -> None:
    """The same house asked twice gives the same figures."""
    context = house(BIG, EVSE)
    assert total(context) == total(replace(context))


def test_enlarging_heating_or_cooling_by_the_work_asks_for_the_second_form() -> None:
    """220.83: the form with heating and cooling whole holds where they are added or enlarged (2014 to 2023)."""
    job = Job.model_validate({
        "job": {"name": "Enlarged", "code": {"edition": "2023"}},
        "before": {
            "complete": {"loads": "yes"},
            "units": [{"id": "u-1aa", "floor_area_ft2": 1000, "small_appliance_circuits": 2, "laundry_circuits": 1}],
            "loads": [{"id": "l-ac1", "kind": "air_conditioner", "nameplate_va": 3000}],
        },
        "work": [{"id": "w-1aa", "say": "Larger condenser", "set": {"l-ac1": {"nameplate_va": 6000}}}],
    })  # fmt: skip
    found = load_answer(Context(open_book("2023"), house_at(job))).method("existing")
    assert found is not None and found.total is not None
    # hand: 3,000 + 4,500 = 7,500, all in the first 8,000; cooling whole beside it: 13,500 VA; no reading left open
    assert found.total.value == point(13500)
    assert [reading.subject for reading in found.readings] == []


# ---------- what a review found


def test_fewer_circuits_than_required_do_not_lower_the_load() -> None:
    """220.52: two small-appliance circuits and a laundry circuit at least: 4,500 VA beside 4,500 VA of lighting."""
    poor = UNIT.model_copy(update={"small_appliance_circuits": 0, "laundry_circuits": 0})
    assert total(house(units=(poor,))) == total(house()) == (5100, 5100)


def test_amperes_without_volts_stay_open_where_the_kind_is_made_for_both() -> None:
    """8 A at 120 or 240 V: 960 to 1,920 VA, with a quarter as the largest motor; two poles settle it."""
    blower = Load(id="l-ah", kind="air_handler", nameplate_a=Decimal(8))
    assert total(house(blower)) == (5100 + 1200, 5100 + 2400)
    on = {"circuits": (Circuit(id="c-01", breaker="b-01"),), "breakers": (Breaker(id="b-01", poles=2),)}
    assert total(house(blower.model_copy(update={"circuit": "c-01"}), **on)) == (7500, 7500)


def test_heaters_that_do_not_say_their_thermostats_leave_both_percents_open() -> None:
    """220.82(C): 12 kW at 40 to 65 percent: 4,800 to 7,800 VA beside 9,000 VA of general loads."""
    heaters = [Load(id=f"l-h{n}", kind="space_heat", nameplate_w=Decimal(3000)) for n in range(4)]
    assert total(house(*heaters), "optional") == (9000 + 4800, 9000 + 7800)


def test_two_kinds_of_heat_that_run_together_are_a_visible_choice() -> None:
    """Heat pump 4,800 VA whole and 9,000 W on three thermostats at 65 percent, 5,850 VA: both, or the larger one."""
    pump = Load(id="l-hp", kind="heat_pump", nameplate_w=Decimal(4800), supplemental_w=Decimal(0))
    base = Load(id="l-bb", kind="space_heat", nameplate_w=Decimal(9000), separate_units=3)
    assert total(house(pump, base), "optional") == (9000 + 10650, 9000 + 10650)
    one = house(pump, base, readings={"optional_several_heats": "largest_one"})
    assert total(one, "optional") == (9000 + 5850, 9000 + 5850)


def test_terminals_marked_60_hold_the_83_percent_rule_to_their_column() -> None:
    """Table 310.16, 4 copper: 70 A at 60 C, below 83 A; 85 A at 75 C carries a 100 A service."""
    cold = Conductors(size="4", metal="copper", terminals_c=60, needs_correction=False)
    limits = [
        load_answer(house(service=service(conductors=c))).limit
        for c in (cold, cold.model_copy(update={"terminals_c": 75}))
    ]
    assert [limit.parts[1].value for limit in limits] == [point(70), point(100)]


def test_an_unknown_system_leaves_the_conductors_between_both_rules() -> None:
    """4 copper at 75 C: 85 A by ampacity, 100 A by the 83 percent rule."""
    wire = Conductors(size="4", metal="copper", terminals_c=75, needs_correction=False)
    answer = load_answer(
        house(service=service(system=None, conductors=wire, disconnect=Disconnect(rating_a=Decimal(100))))
    )
    assert answer.limit.parts[1].value == Interval(Decimal(85), Decimal(100))
    assert outcome(answer, "load.service_conductors") is not Outcome.FAILS


def test_corrected_ampacity_is_entered_and_used() -> None:
    """150 A after correction carries 175 A by the 83 percent rule (145.25 A)."""
    wire = WIRE.model_copy(update={"needs_correction": True, "corrected_ampacity_a": Decimal(150)})
    assert load_answer(house(service=service(conductors=wire))).limit.parts[1].value == point(175)


def test_small_parallel_sets_are_a_finding() -> None:
    wire = Conductors(size="4", metal="copper", sets=2, terminals_c=75, needs_correction=False)
    assert outcome(load_answer(house(service=service(conductors=wire))), "load.parallel_conductors") is Outcome.FAILS


def test_nameplate_facts_that_contradict_each_other_are_a_range() -> None:
    """1,000 W and 50 A at 240 V: 1,000 to 12,000 VA until the plate is read again."""
    odd = Load(id="l-wh", kind="water_heater", nameplate_w=Decimal(1000), nameplate_a=Decimal(50), volts=Decimal(240))
    assert total(house(odd)) == (6100, 17100)


def test_a_motor_outside_the_table_does_not_stop_the_answer() -> None:
    context = house(Load(id="l-mo", kind="well_pump", hp="15"))
    assert total(context) == (5100, None)
    assert "before/l-mo.nameplate_w" in [m.path for m in by(context).waits_for()]


def test_a_load_of_no_named_unit_waits_for_its_unit() -> None:
    two = tuple(UNIT.model_copy(update={"id": f"u-{n}{n}"}) for n in (1, 2))
    heater = Load(id="l-wh", kind="water_heater", nameplate_va=Decimal(4500))
    assert "before/l-wh.unit" in [m.path for m in by(house(heater, units=two)).waits_for()]
    said = heater.model_copy(update={"unit": "house"})
    assert "before/l-wh.unit" not in [m.path for m in by(house(said, units=two)).waits_for()]


def test_the_fit_system_on_the_service_counts_whatever_the_order() -> None:
    good = EnergyManagement(id="e-02", monitors="service", controls=("l-ev",), **FACTS)
    unfit = good.model_copy(update={"id": "e-01", "lost_signal": "no limit"})
    for systems in ((good, unfit), (unfit, good)):
        assert by(house(EVSE, energy_management=systems), "energy_management").admissible is Outcome.MEETS
    older = house(EVSE, edition="2020", energy_management=(good,))
    assert outcome(load_answer(older), "load.energy_management") is Outcome.FAILS


def test_an_assumption_is_never_a_pass() -> None:
    bare = load_answer(house(complete=Complete(), assumptions=(NOTHING_ELSE,)))
    assert outcome(bare, "load.service_carries") is Outcome.CANNOT_TELL


@pytest.mark.parametrize("subject", ["evse_load", "noncoincident_loads", "neutral_load"])
def test_an_amendment_cannot_bar_what_the_calculation_needs(subject: str) -> None:
    with pytest.raises(NotAllowed):
        open_book("2023", amendments=(Amendment("Marlow Falls", barred=(subject,)),))


def test_barring_the_83_percent_rule_leaves_the_ampacity() -> None:
    local = Amendment("Marlow Falls", barred=("service_conductors_83",))
    wire = Conductors(size="4", metal="copper", terminals_c=75, needs_correction=False)
    assert load_answer(house(service=service(conductors=wire), amendments=(local,))).limit.parts[1].value == point(85)


def test_the_heavier_leg_is_a_finding_where_the_standard_method_is_relied_on() -> None:
    """Four 16 A loads at 120 V on L1 of a 60 A service, 5,100 VA on both legs: 21.25 + 64 = 85 A on L1."""
    spaces = (1, 5, 9, 13)
    loads = [
        Load(id=f"l-0{s}", kind="other", nameplate_a=Decimal(16), volts=Decimal(120), circuit=f"c-{s:02d}")
        for s in spaces
    ]
    on = {
        "circuits": tuple(Circuit(id=f"c-{s:02d}", breaker=f"b-{s:02d}") for s in spaces),
        "breakers": tuple(Breaker(id=f"b-{s:02d}", spaces=(s,), poles=1) for s in spaces),
        "service": service(disconnect=Disconnect(rating_a=Decimal(60))),
    }
    answer = load_answer(house(*loads, **on), "standard")
    check = next(c for c in answer.checks if c.id == "load.heavier_leg")
    assert check.outcome is Outcome.FAILS and check.severity is Severity.CORRECT
    assert check.step is not None and check.step.value == point(85)
    assert "load.heavier_leg" not in [c.id for c in load_answer(house(*loads, **on), "existing").checks]
