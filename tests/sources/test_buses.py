"""Buses with a source, worked by hand: every option, every edition, what would make it pass."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from deadfront.codebook import EDITIONS
from deadfront.worksheet.check import Outcome
from tests.sources.made import SOLAR, SYSTEM, answer, bus_of, option, panel, told, value

LOADS = [{"id": f"b-0{n}", "panel": "p-aa", "spaces": [n], "poles": 1, "rating_a": 20} for n in range(1, 7)]


@pytest.mark.parametrize("edition", EDITIONS)
def test_full_main_on_a_bus_of_its_rating(edition: str) -> None:
    """Hand: 1.25 x 32 = 40; 200 + 40 = 240 is over 200 by 40, and just 120 percent of 200."""
    bus = bus_of(answer(panel(), edition))
    assert value(bus.current) == 40 and value(bus.main) == 200
    total, opposite = option(bus, "sum"), option(bus, "opposite_end")
    assert (total.outcome, value(total.over)) == (Outcome.FAILS, 40)
    assert (opposite.outcome, value(opposite.limit), value(opposite.spare)) == (Outcome.MEETS, 240, 0)
    assert bus.outcome is Outcome.MEETS and bus.options[0].outcome is Outcome.MEETS
    ways = {each.key: value(each.step) for each in total.ways if each.step is not None}
    assert ways == {"main": 150, "bus": 240}  # hand: 200 - 40 = 160, next lower standard is 150; nothing left to set


def test_what_would_make_each_option_pass() -> None:
    """Hand: 1.25 x 48 = 60; 260 against 240: main 240 - 60 = 180, so 175; setting 240 - 200 = 40; output 40 / 1.25 =
    32; bus 260 / 1.2 = 216.67."""
    bus = bus_of(answer(panel(output_a=48)))
    found = option(bus, "opposite_end")
    assert (found.outcome, value(found.over)) == (Outcome.FAILS, 20)
    ways = {each.key: round(value(each.step), 2) for each in found.ways if each.step is not None}
    assert ways == {"main": 175, "setting": 40, "output": 32, "bus": 216.67}


def test_before_2020_no_setting_is_offered() -> None:
    ways = {each.key for each in option(bus_of(answer(panel(output_a=48), "2017")), "opposite_end").ways}
    assert ways == {"main", "output", "bus"}


@pytest.mark.parametrize(
    ("main_at", "spaces", "outcome"),
    [
        ("top", [18, 20], Outcome.MEETS),
        ("top", [17, 19], Outcome.MEETS),
        ("top", [16, 18], Outcome.FAILS),  # a space beyond it is free for a load
        ("top", [2, 4], Outcome.FAILS),
        ("bottom", [2, 4], Outcome.MEETS),
        ("bottom", [18, 20], Outcome.FAILS),
        ("top", [], Outcome.CANNOT_TELL),
        (None, [18, 20], Outcome.CANNOT_TELL),
        ("none", [18, 20], Outcome.CANNOT_TELL),  # where the lugs are is not known
    ],
)
def test_where_the_breaker_stands(main_at: str | None, spaces: list[int], outcome: Outcome) -> None:
    bus = bus_of(answer(panel(spaces=spaces, main_at=main_at)))
    found = option(bus, "opposite_end")
    assert found.outcome is outcome
    if outcome is Outcome.FAILS:
        assert [each.key for each in found.ways] == ["move"]
    if outcome is Outcome.CANNOT_TELL:
        assert found.missing


def test_lugs_stand_for_the_main() -> None:
    assert option(bus_of(answer(panel(main_at="none", lugs_at="top"))), "opposite_end").outcome is Outcome.MEETS


def test_two_sources_at_the_far_end_count_together() -> None:
    """Hand: 1.25 x (16 + 16) = 40; both at the end, one behind the other."""
    second = {"id": "b-s2", "panel": "p-aa", "spaces": [14, 16], "poles": 2, "rating_a": 20, "role": "source"}
    house = panel(output_a=16, breakers=[second])
    house["sources"] = [*house["sources"], {**SOLAR, "id": "s-02", "breaker": "b-s2", "output_a": 16}]
    bus = bus_of(answer(house))
    assert value(bus.current) == 40 and option(bus, "opposite_end").outcome is Outcome.MEETS
    house["breakers"][2]["spaces"] = [2, 4]
    assert option(bus_of(answer(house)), "opposite_end").outcome is Outcome.FAILS


def test_numbers_that_run_down_the_column() -> None:
    """Left column 1 to 10, right column 11 to 20: the far end is 9, 10 and 19, 20."""
    for spaces, outcome in (([9, 10], Outcome.MEETS), ([19, 20], Outcome.MEETS), ([17, 18], Outcome.FAILS)):
        bus = bus_of(answer(panel(spaces=spaces, numbering="down")))
        assert option(bus, "opposite_end").outcome is outcome, spaces


@pytest.mark.parametrize("edition", EDITIONS)
def test_center_fed(edition: str) -> None:
    """Since 2017 (published: committee text for 2017): one end, never both; before, only by an engineer."""
    second = {"id": "b-s2", "panel": "p-aa", "spaces": [2, 4], "poles": 2, "rating_a": 20, "role": "source"}
    house = panel(output_a=16, main_at="center", breakers=[*LOADS[4:], second])
    one = option(bus_of(answer(house, edition)), "center_fed")
    assert one.outcome is (Outcome.NOT_APPLICABLE if edition == "2014" else Outcome.MEETS)
    assert option(bus_of(answer(house, edition)), "opposite_end").outcome is Outcome.NOT_APPLICABLE
    house["sources"] = [*house["sources"], {**SOLAR, "id": "s-02", "breaker": "b-s2", "output_a": 16}]
    both = option(bus_of(answer(house, edition)), "center_fed")
    assert both.outcome is (Outcome.NOT_APPLICABLE if edition == "2014" else Outcome.FAILS)


def test_sum_of_breakers_without_the_main() -> None:
    """Hand: six of 20 A and the source's 60 A are 180, within 200; with another 40 A they are 220."""
    bus = bus_of(answer(panel(output_a=48, breakers=LOADS)))
    found = option(bus, "breakers")
    assert (value(found.used), found.outcome, bus.outcome) == (180, Outcome.MEETS, Outcome.MEETS)
    more = [*LOADS, {"id": "b-09", "panel": "p-aa", "spaces": [9, 11], "poles": 2, "rating_a": 40}]
    bus = bus_of(answer(panel(output_a=48, breakers=more)))
    found = option(bus, "breakers")
    assert (value(found.over), found.outcome, bus.outcome) == (20, Outcome.FAILS, Outcome.FAILS)


def test_breakers_not_all_listed_are_no_pass() -> None:
    house = panel(output_a=48, breakers=LOADS)
    house["complete"] = {"sources": "yes"}
    bus = bus_of(answer(house))
    assert option(bus, "breakers").outcome is Outcome.CANNOT_TELL and bus.outcome is Outcome.CANNOT_TELL
    assert "before/complete.breakers" in {each.path for each in option(bus, "breakers").missing}


@pytest.mark.parametrize("lost", ["bus_a", "main_a", "output_a"])
def test_a_figure_not_known_is_no_pass(lost: str) -> None:
    house = panel(**{lost: None}, breakers=[*LOADS, *({**each, "id": f"b-1{n}"} for n, each in enumerate(LOADS))])
    bus = bus_of(answer(house))
    outcomes = {each.key: each.outcome for each in bus.options}
    assert outcomes["sum"] is outcomes["opposite_end"] is Outcome.CANNOT_TELL
    assert bus.outcome is not Outcome.MEETS


def test_a_main_not_read_behind_a_service_of_known_rating() -> None:
    """The service disconnect is in the row too: no more than its 100 A comes onto the bus."""
    house = panel(bus_a=200, main_a=None)
    house["service"] = {"system": "120/240 1ph 3w", "disconnect": {"rating_a": 100}}
    found = option(bus_of(answer(house)), "sum")
    assert found.outcome is Outcome.MEETS and found.used is not None and found.used.value.high == Decimal(140)


# --- panels in a row -------------------------------------------------------------------------------------------------
def chain(spaces: list[int], **feeder: Any) -> dict[str, Any]:
    """A garage panel of 125 A fed from a 60 A breaker of a full 200 A panel; solar of 24 A in the garage panel."""
    house = panel(output_a=24)
    house["breakers"][1] |= {"panel": "p-bb", "spaces": [10, 12], "rating_a": 30}
    house["panels"].append({"id": "p-bb", "fed_by": "b-fd", "bus_a": 125, "spaces": 12, "main_at": "none",
                            "lugs_at": "top", "feeder": feeder})  # fmt: skip
    house["breakers"].append({"id": "b-fd", "panel": "p-aa", "spaces": spaces, "poles": 2, "rating_a": 60,
                              "role": "feeder"})  # fmt: skip
    return house


def test_every_bus_on_the_way_is_judged() -> None:
    """Hand: garage 60 + 30 = 90 within 125; main panel 200 + 30 = 230 within 240, at the far end only."""
    cable = {"type": "SER", "size": "6", "metal": "copper", "conductors": 3, "length_ft": 40, "terminals_c": 75,
             "runs": ["wall"], "ground": "wire"}  # fmt: skip
    result = answer(chain([18, 20], **cable))
    assert {(each.of, each.kind) for each in result.buses} == {("p-aa", "bus"), ("p-bb", "bus"), ("p-bb", "feeder")}
    garage, whole = bus_of(result, "p-bb"), bus_of(result)
    assert (value(option(garage, "sum").used), garage.outcome) == (90, Outcome.MEETS)
    assert (value(option(whole, "opposite_end").used), whole.outcome) == (230, Outcome.MEETS)
    feeder = option(bus_of(result, "p-bb", "feeder"), "far_end")
    assert (value(feeder.used), feeder.outcome) == (30, Outcome.MEETS)  # hand: 6 AWG copper carries 55 A or more
    assert option(bus_of(answer(chain([1, 3], **cable))), "opposite_end").outcome is Outcome.FAILS


def test_a_panel_behind_transfer_equipment_is_on_the_way() -> None:
    house = chain([18, 20])
    house["panels"][1]["fed_by"] = "t-01"
    house["transfers"] = [{"id": "t-01", "kind": "isolation device", "normal": "b-fd"}]
    result = answer(house)
    assert bus_of(result, "p-bb").outcome is Outcome.MEETS and bus_of(result).outcome is Outcome.MEETS


# --- power control ---------------------------------------------------------------------------------------------------
def set_to(limit: float, edition: str, **system: object) -> Any:
    large = {"id": "b-09", "panel": "p-aa", "spaces": [9, 11], "poles": 2, "rating_a": 90}
    controlled = {"control_limit_a": limit, "managed_by": "e-01"}
    house = panel(output_a=48, source=controlled, breakers=[*LOADS, large])
    house["energy_management"] = [{**SYSTEM, **system}]
    return answer(house, edition)


@pytest.mark.parametrize(
    ("edition", "outcome"),
    [("2014", "FAILS"), ("2017", "FAILS"), ("2020", "MEETS"), ("2023", "MEETS"), ("2026", "MEETS")],
)
def test_a_setting_counts_since_2020(edition: str, outcome: str) -> None:
    """Hand: 200 + 60 = 260 is over 240; with the setting of 40, 240 is just within."""
    result = set_to(40, edition)
    assert bus_of(result).outcome.name == outcome
    if outcome == "MEETS":
        found = option(bus_of(result), "opposite_end", controlled=True)
        assert (value(found.used), found.outcome) == (240, Outcome.MEETS)
        assert option(bus_of(result), "opposite_end").outcome is Outcome.FAILS
    assert told(result, "source.control") == [
        "MEETS meets" if outcome == "MEETS" else "NOT_APPLICABLE edition"]  # fmt: skip


@pytest.mark.parametrize(("fact", "value_", "outcome"), [
    ("listed", False, "FAILS"), ("restricted_access", False, "FAILS"), ("lost_signal", "no limit", "FAILS"),
    ("listed", None, "CANNOT_TELL"), ("restricted_access", None, "CANNOT_TELL"), ("lost_signal", None, "CANNOT_TELL"),
    ("monitors", None, "CANNOT_TELL"),
])  # fmt: skip
def test_a_setting_without_its_conditions_does_not_count(fact: str, value_: object, outcome: str) -> None:
    assert bus_of(set_to(40, "2023", **{fact: value_})).outcome.name == outcome


def test_a_setting_above_the_output_gains_nothing() -> None:
    found = option(bus_of(set_to(90, "2023")), "sum", controlled=True)
    assert value(found.used) == 260


# --- feeders and taps ------------------------------------------------------------------------------------------------
def on_feeder(**source: object) -> dict[str, Any]:
    """Solar of 24 A on the feeder of a garage panel: 60 A breaker, 6 AWG copper of 65 A at 75 C."""
    house = chain([1, 3], type="THWN-2", size="6", metal="copper", conductors=3, length_ft=40, terminals_c=75,
                  runs=["wall"], ground="wire")  # fmt: skip
    house["breakers"] = [each for each in house["breakers"] if each["id"] != "b-s1"]
    solar = {key: each for key, each in SOLAR.items() if key != "breaker"}
    house["sources"] = [{**solar, "output_a": 24, "joins": "feeder", "feeder_of": "p-bb", **source}]
    return house


def test_along_a_feeder() -> None:
    """Hand: 60 + 30 = 90 is over 65 by 25; a 60 A device beyond the joint is within 65."""
    feeder = bus_of(answer(on_feeder(at_far_end=False)), "p-bb", "feeder")
    assert value(option(feeder, "feeder_ampacity").over) == 25
    assert option(feeder, "load_side_device").outcome is Outcome.CANNOT_TELL
    assert feeder.outcome is Outcome.CANNOT_TELL
    feeder = bus_of(answer(on_feeder(at_far_end=False, load_side_overcurrent_a=60)), "p-bb", "feeder")
    assert feeder.outcome is Outcome.MEETS
    feeder = bus_of(answer(on_feeder(at_far_end=False, load_side_overcurrent_a=70)), "p-bb", "feeder")
    assert feeder.outcome is Outcome.FAILS
    assert bus_of(answer(on_feeder(at_far_end=True)), "p-bb", "feeder").outcome is Outcome.MEETS


def test_a_source_ahead_of_a_bus_is_no_source_at_its_far_end() -> None:
    """Hand: 60 + 30 = 90 within the 125 A bus; opposite ends is no option for what comes in with the feed."""
    bus = bus_of(answer(on_feeder(at_far_end=False)), "p-bb")
    assert (value(option(bus, "sum").used), option(bus, "sum").outcome) == (90, Outcome.MEETS)
    assert option(bus, "opposite_end").outcome is option(bus, "breakers").outcome is Outcome.NOT_APPLICABLE


@pytest.mark.parametrize(("length", "size", "outcome"), [
    (8, "10", Outcome.MEETS),  # hand: a tenth of 90 is 9, the source itself 30; 10 AWG copper carries 35 at 75 C
    (8, "12", Outcome.FAILS),  # 25 A
    (20, "10", Outcome.MEETS),  # a third of 90 is 30
    (20, "12", Outcome.FAILS),
    (30, "6", Outcome.FAILS),  # longer than both
    (None, "6", Outcome.CANNOT_TELL),
])  # fmt: skip
def test_taps(length: int | None, size: str, outcome: Outcome) -> None:
    cable = {"type": "THWN-2", "size": size, "metal": "copper", "terminals_c": 75}
    tap = bus_of(answer(on_feeder(at_far_end=False, tap_ft=length, cable=cable)), "s-01", "tap")
    assert tap.outcome is outcome


# --- the supply side -------------------------------------------------------------------------------------------------
def ahead(output_a: float, edition: str, **service: object) -> Any:
    house = panel()
    house["breakers"] = house["breakers"][:1]
    house["service"] |= {"conductors": {"size": "4/0", "metal": "aluminum", "terminals_c": 75, "kind": "USE-2",
                                        "needs_correction": False}, **service}  # fmt: skip
    house["switches"] = [{"id": "k-01", "fed_by": "service", "fuse_a": 60}]
    solar = {key: each for key, each in SOLAR.items() if key != "breaker"}
    house["sources"] = [{**solar, "output_a": output_a, "joins": "supply side", "disconnects": ["k-01"],
                         "cable": {"size": "6", "metal": "copper"}}]  # fmt: skip
    return answer(house, edition)


def test_supply_side_by_edition() -> None:
    """Hand: 2017 the 60 A fuse against 200 A; 2023 the output of 150 A against 4/0 aluminum, 180 A at 75 C."""
    found = option(bus_of(ahead(48, "2017"), "service", "service"), "supply_side")
    assert (value(found.used), value(found.limit), found.outcome) == (60, 200, Outcome.MEETS)
    found = option(bus_of(ahead(150, "2023"), "service", "service"), "supply_side")
    assert (value(found.used), value(found.limit), found.outcome) == (150, 180, Outcome.MEETS)
    found = option(bus_of(ahead(190, "2023"), "service", "service"), "supply_side")
    assert (value(found.over), found.outcome) == (10, Outcome.FAILS)


# --- sources kept apart ----------------------------------------------------------------------------------------------
def test_a_source_that_never_meets_the_utility_loads_no_bus_with_it() -> None:
    generator = {"id": "s-01", "kind": "generator", "breaker": "b-s1", "output_a": 48, "output_breaker_a": 60}
    house = panel(breakers=LOADS)
    house["sources"] = [generator]
    house["transfers"] = [{"id": "t-01", "kind": "interlock", "held_apart": ["b-mn", "b-s1"], "excludes": True}]
    bus = bus_of(answer(house))
    assert [each.key for each in bus.options] == ["alone"] and bus.outcome is Outcome.MEETS


@pytest.mark.parametrize("kind", ["interlock", "manual switch"])
def test_transfer_equipment_not_known_to_exclude_is_no_pass(kind: str) -> None:
    """Hand: 200 + 0 to 60 against 240; without the fact it may be over, with it the source stands alone."""
    large = {"id": "b-09", "panel": "p-aa", "spaces": [9, 11], "poles": 2, "rating_a": 250}
    house = panel(breakers=[large])
    house["sources"] = [{"id": "s-01", "kind": "generator", "breaker": "b-s1", "output_a": 48, "joins": "breaker"}]
    apart = {"held_apart": ["b-mn", "b-s1"]} if kind == "interlock" else {"alternate": ["b-s1"]}
    transfer: dict[str, Any] = {"id": "t-01", "kind": kind, **apart}
    house["transfers"] = [transfer]
    bus = bus_of(answer(house))
    assert bus.outcome is Outcome.CANNOT_TELL
    assert "before/t-01.excludes" in {m.path for each in bus.options for m in each.missing}
    house["transfers"] = [transfer | {"excludes": True}]
    assert [each.key for each in bus_of(answer(house)).options] == ["alone"]


def test_transfer_equipment_known_not_to_exclude_asks_nothing_again() -> None:
    """The danger is said of the equipment and of the source; currents are reckoned as they are once that is mended."""
    house = panel()
    house["sources"] = [{"id": "s-01", "kind": "generator", "breaker": "b-s1", "output_a": 48, "joins": "breaker"}]
    house["transfers"] = [{"id": "t-01", "kind": "interlock", "held_apart": ["b-mn", "b-s1"], "excludes": False}]
    result = answer(house)
    assert told(result, "transfer.excludes", "t-01") == ["FAILS fails"] and told(result, "source.listed") == [
        "FAILS fails"
    ]
    assert not [m for each in bus_of(result).options for m in each.missing]
    house["sources"][0]["interactive"] = True
    assert value(bus_of(answer(house)).current) == 60, "one made to run with the utility counts: 1.25 x 48"


def test_a_joint_between_the_service_disconnect_and_the_panel_is_on_a_feeder() -> None:
    """Hand: 200 + 60 = 260 is over the 180 A of 4/0 aluminum by 80; a main of 175 A beyond the joint is within it."""
    house = panel(output_a=48, source={"joins": "feeder", "feeder_of": "p-aa", "breaker": None, "at_far_end": False},
                  feeder={"type": "SER", "size": "4/0", "metal": "aluminum", "terminals_c": 75})  # fmt: skip
    feeder = bus_of(answer(house), "p-aa", "feeder")
    assert value(option(feeder, "feeder_ampacity").over) == 80 and feeder.outcome is Outcome.CANNOT_TELL
    house["sources"][0]["load_side_overcurrent_a"] = 175
    assert bus_of(answer(house), "p-aa", "feeder").outcome is Outcome.MEETS


def test_a_generator_not_known_to_be_kept_apart_is_no_pass() -> None:
    """Hand: 200 + 0 to 60 against 240: it may be over."""
    house = panel(breakers=[*LOADS, {"id": "b-09", "panel": "p-aa", "spaces": [9, 11], "poles": 2, "rating_a": 90}])
    house["sources"] = [{"id": "s-01", "kind": "generator", "breaker": "b-s1", "output_a": 48}]
    assert bus_of(answer(house)).outcome is Outcome.CANNOT_TELL
    house["breakers"][1]["kept_apart"] = True
    assert [each.key for each in bus_of(answer(house)).options] == ["alone"]


def test_no_source_is_one_line() -> None:
    none = answer({"panels": [{"id": "p-aa", "fed_by": "service"}], "complete": {"sources": "yes"}})
    assert (none.say.key, none.buses, none.checks, none.missing) == ("sources.none", (), (), ())
    open_ = answer({"panels": [{"id": "p-aa", "fed_by": "service"}]})
    assert open_.say.key == "sources.not_looked" and [each.path for each in open_.missing] == [
        "before/complete.sources"
    ]


def test_a_standby_source_beside_others_counts_in_whatever_state_brings_the_most() -> None:
    """Hand: fed by 60 A in the normal state, by the set's 100 A in the other; with 30 A of solar, 130 is over 125."""
    house = chain([18, 20])
    house["panels"][1]["fed_by"] = "t-01"
    house["transfers"] = [{"id": "t-01", "kind": "automatic switch", "normal": "b-fd", "alternate": ["s-02"],
                           "excludes": True}]  # fmt: skip
    assert value(bus_of(answer(house), "p-bb").main) == 60
    house["sources"].append({"id": "s-02", "kind": "generator", "joins": "transfer", "output_breaker_a": 100})
    result = answer(house)
    bus = bus_of(result, "p-bb")
    assert (value(bus.main), value(option(bus, "sum").over)) == (100, 5)
    assert [value(each.main) for each in result.buses if each.of == "p-bb" and each.options[0].key == "alone"] == [100]


def test_a_feeder_through_transfer_equipment_is_judged_too() -> None:
    house = chain([18, 20], type="SER", size="6", metal="copper", conductors=3, length_ft=40, terminals_c=75)
    house["panels"][1]["fed_by"] = "t-01"
    house["transfers"] = [{"id": "t-01", "kind": "isolation device", "normal": "b-fd"}]
    assert value(bus_of(answer(house), "p-bb", "feeder").current) == 30


def test_a_local_amendment_may_leave_options_out() -> None:
    from deadfront.codebook import open_book
    from deadfront.codebook.amendments import Amendment

    barring = Amendment("Marlow Falls 8.30", barred=("power_control_system", "bus_center_fed"))
    book = open_book("2023", amendments=(barring,))
    house = panel(output_a=48, main_at="center", source={"control_limit_a": 30, "managed_by": "e-01"})
    house["energy_management"] = [SYSTEM]
    result = answer(house, "2023", book=book)
    bus = bus_of(result)
    assert {each.controlled for each in bus.options} == {False}
    assert option(bus, "center_fed").outcome is Outcome.NOT_APPLICABLE
    assert told(result, "source.control") == ["NOT_APPLICABLE barred"]
