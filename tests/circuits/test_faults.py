"""Fault currents in a house: every verdict, what is not known, and laws that no house may break."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.documents.catalog import Catalog
from deadfront.physics.service_network import Length, add_length, split_phase, wye
from deadfront.quantities import Interval
from deadfront.results.circuits import FaultPoint
from deadfront.worksheet.check import Check, Outcome, Severity
from tests.circuits.flow_houses import LEGS, answered, service_house, worked

FIFTY = {"kva": 50, "impedance_percent": "1.6", "x_over_r": "1.5"}


def at(house: Any, of: str = "service") -> FaultPoint:
    return next(each for each in worked(house) if each.of == of)


def value(step: Any) -> Interval:
    assert step is not None
    return step.value  # type: ignore[no-any-return]


def breaker_house(ka: Any, *, panel: dict[str, Any] | None = None, role: str = "branch", **service: Any) -> Any:
    breaker = {"id": "b-one", "panel": "p-main", "spaces": [1], "rating_a": 20, "poles": 1, "role": role}
    if ka is not None:
        breaker["interrupting_ka"] = ka
    return service_house(panels=[{"id": "p-main", "fed_by": "service", **(panel or {})}], breakers=[breaker], **service)


def verdict(house: Any, new: tuple[str, ...] = ("b-one",), thing: str = "b-one") -> Check | None:
    found = [each for each in answered(house, new).checks if each.id == "fault.interrupting" and each.thing == thing]
    return found[0] if found else None


# --- figures --------------------------------------------------------------------------------------------------------
def test_tolerance_of_the_nameplate_at_both_ends() -> None:
    """Hand: 13,021 A leg to leg at the terminals; a tenth less impedance gives 14,468 A, a tenth more 11,837 A.
    Leg to neutral 20,037 A nominal, 22,263 A at the low end of impedance."""
    place = at(service_house(transformer=FIFTY), "transformer")
    assert round(value(place.line_to_line).low) == 13021 and round(value(place.line_to_neutral).low) == 20037
    assert round(value(place.largest).low) == 22263 and round(value(place.smallest).low) == 11837


def test_a_rating_alone_gives_the_band_and_says_so() -> None:
    place = at(service_house(transformer={"kva": 50}), "transformer")
    leg_to_leg = place.line_to_line
    assert leg_to_leg is not None
    assert (round(leg_to_leg.value.low), round(leg_to_leg.value.high or 0)) == (6944, 16026)  # hand: 208.33 A / Z
    assert "usual_transformer" in leg_to_leg.all_assumed()
    assert "before/service.utility.transformer.impedance_percent" in {m.path for m in leg_to_leg.all_missing()}


def test_the_band_holds_every_transformer_in_it() -> None:
    band = at(service_house(transformer={"kva": 50}))
    for percent in ("1.3", "1.9", "3.0"):
        for ratio in ("1.5", "2", "2.5"):
            exact = at(service_house(transformer={"kva": 50, "impedance_percent": percent, "x_over_r": ratio}))
            for field in ("line_to_line", "line_to_neutral", "largest", "smallest"):
                wide, narrow = value(getattr(band, field)), value(getattr(exact, field))
                assert wide.low <= narrow.low and narrow.high is not None and wide.high is not None
                assert narrow.high <= wide.high, (percent, ratio, field)


def test_a_letter_at_the_transformer_holds_every_split_of_its_impedance() -> None:
    """Independent: 240 V over |Z_letter + 2 Z_leg|, the letter's impedance turned from pure resistance to reactance."""
    utility = {"fault_current_ka": 10, "fault_at": "transformer"}
    found = value(at(service_house(utility=utility, drop_ft=50, service_ft=25)).line_to_line)
    z, leg = 240 / 10000, 0.075 * complex(0.1, 0.041)
    currents = []
    for k in range(101):
        share = k / 100
        currents.append(240 / abs(z * complex(share, (1 - share * share) ** 0.5) + 2 * leg))
    assert float(found.low) <= min(currents) + 1e-6 and max(currents) - 1e-6 <= float(found.high or 0)
    assert float(found.high or 0) == pytest.approx(max(currents), rel=1e-6)


def test_a_letter_at_the_service_stands_as_it_is() -> None:
    """Without a figure leg to neutral nothing is known of it but that it is at most 2/1.2 of leg to leg."""
    place = at(service_house(utility={"fault_current_ka": "8.5"}))
    assert value(place.line_to_line) == Interval(Decimal(8500), Decimal(8500))
    assert value(place.line_to_neutral).low == 0
    assert round(value(place.line_to_neutral).high or 0) == 14167
    both = at(service_house(utility={"fault_current_ka": "8.5", "fault_current_neutral_ka": "9.1"}))
    assert value(both.largest) == Interval(Decimal(9100), Decimal(9100))


def test_two_legs_of_a_wye() -> None:
    """Independent: the nodal solver, 208Y/120 V behind 75 kVA 2.5 %, X/R 2, 60 ft of 4/0 aluminum, neutral 2/0."""
    transformer = {"kva": 75, "impedance_percent": "2.5", "x_over_r": 2}
    place = at(service_house(transformer=transformer, system="208Y/120 1ph 3w", drop_ft=50, service_ft=10))
    net = wye(75, 2.5 * 0.208**2 / (3 * 0.12**2), 2)
    add_length(net, Length("transformer", "p", 0.06 * (0.1 + 0.041j), 0.06 * (0.16 + 0.043j)))
    assert float(value(place.line_to_neutral).low) == pytest.approx(net.fault_current("p.L1", "p.N"), rel=1e-6)
    assert float(value(place.line_to_line).low) * 0.12 * 3**0.5 / 0.208 == pytest.approx(
        net.fault_current("p.L1", "p.L2"), rel=1e-6
    )


@settings(max_examples=40)
@given(
    st.sampled_from([10, 25, 50, 100, 167]), st.decimals("1.2", 4, places=2), st.decimals("0.7", 5, places=2),
    st.decimals(1, 200, places=1), st.decimals(1, 60, places=1), st.one_of(st.none(), st.integers(5, 500)),
)  # fmt: skip
def test_steps_agree_with_the_nodal_solver(
    kva: int, percent: Decimal, ratio: Decimal, drop: Decimal, run: Decimal, mva: int | None
) -> None:
    transformer = {"kva": kva, "impedance_percent": percent, "x_over_r": ratio, "primary_fault_mva": mva}
    place = at(service_house(transformer={k: v for k, v in transformer.items() if v}, drop_ft=drop, service_ft=run))
    net = split_phase(kva, float(percent), float(ratio), primary_mva=mva)
    kft = float(drop + run) / 1000
    add_length(net, Length("transformer", "p", kft * (0.1 + 0.041j), kft * (0.16 + 0.043j)))
    assert float(value(place.line_to_line).low) == pytest.approx(net.fault_current("p.L1", "p.L2"), rel=1e-9)
    assert float(value(place.line_to_neutral).low) == pytest.approx(net.fault_current("p.L1", "p.N"), rel=1e-9)


def test_a_panel_behind_a_feeder_and_parallel_sets() -> None:
    """Hand: two sets in parallel halve resistance and reactance, as half the length does."""

    def house(feet: int, sets: int) -> Any:
        feeder = {"type": "SER", "size": "2", "metal": "aluminum", "length_ft": feet, "sets": sets}
        return service_house(
            transformer=FIFTY,
            panels=[{"id": "p-main", "fed_by": "service"}, {"id": "p-sub", "fed_by": "b-sub", "feeder": feeder}],
            breakers=[{"id": "b-sub", "panel": "p-main", "spaces": [2, 4], "rating_a": 90, "poles": 2}],
        )  # fmt: skip

    near, far = at(house(40, 1), "p-sub"), at(house(80, 2), "p-sub")
    assert abs(value(near.largest).low - value(far.largest).low) < Decimal("1e-15")
    assert value(near.largest).low < value(at(house(40, 1), "p-main").largest).low


# --- what is not known ----------------------------------------------------------------------------------------------
def test_a_length_not_known_still_has_an_upper_end() -> None:
    place = at(service_house(transformer=FIFTY, drop_ft=None))
    largest = place.largest
    assert largest is not None and largest.value.low == 0 and largest.value.high is not None
    assert "before/service.drop.length_ft" in {m.path for m in largest.all_missing()}


def test_nothing_known_of_the_source_is_one_finding() -> None:
    checks = answered(breaker_house(10), ("b-one",)).checks
    found = [each for each in checks if each.id == "fault.available"]
    assert [each.outcome for each in found] == [Outcome.CANNOT_TELL]
    assert found[0].severity is Severity.CORRECT and found[0].missing
    assert not [each for each in checks if each.id == "fault.interrupting"]


def test_an_untouched_old_panel_is_left_alone() -> None:
    checks = answered(breaker_house(None, transformer=FIFTY)).checks
    assert not [each for each in checks if each.id.startswith("fault.")]


def test_a_rating_that_no_list_has_tells_nothing_usual() -> None:
    house = breaker_house(10, transformer={"kva": 51})
    assert worked(house) == ()
    found = [each for each in answered(house, ("b-one",)).checks if each.id == "fault.available"]
    assert {m.path.rpartition(".")[2] for m in found[0].missing} == {"fault_current_ka", "impedance_percent"}


def test_the_plates_ratio_is_only_the_least_the_letters_may_be() -> None:
    """The utility's primary is reactance: with the letter, the range goes from the plate's X/R to pure reactance."""
    utility = {"fault_current_ka": 10, "fault_at": "transformer"}
    known = at(service_house(utility=utility, transformer={"x_over_r": "1.5"})).line_to_line
    free = at(service_house(utility=utility)).line_to_line
    z, leg = 240 / 10000, 0.06 * complex(0.1, 0.041)
    r = z / (1 + 1.5**2) ** 0.5
    by_plate = 240 / abs(complex(r, 1.5 * r) + 2 * leg)
    assert known is not None and free is not None and known.value.high == free.value.high
    assert float(known.value.low) <= by_plate <= float(known.value.high or 0)


# --- verdicts -------------------------------------------------------------------------------------------------------
def test_verdicts_of_a_branch_breaker() -> None:
    """50 kVA, 35 ft: 9.9 kA leg to leg at the low end of impedance (independent: the nodal solver)."""
    near = {"transformer": FIFTY, "drop_ft": 30, "service_ft": 5}
    net = split_phase(50, 1.44, 1.5)
    add_length(net, Length("transformer", "p", 0.035 * (0.1 + 0.041j), 0.035 * (0.16 + 0.043j)))
    largest_ka = Decimal(round(net.fault_current("p.L1", "p.L2"))) / 1000
    meets, fails = verdict(breaker_house(largest_ka + 1, **near)), verdict(breaker_house(largest_ka - 1, **near))
    assert meets is not None and meets.outcome is Outcome.MEETS
    assert fails is not None and fails.outcome is Outcome.CANNOT_TELL and fails.severity is Severity.DANGER
    assert fails.missing[0].path == "before/p-main.series_ka"
    main = verdict(breaker_house(largest_ka - 1, role="main", **near))
    assert main is not None and main.outcome is Outcome.FAILS and main.severity is Severity.DANGER


@pytest.mark.parametrize(("series", "outcome"), [(22, Outcome.MEETS), (8, Outcome.FAILS)])
def test_a_series_rating_counts_only_as_marked(series: int, outcome: Outcome) -> None:
    found = verdict(breaker_house(5, panel={"series_ka": series}, transformer=FIFTY, drop_ft=30, service_ft=5))
    assert found is not None and found.outcome is outcome


def test_an_existing_breaker_that_would_burst_is_named() -> None:
    found = verdict(breaker_house(5, role="main", transformer=FIFTY, drop_ft=30), new=())
    assert found is not None and found.outcome is Outcome.FAILS and found.severity is Severity.DANGER


def test_a_range_across_the_rating_cannot_be_told() -> None:
    found = verdict(breaker_house(10, utility={"fault_current_ka": "8.5"}))
    assert found is not None and found.outcome is Outcome.CANNOT_TELL
    assert "before/service.utility.fault_current_neutral_ka" in {m.path for m in found.missing}


def test_the_panel_and_the_service_disconnect_are_held_against_it() -> None:
    house = breaker_house(10, panel={"sccr_ka": 5}, transformer=FIFTY, drop_ft=30,
                          service={"disconnect": {"sccr_ka": 22}})  # fmt: skip
    checks = answered(house, ("p-main", "b-one")).checks
    panel = next(each for each in checks if each.id == "fault.panel_rating")
    assert panel.outcome is Outcome.FAILS and panel.severity is Severity.DANGER
    service = next(each for each in checks if each.id == "fault.interrupting" and each.thing == "service")
    assert service.outcome is Outcome.MEETS


def test_an_outside_switch_ahead_of_the_service_conductors_takes_the_larger_current() -> None:
    outside = {"present": "yes", "marked": "not service equipment", "sccr_ka": 10}
    house = breaker_house(10, transformer=FIFTY, drop_ft=30, service_ft=60, service={"outside": outside})
    found = [each for each in answered(house, ("p-main",)).checks if each.id == "fault.interrupting"]
    said = [each for each in found if each.thing == "service" and each.say.params["thing"].key == "flow.outside"]  # type: ignore[attr-defined]
    assert len(said) == 1 and said[0].step is not None
    assert said[0].step.value == value(at(house, "service point").largest)


def test_an_inverter_adds_to_the_largest_and_an_unknown_one_leaves_it_open() -> None:
    """Hand: 40 A of output add 48 A (120 percent, from memory)."""
    plain = value(at(service_house(transformer=FIFTY)).largest)
    one = [{"id": "s-one", "kind": "battery", "output_a": 40}]
    assert value(at(service_house(transformer=FIFTY, sources=one)).largest).low == plain.low + 48
    unknown = at(service_house(transformer=FIFTY, sources=[{"id": "s-one", "kind": "solar"}])).largest
    assert unknown is not None and unknown.value.high is None
    generator = [{"id": "s-one", "kind": "generator"}]
    assert value(at(service_house(transformer=FIFTY, sources=generator)).largest) == plain


def test_on_an_island_it_cannot_be_told_without_the_source() -> None:
    for current, outcome in ((None, Outcome.CANNOT_TELL), (60, Outcome.FAILS), (900, Outcome.MEETS)):
        source = {"id": "s-one", "kind": "battery", "output_a": 40} | ({"fault_current_a": current} if current else {})
        house = breaker_house(10, transformer=FIFTY, sources=[source])
        found = [e for e in answered(house, ("s-one",)).checks if e.id == "fault.low_end" and e.thing == "s-one"]
        assert [(e.outcome, e.severity) for e in found] == [(outcome, Severity.NOTE if current else Severity.CORRECT)]


def test_breakers_of_one_panel_that_wait_for_their_rating_are_told_once() -> None:
    breakers = [{"id": f"b-0{n}", "panel": "p-main", "spaces": [n], "rating_a": 20, "poles": 1, "role": "branch"}
                for n in (1, 2, 3)]  # fmt: skip
    house = service_house(transformer=FIFTY, panels=[{"id": "p-main", "fed_by": "service"}], breakers=breakers)
    found = [e for e in answered(house, ("b-01", "b-02", "b-03")).checks
             if e.id == "fault.interrupting" and e.thing != "service"]  # fmt: skip
    assert [(e.thing, e.outcome) for e in found] == [("p-main", Outcome.CANNOT_TELL)]
    assert len([m for m in found[0].missing if m.path.endswith(".interrupting_ka")]) == 3
    for language in ("en", "es"):
        text = Catalog(language, strict=True).say(found[0].say)
        assert all(f" {n}" in text for n in (1, 2, 3))


# --- laws -----------------------------------------------------------------------------------------------------------
FIELDS = ("line_to_line", "line_to_neutral", "largest", "smallest")


@settings(max_examples=40)
@given(
    st.decimals(1, 200, places=1), st.decimals(1, 200, places=1), st.sampled_from(["1.6", None]),
    st.sampled_from(["1.5", None]), st.sampled_from(["pvc", "steel", None]),
)  # fmt: skip
def test_longer_never_faults_higher(
    a: Decimal, b: Decimal, percent: str | None, ratio: str | None, raceway: str | None
) -> None:
    transformer = {"kva": 50, "impedance_percent": percent, "x_over_r": ratio}
    known = {k: v for k, v in transformer.items() if v}
    legs = {k: v for k, v in {**LEGS, "raceway": raceway}.items() if v}
    short, long = (at(service_house(transformer=known, drop_ft=ft, legs=legs)) for ft in sorted((a, b)))
    for field in FIELDS:
        near, far = value(getattr(short, field)), value(getattr(long, field))
        assert far.low <= near.low and far.high is not None and near.high is not None and far.high <= near.high


def test_more_impedance_never_more_current() -> None:
    found = [at(service_house(transformer={**FIFTY, "impedance_percent": z})) for z in ("1.3", "1.6", "2", "3")]
    for field in FIELDS:
        figures = [value(getattr(each, field)).low for each in found]
        assert figures == sorted(figures, reverse=True)


def test_bigger_conductors_never_fault_lower() -> None:
    sizes = ("4", "2", "1/0", "4/0", "250", "350", "500")
    found = [at(service_house(transformer=FIFTY, legs={**LEGS, "size": s, "neutral_size": s})) for s in sizes]
    for field in FIELDS:
        figures = [value(getattr(each, field)).low for each in found]
        assert figures == sorted(figures)


@settings(max_examples=30)
@given(st.sampled_from(["size", "metal", "raceway", "neutral_size"]), st.integers(1, 150))
def test_a_blank_gives_a_range_that_holds_the_filled_house(blank: str, feet: int) -> None:
    full = at(service_house(transformer=FIFTY, drop_ft=feet))
    open_ended = at(service_house(transformer=FIFTY, drop_ft=feet, legs={k: v for k, v in LEGS.items() if k != blank}))
    for field in FIELDS:
        wide, narrow = value(getattr(open_ended, field)), value(getattr(full, field))
        assert wide.low <= narrow.low and narrow.high is not None
        assert wide.high is None or narrow.high <= wide.high
