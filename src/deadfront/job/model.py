"""A Job: the house before, the ordered work, the choices, the assumptions, where facts come from."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints

from deadfront.job.thing import Amount, Id, Key, Model, Name, Percent, Text
from deadfront.job.things import Collections, House

FORMAT: Literal[1] = 1
Spot = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]{1,59}$")]
Nudged = Annotated[Decimal, Field(ge=-2000, le=2000, max_digits=7, decimal_places=1, allow_inf_nan=False)]
TickKey = Annotated[str, StringConstraints(min_length=1, max_length=90)]
Edition = Literal["2014", "2017", "2020", "2023", "2026"]


class Code(Model):
    """The code in force for this job."""

    name: Literal["NEC"] = "NEC"
    edition: Edition


class Head(Model):
    """What the job is."""

    format: Literal[1] = FORMAT
    name: Name
    place: Text = ""
    owner: Text = ""
    electrician: Text = ""
    license: Text = ""
    permit: Text = ""
    permit_on: date | None = Field(None, description="Date of the permit: the code's dates are counted by it")
    language: Literal["en", "es"] = "en"
    code: Code
    existing: bool | None = Field(None, description="An existing dwelling; left out: yes if anything was found")


class Added(Collections):
    """Things a work step adds."""


class WorkStep(Model):
    """One step of the work, in order: what it adds, removes, moves and sets."""

    id: Id
    say: Name
    add: Added = Added()
    remove: tuple[Id, ...] = ()
    move: dict[Id, dict[str, Any]] = Field(default_factory=dict)
    set: dict[str, dict[str, Any]] = Field(default_factory=dict)
    zone: tuple[Id | Literal["service", "outside", "drop"], ...] = Field(
        (), description="What else is to be dead while it is done, besides what it touches"
    )
    ticks: Annotated[dict[TickKey, Text], Field(max_length=600)] = Field(
        default_factory=dict, description="Lines of its isolation sheet that are done, each with when and by whom"
    )


class PanelLoads(Model):
    """What flows in the circuits of the panels at one time: a summer day, a winter night, on the house's own source."""

    name: Name
    percent: Annotated[dict[Key, Percent], Field(max_length=60)] = Field(
        default_factory=dict, description="Percent of its load that a kind of load draws then; left out: all of it"
    )
    currents_a: Annotated[dict[Id, Amount], Field(max_length=200)] = Field(
        default_factory=dict, description="Current of a circuit then, by its id [A]; it goes before the percents"
    )
    others: Literal["as loaded", "off"] = Field("as loaded", description="Circuits that are not named in currents_a")


class Nudge(Model):
    """How far a symbol of the one-line diagram was moved by hand, with what hangs from it."""

    right_pt: Nudged = Field(Decimal(0), description="To the right, in points of 1/72 in; negative: to the left")
    down_pt: Nudged = Field(Decimal(0), description="Downward, in points of 1/72 in; negative: upward")


class Choices(Model):
    """What the electrician chose where the code leaves a choice."""

    rely_on: Key | None = Field(None, description="Method the load answer relies on")
    readings: dict[Key, Key] = Field(default_factory=dict, description="Reading of a disputed rule, by subject")
    panel_loads: Annotated[tuple[PanelLoads, ...], Field(max_length=8)] = Field(
        (), description="Times at which the legs of the panels are held against each other; left out: all loads on"
    )
    drawing: Annotated[dict[Spot, Nudge], Field(max_length=300)] = Field(
        default_factory=dict, description="One-line diagram: symbols moved by hand, by their name in the drawing"
    )


class Origin(Model):
    """Where a fact comes from."""

    of: Text
    origin: Literal["nameplate", "measured", "utility letter", "owner", "seen", "plans", "assumption"] = Field(
        alias="from"
    )
    who: Text = ""
    on: date | None = None
    photo: Text = ""
    note: Text = ""


class Job(Model):
    """Everything seen and decided for one job."""

    job: Head
    before: House = House()
    work: tuple[WorkStep, ...] = ()
    choices: Choices = Choices()
    assumptions: tuple[Key, ...] = ()
    amendments: tuple[dict[str, Any], ...] = ()
    origins: tuple[Origin, ...] = ()
