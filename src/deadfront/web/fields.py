"""A fact as a field: what it is called, how it stands, what may be chosen, where it comes from."""

from __future__ import annotations

from typing import Any

from deadfront.app.values import value_at
from deadfront.documents.catalog import Catalog
from deadfront.job.model import Job
from deadfront.job.paths import parse_path
from deadfront.job.things import Breaker, Circuit
from deadfront.web.desk import AtJob
from deadfront.web.entry.circuits import number_text, spaces_text
from deadfront.web.entry.facts import shape_of
from deadfront.web.entry.places import things_of
from deadfront.web.pieces import Field, OriginLine

ORIGINS = ("nameplate", "measured", "utility letter", "owner", "seen", "plans")
LIKE = {"A": "20 A", "VA": "4.5 kW", "V": "240", "ft": "38 ft", "ft2": "1,840 sq ft", "kA": "10 kA"}
YES_NO = ("", "yes", "no")
Options = tuple[tuple[str, str], ...]


def word(catalog: Catalog, option: str) -> str:
    """An allowed value in words."""
    key = f"web.option.{option.lower().replace(' ', '_').replace('/', '_')}"
    return catalog.key(key) if catalog.has(key) else option


def yes_no(catalog: Catalog) -> Options:
    """Yes, no, or not known."""
    return tuple((name, catalog.key(f"web.known.{name or 'unknown'}")) for name in YES_NO)


def flag(value: Any) -> str:
    """A yes-or-no fact as its choice."""
    return "" if value is None else "yes" if value else "no"


def named(at: AtJob, collection: str) -> Options:
    """The things of a collection to choose from."""
    return tuple((each.thing.id, each.thing.name or each.thing.id) for each in things_of(at.job, collection))


def breakers(job: Job, *, feeders: bool = False, apart_from: str = "") -> Options:
    """The breakers to choose from, by name or by their spaces and what they feed.

    Args:
        feeders: Only those that feed a panel.
        apart_from: A panel whose own breakers cannot feed it.
    """
    feeds = {c.thing.breaker: c.thing.name or "" for c in things_of(job, "circuits") if isinstance(c.thing, Circuit)}
    fed = {getattr(each.thing, "fed_by", None) for each in things_of(job, "panels")}
    out = []
    for each in things_of(job, "breakers"):
        breaker = each.thing
        if not isinstance(breaker, Breaker) or (apart_from and breaker.panel == apart_from):
            continue
        if feeders and breaker.role != "feeder" and breaker.id not in fed:
            continue
        called = breaker.name or feeds.get(breaker.id, "")
        out.append((breaker.id, ": ".join(part for part in (spaces_text(breaker), called) if part) or breaker.id))
    return tuple(out)


def references(at: AtJob, name: str) -> Options | None:
    """What a field that names another thing may name; None for a field that names none."""
    say = at.catalog.key
    if name == "unit":
        return (*named(at, "units"), ("house", say("web.option.house")))
    if name == "managed_by":
        return named(at, "energy_management")
    if name == "circuit":
        return named(at, "circuits")
    if name == "monitors":
        return (("service", say("web.option.service")), *breakers(at.job, feeders=True))
    return breakers(at.job) if name in ("breaker", "fed_by", "tied_with") else None


def options_of(at: AtJob, path: str) -> tuple[Options, str]:
    """What may be chosen for a fact, nothing where it is typed; and an example of what is typed."""
    shape, options = shape_of(at.job, path)
    listed = references(at, path.rpartition(".")[2]) if "/" in path else None
    if listed is not None:
        return (("", ""), *listed), ""
    if shape == "yes_no":
        return yes_no(at.catalog), ""
    if shape == "choice":
        return (("", ""), *((o, word(at.catalog, o)) for o in options)), ""
    return (), LIKE.get(options[0], "") if options else ""


_last: list[tuple[Job, dict[str, Any]]] = []


def _as_plain(job: Job) -> dict[str, Any]:
    """A job as JSON with what is left out at its default; the last one is kept, as a page asks for many fields."""
    for held, made in tuple(_last):
        if held is job:
            return made
    made = job.model_dump(mode="json", by_alias=True, exclude_none=True)
    _last[:] = [(job, made)]
    return made


def value_text(at: AtJob, path: str) -> str:
    """A fact as its field shows it, "" for not known."""
    value = value_at(_as_plain(at.job), path)
    if isinstance(value, bool):
        return flag(value)
    unit = shape_of(at.job, path)[1] if shape_of(at.job, path)[0] == "quantity" else ()
    return number_text(value, {"VA": "W" if path.endswith("_w") else "VA", "ft2": "sq ft"}.get(*unit, *unit)
                       if unit else "")  # fmt: skip


def field_at(at: AtJob, path: str, label: str, *, origin: bool = False) -> Field:
    """The field of a fact as it stands.

    Args:
        origin: Whether it is also asked where the fact comes from.
    """
    options, like = options_of(at, path)
    return Field(path, label, value_text(at, path), options, like, origin_of(at, path) if origin else None)


def loose_field(at: AtJob, path: str, label: str) -> Field:
    """A field for a fact not known yet, wherever it is asked for."""
    options, like = options_of(at, path)
    return Field(path, label, "", options, like)


def label_of(catalog: Catalog, collection: str, name: str) -> str:
    """What a field of a thing is called."""
    own = f"web.field.{collection}.{name}"
    return catalog.key(own if catalog.has(own) else f"web.field.load.{name}")


def origin_of(at: AtJob, path: str) -> OriginLine:
    """Where a fact comes from, as said; who and when are proposed: whoever is at the page, today."""
    said = next((origin for origin in at.job.origins if origin.of == path), None)
    who, on = (said.who, said.on) if said else (at.who, at.web.settings.today())
    options = (("", at.catalog.key("web.origin.unsaid")), *((o, origin_word(at, o)) for o in ORIGINS))
    if said and said.origin not in ORIGINS:
        options = (*options, (said.origin, origin_word(at, said.origin)))
    return OriginLine(said.origin if said else "", who, on.isoformat() if on else "", options, origin_told(at, path))


def origin_word(at: AtJob, origin: str) -> str:
    """A kind of origin in words."""
    return at.catalog.key(f"origin.{origin.replace(' ', '_')}")


def origin_told(at: AtJob, path: str) -> str:
    """Where a fact comes from in a few words; a question where nothing is said."""
    said = next((origin for origin in at.job.origins if origin.of == path), None)
    if said is None:
        return at.catalog.key("web.origin.ask")
    parts = (origin_word(at, said.origin), said.who, said.on.isoformat() if said.on else "")
    return ", ".join(part for part in parts if part)


def is_path(path: str) -> bool:
    """Whether a text that is a path names a fact, not a whole thing."""
    return bool(parse_path(path).fields)
