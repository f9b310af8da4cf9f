"""What the load stage answers: the service by its parts, the methods side by side, which one is relied on."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from deadfront.job.things import Recording
from deadfront.msg import Msg, said
from deadfront.quantities import Interval, point
from deadfront.recordings.answer import Reduction
from deadfront.worksheet.check import Check, Outcome
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step


@dataclass(frozen=True, slots=True)
class Reading:
    """A disputed rule used by a method: the readings there are, and the one taken.

    Args:
        subject: Rule name, such as "existing_hvac".
        options: All readings.
        chosen: The one named in the job or by an amendment; "" where the larger figure is taken.
        by: "job", "amendment" or "larger".
    """

    subject: str
    options: tuple[str, ...]
    chosen: str
    by: str


@dataclass(frozen=True, slots=True)
class Method:
    """One way to the calculated load, admissible or not.

    Args:
        key: "standard", "optional", "existing", "two_family", "multifamily", "measured", "energy_management".
        name: What it is called.
        section: Where it stands in this edition.
        admissible: MEETS may be used, FAILS may not, CANNOT_TELL hangs on a fact.
        why: Why so.
        total: Calculated load [VA]; None where not admissible or not encoded.
        amperes: The same at the service [A].
        rounded: The same in whole amperes, as held against the service.
        verdict: Held against the service; NOT_APPLICABLE where not admissible.
        neutral: Neutral load [VA], where the method has one.
        neutral_amperes: The same [A].
        readings: Disputed rules it uses.
        missing: Facts that admissibility waits for.
        cites: Where it stands.
        left: What the service carries beyond it [A].
        over: What it is over the service [A]; both are ranges where either is.
    """

    key: str
    name: Msg
    section: str
    admissible: Outcome
    why: Msg
    total: Step | None
    amperes: Step | None
    rounded: Step | None
    verdict: Outcome
    neutral: Step | None = None
    neutral_amperes: Step | None = None
    readings: tuple[Reading, ...] = ()
    missing: tuple[Missing, ...] = ()
    cites: tuple[Cite, ...] = ()
    left: Step | None = None
    over: Step | None = None

    def waits_for(self) -> tuple[Missing, ...]:
        """Every fact that this answer waits for."""
        steps = [s for s in (self.amperes,) if s is not None]
        found = {m.path: m for m in self.missing}
        for step in steps:
            for missing in step.all_missing():
                found.setdefault(missing.path, missing)
        return tuple(found.values())


@dataclass(frozen=True, slots=True)
class ServiceLimit:
    """The service: the smallest of disconnect, conductors, meter socket, bus and the utility's allowance.

    Args:
        parts: One Step [A] per part, in the order of the current.
        smallest: Their least [A]; a range from zero where a part is not known.
        limiting: Id of the part with the least known rating, or "".
    """

    parts: tuple[Step, ...]
    smallest: Step
    limiting: str

    @property
    def told(self) -> Msg | Interval:
        """The smallest part in a sentence: "at most 100 A" while a part is not known."""
        value = self.smallest.value
        if value.low == 0 and value.high is not None:
            return said("load.limit_at_most", rating=point(value.high))
        return value


@dataclass(frozen=True, slots=True)
class ManagementFacts:
    """An energy management system and the facts that let its limit count, as they stand on file.

    Args:
        name: What it is called.
        listed, restricted: Yes, no, or None where not on file.
        set_point_a: Its limit [A].
        lost_signal: What it does when the signal is lost, as entered.
        monitors: Conductors monitored: "service" or a breaker's name.
        controls: Names of the loads it holds down.
        counts: Whether its limit may count.
    """

    name: str
    listed: bool | None
    set_point_a: Decimal | None
    restricted: bool | None
    lost_signal: str | None
    monitors: str | None
    controls: tuple[Msg, ...]
    counts: bool


@dataclass(frozen=True, slots=True)
class Evidence:
    """A recording of the service, or the two of its legs, and what it is worth as a measured demand.

    Args:
        recordings: As registered in the job: one, or that of L1 and that of L2.
        reductions: What each comes to; None where it is not reduced, or not by this version.
        basis: "twelve_months", "thirty_days" or "" where it is neither.
        outcome: MEETS may stand, FAILS may not, CANNOT_TELL hangs on a fact.
        why: Why so.
        missing: Facts that hangs on.
        stale: Whether a recording must be reduced again.
        total: The maximum demand of the service by it [VA]; None without a figure.
        figures: What stands beside it for judgment and enters no total: load factor, diversity.
    """

    recordings: tuple[Recording, ...]
    reductions: tuple[Reduction | None, ...]
    basis: str
    outcome: Outcome
    why: Msg
    missing: tuple[Missing, ...] = ()
    stale: bool = False
    total: Step | None = None
    figures: tuple[Step, ...] = ()

    @property
    def both_legs(self) -> bool:
        """Whether the total of both legs was recorded, so that how it divides between them is not known."""
        return len(self.recordings) == 1 and self.recordings[0].measures == "both legs"


@dataclass(frozen=True, slots=True)
class LoadResult:
    """The load answer of one house.

    Args:
        step: House step it is for ("before" or the last work step).
        limit: The service.
        methods: All methods, admissible ones first by lowest high end.
        offered: Method with the lowest high end among the admissible, or "".
        relied: The electrician's choice, else the offered one, or "".
        minimum: Next standard service size for the relied method [A], not below the code's minimum.
        checks: Findings of the load stage.
        management: Energy management systems with their facts, for the inspector.
        evidence: Recordings of the service, and what each is worth.
    """

    step: str
    limit: ServiceLimit
    methods: tuple[Method, ...]
    offered: str
    relied: str
    minimum: Step | None
    checks: tuple[Check, ...]
    management: tuple[ManagementFacts, ...] = ()
    evidence: tuple[Evidence, ...] = ()

    def method(self, key: str) -> Method | None:
        """The method of that key, if it is among them."""
        return next((m for m in self.methods if m.key == key), None)
