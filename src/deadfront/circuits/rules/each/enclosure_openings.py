"""Openings of enclosures: what is open, what passes through and by which fitting, the hole, the seal."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

from deadfront.circuits.rules.facts import TOUCHED, Facts
from deadfront.codebook.book import Codebook
from deadfront.codebook.knockouts import Knockout, knockout
from deadfront.errors import OutOfTable
from deadfront.job.panel_things import Opening, Panel
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.quantities import point
from deadfront.worksheet import build
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

IDS = ("enclosure.opening", "enclosure.fitting", "enclosure.hole", "enclosure.seal")


def checks(facts: Facts) -> Iterator[Check]:
    """Each opening: closed or used; then its fitting, its hole and its seal."""
    for opening in facts.at.house.openings:
        at = _At(facts, opening)
        yield from at.opening()
        if at.used:
            yield from at.fitting()
            yield from at.seal()
        yield from at.hole()


class _At:
    """One opening with the panel it is in."""

    def __init__(self, facts: Facts, opening: Opening) -> None:
        self.facts, self.of = facts, opening
        panels = facts.panels
        only = next(iter(panels.values())) if opening.panel is None and len(panels) == 1 else None
        self.panel: Panel | None = panels.get(opening.panel or "", only)
        self.reach = facts.reach_of(opening)
        self.touched = self.reach in TOUCHED
        self.used = opening.state == "used" or (opening.state is None and opening.passes not in (None, "nothing"))
        self.name = facts.name_of(opening, "enclosure.an_opening")

    def check(
        self, ident: str, outcome: Outcome, say: Msg, missing: tuple[Missing, ...] = (), *,
        rule: str = "enclosure_entries", remedy: str = "", step: Step | None = None, cites: tuple[Cite, ...] = (),
    ) -> Check:  # fmt: skip
        """A check on this opening; what is not known of what the work leaves alone is a note."""
        tell = outcome is Outcome.CANNOT_TELL
        severity = Severity.NOTE if tell and not self.touched else Severity.CORRECT
        cites = cites or (self.facts.cite(rule),)
        fails = outcome is Outcome.FAILS and bool(remedy)
        return Check(ident, self.of.id, outcome, severity, say, self.reach, step=step, missing=missing, cites=cites,
                     remedy=said(remedy) if fails else None)  # fmt: skip

    def opening(self) -> Iterator[Check]:
        """Open, closed by a listed plug, or used."""
        of, name, rule = self.of, self.name, "unused_openings"
        missing: tuple[Missing, ...] = ()
        if of.state == "open":
            outcome = Outcome.FAILS
        elif self.used and of.passes == "nothing":
            outcome, missing = Outcome.FAILS, ()
        elif self.used:
            return
        elif of.state is None:
            outcome, missing = Outcome.CANNOT_TELL, self.facts.missing(of, "state")
        else:
            listed = of.fitting_listed
            outcome = Outcome.MEETS if listed else Outcome.CANNOT_TELL if listed is None else Outcome.FAILS
            missing = self.facts.missing(of, "fitting_listed") if listed is None else ()
            if listed is None and not self.touched:
                return
        say = said(f"check.enclosure.opening.{outcome.name.lower()}", name=name)
        yield self.check("enclosure.opening", outcome, say, missing, rule=rule, remedy="remedy.enclosure.opening")

    def fitting(self) -> Iterator[Check]:
        """What holds the cable or raceway: listed for the hole and the place."""
        listed = self.of.fitting_listed
        if listed is None and not self.touched:
            return
        outcome = Outcome.MEETS if listed else Outcome.CANNOT_TELL if listed is None else Outcome.FAILS
        wet = self._outdoors() and self.of.side == "top"
        key = f"check.enclosure.fitting.{outcome.name.lower()}{'_wet' if wet else ''}"
        rule = "enclosure_wet_places" if wet else "enclosure_entries"
        yield self.check("enclosure.fitting", outcome, said(key, name=self.name, passes=self._passes()),
                         self.facts.missing(self.of, "fitting_listed"), rule=rule,
                         remedy="remedy.enclosure.fitting_wet" if wet else "remedy.enclosure.fitting")  # fmt: skip

    def seal(self) -> Iterator[Check]:
        """Outdoors every opening is sealed against water; where the panel is mounted must be known for new work."""
        outdoors = self._outdoors()
        lacking: list[Missing] = []
        if outdoors is None and self.touched:
            of: Thing = self.panel or self.of
            lacking += self.facts.missing(of, "mounting" if self.panel else "panel")
        if outdoors is False or (outdoors is None and not self.touched):
            return
        if self.of.sealed is None and not self.touched:
            return
        lacking += self.facts.missing(self.of, "sealed")
        if self.of.sealed is False and outdoors:
            outcome = Outcome.FAILS
        else:
            outcome = Outcome.CANNOT_TELL if lacking and not self.of.sealed else Outcome.MEETS
        key = f"check.enclosure.seal.{outcome.name.lower()}"
        yield self.check("enclosure.seal", outcome, said(key, name=self.name, passes=self._passes()),
                         tuple(lacking) if outcome is Outcome.CANNOT_TELL else (),
                         rule="enclosure_wet_places", remedy="remedy.enclosure.seal")  # fmt: skip

    def hole(self) -> Iterator[Check]:
        """The hole that the trade size takes, against the hole that is cut."""
        if self.of.trade_size is None:
            return
        try:
            size = knockout(self.facts.book, self.of.trade_size)
        except OutOfTable as error:
            what, how = said("todo.circuits.trade_size", thing=self.name), said("todo.how.circuits.trade_size")
            lacking = Missing(self.facts.at.path(self.of, "trade_size"), what, how)
            yield self.check("enclosure.hole", Outcome.CANNOT_TELL, error.msg, (lacking,))
            return
        step = hole_step(self.facts.book, self.of.trade_size)
        outcome = self._fits(size)
        say = said(f"check.enclosure.hole.{outcome.name.lower()}", name=self.name, size=self.of.trade_size,
                   hole=step.value, saw=point(size.saw_in), cut=point(self.of.diameter_in or 0))  # fmt: skip
        missing = self.facts.missing(self.of, "fitting_listed") if outcome is Outcome.CANNOT_TELL else ()
        yield self.check("enclosure.hole", outcome, say, missing, step=step, cites=(size.cite,),
                         remedy="remedy.enclosure.hole")  # fmt: skip

    def _fits(self, size: Knockout) -> Outcome:
        """Whether a cut hole suits its trade size; a hole that is larger needs a fitting or washers listed for it."""
        cut_in: Decimal | None = self.of.diameter_in
        if cut_in is None:
            return Outcome.NOT_APPLICABLE
        if cut_in < size.least_in:
            return Outcome.FAILS
        if cut_in <= size.most_in or self.of.fitting_listed:
            return Outcome.MEETS
        too_large = self.of.fitting_listed is False or (size.next_in is not None and cut_in >= size.next_in)
        return Outcome.FAILS if too_large else Outcome.CANNOT_TELL

    def _outdoors(self) -> bool | None:
        if self.panel is None:
            return None
        if self.panel.mounting is not None:
            return self.panel.mounting == "outdoor"
        return None if self.panel.location is None else self.panel.location == "outdoors"

    def _passes(self) -> Msg:
        key = (self.of.passes or "something").lower().replace(" ", "_")
        return said(f"enclosure.passes.{key}")


@lru_cache(maxsize=64)
def hole_step(book: Codebook, trade_size: str) -> Step:
    """The hole of a trade size as a Step [in]."""
    size = knockout(book, trade_size)
    name = said("enclosure.hole_for", size=trade_size)
    ident = f"enclosure/hole/{trade_size}"
    return build.lookup(ident, name, size.nominal_in, "in", size.cite, table="knockouts", row=size.row)
