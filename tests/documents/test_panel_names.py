"""Names of circuits as they are really written: good ones stay, bad ones are told as what they are, in both languages.

Which names are good and which are bad is common practice under 408.4: a clear, evident and specific purpose, told apart
from all others, not depending on who lives there.
"""

from __future__ import annotations

import pytest

from deadfront.codebook.name_words import name_words
from deadfront.documents.panel_sheets.translate import in_language
from deadfront.panel.rules.names import Named, name_findings

WORDS = name_words()


def told(*names: str, in_use: bool = True) -> list[str]:
    """Kinds of what is found wrong, in the order of the names."""
    named = [Named(f"c-{n}", name, str(n + 1), in_use) for n, name in enumerate(names)]
    return [finding.kind for finding in name_findings(named, WORDS) if finding.wrong]


@pytest.mark.parametrize("name", [
    "Spare bedroom", "Refrigerator's outlet", "Garage's lights", "Kitchen's island", "Spare bedroom closet", "Rec room",
    "A/C", "Main floor lights", "New kitchen island", "Whole house fan", "Other bathroom", "Den", "Smoke alarms",
    "Bathroom GFCI, 2nd floor", "Half bath", "Test bench, garage", "Mini split", "Recámara norte", "Bomba de pozo",
    "Cocina, pared norte", "Free-standing range",
])  # fmt: skip
def test_a_good_name_is_not_refused(name: str) -> None:
    assert told(name) == []


@pytest.mark.parametrize("name", [
    "LTS", "Lites", "REC", "Recpt", "GFCI", "AFCI", "Ckt 12", "Half the house", "New", "Main", "Test", "X",
    "Do not use", "Future", "Blank", "Other", "Various", "Etc.", "Rest of house", "Lites & recs", "North", "Upstairs",
    "20A", "Nuevo", "Otros", "Varios", "Luces y contactos", "Media casa", "No usar", "Sin etiqueta", "ILUMINACION",
])  # fmt: skip
def test_a_name_that_tells_nothing_is_told_so(name: str) -> None:
    assert told(name) == (["none"] if name == "20A" else ["vague"])


@pytest.mark.parametrize("name", ["TBD", "n/a", "N/A", "none", "None.", "?", "--", "Ninguno", "pendiente"])
def test_what_stands_for_no_name_is_none(name: str) -> None:
    assert told(name) == ["none"]


@pytest.mark.parametrize("name", ["Free", "Not used", "Spare", "Not in use", "Spare circuit", "Sin usar", "Sin uso",
                                  "Libre", "Reserva 2"])  # fmt: skip
def test_a_spare_with_a_load_is_wrong_and_without_one_right(name: str) -> None:
    assert told(name) == ["spare_in_use"] and told(name, in_use=False) == []


@pytest.mark.parametrize("name", [
    "Uncle Bob", "Landlord", "Renter", "Roommate", "Jim - den", "Bobbie's room", "Owner's suite", "Mom's office",
    "The Smiths' bath", "JIM", "Los chicos", "Mama", "Ninos", "Cuarto de los ninos", "Recámara de María", "Tía Rosa",
    "Su oficina",
])  # fmt: skip
def test_a_name_that_depends_on_who_lives_there_is_told_so(name: str) -> None:
    assert told(name) == ["person"]


@pytest.mark.parametrize(("one", "other"), [
    ("Kitchen receptacles", "Kitchen outlets"), ("Outlets, kitchen", "Kitchen recpts"),
    ("Hall lights", "Lighting hallway"),
    ("1st floor bath", "First floor bathroom"), ("NE bedroom", "Northeast bedroom"), ("Luces, baño", "Bathroom lights"),
])  # fmt: skip
def test_two_names_that_mean_the_same_are_one_name_twice(one: str, other: str) -> None:
    named = [Named("c-1", one, "1"), Named("c-2", other, "3")]
    (finding,) = [each for each in name_findings(named, WORDS) if each.wrong]
    assert finding.kind == "twice" and finding.circuits == ("c-1", "c-2")
    assert finding.say.params["name"] == f"{one} / {other}"


@pytest.mark.parametrize(("one", "other"), [
    ("Kitchen outlets", "Kitchen lights"), ("Bedroom 1 closet 2", "Bedroom 2 closet 1"), ("Bath, north", "Bath, south"),
    ("Kitchen outlets, left", "Kitchen outlets, right"),
])  # fmt: skip
def test_two_names_that_differ_are_two(one: str, other: str) -> None:
    assert told(one, other) == []


@pytest.mark.parametrize("name", ["Bedroom, 2nd floor", "NE bedroom", "Bath SW", "Recámara, segundo piso",
                                  "Bedroom lights N", "Upper level bath"])  # fmt: skip
def test_a_position_that_is_given_is_not_asked_for(name: str) -> None:
    assert name_findings([Named("c-1", name, "1")], WORDS) == ()


@pytest.mark.parametrize(("english", "spanish"), [
    ("Kitchen counter left of sink", "Encimera de la cocina a la izquierda del fregadero"),
    ("Kitchen counter right of sink", "Encimera de la cocina a la derecha del fregadero"),
    ("Bedroom upstairs north", "Recámara, arriba, norte"), ("Bath basement", "Baño, sótano"),
    ("North bedroom", "Recámara, norte"), ("Vehicle charger garage", "Cargador de vehículo, garaje"),
    ("Upstairs bathroom outlets", "Tomacorrientes del baño, arriba"), ("Car charger", "Cargador de vehículo"),
    ("Garage receptacles", "Contactos del garaje"), ("Air conditioner north yard", "Aire acondicionado, patio norte"),
    ("Bathroom upstairs GFCI", "Baño, arriba, GFCI"), ("Dishwasher and disposal", "Lavavajillas y triturador"),
    ("Bedroom 2 closet lights", "Recámara 2, luces del clóset"), ("Kitchen island", "Isla de la cocina"),
    ("Basement lights", "Luces del sótano"), ("Bench in the quiet corner", None), ("Jim's den", None),
])  # fmt: skip
def test_common_names_have_a_spanish_card(english: str, spanish: str | None) -> None:
    assert in_language(english, "es") == spanish


@pytest.mark.parametrize(("spanish", "english"), [
    ("Recámara norte", "Bedroom, north"), ("Luces del sótano", "Basement lights"), ("Lavadora", "Washer"),
    ("Cargador de vehículo, garaje", "Vehicle charger, garage"), ("Tomacorrientes de la cocina", "Kitchen outlets"),
])  # fmt: skip
def test_and_an_english_one(spanish: str, english: str) -> None:
    assert in_language(spanish, "en") == english
