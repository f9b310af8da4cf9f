"""Truth tables of control signals, held against a loop followed wire by wire; shed lists; voltages."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest

from deadfront.documents.catalog import Catalog
from deadfront.sources.rules.each import signal_fail_safe, signal_shed_list, signal_supply, signal_voltage
from deadfront.sources.rules.signals.answer import signal_answers
from deadfront.sources.rules.signals.truth import Wiring, events, receiver_does
from deadfront.worksheet.check import Check, Outcome, Severity
from tests.sources.standby_houses import facts_of_text, text_of, thing

SHED: dict[str, Any] = {
    "id": "z-1sh", "name": "Shed signal", "purpose": "shed load", "acts": "opens to act", "expects": "open to act",
    "rests": "open", "relay": False, "over_network": False, "voltage_free": True, "receiver_volts": 24,
    "contact_volts": 30, "powered_by": "c-0ct", "loads": ["c-1ev", "c-2wh"], "never": ["c-3sm"],
}  # fmt: skip
START: dict[str, Any] = {**SHED, "id": "z-2st", "name": "Start signal", "purpose": "engine start", "supervised": False,
                         "acts": "closes to act", "expects": "closed to act", "powered_by": "s-1ge", "loads": None,
                         "never": None}  # fmt: skip
CIRCUITS = "\n".join(
    thing("circuits", {"id": ident, "name": name, "life_safety": guards, "breaker": breaker})
    for ident, name, guards, breaker in (
        ("c-0ct", "Controls", "none", None),
        ("c-1ev", "Charger", "none", None),
        ("c-2wh", "Water heater", "none", None),
        ("c-3sm", "Alarms", "smoke alarms", None),
        ("c-4no", "Hall", None, None),
    )
)
SOURCE = thing("sources", {"id": "s-1ge", "name": "Set", "kind": "generator"})


def found(signal: dict[str, Any], **changed: Any) -> list[Check]:
    """Every check of a signal of the invented house."""
    facts = facts_of_text(text_of(CIRCUITS, SOURCE, thing("signals", {**signal, **changed})))
    modules = (signal_fail_safe, signal_voltage, signal_shed_list, signal_supply)
    checks = [check for module in modules for check in module.checks(facts)]
    assert {check.id for check in checks} <= {ident for module in modules for ident in module.IDS}
    for language in ("en", "es"):
        catalog = Catalog(language, strict=True)
        for check in checks:
            said = [check.say, *filter(None, [check.remedy]), *(m.what for m in check.missing)]
            said += [m.how for m in check.missing]
            assert all("[" not in catalog.say(each) for each in said) and not catalog.lacking
            assert (check.outcome is Outcome.CANNOT_TELL) == bool(check.missing), check
    return checks


def one(checks: list[Check], ident: str) -> Check:
    (check,) = [each for each in checks if each.id == ident]
    return check


# --- truth tables -------------------------------------------------------------------------------------------------
def followed(wiring: Wiring, event: str) -> str:
    """Independent: conductors as a graph; the receiver sees a closed loop where current finds a way round."""

    def conducts(parts: list[bool]) -> bool:
        ends = [(n, n + 1) for n, closed in enumerate(parts) if closed]
        at = 0
        while (at, at + 1) in ends:
            at += 1
        return at == len(parts)

    asked = event == "acting"
    contact = asked if wiring.closes_to_act else not asked
    if event == "welded contact":
        contact = True
    if event == "lost supply":
        contact = bool(wiring.rests_closed)
    far_wire, near_wire = event != "cut wire", event != "cut wire to the relay"
    if wiring.relay:
        coil = conducts([near_wire, contact])
        closed = conducts([far_wire, coil if wiring.relay_follows else not coil])
    else:
        closed = conducts([far_wire, contact])
    return "acts" if closed == wiring.acts_when_closed else "rests"


def test_every_wired_signal_does_what_its_loop_does() -> None:
    told: dict[str, int] = {}
    for facts in product((True, False), repeat=5):
        wiring = Wiring(*facts[:3], facts[3], facts[4], False, None)
        for event in events(wiring):
            does = receiver_does(wiring, event)
            assert does == followed(wiring, event), (wiring, event)
            told[does] = told.get(does, 0) + 1
    assert told["acts"] > 50 and told["rests"] > 50


@pytest.mark.parametrize("loss", ["acts", "does not act", "holds", None])
def test_a_network_does_what_the_receiver_is_set_to(loss: Any) -> None:
    wiring = Wiring(network=True, on_loss=loss)
    assert events(wiring) == ("normal", "acting", "lost supply", "lost network")
    told = {"acts": "acts", "does not act": "rests", "holds": "holds", None: "unknown"}[loss]
    assert [receiver_does(wiring, each) for each in events(wiring)] == ["rests", "acts", told, told]


@pytest.mark.parametrize("unknown", range(6))
def test_what_is_not_known_never_acts_for_certain(unknown: int) -> None:
    """Where a fact is missing, the answer is only told if both its values give it."""
    names = ("closes_to_act", "acts_when_closed", "rests_closed", "relay", "relay_follows", "network")
    name = names[unknown]
    for values in product((True, False), repeat=5):
        facts = dict(zip([each for each in names if each != name], values, strict=True))
        both = [Wiring(**facts, **{name: value}, on_loss="acts") for value in (True, False)]
        for event in events(Wiring(**facts, on_loss="acts")):
            does = receiver_does(Wiring(**facts, on_loss="acts"), event)
            if does != "unknown":
                assert {receiver_does(w, event) for w in both if event in events(w)} == {does}, (facts, name, event)


# Hand: trade practice for a shed signal (opens to shed) and for a two-wire start (closes to start).
def test_a_shed_signal_that_opens_to_act_fails_to_the_safe_side_but_for_a_welded_contact() -> None:
    checks = found(SHED)
    assert one(checks, "signal.sense").outcome is Outcome.MEETS
    assert one(checks, "signal.fail_safe").outcome is Outcome.MEETS
    weld = one(checks, "signal.welded")
    assert weld.outcome is Outcome.FAILS and weld.severity is Severity.NOTE, "only a test finds it"


def test_a_shed_signal_that_closes_to_act_is_not_safe() -> None:
    checks = found(SHED, acts="closes to act", expects="closed to act")
    bad = one(checks, "signal.fail_safe")
    assert bad.outcome is Outcome.FAILS and bad.severity is Severity.CORRECT
    assert [each.key for each in bad.say.params["events"]] == ["signal.event.cut_wire", "signal.event.lost_supply"]  # type: ignore[attr-defined]
    assert not [each for each in checks if each.id == "signal.welded"]


def test_senses_that_do_not_fit_are_told() -> None:
    assert one(found(SHED, expects="closed to act"), "signal.sense").outcome is Outcome.FAILS
    stop = one(found(SHED, purpose="emergency stop", expects="closed to act", loads=None), "signal.sense")
    assert stop.severity is Severity.DANGER


@pytest.mark.parametrize(("supervised", "outcome"), [(True, Outcome.MEETS), (False, Outcome.FAILS),
                                                     (None, Outcome.CANNOT_TELL)])  # fmt: skip
def test_a_cut_start_wire_must_not_be_silent(supervised: bool | None, outcome: Outcome) -> None:
    check = one(found(START, supervised=supervised), "signal.fail_safe")
    assert check.outcome is outcome and check.severity is Severity.NOTE
    assert one(found(START, acts="opens to act", expects="open to act"), "signal.fail_safe").outcome is Outcome.MEETS


def test_a_lost_network_must_shed() -> None:
    for loss, outcome in (("acts", Outcome.MEETS), ("holds", Outcome.FAILS), ("does not act", Outcome.FAILS),
                          (None, Outcome.CANNOT_TELL)):  # fmt: skip
        check = one(found(SHED, over_network=True, on_loss=loss), "signal.fail_safe")
        assert check.outcome is outcome, loss


@pytest.mark.parametrize("name", ["acts", "expects", "rests", "relay", "over_network"])
def test_a_missing_fact_is_asked_for(name: str) -> None:
    checks = found(SHED, **{name: None})
    asked = {m.path for c in checks if c.id in ("signal.sense", "signal.fail_safe") for m in c.missing}
    assert f"w-1aa/z-1sh.{name}" in asked


def test_the_rows_stand_in_the_answer_with_their_verdicts() -> None:
    facts = facts_of_text(text_of(CIRCUITS, SOURCE, thing("signals", SHED)))
    (answer,) = signal_answers(facts)
    assert {r.event: (r.receiver, r.outcome) for r in answer.rows} == {
        "normal": ("rests", Outcome.MEETS), "acting": ("acts", Outcome.MEETS), "cut wire": ("acts", Outcome.MEETS),
        "welded contact": ("rests", Outcome.FAILS), "lost supply": ("acts", Outcome.MEETS),
    }  # fmt: skip
    assert answer.outcome is Outcome.MEETS and answer.sheds == ("c-1ev", "c-2wh")


# --- voltages -----------------------------------------------------------------------------------------------------
VOLTAGES: list[tuple[dict[str, Any], Outcome, str]] = [
    ({}, Outcome.MEETS, "meets"),
    ({"receiver_volts": 120}, Outcome.FAILS, "fails"),  # hand: 120 V on a contact for 30 V
    ({"receiver_volts": 120, "relay": True, "relay_sense": "same sense"}, Outcome.MEETS, "relay"),
    ({"voltage_free": False}, Outcome.FAILS, "both"),
    ({"voltage_free": False, "receiver_volts": 0}, Outcome.CANNOT_TELL, "sender"),
    ({"voltage_free": None}, Outcome.CANNOT_TELL, "cannot_tell"),
    ({"contact_volts": None}, Outcome.CANNOT_TELL, "cannot_tell"),
]


@pytest.mark.parametrize(("changed", "outcome", "how"), VOLTAGES)
def test_contact_and_voltage(changed: dict[str, Any], outcome: Outcome, how: str) -> None:
    check = one(found(SHED, **changed), "signal.voltage")
    assert check.outcome is outcome and check.say.key.endswith(how)


# --- what is shed -------------------------------------------------------------------------------------------------
def test_what_guards_life_on_the_list_is_a_danger() -> None:
    bad = one(found(SHED, loads=["c-1ev", "c-3sm"], never=None), "signal.life_safety")
    assert (bad.outcome, bad.severity, bad.thing) == (Outcome.FAILS, Severity.DANGER, "c-3sm")


def test_what_guards_life_under_an_energy_management_system_is_a_danger_too() -> None:
    lift = thing("circuits", {"id": "c-9li", "name": "Lift", "life_safety": "stair lift"})
    system = thing("energy_management", {"id": "e-1ms", "name": "Limiter", "controls": ["c-9li", "c-1ev"]})
    facts = facts_of_text(text_of(CIRCUITS, lift, system))
    (bad,) = signal_shed_list.checks(facts)
    assert (bad.thing, bad.outcome, bad.severity) == ("c-9li", Outcome.FAILS, Severity.DANGER)


def test_a_circuit_not_looked_at_is_no_pass() -> None:
    check = one(found(SHED, loads=["c-1ev", "c-4no"]), "signal.life_safety")
    assert check.outcome is Outcome.CANNOT_TELL
    assert [m.path for m in check.missing] == ["w-1aa/c-4no.life_safety"]


def test_control_power_and_the_lists_are_held_apart() -> None:
    assert one(found(SHED), "signal.control_power").outcome is Outcome.MEETS
    assert one(found(SHED, loads=["c-0ct"]), "signal.control_power").outcome is Outcome.FAILS
    assert one(found(SHED, powered_by=None), "signal.control_power").outcome is Outcome.CANNOT_TELL
    assert one(found(SHED, never=["c-1ev"]), "signal.shed_list").outcome is Outcome.FAILS
    assert one(found(SHED, loads=None), "signal.shed_list").outcome is Outcome.CANNOT_TELL


def test_the_start_signal_must_live_when_the_utility_is_gone() -> None:
    assert one(found(START), "signal.supply").outcome is Outcome.MEETS
    assert one(found(START, powered_by="c-0ct"), "signal.supply").outcome is Outcome.FAILS
    assert one(found(START, powered_by="c-0ct", rests="closed"), "signal.supply").outcome is Outcome.MEETS
    assert one(found(START, powered_by=None), "signal.supply").outcome is Outcome.CANNOT_TELL
