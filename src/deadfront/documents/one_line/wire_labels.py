"""The words along conductors: what they are, how long, with "?" for what is not known."""

from __future__ import annotations

from deadfront.documents.conductor_text import cable_text, conductors_text
from deadfront.documents.one_line.told import Telling
from deadfront.documents.one_line.twig import Twig
from deadfront.job.panel_things import Cable, Circuit, Panel
from deadfront.job.source_things import Source
from deadfront.job.thing import Conductors


def wire_lines(twig: Twig, telling: Telling) -> tuple[str, ...]:
    """The conductors above a symbol, each set once."""
    found: list[str] = []
    for wire in twig.wires:
        for line in _wire(wire, telling):
            if line not in found:
                found.append(line)
    return tuple(found)


def _wire(wire: str, telling: Telling) -> list[str]:
    head, _, rest = wire.partition("/")
    service, thing = telling.at.house.service, telling.things.get(rest.split("/")[0])
    if wire == "drop":
        return _conductors(service.drop, "drop", telling, required=False)
    if wire == "service":
        return _conductors(service.conductors, "service", telling)
    if head == "feeder" and isinstance(thing, Panel):
        if rest.endswith("/end"):
            return []
        needed = thing.fed_by not in (None, "service") or service.outside.present == "yes"
        return _cable(thing.feeder, thing.id, telling, required=needed)
    if head == "circuit" and isinstance(thing, Circuit):
        return _cable(thing.cable, thing.id, telling)
    if head in ("joint", "wire") and isinstance(thing, Source):
        return _cable(thing.cable, thing.id, telling) if _outermost(wire, thing) else []
    return []


def _outermost(wire: str, source: Source) -> bool:
    """The conductors of a source are told once: where they leave it for what it joins."""
    return wire.startswith("joint/")


def _conductors(each: Conductors, ident: str, telling: Telling, *, required: bool = True) -> list[str]:
    if each.size is None and not required:
        return []
    lines = [
        conductors_text(each) if each.size else telling.key("one_line.size_unknown", mark=telling.ask(ident, "size"))
    ]
    if each.size and each.metal is None:
        lines[0] += f" {telling.ask(ident, 'metal')}"
    if each.neutral_size is not None:
        lines.append(telling.key("one_line.neutral", size=each.neutral_size))
    if each.raceway not in (None, "none"):
        lines.append(telling.key(f"one_line.raceway.{each.raceway}"))
    return [*lines, telling.amount(each.length_ft, "ft", ident, "length_ft")]


def _cable(cable: Cable, ident: str, telling: Telling, *, required: bool = True) -> list[str]:
    if cable.size is None and not required:
        return []
    tag = telling.tag(ident)
    words = cable_text(cable) if cable.size else telling.key("one_line.size_unknown", mark=telling.ask(ident, "size"))
    if cable.size and cable.metal is None:
        words += f" {telling.ask(ident, 'metal')}"
    lines = [f"{words} {tag}"]
    if cable.ground_size is not None:
        lines.append(telling.key("one_line.ground", size=cable.ground_size))
    return [*lines, telling.amount(cable.length_ft, "ft", ident, "length_ft")]
