"""What the site list and the list of old-house hazards hold: questions and kinds of hazards of one edition."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from deadfront.worksheet.cite import Cite, Status

AskedOf = Literal["service", "job", "panels", "breakers", "circuits", "structures", "electrodes"]
When = tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class SiteQuestion:
    """One question that is answered by looking.

    Args:
        key: Its name in answers: `seen.KEY`.
        of: What it is asked of.
        meets: The answer that meets the rule: "yes" or "no".
        severity: How bad the other answer is: "danger", "correct" or "note".
        reaches: "touched": what the work makes, moves or changes; "worked": also what it only works in.
        old: Where what the work leaves alone is asked about too, how bad the other answer is there; "" for not asked.
        when: Facts of the thing that must hold, each with the values that make it a question.
        hazard: Kind of hazard that the other answer is; "" for none.
        figures: Figures of the rule as printed, by the name that the words give them.
        caution: Name of the caution that belongs to looking; "" for none.
    """

    key: str
    of: AskedOf
    meets: Literal["yes", "no"]
    severity: str
    reaches: Literal["touched", "worked"]
    old: str
    when: When
    hazard: str
    figures: tuple[tuple[str, str], ...]
    caution: str
    section: str
    edition: str
    status: Status
    source: str

    @property
    def cite(self) -> Cite:
        """Where its rule stands."""
        return Cite(self.section, self.edition, "NEC", self.status, self.source)


@dataclass(frozen=True, slots=True)
class HazardKind:
    """One kind of hazard of old houses.

    Args:
        key: Its name: the `kind` of a hazard in the job.
        severity: "danger" or "correct".
        caution: Name of the caution that belongs to looking at it; "" for none.
        section: Where a rule on it stands, by edition; "" where it is a matter of the trade alone.
        add_nothing: "panel" or "circuit": it ends only when that goes, and nothing new goes on it until then; "" else.
    """

    key: str
    severity: str
    caution: str
    section: str
    edition: str
    status: Status
    source: str
    add_nothing: str = ""

    @property
    def cites(self) -> tuple[Cite, ...]:
        """Where a rule on it stands; empty where none does."""
        return (Cite(self.section, self.edition, "NEC", self.status, self.source),) if self.section else ()
