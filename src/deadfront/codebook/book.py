"""The code book of one edition with its local amendments: opened once, passed down."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import NoReturn, TypeVar

from deadfront.codebook.amendments import Amendment, Requirement, as_dict
from deadfront.codebook.data_files import coverage_of, data
from deadfront.codebook.editions import EDITIONS
from deadfront.codebook.entries import Rule, Table, Value
from deadfront.codebook.overlay import Overlay, overlay_as_dict
from deadfront.codebook.reading import read_hazard, read_question, read_rule, read_table, read_value
from deadfront.codebook.site_entries import HazardKind, SiteQuestion
from deadfront.errors import EditionNotEncoded, NotAllowed
from deadfront.msg import Msg

Entry = TypeVar("Entry")


@dataclass(frozen=True, slots=True, eq=False)
class Codebook:
    """What one edition says, as amended; compare books by their digest.

    Args:
        edition: One of EDITIONS.
        amendments: Local amendments in the order they were made; a later one wins.
        digest: Checksum of the data files, edition, amendments and confirmations.
    """

    edition: str
    amendments: tuple[Amendment, ...]
    digest: str
    _values: Mapping[str, Value]
    _tables: Mapping[str, Table]
    _rules: Mapping[str, Rule]
    _barred: Mapping[str, str]
    _selected: Mapping[str, tuple[str, str]]
    _questions: Mapping[str, SiteQuestion]
    _hazards: Mapping[str, HazardKind]

    def value(self, name: str) -> Value:
        """The figure of that name.

        Raises:
            EditionNotEncoded: not in this edition, or not supported by the reference; the reason is in the message.
            NotAllowed: no such name in any edition.
        """
        found = self._values.get(name)
        if found is None:
            self._refuse("values", name)
        return found

    def table(self, name: str) -> Table:
        """The table of that name; raises as `value` does."""
        found = self._tables.get(name)
        if found is None:
            self._refuse("tables", name)
        return found

    def rule(self, subject: str) -> Rule:
        """The rule on that subject; raises as `value` does."""
        found = self._rules.get(subject)
        if found is None:
            self._refuse("rules", subject)
        return found

    def question(self, key: str) -> SiteQuestion:
        """The question of the site list of that key; raises as `value` does."""
        found = self._questions.get(key)
        if found is None:
            self._refuse("questions", key, f"question.{key}.name")
        return found

    def questions(self) -> tuple[SiteQuestion, ...]:
        """The site list of this edition, in the order it is walked."""
        return tuple(self._questions.values())

    def hazard(self, key: str) -> HazardKind:
        """The kind of hazard of that key; raises as `value` does."""
        found = self._hazards.get(key)
        if found is None:
            self._refuse("hazards", key, f"hazard.{key}.name")
        return found

    def hazards(self) -> tuple[HazardKind, ...]:
        """Every kind of hazard on the list."""
        return tuple(self._hazards.values())

    def has(self, name: str) -> bool:
        """True where this edition holds a value, table or rule of that name."""
        return name in self._values or name in self._tables or name in self._rules

    def barred(self, subject: str) -> str | None:
        """The amendment that bars the rule, or None.

        Raises:
            NotAllowed: no such rule in any edition.
        """
        _known("rules", subject)
        return self._barred.get(subject)

    def selected(self, subject: str) -> tuple[str, str] | None:
        """The reading an amendment selects and the amendment's name, or None.

        Raises:
            NotAllowed: no such rule in any edition.
        """
        _known("rules", subject)
        return self._selected.get(subject)

    @property
    def requirements(self) -> tuple[Requirement, ...]:
        """Worded requirements that amendments add, shown as given."""
        return tuple(each for amendment in self.amendments for each in amendment.requirements)

    def names(self) -> tuple[tuple[str, str], ...]:
        """Kind ("value", "table", "rule") and name of everything this edition holds."""
        kinds: tuple[tuple[str, Mapping[str, object]], ...] = (
            ("value", self._values), ("table", self._tables), ("rule", self._rules))  # fmt: skip
        return tuple((kind, name) for kind, entries in kinds for name in entries)

    def _refuse(self, kind: str, name: str, say: str = "") -> NoReturn:
        _known(kind, name)
        why = coverage_of(kind, name, self.edition).removeprefix("no: ")
        reason = Msg(f"codebook.reason.{why}")
        subject = Msg(say or f"codebook.subject.{name}")
        raise EditionNotEncoded("codebook.not_encoded", subject=subject, name=name, edition=self.edition, reason=reason)


def open_book(edition: str, *, amendments: tuple[Amendment, ...] = (), overlay: Overlay | None = None) -> Codebook:
    """The code book of an edition, as amended and as confirmed by a license holder.

    Raises:
        NotAllowed: unknown edition, or an amendment touches what this edition does not have.
    Example:
        >>> open_book("2023").value("lighting_unit_load").value
        Decimal('3')
    """
    if edition not in EDITIONS:
        raise NotAllowed("codebook.edition_unknown", found=edition, allowed=EDITIONS)
    return _book(edition, tuple(amendments), overlay)


@lru_cache(maxsize=64)
def _book(edition: str, amendments: tuple[Amendment, ...], overlay: Overlay | None) -> Codebook:
    plain = _plain(edition, overlay)
    values = dict(plain._values)
    barred: dict[str, str] = {}
    selected: dict[str, tuple[str, str]] = {}
    for amendment in amendments:
        for name, setting in amendment.values:
            if name not in values:
                raise _outside(amendment, name, edition)
            values[name] = replace(values[name], value=setting.value, section=setting.section or amendment.name,
                                   status="verified", source=amendment.name, amended_by=amendment.name,
                                   confirmed_by=None)  # fmt: skip
        for subject in amendment.barred:
            if subject not in data().rules:
                raise _outside(amendment, subject, edition)
        barred |= dict.fromkeys(_may_bar(amendment), amendment.name)
        for subject, reading in amendment.selected:
            rule = plain._rules.get(subject)
            if rule is None or reading not in rule.readings:
                raise _outside(amendment, f"{subject}: {reading}", edition)
            selected[subject] = (reading, amendment.name)
    digest = _digest(edition, amendments, overlay)
    return replace(plain, amendments=amendments, digest=digest, _values=values, _barred=barred, _selected=selected)


def _may_bar(amendment: Amendment) -> tuple[str, ...]:
    """The rules an amendment bars.

    Raises:
        NotAllowed: nothing in the calculation can do without that rule; barring it would be printed and ignored.
    """
    may = tuple(sorted(name for name, rule in data().rules.items() if rule.get("barrable")))
    for subject in amendment.barred:
        if subject not in may:
            raise NotAllowed("codebook.cannot_bar", amendment=amendment.name, found=subject, allowed=may)
    return amendment.barred


@lru_cache(maxsize=64)
def _plain(edition: str, overlay: Overlay | None) -> Codebook:
    held = overlay.confirmed_in(edition) if overlay else {}
    return Codebook(edition, (), "", _supported("values", edition, lambda n: read_value(n, edition, held)),
                    _supported("tables", edition, lambda n: read_table(n, edition, held)),
                    _supported("rules", edition, lambda n: read_rule(n, edition)), {}, {},
                    _supported("questions", edition, lambda n: read_question(n, edition)),
                    _supported("hazards", edition, lambda n: read_hazard(n, edition)))  # fmt: skip


def _supported(kind: str, edition: str, read: Callable[[str], Entry]) -> dict[str, Entry]:
    names = data().coverage[kind]
    return {name: read(name) for name in names if not coverage_of(kind, name, edition).startswith("no: ")}


def _known(kind: str, name: str) -> None:
    if name not in data().coverage[kind]:
        raise NotAllowed("codebook.name_unknown", found=name, allowed=tuple(sorted(data().coverage[kind])))


def _outside(amendment: Amendment, name: str, edition: str) -> NotAllowed:
    return NotAllowed("codebook.amendment_outside_edition", amendment=amendment.name, found=name, edition=edition)


def _digest(edition: str, amendments: tuple[Amendment, ...], overlay: Overlay | None) -> str:
    told = [edition, [as_dict(each) for each in amendments], overlay_as_dict(overlay) if overlay else None]
    return hashlib.sha256((data().digest + json.dumps(told, sort_keys=True)).encode()).hexdigest()
