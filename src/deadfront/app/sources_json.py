"""The sources answer as plain data for other programs: buses by option, strings, neutral by state, signals, starts."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from deadfront.app.told import OutcomeWord, Place, Plain, Range, places_of, range_of
from deadfront.documents.catalog import Catalog
from deadfront.results.sources import BusAnswer, OptionAnswer, SourcesResult, StartAnswer, StringAnswer, Way
from deadfront.results.transfer import CapacityAnswer, NeutralAnswer, SignalAnswer


class WayTold(Plain):
    """What would make an option pass."""

    key: str = Field(description='"main", "setting", "output", "bus", "move", "device" or "fact"')
    say: str
    current_a: Range | None = Field(description="The figure it takes [A]; null where it is no figure")


class OptionTold(Plain):
    """One option of the code held against one bus."""

    key: str
    name: str
    controlled: bool = Field(description="Reckoned with the setting of a power control system")
    outcome: OutcomeWord
    why: str
    used_a: Range | None = Field(description="What the option adds up [A]")
    limit_a: Range | None = Field(description="What that may come to [A]")
    over_a: Range | None
    spare_a: Range | None
    ways: list[WayTold]
    missing: list[str] = Field(description="Paths of the facts it waits for")
    places: list[Place]


class BusTold(Plain):
    """One bus, feeder, tap or service that a source loads."""

    of: str = Field(description='Id of the panel, of the source for its tap, or "service"')
    kind: Literal["bus", "feeder", "tap", "service"]
    name: str
    sources: list[str]
    outcome: OutcomeWord
    reach: str
    main_a: Range | None = Field(description="Device on the side of the utility [A]")
    sources_a: Range | None = Field(description="What the sources count for [A]")
    options: list[OptionTold]


class StringTold(Plain):
    """One kind of string of solar modules in the cold."""

    source: str
    number: int
    name: str
    by: Literal["coefficient", "table", ""]
    outcome: OutcomeWord
    volts_v: Range | None
    by_coefficient_v: Range | None
    by_table_v: Range | None
    limit_v: Range | None
    current_a: Range | None = Field(description="Largest current of its circuit [A]")
    least_ampacity_a: Range | None = Field(description="Of its conductors, before correction and adjustment [A]")


class StateTold(Plain):
    """Neutral and ground of one source in one state of the transfer equipment."""

    source: str
    name: str
    positions: dict[str, Literal["normal", "alternate"]]
    derived: bool | None = Field(description="Separately derived; null: not known")
    ground: Literal["once", "floating", "doubled", "open"]
    joins: list[str]
    outcome: OutcomeWord
    missing: list[str]


class CapacityTold(Plain):
    """The load that transfer equipment puts on its source, and what that gives."""

    transfer: str
    name: str
    by: Literal["hand", "full", "managed", "control", ""]
    asked_a: Range | None
    given_a: Range | None
    outcome: OutcomeWord
    missing: list[str]


class SignalRowTold(Plain):
    """What the receiver does in one event."""

    event: str
    receiver: str
    outcome: OutcomeWord
    why: str


class SignalTold(Plain):
    """One control signal with its truth table."""

    signal: str
    name: str
    purpose: str
    outcome: OutcomeWord
    rows: list[SignalRowTold]
    sheds: list[str]
    missing: list[str]


class StartTold(Plain):
    """The largest motor that a standby source must start."""

    source: str
    load: str
    name: str
    load_name: str
    figure: Range = Field(description="Of a generator: voltage dip [%]; of a battery: what its surge is short of [A]")
    unit: str
    outcome: OutcomeWord
    missing: list[str]


class SourcesTold(Plain):
    """Sources of power other than the utility; their checks stand with the others."""

    say: str
    buses: list[BusTold]
    strings: list[StringTold]
    neutral: list[StateTold]
    capacity: list[CapacityTold]
    signals: list[SignalTold]
    starts: list[StartTold]


def _way(way: Way, catalog: Catalog) -> WayTold:
    return WayTold(key=way.key, say=catalog.say(way.say), current_a=range_of(way.step))


def _option(option: OptionAnswer, catalog: Catalog) -> OptionTold:
    return OptionTold(
        key=option.key, name=catalog.say(option.name), controlled=option.controlled, outcome=option.outcome.value,
        why=catalog.say(option.why) if option.why is not None else "", used_a=range_of(option.used),
        limit_a=range_of(option.limit), over_a=range_of(option.over), spare_a=range_of(option.spare),
        ways=[_way(each, catalog) for each in option.ways], missing=[each.path for each in option.missing],
        places=places_of(option.cites),
    )  # fmt: skip


def _bus(bus: BusAnswer, catalog: Catalog) -> BusTold:
    return BusTold(
        of=bus.of, kind=bus.kind, name=catalog.say(bus.name), sources=list(bus.sources), outcome=bus.outcome.value,
        reach=bus.reach.value, main_a=range_of(bus.main), sources_a=range_of(bus.current),
        options=[_option(each, catalog) for each in bus.options],
    )  # fmt: skip


def _string(string: StringAnswer, catalog: Catalog) -> StringTold:
    return StringTold(
        source=string.source, number=string.number, name=catalog.say(string.name), by=string.by,
        outcome=string.outcome.value, volts_v=range_of(string.volts), limit_v=range_of(string.limit),
        by_coefficient_v=range_of(string.by_coefficient), by_table_v=range_of(string.by_table),
        current_a=range_of(string.current), least_ampacity_a=range_of(string.least_ampacity),
    )  # fmt: skip


def _state(state: NeutralAnswer, catalog: Catalog) -> StateTold:
    return StateTold(
        source=state.source, name=catalog.say(state.name), positions=dict(state.positions), derived=state.derived,
        ground=state.ground, joins=list(state.joins), outcome=state.outcome.value,
        missing=[each.path for each in state.missing],
    )  # fmt: skip


def _capacity(found: CapacityAnswer, catalog: Catalog) -> CapacityTold:
    return CapacityTold(
        transfer=found.transfer, name=catalog.say(found.name), by=found.by, asked_a=range_of(found.asked),
        given_a=range_of(found.given), outcome=found.outcome.value, missing=[each.path for each in found.missing],
    )  # fmt: skip


def _signal(found: SignalAnswer, catalog: Catalog) -> SignalTold:
    rows = [SignalRowTold(event=row.event, receiver=row.receiver, outcome=row.outcome.value, why=catalog.say(row.why))
            for row in found.rows]  # fmt: skip
    return SignalTold(
        signal=found.signal, name=catalog.say(found.name), purpose=found.purpose, outcome=found.outcome.value,
        rows=rows, sheds=list(found.sheds), missing=[each.path for each in found.missing],
    )  # fmt: skip


def _start(start: StartAnswer, catalog: Catalog) -> StartTold:
    figure = range_of(start.figure)
    assert figure is not None
    return StartTold(
        source=start.source, load=start.load, name=catalog.say(start.name), load_name=catalog.say(start.load_name),
        figure=figure, unit=start.figure.unit, outcome=start.outcome.value,
        missing=[each.path for each in start.missing],
    )  # fmt: skip


def told_sources(result: SourcesResult, catalog: Catalog) -> SourcesTold:
    """The sources answer as data."""
    return SourcesTold(
        say=catalog.say(result.say), buses=[_bus(each, catalog) for each in result.buses],
        strings=[_string(each, catalog) for each in result.strings],
        neutral=[_state(each, catalog) for each in result.neutral],
        capacity=[_capacity(each, catalog) for each in result.capacity],
        signals=[_signal(each, catalog) for each in result.signals],
        starts=[_start(each, catalog) for each in result.starts],
    )  # fmt: skip
