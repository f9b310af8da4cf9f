"""The times at which the legs are held against each other, as a table: circuit by time, and kinds of loads."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from deadfront.errors import NotFound
from deadfront.job.model import PanelLoads
from deadfront.panel.rules.case import breakers_in
from deadfront.quantities import dec
from deadfront.web.desk import AtJob
from deadfront.web.entry import typed as t
from deadfront.web.entry.places import EditData
from deadfront.web.panel_pieces import TimeColumn, TimeRow, TimeTable
from deadfront.web.tables import kind_words

MOST = 8
OFFERED = ("summer", "winter", "own_source", "night_ev")
PATH = "choices.panel_loads"
LOWEST_A, HIGHEST_A, HIGHEST_PERCENT = Decimal(0), Decimal(4000), Decimal(1000)


def times_of(at: AtJob, panel: str) -> TimeTable:
    """The table of the times for the circuits of a panel."""
    times, say = at.job.choices.panel_loads, at.catalog
    columns = tuple(TimeColumn(str(n), each.name, each.others) for n, each in enumerate(times))
    names = tuple(say.key(f"web.panel.time.{each}") for each in OFFERED)
    taken = {each.name for each in times}
    return TimeTable(panel, columns, _kinds(at, times), _circuits(at, panel, times), len(times) < MOST,
                     tuple(name for name in names if name not in taken))  # fmt: skip


def _kinds(at: AtJob, times: tuple[PanelLoads, ...]) -> tuple[TimeRow, ...]:
    words = kind_words(at.catalog)
    there = dict.fromkeys(load.kind for load in at.answered.assessment.at.house.loads)
    there |= dict.fromkeys(kind for each in times for kind in each.percent)
    return tuple(
        TimeRow(f"k.{kind}", words.get(kind, kind), "100 %",
                {str(n): _told(each.percent.get(kind), " %") for n, each in enumerate(times)})
        for kind in sorted(there, key=lambda kind: words.get(kind, kind))
    )  # fmt: skip


def _circuits(at: AtJob, panel: str, times: tuple[PanelLoads, ...]) -> tuple[TimeRow, ...]:
    found = at.answered.assessment
    runs = {run.of: run for run in found.circuits.runs}
    rows = []
    for ident, name in fed_in(at, panel):
        run = runs.get(ident)
        known = run is not None and run.load is not None and (run.load.value.high is not None or run.load.value.low)
        loaded = at.catalog.quantity(run.load.value, "A") if known and run is not None and run.load is not None else ""
        cells = {str(n): _told(each.currents_a.get(ident), "") for n, each in enumerate(times)}
        rows.append(TimeRow(f"c.{ident}", name, loaded, cells))
    return tuple(rows)


def fed_in(at: AtJob, panel: str) -> list[tuple[str, str]]:
    """Circuits and feeders of a panel with their names, in the order of their breakers' spaces."""
    found = at.answered.assessment.at
    own = next((each for each in found.house.panels if each.id == panel), None)
    if own is None:
        return []
    breakers = {each.id: each.spaces for each in breakers_in(found, own)}
    fed = [(breakers[each.breaker], each.id, each.name or each.id) for each in found.house.circuits
           if each.breaker in breakers]  # fmt: skip
    fed += [(breakers[each.fed_by], each.id, each.name or each.id) for each in found.house.panels
            if each.fed_by in breakers]  # fmt: skip
    return [(ident, name) for _, ident, name in sorted(fed)]


def _told(value: Decimal | None, unit: str) -> str:
    return "" if value is None else f"{dec(value).normalize():f}{unit}"


# --- as edits -------------------------------------------------------------------------------------------------------
def time_edits(at: AtJob, form: Mapping[str, str]) -> list[EditData]:
    """The edits of one time as typed: a new one, one changed, one struck out; nothing where nothing changes.

    Raises:
        BadEntry: a figure that is not understood; a name that is missing or there already.
        NotFound: no such time.
    """
    times = list(at.job.choices.panel_loads)
    index = form.get("index", "")
    if index == "new":
        wanted = [*times, _named(at, form, PanelLoads(name="x"), times)]
        if len(wanted) > MOST:
            raise t.BadEntry("name", "web.panel.time.too_many", most=MOST)
    else:
        number = int(index) if index.isascii() and index.isdigit() else MOST
        if number >= len(times):
            raise NotFound("web.not_found")
        rest = [each for n, each in enumerate(times) if n != number]
        made = [] if form.get("drop") else [_typed(at, form, _named(at, form, times[number], rest))]
        wanted = [*times[:number], *made, *times[number + 1 :]]
    if wanted == times:
        return []
    return [{"do": "set", "path": PATH, "value": [_plain(each) for each in wanted] or None}]


def _named(at: AtJob, form: Mapping[str, str], time: PanelLoads, rest: list[PanelLoads]) -> PanelLoads:
    name = t.text_of("name", form.get("name", "")) or t.text_of("name", form.get("offered", ""))
    if name is None:
        raise t.BadEntry("name", "web.panel.time.no_name")
    if name in {each.name for each in rest}:
        raise t.BadEntry("name", "web.panel.time.twice", found=name)
    others = "off" if form.get("others") == "off" else "as loaded"
    return time.model_copy(update={"name": name, "others": others})


def _typed(at: AtJob, form: Mapping[str, str], time: PanelLoads) -> PanelLoads:
    percent, amperes = dict(time.percent), dict(time.currents_a)
    runs = {run.of: run for run in at.answered.assessment.circuits.runs}
    for field, text in form.items():
        kind, _, of = field.partition(".")
        if kind == "k":
            _put(percent, of, _number(field, text.replace("%", ""), "%", HIGHEST_PERCENT))
        elif kind == "c":
            value = _number(field, text.replace("%", ""), "%" if "%" in text else "A",
                            HIGHEST_PERCENT if "%" in text else HIGHEST_A)  # fmt: skip
            if value is not None and "%" in text:
                run = runs.get(of)
                if run is None or run.load is None or not run.load.value.exact:
                    raise t.BadEntry(field, "web.panel.time.no_share", found=t.clean(text)[:40])
                value = (run.load.value.low * value / 100).quantize(Decimal("0.1"))
            _put(amperes, of, value)
    return time.model_copy(update={"percent": percent, "currents_a": amperes})


def _put(into: dict[str, Decimal], name: str, value: Decimal | None) -> None:
    if value is None:
        into.pop(name, None)
    else:
        into[name] = value


def _number(field: str, text: str, unit: str, most: Decimal) -> Decimal | None:
    """A number from nothing up, None for nothing typed."""
    text = t.clean(text).removesuffix("A").removesuffix("a").strip()
    if not text:
        return None
    try:
        value = Decimal(text) if text.isascii() and "_" not in text else Decimal("NaN")
    except ArithmeticError:
        value = Decimal("NaN")
    if not value.is_finite() or not LOWEST_A <= value <= most:
        raise t.BadEntry(field, "web.panel.time.bad", found=text[:40], most=most, unit=unit)
    return value


def _plain(time: PanelLoads) -> dict[str, Any]:
    kept: dict[str, Any] = {"name": time.name}
    for name, values in (("percent", time.percent), ("currents_a", time.currents_a)):
        if values:
            kept[name] = {key: str(value) for key, value in values.items()}
    if time.others == "off":
        kept["others"] = "off"
    return kept
