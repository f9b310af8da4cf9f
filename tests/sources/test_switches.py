"""Disconnects of sources against what they carry and the fault current there; figures that contradict each other."""

from __future__ import annotations

from typing import Any

import pytest

from tests.sources.full import check_of, judged, part, said_of


def changed(ident: str, **facts: Any) -> Any:
    """One thing with these facts; None takes a fact away."""

    def change(job: dict[str, Any]) -> None:
        thing = part(job, ident)
        thing.update(facts)
        for name in [name for name, value in facts.items() if value is None]:
            del thing[name]

    return change


@pytest.mark.parametrize(
    ("ident", "facts", "outcome"),
    [
        ("x-2ge", {}, "MEETS meets"),
        ("x-2ge", {"rating_a": 54}, "MEETS meets"),  # the set kept apart: its output, 54 A
        ("x-2ge", {"rating_a": 20}, "FAILS fails"),
        ("x-2ge", {"rating_a": None}, "CANNOT_TELL cannot_tell"),
        ("x-3ba", {"rating_a": 30}, "MEETS meets"),  # hand: 1.25 x 24 = 30
        ("x-3ba", {"rating_a": 29}, "FAILS fails"),
        ("x-3ba", {"fuse_a": 70}, "FAILS fuse"),  # in a disconnect of 60 A
        ("x-3ba", {"fuse_a": 25}, "FAILS small_fuse"),
        ("x-3ba", {"fuse_a": 30}, "MEETS meets"),
        ("x-3ba", {"direct_current": True, "rating_a": 1}, ""),  # what a string drives is another figure
    ],
)
def test_a_disconnect_carries_what_gives_through_it(ident: str, facts: dict[str, Any], outcome: str) -> None:
    assert said_of(judged(changed(ident, **facts)), "source.switch", ident) == outcome


def test_one_disconnect_of_two_sources_carries_both() -> None:
    """Hand: 1.25 x (32 + 24) = 70."""
    for rating_a, outcome in ((60, "FAILS fails"), (70, "MEETS meets")):

        def change(job: dict[str, Any], rating_a: int = rating_a) -> None:
            part(job, "s-3ba")["disconnects"] = ["x-3ba", "x-1pv"]
            part(job, "x-1pv")["rating_a"] = rating_a

        assert said_of(judged(change), "source.switch", "x-1pv") == outcome


@pytest.mark.parametrize(
    ("ident", "facts", "outcome"),
    [
        ("x-3ba", {"sccr_ka": 22}, "MEETS meets"),  # the bus has 10 to 11 kA
        ("x-3ba", {"sccr_ka": 10}, "CANNOT_TELL cannot_tell"),  # more than the end of 38 ft has, less than the bus
        ("x-3ba", {"sccr_ka": 2}, "FAILS fails"),
        ("x-3ba", {"sccr_ka": None}, "CANNOT_TELL cannot_tell"),
        ("x-2ge", {"sccr_ka": 1}, "MEETS meets"),  # behind transfer equipment the set alone: 420 A
    ],
)
def test_a_disconnect_withstands_the_fault_current_there(ident: str, facts: dict[str, Any], outcome: str) -> None:
    assert said_of(judged(changed(ident, **facts)), "source.switch_fault", ident) == outcome


def test_the_least_at_the_end_of_the_conductors() -> None:
    """Hand: at least 10,057 A at the bus is 240 / 10,057 = 0.02386 ohm; 38 ft of 10 copper there and back with
    1.2 + 0.063 ohm per 1000 ft (NEC chapter 9 table 9, steel) 0.09599; 240 / 0.11985 = 2,002.5."""
    check = check_of(judged(changed("x-3ba", sccr_ka=22)), "source.switch_fault", "x-3ba")
    assert 2002 <= check.say.params["available"].low <= 2003
    assert check.step is not None


def test_the_fault_current_of_a_set_alone_is_asked_for() -> None:
    check = check_of(judged(changed("s-2ge", fault_current_a=None)), "source.switch_fault", "x-2ge")
    assert [each.path.rpartition(".")[2] for each in check.missing] == ["fault_current_a"]


@pytest.mark.parametrize(("sccr_ka", "outcome"), [("0.3", "FAILS fails"), ("10", "CANNOT_TELL cannot_tell")])
def test_a_set_that_may_meet_the_utility_gives_at_least_its_own(sccr_ka: str, outcome: str) -> None:
    """420 A of its own; more where nothing keeps the utility from it."""

    def change(job: dict[str, Any]) -> None:
        del part(job, "t-1au")["excludes"]
        part(job, "x-2ge")["sccr_ka"] = float(sccr_ka)

    told = judged(change)
    assert said_of(told, "source.switch_fault", "x-2ge") == outcome
    missing = check_of(told, "source.switch_fault", "x-2ge").missing
    assert [each.path.rpartition(".")[2] for each in missing] == (["excludes"] if outcome.startswith("C") else [])


# --- figures that contradict ----------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("facts", "outcome"),
    [
        ({}, ""),
        ({"volts": 48}, "CANNOT_TELL volts"),
        ({"volts": 208}, "CANNOT_TELL volts"),  # on 120/240
        ({"output_w": 5000}, ""),  # a power factor of 0.87
        ({"output_w": 7000}, "CANNOT_TELL watts"),  # hand: 240 x 24 = 5760
        ({"output_w": 3000}, "CANNOT_TELL watts"),
        ({"output_w": None}, ""),
    ],
)
def test_figures_that_do_not_fit_are_said(facts: dict[str, Any], outcome: str) -> None:
    told = judged(lambda job: part(job, "s-3ba").update({k: v for k, v in facts.items() if v is not None}))
    own = [each for each in told.sources.checks if (each.id, each.thing) == ("source.figures", "s-3ba")]
    endings = [f"{each.outcome.name} {each.say.key.rpartition('.')[2]}" for each in own]
    assert (outcome in endings) if outcome else not endings


def test_a_source_of_240_on_a_system_of_208() -> None:
    told = judged(lambda job: job["before"]["service"].update(system="208Y/120 3ph 4w"))
    assert said_of(told, "source.figures", "s-2ge") == "CANNOT_TELL volts"


def test_an_automatic_switch_whose_load_is_put_on_by_hand_is_asked_again() -> None:
    told = judged(changed("t-1au", load_connected="by hand"))
    assert said_of(told, "transfer.capacity", "t-1au") == "CANNOT_TELL contradicts"


def test_a_set_nearer_than_common_practice_waits_for_its_listing() -> None:
    """Nearer than 5 ft is no failure: its listing may allow it; which one tells is named."""
    check = check_of(judged(changed("s-2ge", from_opening_ft=3)), "source.generator_place", "s-2ge")
    assert check.say.key.endswith("near") and check.missing
