"""One line of the circuit list: a breaker and its circuit together, as they are typed and as edits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from deadfront.job.model import Job
from deadfront.job.things import Breaker, Cable, Circuit
from deadfront.web.entry import typed as t
from deadfront.web.entry.places import EditData, Standing, added, changed, found, struck_out, things_of

COLUMNS = ("spaces", "name", "rating", "cable", "length", "protection")


@dataclass(frozen=True, slots=True)
class CircuitIds:
    """Ids of a line: those it has, or those it will have."""

    circuit: str
    breaker: str
    panel: str


def understood(job: Job, ids: CircuitIds, row: Mapping[str, str]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Fields of the breaker and of the circuit.

    Raises:
        BadEntry: a column that is not understood, or spaces that are taken or cannot be.
    """
    numbers, half = t.spaces("spaces", row.get("spaces", ""))
    length = t.quantity("length", row.get("length", ""), "ft")
    cable = t.cable("cable", row.get("cable", ""))
    cable |= {} if length is None else {"length_ft": str(length)}
    breaker = {
        "spaces": numbers, "half": half, "poles": len(numbers) or None,
        "rating_a": t.quantity("rating", row.get("rating", ""), "A"),
        "protection": t.one_of("protection", row.get("protection", ""), t.PROTECTIONS),
    }  # fmt: skip
    circuit = {"name": t.text_of("name", row.get("name", "")), "cable": cable}
    check_spaces(job, ids, numbers, half)
    return breaker, circuit


def check_spaces(job: Job, ids: CircuitIds, numbers: tuple[int, ...], half: str | None) -> None:
    """Refuse spaces that a breaker cannot take.

    Raises:
        BadEntry: across from each other, apart, beyond the panel, or taken by another breaker.
    """
    if len(numbers) == 2:
        low, high = sorted(numbers)
        if high - low != 2:
            key = "entry.spaces.across" if high - low == 1 and low % 2 else "entry.spaces.apart"
            raise t.BadEntry("spaces", key, low=low, high=high, down=low + 2, other=high + 2)
    panel = found(job, "panels", ids.panel)
    most = getattr(panel.thing, "spaces", None) if panel else None
    if most and any(n > most for n in numbers):
        raise t.BadEntry("spaces", "entry.spaces.beyond", found=max(numbers), most=most)
    me = found(job, "breakers", ids.breaker)
    for other in things_of(job, "breakers"):
        if other.thing.id != ids.breaker and isinstance(other.thing, Breaker) and _both_there(me, other):
            _refuse_taken(job, ids, other.thing, numbers, half)


def _both_there(me: Standing | None, other: Standing) -> bool:
    """A breaker that the work takes out leaves its spaces to one that the work adds."""
    return not (other.out and (me is None or me.scope != "before"))


def _refuse_taken(job: Job, ids: CircuitIds, other: Breaker, numbers: tuple[int, ...], half: str | None) -> None:
    if (other.panel or ids.panel) != ids.panel:
        return
    taken = set(numbers) & set(other.spaces)
    if taken and not (half and other.half and half != other.half):
        names = [c.thing.name or c.thing.id for c in things_of(job, "circuits")
                 if isinstance(c.thing, Circuit) and c.thing.breaker == other.id]  # fmt: skip
        raise t.BadEntry("spaces", "entry.spaces.taken", found=min(taken), by=names[0] if names else other.id)


def circuit_edits(job: Job, ids: CircuitIds, row: Mapping[str, str], scope: str) -> list[EditData]:
    """The edits that bring a line to what is typed in it; empty where nothing changed.

    Args:
        scope: Where a new line goes: "before" or a work step.
    """
    breaker, circuit = understood(job, ids, row)
    old_breaker, old_circuit = found(job, "breakers", ids.breaker), found(job, "circuits", ids.circuit)
    scope = old_circuit.scope if old_circuit else scope
    edits = []
    if old_breaker:
        edits += changed(old_breaker, breaker)
    elif any(breaker[name] for name in ("spaces", "rating_a", "protection")):
        panel = {"panel": ids.panel} if found(job, "panels", ids.panel) else {}
        edits.append(added(scope, "breakers", ids.breaker, {**panel, **breaker}))
    held = ids.breaker if old_breaker or edits else None
    if old_circuit:
        own = circuit if getattr(old_circuit.thing, "breaker", None) else {**circuit, "breaker": held}
        own = {**own, "cable": Cable.model_validate(circuit["cable"])}
        edits += changed(old_circuit, own)
    elif circuit["name"] or circuit["cable"] or held:
        edits.append(added(scope, "circuits", ids.circuit, {**circuit, "breaker": held}))
    return edits


def strike_out_circuit(job: Job, ids: CircuitIds) -> list[EditData]:
    """The edits that strike out a line: its circuit and its breaker."""
    both = (found(job, "circuits", ids.circuit), found(job, "breakers", ids.breaker))
    return [struck_out(each) for each in both if each]


def spaces_text(breaker: Breaker) -> str:
    """Spaces as a line shows them."""
    return ", ".join(map(str, breaker.spaces)) + (breaker.half or "")


def cable_text(cable: Cable) -> str:
    """A cable as a line shows it: "8-3 SE Al"."""
    core = f"{cable.size or ''}{f'-{cable.conductors}' if cable.size and cable.conductors else ''}"
    metal = {"copper": "Cu", "aluminum": "Al"}.get(cable.metal or "", "")
    return " ".join(part for part in (core, cable.type or "", metal) if part)


def number_text(value: object, unit: str = "") -> str:
    """A number as a line shows it, empty for not known."""
    if value is None:
        return ""
    text = f"{value:f}" if hasattr(value, "as_tuple") else str(value)
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"{text} {unit}".strip()


def circuit_values(circuit: Circuit, breaker: Breaker | None) -> dict[str, str]:
    """The columns of a line as they stand."""
    return {
        "spaces": spaces_text(breaker) if breaker else "",
        "name": circuit.name or "",
        "rating": number_text(breaker.rating_a) if breaker else "",
        "cable": cable_text(circuit.cable),
        "length": number_text(circuit.cable.length_ft, "ft"),
        "protection": (breaker.protection or "") if breaker else "",
    }
