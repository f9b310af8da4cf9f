"""Local amendments: what a jurisdiction changed in the edition it adopted.

An amendment may set a value, bar a rule, select one reading of a disputed rule, or add a worded requirement:

    [set.service_min_one_family_a]
    value = 150
    unit = "A"
    section = "8.20.040"

    [[bar]]
    rule = "dwelling_optional_load"

    [[select]]
    rule = "existing_hvac"
    reading = "larger_at_100"

    [[require]]
    section = "8.20.050"
    text = "Mark the service disconnect with the date of the calculation."
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from deadfront.codebook.data_files import data
from deadfront.codebook.entries import Figure
from deadfront.codebook.written import bad, figure_at, list_at, one_of, read_toml, table_at, words_at
from deadfront.worksheet.cite import Cite

_PARTS = ("set", "bar", "select", "require")


@dataclass(frozen=True, slots=True)
class Setting:
    """A value as the amendment sets it, and the section of the amendment."""

    value: Figure
    section: str = ""


@dataclass(frozen=True, slots=True)
class Requirement:
    """A worded requirement of an amendment, shown as given and never computed."""

    amendment: str
    text: str
    section: str = ""

    @property
    def cite(self) -> Cite:
        """Where the requirement stands."""
        return Cite(self.section or self.amendment, "", self.amendment, "verified", self.amendment)


@dataclass(frozen=True, slots=True)
class Amendment:
    """One file of local amendments.

    Args:
        name: What the file or ordinance is called; printed with everything it changes.
        values: Name of each value set, with its Setting.
        barred: Subjects of rules that may not be used.
        selected: Subject and reading of each disputed rule it decides.
        requirements: Worded requirements.
    """

    name: str
    values: tuple[tuple[str, Setting], ...] = ()
    barred: tuple[str, ...] = ()
    selected: tuple[tuple[str, str], ...] = ()
    requirements: tuple[Requirement, ...] = ()


def read_amendments(text: str, name: str) -> Amendment:
    """The amendment written in a TOML text.

    Raises:
        JobUnreadable: not TOML, or something the code book does not know; says what, where and what is allowed.
    """
    return _amendment(read_toml(text, name), words_at(name, "amendments", "name"))


def amendment_from_dict(written: object) -> Amendment:
    """The amendment that travels inside a job: the same parts, and its name.

    Raises:
        JobUnreadable: as `read_amendments`.
    """
    parts = table_at(written, "amendments", "", ("name", *_PARTS))
    name = words_at(parts.get("name"), "amendments", "name")
    return _amendment({key: each for key, each in parts.items() if key != "name"}, name)


def as_dict(amendment: Amendment) -> dict[str, object]:
    """The amendment as plain data, ready for `amendment_from_dict`."""
    told: dict[str, object] = {"name": amendment.name}
    if amendment.values:
        told["set"] = {name: _setting_as_dict(name, each) for name, each in amendment.values}
    if amendment.barred:
        told["bar"] = [{"rule": subject} for subject in amendment.barred]
    if amendment.selected:
        told["select"] = [{"rule": subject, "reading": reading} for subject, reading in amendment.selected]
    if amendment.requirements:
        told["require"] = [{"text": each.text, "section": each.section} for each in amendment.requirements]
    return told


def readings_of(subject: str) -> tuple[str, ...]:
    """All readings a rule has in any edition."""
    by_edition = data().rules[subject].get("readings", {})
    return tuple(dict.fromkeys(reading for readings in by_edition.values() for reading in readings))


def _setting_as_dict(name: str, setting: Setting) -> dict[str, object]:
    value = str(setting.value) if isinstance(setting.value, Decimal) else setting.value
    return {"value": value, "unit": data().values[name]["unit"], "section": setting.section}


def _amendment(written: Mapping[str, object], name: str) -> Amendment:
    parts = table_at(written, name, "", _PARTS)
    rules = tuple(sorted(data().rules))
    settings = table_at(parts.get("set", {}), name, "set", tuple(sorted(data().values)))
    barred = []
    for where, each in _numbered(parts, "bar", name):
        asked = table_at(each, name, where, ("rule", "section"))
        barred.append(one_of(asked.get("rule"), name, f"{where}.rule", rules))
    selected: dict[str, str] = {}
    for where, each in _numbered(parts, "select", name):
        subject, reading = _selected(each, name, where)
        if selected.setdefault(subject, reading) != reading:
            raise bad(name, where, reading, selected[subject])
    required = []
    for where, each in _numbered(parts, "require", name):
        asked = table_at(each, name, where, ("text", "section"))
        section = words_at(asked.get("section"), name, f"{where}.section", empty=True)
        required.append(Requirement(name, words_at(asked.get("text"), name, f"{where}.text"), section))
    values = tuple((key, _setting(key, each, name)) for key, each in settings.items())
    return Amendment(name, values, tuple(barred), tuple(selected.items()), tuple(required))


def _numbered(parts: Mapping[str, object], part: str, file: str) -> list[tuple[str, object]]:
    entries = list_at(parts.get(part), file, part)
    return [(f"{part} {number}", each) for number, each in enumerate(entries, 1)]


def _setting(key: str, written: object, file: str) -> Setting:
    where = f"set.{key}"
    parts = table_at(written, file, where, ("value", "unit", "section"))
    ours = data().values[key]
    if parts.get("unit", "") != ours["unit"]:
        raise bad(file, f"{where}.unit", parts.get("unit"), ours["unit"])
    value = figure_at(parts.get("value"), _like(ours["value"]), file, f"{where}.value")
    if isinstance(value, str):
        one_of(value, file, f"{where}.value", ours["allowed"])
    if ours["unit"] == "" and isinstance(value, Decimal) and value != value.to_integral_value():
        raise bad(file, f"{where}.value", value, "whole number")
    return Setting(value, words_at(parts.get("section"), file, f"{where}.section", empty=True))


def _like(written: Figure | Mapping[str, Figure]) -> Figure:
    return next(iter(written.values())) if isinstance(written, Mapping) else written


def _selected(written: object, file: str, where: str) -> tuple[str, str]:
    parts = table_at(written, file, where, ("rule", "reading", "section"))
    disputed = tuple(sorted(subject for subject in data().rules if readings_of(subject)))
    subject = one_of(parts.get("rule"), file, f"{where}.rule", disputed)
    return subject, one_of(parts.get("reading"), file, f"{where}.reading", readings_of(subject))
