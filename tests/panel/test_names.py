"""Names of circuits: what a directory may not have, what is offered, what is right and stays so."""

from __future__ import annotations

import pytest

from deadfront.codebook.name_words import name_words
from deadfront.panel.rules.names import Named, name_findings, tokens

WORDS = name_words()


def kinds(*names: str, in_use: bool = False) -> list[str]:
    named = [Named(f"c-{n}", name, str(n + 1), in_use) for n, name in enumerate(names)]
    return [finding.kind for finding in name_findings(named, WORDS)]


# Trade discussion of 408.4 (the_trade's own examples: "Bobbie's room", "lights", "plugs") and common practice.
@pytest.mark.parametrize("name", ["Bobbie's room", "Bobbie’s room", "The kids' bath", "Kids room", "My shop", "Mom",
                                  "Grandma suite", "Cuarto de los niños", "Baño de mamá", "Dueño"])  # fmt: skip
def test_a_name_that_depends_on_who_lives_there_is_wrong(name: str) -> None:
    assert kinds(name) == ["person"]


@pytest.mark.parametrize("name", ["Lights", "lights and plugs", "PLUGS", "Outlets", "Misc", "Circuit 12", "Luces", "12",
                                  "Contactos y luces", "Lights & outlets", "General lighting"])  # fmt: skip
def test_a_name_that_tells_nothing_apart_is_wrong(name: str) -> None:
    assert kinds(name) == (["none"] if name == "12" else ["vague"])


@pytest.mark.parametrize("name", ["", "   ", "...", "-"])
def test_no_name_is_said_to_be_none(name: str) -> None:
    assert kinds(name) == ["none"]


@pytest.mark.parametrize("name", [
    "Range", "Kitchen wall outlets", "Countertop outlet left of sink", "Furnace", "Lighting, first floor", "A/C",
    "Bedroom outlets, northeast", "Estufa", "Tomacorrientes, cocina, pared norte", "Smoke and CO alarms", "Heat pump 2",
    "Mother-in-law suite panel"[7:], "Water heater", "Outlets 6' left of the door", "Sump pump",
])  # fmt: skip
def test_a_clear_name_stays(name: str) -> None:
    assert kinds(name) == []


@pytest.mark.parametrize("name", ["Bathroom outlets", "Bedroom", "Recámara", "Closet lights"])
def test_a_position_word_is_offered_where_a_house_has_several(name: str) -> None:
    assert kinds(name) == ["position"]


@pytest.mark.parametrize("name", ["Guest bedroom", "Nursery outlets, north", "Home office", "Oficina"])
def test_a_use_that_ages_is_an_offer_not_a_fault(name: str) -> None:
    (finding,) = name_findings([Named("c-1", name, "1")], WORDS)
    assert finding.kind == "ages" and not finding.wrong


def test_a_name_twice_is_told_once_with_all_its_spaces_however_it_is_written() -> None:
    named = [Named("c-1", "Dryer", "1"), Named("c-2", "the dryer", "3"), Named("c-3", "DRYER.", "5"),
             Named("c-4", "Washer", "7")]  # fmt: skip
    (finding,) = name_findings(named, WORDS)
    assert finding.kind == "twice" and finding.circuits == ("c-1", "c-2", "c-3")
    assert finding.say.params["spaces"] == ("1", "3", "5")


def test_spares_may_be_many_and_are_wrong_only_in_use() -> None:
    assert kinds("Spare", "spare", "Reserva") == []
    assert kinds("Spare", in_use=True) == ["spare_in_use"]


def test_what_is_wrong_comes_before_what_is_offered() -> None:
    assert kinds("Bathroom outlets", "Lights") == ["vague", "position"]


def test_words_of_the_lists_are_words_as_names_are_cut() -> None:
    """A word that a name is never cut into would never be found."""
    lists = [getattr(WORDS, kind) for kind in WORDS.__slots__ if kind not in ("spare_phrase", "same")]
    assert all(tokens(word) == [word] for words in lists for word in words)
    assert not WORDS.person & WORDS.position and not WORDS.vague & WORDS.position
