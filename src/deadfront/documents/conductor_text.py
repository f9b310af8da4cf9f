"""Conductors, breakers and spaces as the trade writes them: "8-3 SE Al", "40 A 2P", "6, 8"."""

from __future__ import annotations

from deadfront.job.panel_things import Breaker, Cable
from deadfront.job.thing import Conductors
from deadfront.results.circuits import Sized

METAL = {"copper": "Cu", "aluminum": "Al"}


def cable_text(cable: Cable) -> str:
    """A cable: size, conductors, type, metal; what is not known is left out."""
    core = f"{cable.size or ''}{f'-{cable.conductors}' if cable.size and cable.conductors else ''}"
    sets = f"{cable.sets} x" if (cable.sets or 1) > 1 else ""
    return " ".join(part for part in (sets, core, cable.type or "", METAL.get(cable.metal or "", "")) if part)


def conductors_text(each: Conductors) -> str:
    """A set of service conductors: "4/0 Al SE"."""
    sets = f"{each.sets} x" if (each.sets or 1) > 1 else ""
    return " ".join(part for part in (sets, each.size or "", METAL.get(each.metal or "", ""), each.kind or "") if part)


def sized_text(sized: Sized) -> str:
    """A conductor that a rule asks for: "6 Cu", "2 x 1/0 Al"."""
    sets = f"{sized.sets} x " if sized.sets > 1 else ""
    return f"{sets}{sized.size} {METAL.get(sized.metal, sized.metal)}"


def spaces_text(breaker: Breaker) -> str:
    """Spaces of a breaker: "6, 8", "2a"."""
    return ", ".join(map(str, breaker.spaces)) + (breaker.half or "")
