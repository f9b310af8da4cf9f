"""Names of circuits held against what a directory asks: told apart, for a clear purpose, not for who lives there.

What is found is of two kinds. Wrong: no name, a person in it, nothing but "lights", one name twice (or two that mean
the same), a spare in use. Offered: a word for where it is (floor, wall, compass), a word that ages with the use of a
room. A person's name that stands without "'s" is recognized where it is a common one; the sheet says that the list is
to be read through.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from deadfront.codebook.name_words import NameWords, plain
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Circuit
from deadfront.msg import Msg, said

Kind = Literal["none", "person", "vague", "twice", "spare_in_use", "ages", "position"]
WRONG: frozenset[Kind] = frozenset({"none", "person", "vague", "twice", "spare_in_use"})
"""Kinds that a directory may not have; the others are offers."""


@dataclass(frozen=True, slots=True)
class Named:
    """A circuit as the directory names it.

    Args:
        id: Of the circuit.
        name: As entered; "" for none.
        spaces: As written beside it: "5, 7".
        in_use: Loads or outlets are known on it.
        where: Words for where it is that other facts hold: rooms, place.
    """

    id: str
    name: str
    spaces: str = ""
    in_use: bool = False
    where: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NameFinding:
    """What is to be said of one name, or of several that are alike.

    Args:
        kind: Which rule; those in WRONG must be put right, the others are offers.
        circuits: Ids.
        say: In words.
        offer: Words that could be added, from facts of the job.
    """

    kind: Kind
    circuits: tuple[str, ...]
    say: Msg
    offer: tuple[str, ...] = ()

    @property
    def wrong(self) -> bool:
        """Whether the directory may not have it."""
        return self.kind in WRONG


_TOKEN = re.compile(r"[^\W_]+(?:'[^\W\d_]+)?|&")
_POSSESSIVE = re.compile(r"([^\W\d_]+)['’]s\b|([^\W\d_]+s)['’](?=\W|$)", re.I)
_NUMBER = re.compile(r"\d+[a-z]?$")
_SHORT = (("a/c", "ac"), ("n/a", "na"), ("rec room", "recroom"), ("\u2019", "'"))
"""Written with a stroke and yet one word; and the curved apostrophe."""


def _settled(name: str) -> str:
    """A name in small letters without accents, what is written with a stroke as one word."""
    told = plain(name)
    for written, word in _SHORT:
        told = told.replace(written, word)
    return told


def tokens(name: str) -> list[str]:
    """The words of a name, in small letters without accents."""
    return _TOKEN.findall(_settled(name))


def name_findings(named: Sequence[Named], known: NameWords) -> tuple[NameFinding, ...]:
    """Everything to be said of the names of one panel's circuits, what is wrong first."""
    found = [finding for each in named for finding in _of_one(each, known)]
    found += _twice(named, known)
    return tuple(sorted(found, key=lambda each: not each.wrong))


def _of_one(each: Named, known: NameWords) -> Iterator[NameFinding]:
    words = tokens(each.name)
    telling = {word for word in words if word not in known.fillers and not _NUMBER.match(word)}
    person = _person(each.name, known)
    if telling <= known.none:
        yield _found("none", each)
    elif person:
        yield _found("person", each, word=person)
    elif _spare(words, telling, known):
        if each.in_use:
            yield _found("spare_in_use", each)
    elif _tells_nothing(telling, known):
        yield _found("vague", each)
    elif aging := next((word for word in words if word in known.ages), ""):
        yield _found("ages", each, word=aging)
    elif _lacks_position(telling, known):
        yield _found("position", each)


def _found(kind: Kind, each: Named, **params: object) -> NameFinding:
    say = said(f"panel.names.{kind}", name=each.name, spaces=each.spaces, **params)
    offered = each.where if kind in ("vague", "position", "ages", "person", "none") else ()
    return NameFinding(kind, (each.id,), say, offered)


def _person(name: str, known: NameWords) -> str:
    """The word that names a person or depends on who lives there, as written; "" for none. Things own nothing."""
    things = known.thing | known.position | known.several | known.vague | known.general
    for owned in _POSSESSIVE.finditer(name):
        owner = plain(owned[1] or owned[2])
        if not {owner, owner.removesuffix("s")} & things:
            return owned[0]
    return next((word for word in _TOKEN.findall(name) if plain(word) in known.person | known.given), "")


def _spare(words: Sequence[str], telling: set[str], known: NameWords) -> bool:
    """Whether a name says that nothing is on it; "spare bedroom" does not."""
    said_so = any(phrase in "_".join(words) for phrase in known.spare_phrase)
    rest = telling - known.spare - known.vague - known.general
    return not rest and (said_so or bool(telling & known.spare))


def _tells_nothing(telling: set[str], known: NameWords) -> bool:
    """Nothing but what many circuits have, or where without what, or single letters."""
    apart = telling - known.vague - known.general
    return not apart or telling - known.vague <= known.where or all(len(word) == 1 for word in telling)


def _lacks_position(words: set[str], known: NameWords) -> bool:
    """Outlets, lights or a room that a house has several of, and no word for where."""
    return bool(words & (known.general | known.several)) and not words & known.position


def _twice(named: Sequence[Named], known: NameWords) -> Iterator[NameFinding]:
    """One name for several circuits, however it is written, and names that mean the same."""
    alike: dict[str, list[Named]] = {}
    for each in named:
        words = [known.same.get(word, word) for word in tokens(each.name) if word not in known.fillers]
        if not any(_NUMBER.match(word) for word in words):
            words.sort()
        if words and not set(words) & known.spare and not set(words) <= known.none:
            alike.setdefault(" ".join(words), []).append(each)
    for several in alike.values():
        if len(several) > 1:
            spaces = tuple(each.spaces for each in several)
            written = dict[str, str]()
            for each in several:
                written.setdefault(" ".join(tokens(each.name)), each.name)
            names = " / ".join(written.values())
            say = said("panel.names.twice", name=names, spaces=spaces)
            offer = tuple(dict.fromkeys(word for each in several for word in each.where))
            yield NameFinding("twice", tuple(each.id for each in several), say, offer)


def named_on(at: HouseAt, breakers: Sequence[Breaker]) -> tuple[Named, ...]:
    """The circuits on some breakers, in their order; one without a name is told by its space."""
    house = at.house
    busy = {load.circuit for load in house.loads} | {outlet.circuit for outlet in house.outlets}
    by_breaker: dict[str, list[Circuit]] = {}
    for circuit in house.circuits:
        by_breaker.setdefault(circuit.breaker or "", []).append(circuit)
    return tuple(
        Named(each.id, each.name or "", spaces_of(breaker), each.id in busy or bool(each.load_va), _where(each))
        for breaker in breakers for each in by_breaker.get(breaker.id, ())
    )  # fmt: skip


def spaces_of(breaker: Breaker) -> str:
    """Spaces of a breaker as they are written in a directory: "5, 7", "3a"."""
    return ", ".join(f"{space}{breaker.half or ''}" for space in breaker.spaces)


def _where(circuit: Circuit) -> tuple[str, ...]:
    """Words for where a circuit is that its other facts hold and its name does not."""
    told = {*tokens(circuit.name or "")}
    words = (*circuit.rooms, *((circuit.place,) if circuit.place else ()))
    return tuple(word for word in words if not set(tokens(word)) <= told)
