"""Things that must not meet: two ways to one alternate side, solar beside an engine, equipment that is not listed."""

from __future__ import annotations

from typing import Any

import pytest

from deadfront.worksheet.check import Severity
from tests.sources.full import added, check_of, judged, part, said_of


def alternate(*idents: str) -> Any:
    """The alternate side of the transfer switch fed by these."""
    return lambda job: part(job, "t-1au").update(alternate=list(idents))


@pytest.mark.parametrize(
    ("idents", "outcome"),
    [
        (("x-2ge",), ""),
        (("x-2ge", "s-2ge"), ""),  # one way: the set, then its disconnect
        (("x-2ge", "b-go0"), "FAILS tied_fails"),  # the breaker of a bus that the utility feeds
        (("b-go0", "x-2ge"), "FAILS tied_fails"),
        (("s-2ge", "b-go0"), "FAILS tied_fails"),
        (("b-ev0", "b-go0"), "FAILS tied_fails"),
    ],
)
def test_the_utility_beside_a_set_on_one_alternate_side(idents: tuple[str, ...], outcome: str) -> None:
    told = judged(alternate(*idents))
    assert said_of(told, "transfer.parallel", "t-1au") == outcome
    if outcome:
        assert check_of(told, "transfer.parallel", "t-1au").severity is Severity.DANGER


def test_a_way_to_the_alternate_side_that_is_not_recorded_is_asked_for() -> None:
    def change(job: dict[str, Any]) -> None:
        alternate("x-2ge", "x-9un")(job)
        added(job, 0, "switches", {"id": "x-9un", "name": "Old switch"})

    told = check_of(judged(change), "transfer.parallel", "t-1au")
    assert told.outcome.name == "CANNOT_TELL" and [m.path.rpartition(".")[2] for m in told.missing] == ["fed_by"]


def test_an_interlock_between_the_two_parts_them() -> None:
    def change(job: dict[str, Any]) -> None:
        alternate("b-ev0", "b-go0")(job)
        held = {"id": "t-9il", "kind": "interlock", "held_apart": ["b-ev0", "b-go0"], "excludes": True, "listed": True}
        added(job, 0, "transfers", held)

    assert said_of(judged(change), "transfer.parallel", "t-1au") == ""


# --- solar behind an engine that starts by itself -----------------------------------------------------------------
@pytest.mark.parametrize(
    ("facts", "outcome"),
    [
        ({"inhibit": "A card on the door"}, "CANNOT_TELL cannot_tell"),  # words are no means that acts by itself
        ({"kept_off": False}, "FAILS beside"),
        ({"kept_off": True}, "MEETS meets"),
    ],
)
def test_solar_beside_an_engine_is_kept_off_by_what_acts_by_itself(facts: dict[str, Any], outcome: str) -> None:
    def change(job: dict[str, Any]) -> None:
        part(job, "b-1pv").update(panel="p-1ma")
        job["work"][0]["move"]["b-1pv"] = {"panel": "p-3bu", "spaces": [10, 12]}
        part(job, "s-1pv").update(facts)

    assert said_of(judged(change), "transfer.parallel", "t-1au") == outcome


def test_by_hand_a_way_on_file_is_enough() -> None:
    """Somebody stands there who opens the disconnect of the array first."""

    def change(job: dict[str, Any]) -> None:
        job["work"][0]["move"]["b-1pv"] = {"panel": "p-3bu", "spaces": [10, 12]}
        part(job, "t-1au").update(kind="manual switch", load_connected="by hand")
        part(job, "s-2ge").update(automatic=False)

    assert said_of(judged(change), "transfer.parallel", "t-1au") == "MEETS meets"


# --- listing ------------------------------------------------------------------------------------------------------
def test_transfer_equipment_that_is_not_listed_fails() -> None:
    told = check_of(judged(lambda job: part(job, "t-1au").update(listed=False)), "transfer.excludes", "t-1au")
    assert (told.outcome.name, told.severity) == ("FAILS", Severity.DANGER) and told.say.key.endswith("unlisted")
