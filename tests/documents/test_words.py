"""The catalogs: every key the source says has words in both languages, with the parameters it is given."""

from __future__ import annotations

import json
import re
from decimal import Decimal

import pytest

from deadfront.codebook.data_files import data
from deadfront.documents.catalog import LANGUAGES, Catalog, said_twice, words
from deadfront.documents.numbers import _units
from deadfront.job.problems import form_of
from deadfront.job.schema import job_schema
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, between, point
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.sheet import Figure, Verdict
from tests.documents.said_keys import said_keys

PLACE = re.compile(r"\{(\w+)(?::([^{}]+))?\}")


def places(text: object) -> set[str]:
    """The placeholders of a text, or of both forms of a plural."""
    return {name for name, _ in PLACE.findall(json.dumps(text))}


def units(text: object) -> set[str]:
    """The units that a text names in its placeholders."""
    return {unit for _, unit in PLACE.findall(json.dumps(text)) if unit}


def test_english_has_every_key_that_the_source_says() -> None:
    english = words("en")
    lacking = sorted(
        {
            f"{s.key}  ({s.place})"
            for s in said_keys()
            if (not any(re.fullmatch(s.key, key) for key in english) if s.pattern else s.key not in english)
        }
    )
    assert not lacking, f"{len(lacking)} keys have no words in English:\n" + "\n".join(lacking)


def test_the_scan_finds_keys_at_all() -> None:
    assert {"number.range", "error.fonts_missing"} <= {s.key for s in said_keys()}


def test_every_text_asks_only_for_parameters_that_are_given() -> None:
    english = words("en")
    wrong = [
        f"{s.place}: {s.key} asks for {sorted(places(english[s.key]) - s.params)}, given {sorted(s.params)}"
        for s in said_keys()
        if not s.pattern and s.key in english and s.params is not None and places(english[s.key]) - s.params
    ]
    assert not wrong, "\n".join(wrong)


def test_no_key_stands_in_two_files() -> None:
    assert [place for language in LANGUAGES for place in said_twice(language)] == []


def test_every_form_that_a_job_file_asks_for_has_words_and_an_example() -> None:
    """No pattern reaches a user: each of the models' patterns is one that has words."""
    found = set(re.findall(r'"pattern": "((?:[^"\\]|\\.)*)"', json.dumps(job_schema())))
    forms = {form_of(pattern).key for pattern in found}
    assert {"job.form.id", "job.form.key", "job.form.horsepower"} <= forms
    assert forms & {"job.form.other"} == set(), found
    for language in LANGUAGES:
        assert [key for key in forms if "como " not in str(words(language)[key]) and language == "es"] == []
        assert [key for key in forms if "such as " not in str(words(language)[key]) and language == "en"] == []


def test_all_that_an_edition_can_refuse_has_a_name_in_words() -> None:
    refused = {
        name
        for kind in ("values", "tables", "rules")
        for name, told in data().coverage[kind].items()
        if any(each.startswith("no: ") for each in told)
    }
    assert len(refused) > 10
    for language in LANGUAGES:
        assert sorted(n for n in refused if f"codebook.subject.{n}" not in words(language)) == []


def test_spanish_covers_english() -> None:
    lacking = sorted(set(words("en")) - set(words("es")))
    assert not lacking, f"{len(lacking)} keys have no words in Spanish:\n" + "\n".join(lacking)


def test_spanish_has_no_key_that_english_lacks() -> None:
    assert sorted(set(words("es")) - set(words("en"))) == []


def test_both_languages_ask_for_the_same_parameters() -> None:
    english, spanish = words("en"), words("es")
    wrong = [key for key in english.keys() & spanish.keys() if places(english[key]) != places(spanish[key])]
    assert not wrong, "\n".join(sorted(wrong))


def test_every_unit_in_a_placeholder_is_one_we_write() -> None:
    wrong = {
        key: units(text) for lang in ("en", "es") for key, text in words(lang).items() if units(text) - set(_units())
    }
    assert wrong == {}


def test_a_placeholder_with_a_unit_prints_it_once_something_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(words("en"), "test.limit", "at {limit:A}.")
    catalog = Catalog("en", strict=True)
    assert catalog.key("test.limit", limit=between("94.33", "99.27")) == "at 94.3 to 99.3 A."
    assert catalog.key("test.limit", limit=Decimal(100)) == "at 100 A."
    assert catalog.key("test.limit", limit=UNKNOWN) == "at not known yet."


def test_a_key_that_no_catalog_has_is_shown_in_brackets_and_kept() -> None:
    catalog = Catalog("es")
    assert catalog.say(said("nobody.wrote_this")) == "[nobody.wrote_this]"
    assert catalog.lacking == {"nobody.wrote_this"}
    with pytest.raises(KeyError, match=r"nobody\.wrote_this"):
        Catalog("en", strict=True).say(said("nobody.wrote_this"))


def test_a_parameter_that_is_not_given_never_stops_a_user() -> None:
    assert Catalog("en").say(said("finding.remedy")) == "Do: [remedy]"
    with pytest.raises(KeyError, match="remedy"):
        Catalog("en", strict=True).say(said("finding.remedy"))


def test_an_unknown_language_is_refused() -> None:
    with pytest.raises(ValueError, match="en, es"):
        Catalog("fr")


@pytest.mark.parametrize(
    ("value", "unit", "english", "spanish"),
    [
        (between("94.33", "99.27"), "A", "94.3 to 99.3", "94.3 a 99.3"),
        (between("94.33", None), "A", "at least 94.3", "al menos 94.3"),
        (UNKNOWN, "VA", "not known yet", "aún no se sabe"),
        (point(100), "A", "100", "100"),
        (Decimal("1234.5"), "A", "1,234.5", "1,234.5"),
        (Decimal("1E+5"), "VA", "100,000", "100,000"),
        (("a", "b", "c"), "", "a, b and c", "a, b y c"),
        (("norte", "isla"), "", "norte and isla", "norte e isla"),
        ((), "", "", ""),
        (Msg("outcome.meets"), "", "meets", "cumple"),
        (Figure(between("94.33", "99.27"), "A"), "", "94.3 to 99.3 A", "94.3 a 99.3 A"),
        (Figure(point(1840), "ft2"), "", "1,840 ft²", "1,840 ft²"),
        (Figure(UNKNOWN, "A"), "", "not known yet", "aún no se sabe"),
        (Verdict(Outcome.CANNOT_TELL), "", "cannot tell", "no se puede saber"),
        (Outcome.FAILS, "", "does not meet", "no cumple"),
        (Cite("Table 220.55", "2023"), "", "Table 220.55, 2023 NEC", "Tabla 220.55, NEC 2023"),
    ],
)
def test_values_in_words(value: object, unit: str, english: str, spanish: str) -> None:
    assert Catalog("en", strict=True).value(value, unit) == english
    assert Catalog("es", strict=True).value(value, unit) == spanish


def test_plurals_follow_the_count() -> None:
    catalog = Catalog("en", strict=True)
    assert catalog.key("formula.lines", count=1) == "sum of 1 line"
    assert catalog.key("formula.lines", count=12) == "sum of 12 lines"
    assert catalog.key("formula.lines", count=between(1, 2)) == "sum of 1 to 2 lines"


def test_a_placeholder_takes_the_digits_of_the_unit_in_its_name() -> None:
    assert Catalog("en").key("ruler.service", rating_a=Decimal("99.96")) == "rating 100.0 A"
