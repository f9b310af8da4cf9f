"""The catalogs of words: a Msg becomes a sentence, in English or Spanish.

Words stand in words/<language>/*.toml, tables nested by the dots of the key. A table of `one` and `other` holds
the two forms of a plural, chosen by the parameter `count`. A key that ends in `_without_limit`, or in
`_without_limit_load`, holds the words for the case that nothing is known of these parameters. `{load_va}` in a
text prints that parameter with the digits of the unit its name ends in; the unit itself is part of the text.
`{limit:A}` prints number and unit, and only "not known yet" where nothing is known.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from decimal import Decimal
from enum import Enum
from functools import cache
from importlib import resources

from deadfront.documents import numbers
from deadfront.msg import Msg, said
from deadfront.quantities import UNKNOWN, Interval, point
from deadfront.worksheet.check import Outcome
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.sheet import Figure, Verdict

LANGUAGES = ("en", "es")
Text = str | dict[str, str]
_PLACE = re.compile(r"\{(\w+)(?::([^{}]+))?\}")
_E_SOUND = re.compile(r"h?i(?!e)", re.I)


def _flat(table: Mapping[str, object], head: str = "") -> Iterable[tuple[str, Text]]:
    for name, value in table.items():
        key = f"{head}{name}"
        if isinstance(value, str) or isinstance(value, dict) and set(value) == {"one", "other"}:
            yield key, value
        elif isinstance(value, dict):
            yield from _flat(value, key + ".")
        else:
            raise TypeError(f"words: {key} is neither text nor a table")


@cache
def _read(language: str) -> tuple[dict[str, Text], tuple[str, ...]]:
    found: dict[str, Text] = {}
    twice: list[str] = []
    folder = resources.files("deadfront.documents").joinpath("words").joinpath(language)
    for file in sorted(folder.iterdir(), key=lambda f: f.name):
        if not file.name.endswith(".toml"):
            continue
        for key, text in _flat(tomllib.loads(file.read_text(encoding="utf-8"))):
            if key in found:
                twice.append(f"{language}/{file.name}: {key}")
            found.setdefault(key, text)
    return found, tuple(twice)


def words(language: str) -> dict[str, Text]:
    """All texts of a language by key; of a key in two files the first counts."""
    return _read(language)[0]


def said_twice(language: str) -> tuple[str, ...]:
    """Keys that stand in more than one file, and where: a fault, but never one that stops a user."""
    return _read(language)[1]


class Catalog:
    """Says Msgs, figures, citations and lists in one language.

    Args:
        language: "en" or "es"; what Spanish lacks is said in English and kept in `lacking`.
        strict: Raise for a key that English lacks, or a parameter that a text asks for and does not get.

    Attributes:
        lacking: Keys asked for that this language does not have.
    """

    def __init__(self, language: str = "en", *, strict: bool = False) -> None:
        if language not in LANGUAGES:
            raise ValueError(f"language {language!r}: allowed are {', '.join(LANGUAGES)}")
        self.language = language
        self.strict = strict
        self.lacking: set[str] = set()

    def has(self, key: str) -> bool:
        """True where English, and so every language, can say this key."""
        return key in words("en")

    def say(self, msg: Msg) -> str:
        """The words of a Msg; a key that no catalog has is shown in brackets, never an error."""
        text = self._text(_key_of(msg))
        if text is None:
            if self.strict:
                raise KeyError(msg.key)
            return f"[{msg.key}]"
        if isinstance(text, dict):
            text = text["one" if _is_one(msg.params.get("count")) else "other"]
        return _PLACE.sub(lambda match: self._place(msg, match[1], match[2]), text).rstrip()

    def key(self, key: str, /, **params: object) -> str:
        """The words of a key, written short."""
        return self.say(said(key, **params))

    def _text(self, key: str) -> Text | None:
        text = words(self.language).get(key)
        if text is None:
            self.lacking.add(key)
            text = words("en").get(key)
        return text

    def _place(self, msg: Msg, name: str, unit: str | None) -> str:
        if name not in msg.params:
            if self.strict:
                raise KeyError(f"{msg.key}: {{{name}}} is not given")
            return f"[{name}]"
        value = msg.params[name]
        if unit is None:
            return self.value(value, numbers.unit_of_name(name))
        if isinstance(value, Decimal | int):
            value = point(value)
        return self.quantity(value, unit) if isinstance(value, Interval) else self.value(value, unit)

    def value(self, value: object, unit: str = "") -> str:
        """Any parameter in words: a Msg said, a number formatted, several joined with "and"."""
        if isinstance(value, Msg):
            return self.say(value)
        if isinstance(value, Figure):
            return self.figure(value)
        if isinstance(value, Verdict):
            return self.verdict(value)
        if isinstance(value, Interval):
            return self.range(value, unit)
        if isinstance(value, Decimal | int) and not isinstance(value, bool):
            return numbers.number(value, unit)
        if isinstance(value, Cite):
            return self.cite(value)
        if isinstance(value, Outcome):
            return self.outcome(value)
        if isinstance(value, Enum):
            return self.value(value.value)
        if isinstance(value, tuple | list | set | frozenset):
            parts = sorted(value, key=str) if isinstance(value, set | frozenset) else value
            return self.joined([self.value(part, unit) for part in parts])
        return str(value)

    def joined(self, parts: list[str]) -> str:
        """Several things in a row: "a, b and c"."""
        if len(parts) < 2:
            return "".join(parts)
        word = self.key("list.and_before_i" if _E_SOUND.match(parts[-1]) else "list.and")
        return f"{', '.join(parts[:-1])} {word} {parts[-1]}"

    def range(self, value: Interval, unit: str = "", digits: int | None = None) -> str:
        """A range without its unit: "94.3 to 99.3", "at least 94.3", "100", or "not known yet"."""
        low, high = numbers.ends(value, unit, digits)
        if high is None:
            return self.key("number.unknown") if value.low == 0 else self.key("number.at_least", low=low)
        return low if value.exact else self.key("number.range", low=low, high=high)

    def quantity(self, value: Interval, unit: str, digits: int | None = None) -> str:
        """A range with its unit: "94.3 to 99.3 A"."""
        text, written = self.range(value, unit, digits), numbers.unit_style(unit).say
        unknown = value.high is None and value.low == 0
        return f"{text} {written}" if written and not unknown else text

    def figure(self, figure: Figure, *, with_unit: bool = True) -> str:
        """A figure of a table; its own digits win over the unit's."""
        digits, value = figure.digits or None, figure.value
        if value.low == 0 and value.high:  # from nothing upward: what is known of it is its upper end
            high = numbers.ends(value, figure.unit, digits)[1]
            unit = numbers.unit_style(figure.unit).say if with_unit else ""
            return f"{self.key('number.at_most', high=high)} {unit}".rstrip()
        if with_unit:
            return self.quantity(value, figure.unit, digits)
        return self.range(value, figure.unit, digits)

    def outcome(self, outcome: Outcome) -> str:
        """The word beside a verdict's shape."""
        return self.key(f"outcome.{outcome.name.lower()}")

    def verdict(self, verdict: Verdict) -> str:
        """The words of a verdict: its own, else the outcome's."""
        return self.outcome(verdict.outcome) if verdict.say is None else self.say(verdict.say)

    def cite(self, cite: Cite) -> str:
        """A citation in full: "220.82(B), 2023 NEC"."""
        told = self.key("cite.full", section=self.section(cite.section), edition=cite.edition, code=cite.code)
        return " ".join(told.split())  # a standard that is no code book has no edition here

    def section(self, section: str) -> str:
        """A section as this language writes it: "Table 220.55", "Tabla 220.55"."""
        first, space, rest = section.partition(" ")
        key = f"cite.kind.{first.lower()}"
        return f"{self.key(key)} {rest}" if space and self.has(key) else section


def _key_of(msg: Msg) -> str:
    """The key of a Msg: that for unknown parameters where there is one."""
    unknown = sorted(name for name, value in msg.params.items() if _nothing_known(value))
    special = f"{msg.key}_without_{'_'.join(unknown)}"
    return special if unknown and special in words("en") else msg.key


def _nothing_known(value: object) -> bool:
    known = value.value if isinstance(value, Figure) else value
    return isinstance(known, Interval) and known == UNKNOWN


def _is_one(count: object) -> bool:
    if isinstance(count, Interval):
        return count.exact and count.low == 1
    return isinstance(count, Decimal | int) and count == 1
