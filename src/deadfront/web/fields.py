"""A fact as a field: what it is called, how it stands, what may be chosen, where it comes from."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from deadfront.app.values import value_at
from deadfront.codebook.data_files import data
from deadfront.codebook.kinds import load_kinds
from deadfront.documents.catalog import Catalog
from deadfront.job.model import Job
from deadfront.job.paths import parse_path
from deadfront.job.references import POINTS_TO
from deadfront.job.things import COLLECTIONS, Breaker, Circuit, Thing
from deadfront.web.desk import AtJob
from deadfront.web.entry.circuits import number_text, spaces_text
from deadfront.web.entry.lists import list_text
from deadfront.web.entry.places import found, things_of
from deadfront.web.entry.shapes import shape_of
from deadfront.web.pieces import Field, OriginLine

ORIGINS = ("nameplate", "measured", "utility letter", "owner", "seen", "plans")
LIKE = {
    "A": "20 A", "VA": "4.5 kW", "V": "240", "ft": "38 ft", "ft2": "1,840 sq ft", "kA": "10 kA", "in": "30 in",
    "lbf-in": "45 lbf-in", "in3": "20.3", "kVA": "25 kVA", "ohm": "18 ohm", "%": "2.1 %", "C": "50 °C", "dB": "67",
}  # fmt: skip
EXAMPLES = {
    "wires": "3 x 12, 1 x 12 bare",
    "in_order": "L1, L2",
    "numbers": "2, 4, 6",
    "spaces": "6, 8",
    "day": "2026-05-12",
    "modules": "11 in series, 2 strings, 49.2 V, -0.26 %/C, 11.4 A, fuse 20 A",
}
YES_NO = ("", "yes", "no")
FROM_SERVICE = ("fed_by", "normal", "held_apart", "control_feeds", "measures")
"""Fields that may name the service instead of a thing."""
EQUIPMENT = ("transfers", "sources", "energy_management", "gear", "loads", "breakers", "panels", "switches")
"""What sends and receives control signals."""
Options = tuple[tuple[str, str], ...]


def word(catalog: Catalog, option: str) -> str:
    """An allowed value in words."""
    key = f"web.option.{_option_key(option)}"
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


def named_as(at: AtJob, collection: str) -> Options:
    """The things of a collection as people call them: circuits and breakers by their spaces, loads by their kind."""
    if collection == "breakers":
        return breakers(at.job)
    return tuple(
        (each.thing.id, called_so(at.catalog, collection, each.thing)) for each in things_of(at.job, collection)
    )


def called_so(catalog: Catalog, collection: str, thing: Thing) -> str:
    """What a thing is called: its own name, else its kind, else its id."""
    kind = str(getattr(thing, "kind", "") or "")
    keys = {"loads": f"kind.{kind}", "hazards": f"hazard.{kind}.name"}
    key = keys.get(collection, f"web.option.{_option_key(kind)}")
    return thing.name or (catalog.key(key) if kind and catalog.has(key) else "") or thing.id


def _option_key(option: str) -> str:
    return "".join(c if c.isalnum() else "_" for c in option.lower())


def references(at: AtJob, path: str, shape: str) -> Options | None:
    """What a field that names another thing may name; None for a field that names none."""
    name, say = path.rpartition(".")[2], at.catalog.key
    if shape not in ("text", "things") or name not in POINTS_TO:
        return None
    if name == "unit":
        return (*named(at, "units"), ("house", say("web.option.house")))
    if name == "monitors":
        return (("service", say("web.option.service")), *breakers(at.job, feeders=True))
    if name in FROM_SERVICE:
        fed = (("service", say("web.fed.service")),)
        return (*fed, *chosen_first(at, path, (each for where in POINTS_TO[name] for each in named_as(at, where))))
    if name == "thing":
        ends = (("service", say("web.option.service")), ("house", say("web.option.whole_house")))
        places = ("panels", "breakers", "circuits", "outlets", "boxes", "raceways", "structures", "meters", "loads")
        return (*ends, *(each for where in places for each in named_as(at, where)))
    where = EQUIPMENT if name in ("sender", "receiver") else POINTS_TO[name]
    return chosen_first(at, path, (each for collection in where for each in named_as(at, collection)))


def chosen_first(at: AtJob, path: str, listed: Iterable[tuple[str, str]]) -> Options:
    """What may be named, and first what is named already, in its order."""
    value = value_at(_as_plain(at.job), path)
    named_now = value if isinstance(value, list) else []
    return tuple(sorted(listed, key=lambda each: named_now.index(each[0]) if each[0] in named_now else len(named_now)))


def kinds_of(at: AtJob, path: str) -> Options:
    """The kinds that a hazard or a load may be of; nothing where the kind is typed."""
    owner = shape_owner(at, path)
    if owner == "hazards":
        return tuple((kind, at.catalog.key(f"hazard.{kind}.name")) for kind in data().hazards)
    return tuple((kind, at.catalog.key(f"kind.{kind}")) for kind in load_kinds()) if owner == "loads" else ()


def shape_owner(at: AtJob, path: str) -> str:
    """The collection of the thing that a path is about."""
    ident = path.partition("/")[2].partition(".")[0]
    return next((name for name in COLLECTIONS if found(at.job, name, ident)), "")


def options_of(at: AtJob, path: str) -> tuple[Options, str]:
    """What may be chosen for a fact, nothing where it is typed; and an example of what is typed."""
    shape, options = shape_of(at.job, path)
    listed = references(at, path, shape) if "/" in path else None
    if listed is not None:
        return (listed if shape == "things" else (("", ""), *listed)), ""
    kinds = kinds_of(at, path) if shape == "text" and path.endswith(".kind") else ()
    if shape == "yes_no" or kinds:
        return kinds or yes_no(at.catalog), ""
    if shape == "many":
        return tuple((o, word(at.catalog, o)) for o in options), ""
    if shape == "choice":
        blank = () if "unknown" in options else (("", ""),)
        return (*blank, *((o, word(at.catalog, o)) for o in options)), ""
    if shape in EXAMPLES:
        return (), EXAMPLES[shape]
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
    shape, options = shape_of(at.job, path)
    if isinstance(value, list):
        return list_text(value)
    if value is None and shape == "choice" and "unknown" in options:
        return "unknown"
    unit = options if shape == "quantity" else ()
    return number_text(value, {"VA": "W" if path.endswith("_w") else "VA", "ft2": "sq ft"}.get(*unit, *unit)
                       if unit else "")  # fmt: skip


def field_at(at: AtJob, path: str, label: str, *, origin: bool = False) -> Field:
    """The field of a fact as it stands.

    Args:
        origin: Whether it is also asked where the fact comes from.
    """
    options, like = options_of(at, path)
    said = origin_of(at, path) if origin else None
    return Field(path, label, value_text(at, path), options, like, said, several(at, path), help_of(at, path))


def loose_field(at: AtJob, path: str, label: str) -> Field:
    """A field for a fact not known yet, wherever it is asked for."""
    options, like = options_of(at, path)
    return Field(path, label, "", options, like, None, several(at, path))


def several(at: AtJob, path: str) -> bool:
    """Whether a fact takes several of its options."""
    shape = shape_of(at.job, path)[0]
    return shape == "many" or (shape == "things" and "/" in path)


def help_of(at: AtJob, path: str) -> str:
    """How a fact is found out, "" where nothing is said of it."""
    key = f"todo.how.circuits.{path.rpartition('.')[2]}"
    return at.catalog.key(key) if at.catalog.has(key) else ""


def label_of(catalog: Catalog, collection: str, name: str) -> str:
    """What a field of a thing is called; one without words of its own is called by its plain name."""
    known = label_key(catalog, collection, name)
    return catalog.key(known) if known else name.rpartition(".")[2].replace("_", " ")


def label_key(catalog: Catalog, collection: str, name: str) -> str:
    """The words of a field: as its collection says it, as the part it is in says it, or as all say it; "" for none."""
    part, _, leaf = name.rpartition(".")
    part = part.rpartition(".")[2]
    own = (f"web.field.{collection}.{name}", f"web.fact.{collection}.{name.replace('.', '_')}")
    of_part = (f"web.fact.{part}.{leaf}",) if part else ()
    reading = (f"commission.reading.{leaf}",) if part == "readings" else ()
    keys = (*own, *of_part, *reading, f"web.fact.any.{leaf}", f"web.field.load.{name}")
    return next((key for key in keys if catalog.has(key)), "")


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
