"""The lines of a worksheet: every Step of a figure once, leaves first, with section, formula and figure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from deadfront.documents import numbers
from deadfront.documents.catalog import Catalog
from deadfront.documents.formula import assumption, formula, reading_name
from deadfront.documents.line_names import line_name
from deadfront.msg import Msg, said
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.step import Step

UNREAD = ("mark.missing", "mark.unread")


@dataclass(frozen=True, slots=True)
class Row:
    """One printed line of a worksheet.

    Args:
        id: The Step's id.
        section: What stands in the margin: the sections it rests on.
        name: What the figure is.
        formula: How it was reached.
        figure: The number without unit.
        unit: The unit as written.
        level: How far above the final figure: 0 is the final figure itself.
        marks: What must be said beside it: not known, assumed, from memory.
        unknown: True where a fact is missing here.
        sum: True where a rule stands above it.
    """

    id: str
    section: str
    name: Msg
    formula: str
    figure: str
    unit: str
    level: int
    marks: tuple[Msg, ...] = ()
    unknown: bool = False
    sum: bool = False


def worksheet_rows(
    step: Step, catalog: Catalog, above: Iterable[Step] = (), origins: Mapping[str, Msg] | None = None
) -> list[Row]:
    """The lines of one figure, leaves first, each Step once; the figure itself stands last.

    Args:
        above: Figures worked above on the same sheet: their lines are left out here.
        origins: Where facts come from, by their path or that of their thing.
    """
    levels = _levels(step)
    done = {(s.id, s.value) for figure in above for s in figure.walk()}
    readings = reading_marks(step, catalog)

    def shown(s: Step) -> bool:
        hidden = passes_through(s) and id(s) not in readings
        if s is not step and (s.inline or hidden or (s.id, s.value) in done):
            return False
        done.add((s.id, s.value))  # the same line reached by two ways is printed once
        return True

    return [_row(s, levels.get(id(s), 0), catalog, origins or {}, readings.get(id(s), ()))
            for s in step.walk() if shown(s)]  # fmt: skip


def reading_marks(step: Step, catalog: Catalog) -> dict[int, tuple[Msg, ...]]:
    """The figure of each reading of a disputed rule, with the reading's name where its own does not say it."""
    found: dict[int, tuple[Msg, ...]] = {}
    for choice in (s for s in step.walk() if s.op == "choice"):
        readings: tuple[str, ...] = choice.params["readings"]  # type: ignore[assignment]
        for reading, arg in zip(readings, choice.args, strict=True):
            name = reading_name(choice, reading, catalog)
            told = catalog.say(name) in catalog.say(arg.name)
            found[id(arg)] = (*found.get(id(arg), ()), *(() if told else (said("mark.reading", name=name),)))
    return found


def passes_through(step: Step) -> bool:
    """True for a sum or extreme of one part, or of none: its line would only repeat the figure."""
    if step.op not in ("sum", "max", "min") or len(step.args) > 1 or step.missing or step.assumed:
        return False
    return not step.args or step.args[0].unit == step.unit


def main_unit(rows: list[Row]) -> str:
    """The unit that most lines carry: said once, over the column of figures."""
    units = Counter(row.unit for row in rows if row.unit)
    return units.most_common(1)[0][0] if units else ""


def figure_text(row: Row, unit: str) -> str:
    """The figure of a line, with its unit where that is not the column's."""
    known = any(c.isdigit() for c in row.figure)
    return f"{row.figure} {row.unit}" if row.unit and row.unit != unit and known else row.figure


def _levels(step: Step) -> dict[int, int]:
    levels = {id(step): 0}
    queue = [step]
    while queue:
        above = queue.pop(0)
        for arg in above.args:
            if id(arg) not in levels:
                levels[id(arg)] = levels[id(above)] + 1
                queue.append(arg)
    return levels


def _shown_here(step: Step) -> Iterator[Step]:
    """The Step and the inline Steps that only its own line shows."""
    yield step
    for arg in step.args:
        if arg.inline:
            yield from _shown_here(arg)


def origin_of(path: str, origins: Mapping[str, Msg]) -> Msg | None:
    """Where a fact comes from: what is said of it, else of its thing."""
    while path:
        if path in origins:
            return origins[path]
        path = path.rpartition(".")[0]
    return None


def _row(step: Step, level: int, catalog: Catalog, origins: Mapping[str, Msg], readings: tuple[Msg, ...] = ()) -> Row:
    here = list(dict.fromkeys(_shown_here(step)))
    cites = tuple(dict.fromkeys(cite for s in here for cite in s.cites))
    missing = {m.path: m for s in here for m in s.missing}
    assumed = dict.fromkeys(name for s in here for name in s.assumed)
    own = {m.path for m in step.missing}
    marks = [*readings]
    marks += [said("mark.unread") if path in own else said("mark.missing", what=m.what) for path, m in missing.items()]
    if step.op != "fact":
        marks += [said("mark.assumed", what=assumption(name, catalog)) for name in assumed]
    told = [o for s in here if s is not step and s.path and (o := origin_of(s.path, origins)) is not None]
    marks += [said("plain.text", text=o) for o in dict.fromkeys(told)]
    own_origin = origin_of(step.path, origins) if step.op == "fact" else None
    if any(cite.marked for cite in cites):
        marks.append(said("mark.memory"))
    return Row(
        id=step.id,
        section=margin_text(cites, catalog),
        name=line_name(step),
        formula=formula(step, catalog) if own_origin is None else catalog.say(own_origin),
        figure=catalog.range(step.value, step.unit),
        unit=numbers.unit_style(step.unit).say,
        level=level,
        marks=tuple(each for n, each in enumerate(marks) if each not in marks[:n]),
        unknown=bool(missing),
        sum=step.op == "sum",
    )


def margin_text(cites: Iterable[Cite], catalog: Catalog) -> str:
    """The sections of several citations, each once, for the narrow margin."""
    return ", ".join(dict.fromkeys(catalog.section(cite.section) for cite in cites))
