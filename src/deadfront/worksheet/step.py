"""A Step: one line of a worksheet, an expression from a small closed set, evaluated once.

The printed formula is derived from `op`, `args` and `params`; it is never typed. Steps form a DAG; ids are stable.
Everything that a Step rests on (missing facts, assumptions, citations) is found by walking it.

Operations and their params:
    fact       a value of the job; `path` says where; no args
    given      a value of the code book; no args
    lookup     a table row; params: table, row (str: how the row was chosen)
    sum        all args added
    product    all args multiplied
    quotient   first arg divided by second
    minus      first arg less second, never below zero
    max, min   the largest, the smallest arg
    tier       params: tiers ((upto|None, percent), ...) applied to the one arg
    percent    params: percent, applied to the one arg
    count      how many; params: of (str)
    round      nearest whole, half up, of the one arg
    standard   the next standard rating at or above the one arg; params: ratings
    below      the next standard rating at or below the one arg, zero for none; params: ratings
    hypot      the square root of the sum of the squares of all args
    leg        the square root of the difference of two squares, never below zero
    apart      how far two args are from each other
    interval   from the first arg's low to the second arg's high: the two extreme cases, each worked
    choice     one of the args, each a reading of a disputed rule; params: readings, chosen, by ("job", "larger", ...)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from deadfront.msg import Msg
from deadfront.quantities import Interval
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing

OPS = ("fact", "given", "lookup", "sum", "product", "quotient", "minus", "max", "min", "tier", "percent", "count",
       "round", "standard", "below", "hypot", "leg", "apart", "interval", "choice")  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """One evaluated line of a worksheet.

    Args:
        id: Stable, such as "standard/cooking/column_c".
        name: What the figure is.
        op: One of OPS.
        value: The figure, as a range.
        unit: "VA", "A", "V", "ft2", "VA/ft2", "%", "" for a plain number.
        args: The Steps it is made of.
        params: Constants of the operation (see module).
        cites: Where the rule stands.
        missing: Facts that this very Step lacks (those of its args are found by walking).
        assumed: Named assumptions that this very Step stands on.
        path: For a fact: where it stands in the job.
        inline: True where the figure is shown only inside the formula of the Step above it.
    """

    id: str
    name: Msg
    op: str
    value: Interval
    unit: str
    args: tuple[Step, ...] = ()
    params: Mapping[str, object] = field(default_factory=dict)
    cites: tuple[Cite, ...] = ()
    missing: tuple[Missing, ...] = ()
    assumed: tuple[str, ...] = ()
    path: str = ""
    inline: bool = False

    def walk(self) -> Iterator[Step]:
        """This Step and all it rests on, each once, leaves first."""
        seen: set[int] = set()

        def visit(step: Step) -> Iterator[Step]:
            if id(step) in seen:
                return
            seen.add(id(step))
            for arg in step.args:
                yield from visit(arg)
            yield step

        yield from visit(self)

    def all_missing(self) -> tuple[Missing, ...]:
        """Every fact this figure waits for, each path once."""
        found: dict[str, Missing] = {}
        for step in self.walk():
            for missing in step.missing:
                found.setdefault(missing.path, missing)
        return tuple(found.values())

    def all_assumed(self) -> tuple[str, ...]:
        """Every named assumption this figure stands on."""
        return tuple(sorted({name for step in self.walk() for name in step.assumed}))

    def all_cites(self) -> tuple[Cite, ...]:
        """Every citation below this figure, each once, in order of use."""
        return tuple(dict.fromkeys(cite for step in self.walk() for cite in step.cites))
