"""One line of the load list, as it is typed and as edits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from deadfront.job.model import Job
from deadfront.job.things import Breaker, Circuit, Load
from deadfront.web.entry import typed as t
from deadfront.web.entry.circuits import number_text, spaces_text
from deadfront.web.entry.places import EditData, added, changed, found, things_of

COLUMNS = ("what", "circuit", "nameplate", "volts")
KindWords = Mapping[str, str]
"""What each kind is called in the language of the job."""
KindsSaid = Mapping[str, str]
"""Every word that may be typed for a kind, in small letters, and the kind it means."""


def kind_and_name(field: str, text: str, said: KindsSaid) -> tuple[str | None, str | None]:
    """Kind and own name of what was typed: "range", "Range, kitchen", "EV charger in the garage"."""
    name = t.text_of(field, text)
    if name is None:
        return None, None
    whole = name.lower()
    if whole in said:
        return said[whole], None
    starts = [word for word in said if whole.startswith(word) and not whole[len(word) :][:1].isalnum()]
    inside = [word for word in said if f" {word} " in f" {whole} ".replace(",", " ")]
    best = max(starts or inside, key=len, default="")
    return (said[best] if best else None), name


def circuit_named(job: Job, field: str, text: str) -> str | None:
    """The circuit that a typed space or name means, None for nothing typed.

    Raises:
        BadEntry: no circuit is called so.
    """
    text = t.clean(text)
    if not text:
        return None
    breakers = {each.thing.id: each.thing for each in things_of(job, "breakers")}
    circuits = [each.thing for each in things_of(job, "circuits") if isinstance(each.thing, Circuit)]
    wanted = text.lower().replace(" ", "")
    for circuit in circuits:
        breaker = breakers.get(circuit.breaker or "")
        own = spaces_text(breaker).replace(" ", "") if isinstance(breaker, Breaker) else ""
        if wanted in (own, own.partition(",")[0], circuit.id) or text.lower() == (circuit.name or "").lower():
            return circuit.id
    raise t.BadEntry(field, "entry.no_such_circuit", found=text[:60])


def understood(job: Job, row: Mapping[str, str], said: KindsSaid) -> dict[str, Any]:
    """Fields of a load.

    Raises:
        BadEntry: a column that is not understood.
    """
    kind, name = kind_and_name("what", row.get("what", ""), said)
    fields = {"kind": kind, "name": name, "circuit": circuit_named(job, "circuit", row.get("circuit", ""))}
    fields |= t.nameplate("nameplate", row.get("nameplate", ""))
    return {**fields, "volts": t.quantity("volts", row.get("volts", ""), "V")}


def load_edits(job: Job, ident: str, row: Mapping[str, str], scope: str, said: KindsSaid) -> list[EditData]:
    """The edits that bring a line to what is typed in it; empty where nothing changed.

    Raises:
        BadEntry: a column that is not understood, or nothing that says what the load is.
    """
    fields = understood(job, row, said)
    old = found(job, "loads", ident)
    if old:
        if not fields["kind"] and fields["name"]:
            fields["kind"] = getattr(old.thing, "kind", "other")
        if not fields["kind"]:
            raise t.BadEntry("what", "entry.what_load")
        return changed(old, fields)
    if not any(value is not None for value in fields.values()):
        return []
    if not fields["kind"]:
        if not fields["name"]:
            raise t.BadEntry("what", "entry.what_load")
        fields["kind"] = "other"
    return [added(scope, "loads", ident, fields)]


def plate_text(load: Load) -> str:
    """A nameplate as a line shows it: "4.5 kW", "12 A", "1/2 hp"."""
    if load.nameplate_w is not None:
        return number_text(load.nameplate_w, "W")
    if load.nameplate_va is not None:
        return number_text(load.nameplate_va, "VA")
    if load.nameplate_a is not None:
        return number_text(load.nameplate_a, "A")
    if load.minimum_circuit_ampacity_a is not None:
        return number_text(load.minimum_circuit_ampacity_a, "A") + " MCA"
    return f"{load.hp} hp" if load.hp else ""


def load_values(job: Job, load: Load, kinds: KindWords) -> dict[str, str]:
    """The columns of a line as they stand."""
    circuit = found(job, "circuits", load.circuit) if load.circuit else None
    breaker = found(job, "breakers", getattr(circuit.thing, "breaker", None) or "") if circuit else None
    place = spaces_text(breaker.thing) if breaker and isinstance(breaker.thing, Breaker) else ""
    return {
        "what": load.name or kinds.get(load.kind, load.kind.replace("_", " ")),
        "circuit": place or (circuit.thing.name or circuit.thing.id if circuit else ""),
        "nameplate": plate_text(load),
        "volts": number_text(load.volts, "V"),
    }
