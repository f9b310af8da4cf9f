"""The graph of a house: two terminals a device, rings and orphans, breakers that cannot be where they are."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from deadfront.job.things import House
from deadfront.topology.graph import graph_of
from deadfront.worksheet.check import Check, Outcome, Severity
from tests.circuits.flow_houses import answered, service_house


def breaker(ident: str, panel: str | None, *spaces: int, **more: Any) -> dict[str, Any]:
    return {"id": ident, "spaces": spaces, "rating_a": 60, **({"panel": panel} if panel else {}), **more}


def sub_panels(*feeds: tuple[str, str | None]) -> House:
    """Panels by (id, breaker that feeds it); each panel p-X holds one breaker b-X."""
    panels = [{"id": panel, **({"fed_by": by} if by else {})} for panel, by in feeds]
    breakers = [breaker(f"b-{panel[2:]}", panel, 2, 4, poles=2) for panel, _ in feeds]
    return service_house(panels=panels, breakers=breakers)


def found(house: House, ident: str, new: tuple[str, ...] = ()) -> list[Check]:
    return [each for each in answered(house, new).checks if each.id == ident]


def test_every_device_has_two_terminals_and_the_way_leads_from_line_to_load() -> None:
    house = service_house(
        panels=[{"id": "p-main", "fed_by": "service"}, {"id": "p-sub", "fed_by": "b-sub"}],
        breakers=[breaker("b-sub", "p-main", 2, 4), breaker("b-cir", "p-sub", 1)],
        circuits=[{"id": "c-one", "breaker": "b-cir"}],
    )
    graph = graph_of(house)
    way = [(each.kind, each.line, each.load) for each in graph.links]
    assert way == [
        ("drop", "transformer", "service point"), ("service conductors", "service point", "service"),
        ("disconnect", "service", "bus"), ("feeder", "bus", "bus/p-main"), ("feeder", "out/b-sub", "bus/p-sub"),
        ("breaker", "bus/p-main", "out/b-sub"), ("breaker", "bus/p-sub", "out/b-cir"),
        ("circuit", "out/b-cir", "end/c-one"),
    ]  # fmt: skip
    assert graph.feeds == {"p-main": ("p-main",), "p-sub": ("p-main", "p-sub")}
    assert graph.rings == () and graph.orphans == ()


def test_a_panel_fed_by_a_breaker_in_itself() -> None:
    house = sub_panels(("p-aa", "service"), ("p-bb", "b-bb"))
    graph = graph_of(house)
    assert graph.rings == (("p-bb", "b-bb"),) and "bus/p-bb" in graph.orphans and "p-bb" not in graph.feeds
    said = found(house, "feeder.ring")
    assert [(each.thing, each.severity, each.outcome) for each in said] == [("p-bb", Severity.CORRECT, Outcome.FAILS)]
    assert said[0].remedy is not None


def test_two_panels_that_feed_each_other() -> None:
    house = sub_panels(("p-aa", "b-bb"), ("p-bb", "b-aa"), ("p-cc", "b-aa"))
    assert [set(ring) for ring in graph_of(house).rings] == [{"p-aa", "b-aa", "p-bb", "b-bb"}]
    assert [each.severity for each in found(house, "feeder.ring")] == [Severity.DANGER]
    assert [each.thing for each in found(house, "circuit.orphan")] == ["p-cc"]
    assert found(house, "fault.interrupting") == []


def test_orphans_are_named_with_place_and_remedy() -> None:
    house = service_house(
        panels=[{"id": "p-main", "fed_by": "service"}, {"id": "p-sub", "fed_by": "b-gone"}],
        breakers=[breaker("b-one", "p-gone", 1), breaker("b-two", None, 3)],
        circuits=[{"id": "c-one", "breaker": "b-gone"}, {"id": "c-two"}],
    )
    said = {each.thing: each for each in found(house, "circuit.orphan", new=("c-two", "b-two"))}
    assert {thing: each.outcome for thing, each in said.items()} == {
        "p-sub": Outcome.FAILS, "c-one": Outcome.FAILS, "b-one": Outcome.FAILS,
        "c-two": Outcome.CANNOT_TELL, "b-two": Outcome.CANNOT_TELL,
    }  # fmt: skip
    assert all(each.remedy is not None for each in said.values())
    assert said["c-two"].missing[0].path == "w-new/c-two.breaker"
    assert {"bus/p-sub", "end/c-one", "end/c-two", "out/b-one"} <= set(graph_of(house).orphans)


@pytest.mark.parametrize(
    ("breakers", "why"),
    [
        ([breaker("b-one", "p-main", 1), breaker("b-two", "p-main", 1)], "taken_twice"),
        ([breaker("b-one", "p-main", 1, half="a"), breaker("b-two", "p-main", 1, half="a")], "taken_twice"),
        ([breaker("b-one", "p-main", 43)], "beyond"),
        ([breaker("b-one", "p-main", 3, 3)], "space_twice"),
        ([breaker("b-one", "p-main", 1, 2, poles=2)], "not_adjacent"),
        ([breaker("b-one", "p-main", 1, poles=2)], "too_few"),
        ([breaker("b-one", "p-main", 1, 3, poles=1)], "too_many"),
        ([breaker("b-one", "p-main", 1, half="a"), breaker("b-two", "p-main", 1, half="b")], None),
        ([breaker("b-one", "p-main", 1, 3, poles=2), breaker("b-two", "p-main", 5, poles=1)], None),
    ],
)
def test_breakers_that_cannot_be_where_they_are(breakers: list[dict[str, Any]], why: str | None) -> None:
    house = service_house(panels=[{"id": "p-main", "fed_by": "service", "spaces": 42}], breakers=breakers)
    said = [each.say.key.rpartition(".")[2] for each in found(house, "circuit.topology")]
    assert said == ([why] if why else [])


IDS = [f"p-{letter}{letter}" for letter in "abcdefg"]


@settings(max_examples=150)
@given(st.lists(st.sampled_from(["service", None, "b-gone", *(f"b-{p[2:]}" for p in IDS)]), min_size=1, max_size=7))
def test_any_feeds_give_feeds_rings_and_orphans_that_agree(feeds: list[str | None]) -> None:
    """Independent: a panel is fed exactly where following what feeds it ends at the service; in a ring exactly where
    it comes back to itself."""
    house = sub_panels(*zip(IDS, feeds, strict=False))
    graph, above = graph_of(house), dict(zip(IDS, feeds, strict=False))
    if len(feeds) == 1 and feeds[0] is None:
        above[IDS[0]] = "service"
    ringed = {ident for ring in graph.rings for ident in ring if ident.startswith("p-")}
    for panel in above:
        at: str | None = panel
        for _ in range(len(above) + 1):
            by = above.get(str(at))
            at = "service" if at == "service" or by == "service" else f"p-{by[2:]}" if by else None
            if at == panel:
                break
        assert (panel in graph.feeds) == (at == "service")
        assert (panel in ringed) == (at == panel)
        assert (f"bus/{panel}" in graph.orphans) == (at != "service")
    answered(house, new=tuple(above))  # nothing of this is a crash
