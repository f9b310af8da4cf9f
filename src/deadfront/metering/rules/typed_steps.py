"""A walk as typed: rows of texts in, load steps out; what is not understood is said by row and column."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from deadfront.errors import NotAllowed
from deadfront.metering.rules.step_signal import amperes_of, clamp_fits
from deadfront.msg import Msg
from deadfront.results.proof import Conductor, LoadStep, ProofPlan, Reading

COLUMNS = ("circuit", "leg", "watts", "clamp_a", "noise_w", "channel", "before_w", "after_w", "before_var",
           "after_var", "before_a", "after_a")  # fmt: skip
"""Columns of a walk. A row without a circuit goes on with the step above it; one row for each channel read."""
_NUMBER = re.compile(
    r"(?P<sign>[-+−]?)(?P<digits>\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?|\.\d+)\s*(?P<unit>[a-z]*)", re.I
)
"""A comma only parts thousands, in groups of three: "1,500". "1,5 kW" is refused, never read as ten times."""
_UNITS = {
    "w": {"": 0, "w": 0, "va": 0, "kw": 3, "kva": 3},
    "var": {"": 0, "var": 0, "kvar": 3},
    "a": {"": 0, "a": 0, "ma": -3},
}
_MOST = {"w": Decimal(200_000), "var": Decimal(200_000), "a": Decimal(2000)}
"""What is beyond any house: a slip of the hand or of the range."""
Row = Mapping[str, str]


class Names:
    """What things may be called: by id, and by a name that no other has."""

    def __init__(self, names: Mapping[str, Msg]) -> None:
        told = {ident: _name(msg) for ident, msg in names.items()}
        count = Counter(each.casefold() for each in told.values())
        once = {ident: name for ident, name in told.items() if name and count[name.casefold()] == 1}
        self.ids = {
            **{name.casefold(): ident for ident, name in once.items()},
            **{each.casefold(): each for each in told},
        }
        self.shown = tuple(once.get(ident, ident) for ident in told)


def _name(msg: Msg) -> str:
    return str(next((value for key, value in msg.params.items() if key in ("name", "input") and value), ""))


def walk_of(plan: ProofPlan, rows: Sequence[Row]) -> tuple[LoadStep, ...]:
    """Load steps from typed rows, keyed by COLUMNS; columns may be left out.

    Circuits, panels, sources and channels may be named by id or by name.

    Raises:
        NotAllowed: a row or a figure that is not understood; it says which, and what is allowed.
    """
    names = Names(plan.names)
    channels = Names({each.id: each.name for each in plan.channels})
    steps: list[LoadStep] = []
    for number, row in enumerate(rows, start=1):
        cells = {key: (row.get(key) or "").strip() for key in COLUMNS}
        if not any(cells.values()):
            continue
        if cells["circuit"]:
            steps.append(_step(plan, names, number, cells))
        elif not steps:
            raise NotAllowed("proof.walk.no_step", row=number)
        if cells["channel"]:
            reading = _reading(channels, number, cells)
            if any(each.channel == reading.channel for each in steps[-1].readings):
                raise NotAllowed("proof.walk.twice", row=number, found=cells["channel"])
            steps[-1] = _with(steps[-1], reading)
    return tuple(steps)


def _known(names: Names, row: int, column: str, found: str) -> str:
    ident = names.ids.get(found.casefold())
    if ident is None:
        raise NotAllowed("proof.walk.unknown", row=row, column=column, found=found[:60], allowed=names.shown[:30])
    return ident


def _step(plan: ProofPlan, names: Names, row: int, cells: Row) -> LoadStep:
    circuit = _known(names, row, "circuit", cells["circuit"])
    legs_there = tuple(sorted(each.leg for each in plan.paths if each.of == circuit))
    if not legs_there:
        raise NotAllowed("proof.walk.no_leg", row=row, found=cells["circuit"][:60])
    legs = tuple(part.upper() for part in re.split(r"[\s,;+/-]+", cells["leg"]) if part)
    legs = legs or (() if circuit in plan.one_hot else legs_there)
    if len(set(legs)) != len(legs) or not legs or any(Conductor(circuit, leg) not in plan.paths for leg in legs):
        raise NotAllowed("proof.walk.leg", row=row, found=cells["leg"][:60] or "?", allowed=legs_there)
    if len(legs) > 2:
        raise NotAllowed("proof.walk.leg", row=row, found=", ".join(legs), allowed=legs_there)
    watts = _needed(row, "watts", cells["watts"], "w")
    if not watts:
        raise NotAllowed("proof.walk.number", row=row, column="watts", found=cells["watts"], unit="W")
    clamp = _number(row, "clamp_a", cells["clamp_a"], "a")
    if clamp is not None and clamp <= 0:
        raise NotAllowed("proof.walk.number", row=row, column="clamp_a", found=cells["clamp_a"], unit="A")
    noise = _number(row, "noise_w", cells["noise_w"], "w")
    step = LoadStep(circuit, legs, watts, (), clamp, abs(noise) if noise is not None else None)
    if not clamp_fits(step, wye=plan.wye):
        wanted = tuple(round(each, 1) for each in amperes_of(step, wye=plan.wye))
        raise NotAllowed("proof.walk.clamp", row=row, found=cells["clamp_a"][:60], watts=cells["watts"][:60],
                         wanted=wanted)  # fmt: skip
    return step


def _reading(channels: Names, row: int, cells: Row) -> Reading:
    ident = _known(channels, row, "channel", cells["channel"])
    watts = [_needed(row, key, cells[key], "w") for key in ("before_w", "after_w")]
    more = [_number(row, key, cells[key], key.rpartition("_")[2])
            for key in ("before_var", "after_var", "before_a", "after_a")]  # fmt: skip
    return Reading(ident, watts[0], watts[1], *more)


def _with(step: LoadStep, reading: Reading) -> LoadStep:
    return LoadStep(step.circuit, step.legs, step.watts, (*step.readings, reading), step.clamp_a, step.noise_w,
                    step.percent)  # fmt: skip


def _needed(row: int, column: str, text: str, unit: str) -> Decimal:
    value = _number(row, column, text, unit)
    if value is None:
        raise NotAllowed("proof.walk.missing", row=row, column=column)
    return value


def _number(row: int, column: str, text: str, unit: str) -> Decimal | None:
    """A typed figure in its unit, its last digit kept as its resolution; None where nothing was typed."""
    if not text:
        return None
    match = _NUMBER.fullmatch(text)
    power = _UNITS[unit].get(match["unit"].lower()) if match else None
    if match is None and "," in text:
        raise NotAllowed("proof.walk.comma", row=row, column=column, found=text[:60])
    if match is None or power is None:
        raise NotAllowed("proof.walk.number", row=row, column=column, found=text[:60], unit=_told(unit))
    value = Decimal(match["digits"].replace(",", "")).scaleb(power)
    if value > _MOST[unit]:
        raise NotAllowed(
            "proof.walk.beyond", row=row, column=column, found=text[:60], most=f"{_MOST[unit]:f} {_told(unit)}"
        )
    return -value if match["sign"] in ("-", "−") else value  # noqa: RUF001


def _told(unit: str) -> str:
    return {"w": "W", "var": "var", "a": "A"}[unit]


def columns_wrong(names: Iterable[str]) -> tuple[str, ...]:
    """Columns of a file that are none of a walk's."""
    return tuple(each for each in names if each not in COLUMNS)
