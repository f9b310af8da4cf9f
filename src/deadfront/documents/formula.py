"""The printed formula of a Step, derived from its operation, args and params; never typed."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import cache

from deadfront.documents import numbers
from deadfront.documents.catalog import Catalog, words
from deadfront.msg import Msg
from deadfront.quantities import UNKNOWN
from deadfront.worksheet.build import Tiers
from deadfront.worksheet.step import Step

TIMES, PLUS, LESS, OVER = " × ", " + ", " − ", " ÷ "
MOST_PARTS = 8


def formula(step: Step, catalog: Catalog) -> str:
    """How a Step was reached, in one line: "1,840 ft² × 3 VA/ft²"."""
    return _FORMULAS[step.op](step, catalog)


def _amount(step: Step, catalog: Catalog, *, unit: bool = False) -> str:
    """A figure inside a formula, a range in parentheses: "5,520", "(0 to 30) A"."""
    text = catalog.range(step.value, step.unit)
    if not step.value.exact:
        text = f"({text})"
    known = step.value.high is not None or step.value.low != 0
    written = numbers.unit_style(step.unit).say if unit and known else ""
    return f"{text} {written}" if written else text


def _parts(step: Step, catalog: Catalog) -> list[str]:
    mixed = any(arg.unit != step.unit for arg in step.args)
    return [_amount(arg, catalog, unit=mixed) for arg in step.args]


def _fact(step: Step, catalog: Catalog) -> str:
    if step.assumed:
        return catalog.key("formula.assumed", what=_assumptions(step.assumed, catalog))
    if step.value.high is None and step.value.low == 0:
        return catalog.key("formula.unknown")
    field = f"field.{step.path.rpartition('.')[2]}"
    return catalog.key(field if catalog.has(field) else "formula.known")


def _assumptions(names: tuple[str, ...], catalog: Catalog) -> str:
    return catalog.joined([assumption(name, catalog) for name in names])


def assumption(name: str, catalog: Catalog) -> str:
    """A named assumption in words."""
    key = f"assumed.{name}"
    return catalog.key(key) if catalog.has(key) else name.replace("_", " ")


def _given(step: Step, catalog: Catalog) -> str:
    return step.cites[0].section if step.cites else catalog.key("formula.given")


def _lookup(step: Step, catalog: Catalog) -> str:
    table = catalog.section(step.cites[0].section) if step.cites else catalog.value(step.params["table"])
    row = step.params["row"]
    return catalog.key("formula.lookup", table=table, row=row) if row else table


def _only(arg: Step, catalog: Catalog) -> str:
    """The one part of a figure: how it was reached, where it has no line of its own."""
    worked = arg.inline and arg.args
    return formula(arg, catalog) if worked else _amount(arg, catalog)


def _sum(step: Step, catalog: Catalog) -> str:
    if not step.args:
        return catalog.key("formula.nothing")
    if len(step.args) == 1:
        return _only(step.args[0], catalog)
    if len(step.args) > MOST_PARTS:
        return catalog.key("formula.lines", count=len(step.args))
    return PLUS.join(_parts(step, catalog))


def _product(step: Step, catalog: Catalog) -> str:
    return TIMES.join(_amount(arg, catalog, unit=True) for arg in step.args)


def _quotient(step: Step, catalog: Catalog) -> str:
    return OVER.join(_amount(arg, catalog, unit=True) for arg in step.args)


def _minus(step: Step, catalog: Catalog) -> str:
    text = LESS.join(_parts(step, catalog))
    first, second = (arg.value for arg in step.args)
    below = second.high is None or first.low < second.high
    return catalog.key("formula.not_below_zero", amount=text) if below else text


def _nothing_known(step: Step) -> bool:
    return all(arg.value == UNKNOWN for arg in step.args)


def _extreme(two: str, many: str) -> Callable[[Step, Catalog], str]:
    def say(step: Step, catalog: Catalog) -> str:
        if not step.args:
            return catalog.key("formula.nothing")
        if len(step.args) == 1:
            return _only(step.args[0], catalog)
        if _nothing_known(step):
            return catalog.key("formula.unknown")
        return catalog.key(two if len(step.args) == 2 else many, parts=tuple(_parts(step, catalog)))

    return say


def _percent_number(percent: Decimal) -> str:
    return numbers.number(percent, "%")


def _tier(step: Step, catalog: Catalog) -> str:
    tiers: Tiers = step.params["tiers"]  # type: ignore[assignment]
    value = step.args[0].value
    if not value.exact:
        return f"{_amount(step.args[0], catalog)}: {_tier_rule(tiers, catalog)}"
    slices: list[str] = []
    start = Decimal(0)
    for upto, percent in tiers:
        end = value.low if upto is None else min(value.low, upto)
        if end > start or not slices:
            slices.append(f"{numbers.number(end - start, step.unit)}{TIMES}{_percent_number(percent)} %")
            start = end
    return PLUS.join(slices)


def _tier_rule(tiers: Tiers, catalog: Catalog) -> str:
    said: list[str] = []
    start = Decimal(0)
    for upto, percent in tiers:
        share = _percent_number(percent)
        if upto is None:
            said.append(catalog.key("formula.rest_at", percent=share))
            break
        key = "formula.next_at" if said else "formula.first_at"
        said.append(catalog.key(key, amount=numbers.number(upto - start), percent=share))
        start = upto
    return ", ".join(said)


def _percent(step: Step, catalog: Catalog) -> str:
    share: Decimal = step.params["percent"]  # type: ignore[assignment]
    return catalog.key("formula.all_at", percent=_percent_number(share), amount=_amount(step.args[0], catalog))


def _count(step: Step, catalog: Catalog) -> str:
    of = step.params.get("of") or ""
    if isinstance(of, Msg):
        return catalog.key("formula.counted_of", what=of)
    key = f"count.{of}"
    return catalog.key("formula.counted_of", what=catalog.key(key)) if catalog.has(key) else catalog.key(
        "formula.counted"
    )  # fmt: skip


def _round(step: Step, catalog: Catalog) -> str:
    arg = step.args[0]
    return catalog.key("formula.nearest", amount=_amount(arg, catalog))


def _standard(step: Step, catalog: Catalog) -> str:
    ratings: tuple[Decimal, ...] = step.params["ratings"]  # type: ignore[assignment]
    load = step.args[0]
    if load.value.low > ratings[-1]:
        return catalog.key("formula.above_all")
    past = load.value.high is not None and load.value.high > ratings[-1]
    key = "formula.standard_past" if past else "formula.standard"
    return catalog.key(key, amount=catalog.quantity(load.value, load.unit))


def _below(step: Step, catalog: Catalog) -> str:
    load = step.args[0]
    return catalog.key("formula.below", amount=catalog.quantity(load.value, load.unit))


def _hypot(step: Step, catalog: Catalog) -> str:
    return f"√({PLUS.join(f'{part}²' for part in _parts(step, catalog))})"


def _leg(step: Step, catalog: Catalog) -> str:
    return f"√({LESS.join(f'{part}²' for part in _parts(step, catalog))})"


def _apart(step: Step, catalog: Catalog) -> str:
    return f"|{LESS.join(_parts(step, catalog))}|"


def _interval(step: Step, catalog: Catalog) -> str:
    low = _amount(step.args[0], catalog)
    if len(step.args) == 1:
        return catalog.key("formula.from_least", low=low)
    high = _amount(step.args[1], catalog)
    if high == low:
        return catalog.key("formula.alike", amount=catalog.range(step.args[0].value, step.unit))
    return catalog.key("formula.least_greatest", low=low, high=high)


def _choice(step: Step, catalog: Catalog) -> str:
    chosen, parts = str(step.params.get("chosen") or ""), tuple(_parts(step, catalog))
    if chosen:
        return catalog.key("formula.reading", parts=parts, name=reading_name(step, chosen, catalog))
    if _nothing_known(step):
        return catalog.key("formula.unknown")
    many = "reading_larger" if len(parts) == 2 else "reading_largest"
    taken = [name for name, arg in zip(_readings(step), step.args, strict=True) if arg.value == step.value]
    if len(taken) == 1:
        return catalog.key(f"formula.{many}", parts=parts, name=reading_name(step, taken[0], catalog))
    return catalog.key(f"formula.{many}_of", parts=parts)


def _readings(step: Step) -> tuple[str, ...]:
    return step.params["readings"]  # type: ignore[return-value]


def reading_name(step: Step, reading: str, catalog: Catalog) -> Msg:
    """One reading of a choice in words: those of its rule, else the name of its figure."""
    for subject in reading_subjects():
        if all(catalog.has(f"reading.{subject}.{each}") for each in _readings(step)):
            return Msg(f"reading.{subject}.{reading}")
    return step.args[_readings(step).index(reading)].name


@cache
def reading_subjects() -> tuple[str, ...]:
    """The disputed rules that have words."""
    parts = (key.split(".") for key in words("en") if key.startswith("reading."))
    return tuple(dict.fromkeys(part[1] for part in parts if len(part) == 3))


_FORMULAS: dict[str, Callable[[Step, Catalog], str]] = {
    "fact": _fact,
    "given": _given,
    "lookup": _lookup,
    "sum": _sum,
    "product": _product,
    "quotient": _quotient,
    "minus": _minus,
    "max": _extreme("formula.larger", "formula.largest"),
    "min": _extreme("formula.smaller", "formula.smallest"),
    "tier": _tier,
    "percent": _percent,
    "count": _count,
    "round": _round,
    "standard": _standard,
    "below": _below,
    "hypot": _hypot,
    "leg": _leg,
    "apart": _apart,
    "interval": _interval,
    "choice": _choice,
}
