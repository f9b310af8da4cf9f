"""What the panel stage answers: the panel as a case in integers, its layout judged, legs, moves, the curve."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

from deadfront.msg import Msg
from deadfront.quantities import Interval
from deadfront.worksheet.check import Check, Outcome, Reach
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

Kind = Literal[
    "unplaced", "no_such_space", "overlap", "shape", "one_leg", "half_place", "half_width", "too_many_circuits",
    "fixed", "main", "controllable", "reserved", "source_place", "source_end", "multiwire_leg", "multiwire_panel",
    "tied_apart", "tandem_apart", "not_listed",
]  # fmt: skip
"""Everything that can be wrong with a layout."""


class Place(NamedTuple):
    """Where a breaker stands: its spaces, and which half of them for a half-size breaker."""

    spaces: tuple[int, ...]
    half: str = ""

    def told(self) -> tuple[str, ...]:
        """The spaces as they are written: 5, 7 or 5a."""
        return tuple(f"{space}{self.half}" for space in self.spaces)


Layout = Mapping[str, Place]
"""Place of every breaker by its id; one that is not in it stands nowhere."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A breaker as the layout sees it. Currents are whole tenths of an ampere.

    Args:
        id: Of the breaker.
        name: What it is called.
        poles: 1 or 2; a breaker of two poles needs two neighbors in one column on two legs.
        tenths: Current on its leg, of two poles between its legs, in every scenario [0.1 A].
        upper: Of two poles: what goes from the upper one to neutral besides [0.1 A]; empty: nothing.
        lower: The same of the lower one.
        either: Which of `upper` and `lower` is on which pole is not known.
        now: Where it stands; None for one that has no place yet.
        half: May be of half size; `full`: may be of full size.
        fixed: Stays where it is; `stays_for` says why: "" by the owner's wish or short conductors, "source", "shape"
            (poles and spaces contradict each other), "hand" (a shape that is moved only by hand), "unknown".
        ends: Spaces to which the breaker of a source may be moved: the end of the bus away from the main; None: any.
        role: "branch", "main", "feeder" or "source".
        controllable: Can be opened remotely: only some spaces take it.
        partner: Breaker it belongs together with, "" for none.
        shares_neutral: It shares the neutral with its partner: they stand on two legs.
        tied: Opens together with its partner: they are neighbors in one column.
        body: The other half of the tandem it is one body with, "" for none.
        neutral: Breakers with the same word share one neutral among three or more.
        neutral_elsewhere: It shares its neutral with a circuit of another panel.
        group: Breakers with the same word stay near each other.
        listed: Of a type that the panel's label names; None where not known.
        reach: What the work does with it.
    """

    id: str
    name: Msg
    poles: int = 1
    tenths: tuple[int, ...] = (0,)
    now: Place | None = None
    half: bool = False
    full: bool = True
    fixed: bool = False
    role: str = "branch"
    controllable: bool = False
    partner: str = ""
    shares_neutral: bool = False
    tied: bool = False
    group: str = ""
    listed: bool | None = None
    reach: Reach = Reach.EXISTING
    upper: tuple[int, ...] = ()
    lower: tuple[int, ...] = ()
    either: bool = False
    stays_for: str = ""
    ends: frozenset[int] | None = None
    body: str = ""
    neutral: str = ""
    neutral_elsewhere: bool = False

    def to_neutral(self, scenario: int) -> tuple[int, int]:
        """What goes from its upper and its lower pole to neutral [0.1 A]; of one pole, all of it."""
        if self.poles == 1:
            return self.tenths[scenario], 0
        return (self.upper[scenario] if self.upper else 0), (self.lower[scenario] if self.lower else 0)


@dataclass(frozen=True, slots=True)
class PanelCase:
    """One panel as integers: all that judge and solvers know of it.

    Args:
        id: Of the panel.
        name: What it is called.
        system: "120/240 1ph 3w", "208Y/120 1ph 3w", "208Y/120 3ph 4w".
        legs: Leg of each space, space 1 first: 0, 1 or 2.
        columns: Column of each space; `rows`: its row.
        half_spaces: Spaces that take half-size breakers; None: not known, so only those that hold one now.
        controllable_spaces: Spaces that take controllable breakers; None: not known.
        reserved: Spaces kept for a source.
        circuits_max: Poles that the panel may hold; None: not known.
        main_tenths: Rating of the main [0.1 A]; None: not known.
        scenarios: Names of the times at which currents flow.
        pieces: The breakers.
        told: What was assumed or left out, in words.
        legs_open: Nobody knows on how many legs it stands: no moves can be found.
        places_open: Facts are open on which it depends whether a layout is right: none is proven.
        shape_open: Poles or the numbering are open: that there is no layout is not proven either.
        numbering_open: Breakers that stand right or wrong by the numbering, which is not known.
    """

    id: str
    name: Msg
    system: str
    legs: tuple[int, ...]
    columns: tuple[int, ...]
    rows: tuple[int, ...]
    pieces: tuple[Piece, ...]
    scenarios: tuple[Msg, ...] = (Msg("panel.scenario.all_on"),)
    half_spaces: frozenset[int] | None = frozenset()
    controllable_spaces: frozenset[int] | None = None
    reserved: frozenset[int] = frozenset()
    circuits_max: int | None = None
    main_tenths: int | None = None
    told: tuple[Msg, ...] = ()
    legs_open: bool = False
    places_open: bool = False
    shape_open: bool = False
    numbering_open: tuple[str, ...] = ()

    @property
    def spaces(self) -> int:
        """How many spaces there are."""
        return len(self.legs)

    @property
    def leg_count(self) -> int:
        """Legs that the rows alternate between."""
        return 3 if self.system == "208Y/120 3ph 4w" else 2

    @property
    def by_phasors(self) -> bool:
        """Whether legs add up by angles: loads between two of three legs are there."""
        return self.leg_count == 3 and any(piece.poles == 2 and any(piece.tenths) for piece in self.pieces)

    def found(self) -> dict[str, Place]:
        """The layout as it stands."""
        return {piece.id: piece.now for piece in self.pieces if piece.now is not None}


@dataclass(frozen=True, slots=True)
class Violation:
    """What is wrong with a layout.

    Args:
        kind: Which rule.
        pieces: Breakers that are in it.
        spaces: Spaces that are in it.
        say: In words.
    """

    kind: Kind
    pieces: tuple[str, ...]
    spaces: tuple[int, ...]
    say: Msg


@dataclass(frozen=True, slots=True)
class Balance:
    """The legs in one scenario.

    Args:
        scenario: Its name.
        legs: Current of the loads from each leg to neutral (and, on three legs, between them) [A].
        apart: The largest difference between two legs [A].
        neutral: Current of the neutral by phasors [A].
    """

    scenario: Msg
    legs: tuple[Step, ...]
    apart: Step
    neutral: Step


@dataclass(frozen=True, slots=True)
class MoveStep:
    """One step on the way to a layout.

    Args:
        kind: "move", "park" (taken out, put back later), "place" (put back, or put in for the first time).
        piece: Id of the breaker; `name`: what it is called.
        start: Where it stood; None for one that stood nowhere.
        end: Where it goes; None for one that is set aside.
        new: It is put in for the first time.
        other_size: Half size becomes full size or the other way: another breaker is needed.
        rows: How many rows it goes up or down; `other_side`: into the other column.
        check_reach: Look whether its conductors reach before anything is moved.
        together: It is the other half of the tandem of the step before: one body, moved at once.
        ask_controllable: Ask first whether the panel takes a controllable breaker there; its label was not entered.
    """

    kind: Literal["move", "park", "place"]
    piece: str
    name: Msg
    start: Place | None
    end: Place | None
    new: bool = False
    other_size: bool = False
    rows: int = 0
    other_side: bool = False
    check_reach: bool = False
    together: bool = False
    ask_controllable: bool = False


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """The fewest moves that bring the legs within a limit.

    Args:
        limit_tenths: The limit on the difference of two legs [0.1 A].
        status: "proven" fewest, "best found" with a gap, "impossible" (proven), "not found" within the time.
        moves: Breakers whose place or size changes; None where there is no layout.
        least: No layout within the limit moves fewer than this.
        apart_tenths: What the difference comes to, the worst scenario [0.1 A].
        layout: The layout, judged; None where there is none.
        solver: Which one found it.
        seconds: Time it took.
    """

    limit_tenths: int
    status: Literal["proven", "best found", "impossible", "not found"]
    moves: int | None = None
    least: int = 0
    apart_tenths: int | None = None
    layout: tuple[tuple[str, Place], ...] | None = None
    solver: str = ""
    seconds: float = 0.0

    @property
    def gap(self) -> int:
        """Moves that may still be saved, at most."""
        return 0 if self.moves is None else self.moves - self.least


@dataclass(frozen=True, slots=True)
class PanelResult:
    """What is said of one panel at once, without a solver.

    Args:
        id: Of the panel.
        name: What it is called.
        case: The panel as integers; None where it cannot be laid out yet, and `troubles` says why.
        troubles: What stands in the way, with the way out.
        missing: Facts that would let it be laid out.
        violations: What is wrong with the layout as it stands.
        balances: The legs in every scenario.
        limit: 10 percent of the main: within it, leave as found [A]; None where the main is not known.
        apart: Largest difference of two legs over all scenarios [A]; None where nothing is known.
        leave: True: leave as found. None: cannot tell.
        free: Spaces that are free.
        checks: Its checks.
    """

    id: str
    name: Msg
    case: PanelCase | None = None
    troubles: tuple[Msg, ...] = ()
    missing: tuple[Missing, ...] = ()
    violations: tuple[Violation, ...] = ()
    balances: tuple[Balance, ...] = ()
    limit: Step | None = None
    apart: Interval | None = None
    leave: bool | None = None
    free: tuple[int, ...] = ()
    checks: tuple[Check, ...] = ()

    @property
    def layout_open(self) -> tuple[Check, ...]:
        """Checks of where the breakers stand that cannot be told yet: with them open, nothing wrong is no pass."""
        ids = ("panel.layout", "panel.half_space", "panel.controllable_space", "panel.circuits_limit", "panel.room")
        return tuple(each for each in self.checks if each.id in ids and each.outcome is Outcome.CANNOT_TELL)
