"""Makers of Steps: each evaluates its operation once and keeps what it was made of.

Start with `fact` and `given` (leaves), then `total`, `product`, `largest`, `tiered` and the rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from deadfront.msg import Msg, said
from deadfront.quantities import ZERO, Interval, Number, dec, highest, lowest, point, whole_half_up
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

HUNDRED = Decimal(100)
Tiers = tuple[tuple[Decimal | None, Decimal], ...]


def _step(
    ident: str, name: Msg | str, op: str, value: Interval, unit: str, args: Sequence[Step] = (), **more: Any
) -> Step:
    return Step(ident, said(name) if isinstance(name, str) else name, op, value, unit, tuple(args), **more)


def _cites(cites: Cite | Iterable[Cite] | None) -> tuple[Cite, ...]:
    return () if cites is None else (cites,) if isinstance(cites, Cite) else tuple(cites)


def fact(
    ident: str, name: Msg | str, value: Interval | Number, unit: str, path: str, *,
    cite: Cite | Iterable[Cite] | None = None,
    missing: Missing | None = None, assumed: Iterable[str] = (), inline: bool = False,
) -> Step:  # fmt: skip
    """A value of the job; a range and `missing` where it is not fully known."""
    known = value if isinstance(value, Interval) else point(value)
    lacks = () if missing is None else (missing,)
    return _step(ident, name, "fact", known, unit, path=path, cites=_cites(cite), missing=lacks,
                 assumed=tuple(assumed), inline=inline)  # fmt: skip


def given(
    ident: str, name: Msg | str, value: Number, unit: str, cite: Cite | Iterable[Cite] | None, *, inline: bool = True
) -> Step:
    """A value of the code book, or a constant of a rule with its citation."""
    return _step(ident, name, "given", point(value), unit, cites=_cites(cite), inline=inline)


def lookup(
    ident: str, name: Msg | str, value: Number, unit: str, cite: Cite, *, table: str, row: str,
    args: Sequence[Step] = (), inline: bool = False,
) -> Step:  # fmt: skip
    """One figure of a table; `row` says in the table's own terms which row was taken."""
    return _step(ident, name, "lookup", point(value), unit, args, params={"table": table, "row": row},
                 cites=(cite,), inline=inline)  # fmt: skip


def total(
    ident: str,
    name: Msg | str,
    args: Sequence[Step],
    *,
    unit: str = "VA",
    cite: Cite | Iterable[Cite] | None = None,
    inline: bool = False,
) -> Step:
    """The sum of all args, zero for none."""
    value = point(0)
    for arg in args:
        value = value + arg.value
    return _step(ident, name, "sum", value, unit, args, cites=_cites(cite), inline=inline)


def product(
    ident: str,
    name: Msg | str,
    args: Sequence[Step],
    *,
    unit: str = "VA",
    cite: Cite | Iterable[Cite] | None = None,
    inline: bool = False,
) -> Step:
    """The product of all args."""
    value = point(1)
    for arg in args:
        value = value * arg.value
    return _step(ident, name, "product", value, unit, args, cites=_cites(cite), inline=inline)


def quotient(
    ident: str,
    name: Msg | str,
    over: Step,
    under: Step,
    *,
    unit: str = "A",
    cite: Cite | Iterable[Cite] | None = None,
    inline: bool = False,
) -> Step:
    """The first divided by the second."""
    return _step(
        ident,
        name,
        "quotient",
        over.value.divided_by(under.value),
        unit,
        (over, under),
        cites=_cites(cite),
        inline=inline,
    )


def minus(
    ident: str,
    name: Msg | str,
    first: Step,
    second: Step,
    *,
    unit: str = "VA",
    cite: Cite | Iterable[Cite] | None = None,
    inline: bool = False,
) -> Step:
    """What is left of the first after the second, never below zero (an outer range where both are ranges)."""
    a, b = first.value, second.value
    low = ZERO if b.high is None else max(a.low - b.high, ZERO)
    high = None if a.high is None else max(a.high - b.low, ZERO)
    return _step(ident, name, "minus", Interval(low, high), unit, (first, second), cites=_cites(cite), inline=inline)


def largest(
    ident: str,
    name: Msg | str,
    args: Sequence[Step],
    *,
    unit: str = "VA",
    cite: Cite | Iterable[Cite] | None = None,
    inline: bool = False,
) -> Step:
    """The largest of the args, zero for none."""
    return _step(ident, name, "max", highest([a.value for a in args]), unit, args, cites=_cites(cite), inline=inline)


def least(
    ident: str,
    name: Msg | str,
    args: Sequence[Step],
    *,
    unit: str = "VA",
    cite: Cite | Iterable[Cite] | None = None,
    inline: bool = False,
) -> Step:
    """The smallest of the args (at least one)."""
    return _step(ident, name, "min", lowest([a.value for a in args]), unit, args, cites=_cites(cite), inline=inline)


def tier_value(amount: Decimal, tiers: Tiers) -> Decimal:
    """An amount through demand tiers: ((upto or None, percent), ...), each percent on its own slice."""
    result, start = ZERO, ZERO
    for upto, percent in tiers:
        end = amount if upto is None else min(amount, upto)
        if end > start:
            result += (end - start) * percent / HUNDRED
            start = end
    return result


def tiered(
    ident: str, name: Msg | str, arg: Step, tiers: Tiers, *, unit: str = "VA", cite: Cite | Iterable[Cite] | None = None
) -> Step:
    """The arg through demand tiers; rising, so a range maps end to end."""
    value = arg.value
    mapped = Interval(tier_value(value.low, tiers), None if value.high is None else tier_value(value.high, tiers))
    return _step(ident, name, "tier", mapped, unit, (arg,), params={"tiers": tiers}, cites=_cites(cite))


def percent_of(
    ident: str,
    name: Msg | str,
    arg: Step,
    percent: Number,
    *,
    unit: str = "VA",
    cite: Cite | Iterable[Cite] | None = None,
    inline: bool = False,
) -> Step:
    """So many percent of the arg."""
    share = dec(percent)
    return _step(
        ident,
        name,
        "percent",
        arg.value * point(share / HUNDRED),
        unit,
        (arg,),
        params={"percent": share},
        cites=_cites(cite),
        inline=inline,
    )


def counted(
    ident: str,
    name: Msg | str,
    value: Interval | Number,
    args: Sequence[Step] = (),
    *,
    of: str = "",
    inline: bool = True,
) -> Step:
    """How many things there are."""
    return _step(
        ident,
        name,
        "count",
        value if isinstance(value, Interval) else point(value),
        "",
        args,
        params={"of": of},
        inline=inline,
    )


def rounded(
    ident: str, name: Msg | str, arg: Step, *, unit: str = "A", cite: Cite | Iterable[Cite] | None = None
) -> Step:
    """The nearest whole number, a fraction below one half dropped."""
    value = arg.value
    mapped = Interval(whole_half_up(value.low), None if value.high is None else whole_half_up(value.high))
    return _step(ident, name, "round", mapped, unit, (arg,), cites=_cites(cite))


def next_standard(
    ident: str, name: Msg | str, arg: Step, ratings: Sequence[Decimal], *, cite: Cite | Iterable[Cite] | None = None
) -> Step:
    """The smallest standard rating at or above the arg; above the last rating no upper limit is known."""

    def up(amount: Decimal | None) -> Decimal | None:
        return None if amount is None else next((r for r in ratings if r >= amount), None)

    low, high = up(arg.value.low), up(arg.value.high)
    value = Interval(ratings[-1] if low is None else low, high)
    return _step(ident, name, "standard", value, "A", (arg,), params={"ratings": tuple(ratings)}, cites=_cites(cite))


def standard_below(
    ident: str, name: Msg | str, arg: Step, ratings: Sequence[Decimal], *, cite: Cite | Iterable[Cite] | None = None
) -> Step:
    """The largest standard rating at or below the arg: for a limit that may not be passed; zero below the first."""

    def down(amount: Decimal) -> Decimal:
        return max((r for r in ratings if r <= amount), default=ZERO)

    value = Interval(down(arg.value.low), None if arg.value.high is None else down(arg.value.high))
    return _step(ident, name, "below", value, "A", (arg,), params={"ratings": tuple(ratings)}, cites=_cites(cite))


def hypotenuse(
    ident: str, name: Msg | str, args: Sequence[Step], *, unit: str = "ohm", cite: Cite | Iterable[Cite] | None = None
) -> Step:
    """The square root of the sum of squares: an impedance from resistance and reactance."""

    def root(ends: Iterable[Decimal]) -> Decimal:
        return sum((each * each for each in ends), ZERO).sqrt()

    highs = [arg.value.high for arg in args]
    value = Interval(
        root(a.value.low for a in args), None if None in highs else root(h for h in highs if h is not None)
    )
    return _step(ident, name, "hypot", value, unit, args, cites=_cites(cite))


def triangle_leg(
    ident: str, name: Msg | str, over: Step, side: Step, *, unit: str = "", cite: Cite | Iterable[Cite] | None = None,
    inline: bool = False,
) -> Step:  # fmt: skip
    """The other leg of a right triangle: reactive part from the whole and the power factor."""
    a, b = over.value, side.value
    low = ZERO if b.high is None else max(a.low * a.low - b.high * b.high, ZERO).sqrt()
    high = None if a.high is None else max(a.high * a.high - b.low * b.low, ZERO).sqrt()
    return _step(ident, name, "leg", Interval(low, high), unit, (over, side), cites=_cites(cite), inline=inline)


def apart(
    ident: str, name: Msg | str, first: Step, second: Step, *, unit: str = "V",
    cite: Cite | Iterable[Cite] | None = None, inline: bool = False,
) -> Step:  # fmt: skip
    """How far two figures are from each other, whichever is the larger."""
    a, b = first.value, second.value
    ways = [ZERO if y.high is None else x.low - y.high for x, y in ((a, b), (b, a))]
    far = None if a.high is None or b.high is None else max(a.high - b.low, b.high - a.low)
    value = Interval(max(*ways, ZERO), far)
    return _step(ident, name, "apart", value, unit, (first, second), cites=_cites(cite), inline=inline)


def between_cases(
    ident: str,
    name: Msg | str,
    low: Step,
    high: Step | None,
    *,
    unit: str = "VA",
    cite: Cite | Iterable[Cite] | None = None,
    missing: Sequence[Missing] = (),
    assumed: Iterable[str] = (),
) -> Step:
    """From the least case to the greatest, each worked as a Step of its own; high None: no upper limit is known."""
    value = Interval(low.value.low, None if high is None else high.value.high)
    args = (low,) if high is None else (low, high)
    return _step(
        ident, name, "interval", value, unit, args, cites=_cites(cite), missing=tuple(missing), assumed=tuple(assumed)
    )


def chosen(
    ident: str,
    name: Msg | str,
    readings: dict[str, Step],
    choice: str | None,
    *,
    by: str = "job",
    cite: Cite | Iterable[Cite] | None = None,
) -> Step:
    """One of several readings of a disputed rule: the chosen one, else the one with the larger figure."""
    unit = next(iter(readings.values())).unit
    params = {"readings": tuple(readings), "chosen": choice or "", "by": by if choice else "larger"}
    value = readings[choice].value if choice else highest([s.value for s in readings.values()])
    return _step(ident, name, "choice", value, unit, tuple(readings.values()), params=params, cites=_cites(cite))
