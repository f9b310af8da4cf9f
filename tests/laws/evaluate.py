"""Steps worked again from their leaves: written from what each operation is said to be, sharing nothing with its maker.

Numbers are fractions; "no upper limit is known" is None at the high end.
"""

from __future__ import annotations

from fractions import Fraction
from math import floor, isqrt

from deadfront.worksheet.step import Step

Range = tuple[Fraction, Fraction | None]
TOLERANCE = Fraction(1, 10**18)


def value_of(step: Step) -> Range:
    """The figure as the Step holds it."""
    return Fraction(step.value.low), None if step.value.high is None else Fraction(step.value.high)


def worked(step: Step, seen: dict[int, Range] | None = None) -> Range:
    """The figure worked again from its leaves."""
    seen = {} if seen is None else seen
    if id(step) not in seen:
        args = [worked(arg, seen) for arg in step.args]
        seen[id(step)] = _by_op(step, args)
    return seen[id(step)]


def _by_op(step: Step, args: list[Range]) -> Range:
    if step.op in ("fact", "given", "lookup", "count"):
        return value_of(step)
    return OPERATIONS[step.op](step, args)


def _each_end(args: list[Range], work) -> Range:
    """A rule that rises with every arg, at the low ends and at the high ends."""
    highs = [high for _, high in args]
    return work([low for low, _ in args]), None if None in highs else work(highs)


def _sum(step: Step, args: list[Range]) -> Range:
    return _each_end(args, lambda ends: sum(ends, Fraction(0)))


def _product(step: Step, args: list[Range]) -> Range:
    def work(ends: list[Fraction]) -> Fraction:
        result = Fraction(1)
        for end in ends:
            result *= end
        return result

    if any(high == 0 for _, high in args):
        return Fraction(0), Fraction(0)
    return _each_end(args, work)


def _quotient(step: Step, args: list[Range]) -> Range:
    (over_low, over_high), (under_low, under_high) = args
    return (
        Fraction(0) if under_high is None else over_low / under_high,
        None if over_high is None else over_high / under_low,
    )


def _minus(step: Step, args: list[Range]) -> Range:
    (a_low, a_high), (b_low, b_high) = args
    none = Fraction(0)
    return none if b_high is None else max(a_low - b_high, none), None if a_high is None else max(a_high - b_low, none)


def _max(step: Step, args: list[Range]) -> Range:
    return _each_end(args, lambda ends: max(ends, default=Fraction(0)))


def _min(step: Step, args: list[Range]) -> Range:
    known = [high for _, high in args if high is not None]
    return min(low for low, _ in args), min(known) if known else None


def _tier(step: Step, args: list[Range]) -> Range:
    def work(ends: list[Fraction]) -> Fraction:
        left, done, result = ends[0], Fraction(0), Fraction(0)
        for upto, percent in step.params["tiers"]:  # type: ignore[attr-defined]
            slice_ = left if upto is None else min(left, Fraction(upto) - done)
            result += slice_ * Fraction(percent) / 100
            left, done = left - slice_, done + slice_
        return result

    return _each_end(args, work)


def _percent(step: Step, args: list[Range]) -> Range:
    return _each_end(args, lambda ends: ends[0] * Fraction(step.params["percent"]) / 100)  # type: ignore[arg-type]


def _round(step: Step, args: list[Range]) -> Range:
    return _each_end(args, lambda ends: Fraction(floor(ends[0] + Fraction(1, 2))))


def _standard(step: Step, args: list[Range]) -> Range:
    ratings = [Fraction(each) for each in step.params["ratings"]]  # type: ignore[attr-defined]
    low = next((each for each in ratings if each >= args[0][0]), ratings[-1])
    high = None if args[0][1] is None else next((each for each in ratings if each >= args[0][1]), None)
    return low, high


def _below(step: Step, args: list[Range]) -> Range:
    ratings = [Fraction(each) for each in step.params["ratings"]]  # type: ignore[attr-defined]
    return _each_end(args, lambda ends: max((each for each in ratings if each <= ends[0]), default=Fraction(0)))


def root(square: Fraction) -> Fraction:
    """The square root to forty digits, zero for what is below zero."""
    if square <= 0:
        return Fraction(0)
    scale = 10**40
    return Fraction(isqrt(square.numerator * scale * scale // square.denominator), scale)


def _hypot(step: Step, args: list[Range]) -> Range:
    return _each_end(args, lambda ends: root(sum((each * each for each in ends), Fraction(0))))


def _leg(step: Step, args: list[Range]) -> Range:
    (a_low, a_high), (b_low, b_high) = args
    low = Fraction(0) if b_high is None else root(a_low**2 - b_high**2)
    return low, None if a_high is None else root(a_high**2 - b_low**2)


def _apart(step: Step, args: list[Range]) -> Range:
    (a_low, a_high), (b_low, b_high) = args
    gaps = [Fraction(0)]
    gaps += [] if b_high is None else [a_low - b_high]
    gaps += [] if a_high is None else [b_low - a_high]
    return max(gaps), None if a_high is None or b_high is None else max(a_high - b_low, b_high - a_low)


def _interval(step: Step, args: list[Range]) -> Range:
    return args[0][0], args[1][1] if len(args) > 1 else None


def _choice(step: Step, args: list[Range]) -> Range:
    chosen = step.params["chosen"]
    if chosen:
        return args[list(step.params["readings"]).index(chosen)]  # type: ignore[call-overload]
    return _max(step, args)


OPERATIONS = {
    "sum": _sum, "product": _product, "quotient": _quotient, "minus": _minus, "max": _max, "min": _min, "tier": _tier,
    "percent": _percent, "round": _round, "standard": _standard, "below": _below,
    "hypot": _hypot, "leg": _leg, "apart": _apart, "interval": _interval, "choice": _choice,
}  # fmt: skip


def close(a: Fraction | None, b: Fraction | None) -> bool:
    """Equal to the last digits that a decimal quotient keeps."""
    if a is None or b is None:
        return a is b
    return abs(a - b) <= TOLERANCE * max(abs(a), abs(b))


def wrong_steps(top: Step) -> list[str]:
    """Every Step below this one whose value is not what its operation gives."""
    seen: dict[int, Range] = {}
    worked(top, seen)
    wrong = []
    for step in top.walk():
        mine, theirs = seen[id(step)], value_of(step)
        if not (close(mine[0], theirs[0]) and close(mine[1], theirs[1])):
            wrong.append(f"{step.id} ({step.op}): holds {theirs}, works out at {mine}")
    return wrong
