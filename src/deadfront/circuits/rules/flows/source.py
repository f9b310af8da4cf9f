"""The source behind a fault: the utility's letter, else its transformer, as resistance and reactance in Steps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from deadfront.codebook.book import Codebook
from deadfront.codebook.impedance import of_standard, transformer_band
from deadfront.errors import OutOfTable
from deadfront.job.service_things import Utility
from deadfront.msg import said
from deadfront.quantities import Number
from deadfront.worksheet import build
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

End = Literal["nominal", "low", "high"]
Loop = Literal["line_to_line", "line_to_neutral"]
_PATH = "before/service.utility"
USUAL_TRANSFORMER = "usual_transformer"
PRIMARY_WITHOUT_LIMIT = "primary_without_limit"


@dataclass(frozen=True, slots=True)
class SourceCase:
    """What the source hangs on: the system, the letter of the utility, the facts of its transformer."""

    book: Codebook
    system: str
    letter_ka: Decimal | None
    letter_neutral_ka: Decimal | None
    letter_at: str
    kva: Decimal | None
    impedance_percent: Decimal | None
    x_over_r: Decimal | None
    primary_mva: Decimal | None

    @property
    def split(self) -> bool:
        """True for 120/240 V single phase, False for two or three legs of 208Y/120 V."""
        return self.system.startswith("120/240")

    @property
    def by_letter(self) -> bool:
        """True where a letter of the utility gives the fault current."""
        return self.letter_ka is not None

    @property
    def known(self) -> bool:
        """True where anything is known that a fault current can be worked from."""
        return self.by_letter or (self.kva is not None and (self.impedance_percent is not None or self.usual))

    @property
    def usual(self) -> bool:
        """True where the rating alone tells a usual impedance: a listed single-phase transformer."""
        try:
            return self.split and self.kva is not None and bool(transformer_band(self.book, self.kva))
        except OutOfTable:
            return False

    def without_letter(self) -> SourceCase:
        """The same source by its transformer alone."""
        return replace(self, letter_ka=None, letter_neutral_ka=None)


def source_case(book: Codebook, system: str, utility: Utility) -> SourceCase:
    """The case of a house's source."""
    t = utility.transformer
    return SourceCase(book, system, utility.fault_current_ka, utility.fault_current_neutral_ka,
                      utility.fault_at or "service", t.kva, t.impedance_percent, t.x_over_r,
                      t.primary_fault_mva)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Behind:
    """Impedance of a source seen by one kind of fault.

    Args:
        whole: Its magnitude [ohm], as a range where it is not exactly known.
        ways: Resistance and reactance for each way in which it may be split; one where the split is known.
    """

    whole: Step
    ways: tuple[tuple[Step, Step], ...]


def constant(ident: str, name: str, value: Number, unit: str = "") -> Step:
    """A number of nature or of arithmetic, shown inside formulas."""
    return build.given(ident, name, value, unit, None)


def volts(case: SourceCase, loop: Loop) -> Step:
    """Nominal volts that drive a fault [V]."""
    figure = "120" if loop == "line_to_neutral" else "240" if case.split else "208"
    entry = case.book.value(f"nominal_volts_{figure}")
    return build.given(f"fault/volts_{figure}", "flow.volts", entry.number, "V", entry.cite)


def code_value(case: SourceCase, name: str) -> Step:
    """A value of the code book inside a formula."""
    entry = case.book.value(name)
    return build.given(f"fault/{name}", said(f"flow.{name}"), entry.number, entry.unit, of_standard(entry.cite))


def behind(case: SourceCase, loop: Loop, end: End) -> Behind:
    """The source as one kind of fault sees it: nominal, or at the low or the high end of the impedance's tolerance.

    A letter of the utility is taken as it stands, without tolerance.
    """
    if case.by_letter:
        return _by_letter(case, loop)
    return _by_transformer(case, loop, end)


# --- by letter ------------------------------------------------------------------------------------------------------
def letter_current(case: SourceCase, loop: Loop) -> Step:
    """Fault current where the letter gives it [A]; leg to neutral from leg to leg where the letter is silent on it.

    At the terminals of a split-phase transformer leg to neutral is 2/1.5 (all resistance) to 2/1.2 (all reactance)
    times leg to leg. At the service the conductors between lower it by an amount that the letter does not tell, so
    that nothing is left of the low end. On two legs of a wye it is at most the square root of three times as much
    (no impedance of zero sequence).
    """
    given_ka = case.letter_ka if loop == "line_to_line" else case.letter_neutral_ka
    field = "fault_current_ka" if loop == "line_to_line" else "fault_current_neutral_ka"
    if given_ka is not None:
        kilo = constant("fault/thousand", "flow.thousand", 1000, "A/kA")
        fact = build.fact(f"fault/letter/{field}", f"flow.{field}", given_ka, "kA", f"{_PATH}.{field}", inline=True)
        return build.product(f"fault/letter/{loop}", said(f"flow.letter_{loop}"), (fact, kilo), unit="A")
    whole = letter_current(case, "line_to_line")
    missing = Missing(f"{_PATH}.{field}", said("todo.service.fault_current_neutral_ka"),
                      said("todo.how.service.fault_current_neutral_ka"))  # fmt: skip
    name = said("flow.letter_line_to_neutral")
    if case.split:
        two = constant("fault/two", "flow.two", 2)
        twice = build.product("fault/letter/twice", name, (two, whole), unit="A", inline=True)
        high = build.quotient("fault/letter/neutral_high", name, twice, code_value(case, "half_winding_reactance"))
        low = build.quotient("fault/letter/neutral_low", name, twice, code_value(case, "half_winding_resistance"))
    else:
        root = constant("fault/root_of_three", "flow.root_of_three", Decimal(3).sqrt())
        high = build.product("fault/letter/neutral_high", name, (root, whole), unit="A")
        low = whole
    if case.letter_at == "service":
        low = constant("fault/letter/neutral_none", "flow.nothing", 0, "A")
    return build.between_cases("fault/letter/line_to_neutral", name, low, high, unit="A", missing=(missing,))


def _by_letter(case: SourceCase, loop: Loop) -> Behind:
    name = said("flow.source_impedance")
    current = letter_current(case, loop)
    if current.value.low == 0:  # nothing bounds the impedance from above: keep the low end open
        least = build.quotient(f"fault/source/{loop}/least", name, volts(case, loop), current.args[-1], unit="ohm")
        whole = replace(build.between_cases(f"fault/source/{loop}", name, least, None, unit="ohm"),
                        missing=current.missing)  # fmt: skip
    else:
        whole = build.quotient(f"fault/source/{loop}", name, volts(case, loop), current, unit="ohm")
    ident = f"fault/source/{loop}"
    if case.x_over_r is None or (loop == "line_to_neutral" and case.split):
        return Behind(whole, _ways(ident, whole, (None,)))
    ratio = build.fact("fault/x_over_r", "flow.x_over_r", case.x_over_r, "", f"{_PATH}.transformer.x_over_r",
                       inline=True)  # fmt: skip
    none = constant("fault/none", "flow.nothing", 0, "ohm")  # the primary adds reactance that the plate does not know
    return Behind(whole, (*_ways(ident, whole, (ratio,)), (none, whole)))


# --- by transformer -------------------------------------------------------------------------------------------------
def _percent(case: SourceCase) -> Step:
    """Impedance of the transformer [%]: of its nameplate, else the usual band for its rating."""
    name, path = "flow.impedance_percent", f"{_PATH}.transformer.impedance_percent"
    if case.impedance_percent is not None:
        return build.fact("fault/impedance", name, case.impedance_percent, "%", path, inline=True)
    missing = _transformer_missing("impedance_percent")
    assert case.kva is not None  # words-ok: `known` says so
    band = transformer_band(case.book, case.kva)
    ends = [build.lookup(f"fault/impedance/{which}", name, found.value, "%", found.cite,
                         table="transformer_impedance", row=found.row)
            for which, found in (("low", band.impedance_low), ("high", band.impedance_high))]  # fmt: skip
    return build.between_cases("fault/impedance", name, ends[0], ends[1], unit="%", missing=(missing,),
                               assumed=(USUAL_TRANSFORMER,))  # fmt: skip


def _transformer_missing(field: str) -> Missing:
    return Missing(f"{_PATH}.transformer.{field}", said(f"todo.service.{field}"), said(f"todo.how.service.{field}"))


def _ratios(case: SourceCase) -> tuple[Step | None, ...]:
    """Reactance over resistance: as known; both ends of the usual band where it is not, None for any at all."""
    path = f"{_PATH}.transformer.x_over_r"
    if case.x_over_r is not None:
        return (build.fact("fault/x_over_r", "flow.x_over_r", case.x_over_r, "", path, inline=True),)
    try:
        band = transformer_band(case.book, case.kva or Decimal(0))
    except OutOfTable:
        return (None,)
    if not case.split:
        return (None,)
    return tuple(
        build.lookup(f"fault/x_over_r/{which}", "flow.x_over_r", found.value, "", found.cite,
                     table="transformer_impedance", row=found.row, inline=True)
        for which, found in (("low", band.x_over_r_low), ("high", band.x_over_r_high))
    )  # fmt: skip


def _by_transformer(case: SourceCase, loop: Loop, end: End) -> Behind:
    ident = f"fault/transformer/{end}"
    percent = _percent(case)
    if end != "nominal":
        share = case.book.value("impedance_tolerance_percent")
        factor = 100 - share.number if end == "low" else 100 + share.number
        percent = build.percent_of(f"{ident}/percent", said(f"flow.percent_{end}"), percent, factor, unit="%",
                                   cite=of_standard(share.cite))  # fmt: skip
    line = volts(case, "line_to_line")
    square = build.product(f"{ident}/square", "flow.volts_times_volts", (line, line), unit="V2", inline=True)
    kva = build.fact("fault/kva", "flow.kva", case.kva or 0, "kVA", f"{_PATH}.transformer.kva", inline=True)
    hundred_thousand = constant("fault/per", "flow.va_and_percent", 100000, "% VA/kVA")
    under = build.product(f"{ident}/under", "flow.kva", (hundred_thousand, kva), unit="VA", inline=True)
    over = build.product(f"{ident}/over", "flow.volts_times_volts", (percent, square), unit="V2", inline=True)
    whole = build.quotient(f"{ident}/whole", "flow.transformer_impedance", over, under, unit="ohm")
    ratios = _ratios(case)
    if len(ratios) == 2 or case.x_over_r is None:
        whole = replace(whole, missing=(_transformer_missing("x_over_r"),))
    ways = _ways(ident, whole, ratios)
    seen = _half(case, ident, whole, ways) if case.split and loop == "line_to_neutral" else Behind(whole, ways)
    if loop == "line_to_line" and not case.split:
        seen = _scaled(f"{ident}/two_phases", seen, constant("fault/two", "flow.two", 2))
    return _with_primary(case, loop, f"{ident}/{loop}", seen)


def _half(case: SourceCase, ident: str, whole: Step, ways: tuple[tuple[Step, Step], ...]) -> Behind:
    """Half a winding: a quarter of the resistance times 1.5, a quarter of the reactance times 1.2."""
    quarter = constant("fault/quarter", "flow.quarter", Decimal("0.25"))
    factors = (code_value(case, "half_winding_resistance"), code_value(case, "half_winding_reactance"))
    halves = []
    for number, way in enumerate(ways):
        names = ("flow.half_winding_r", "flow.half_winding_x")
        r, x = (
            build.product(f"{ident}/half/{number}/{part}", name, (each, factor, quarter), unit="ohm")
            for part, name, each, factor in zip(("r", "x"), names, way, factors, strict=True)
        )
        halves.append((r, x))
    wholes = [build.hypotenuse(f"{ident}/half/{n}/whole", "flow.half_winding", way) for n, way in enumerate(halves)]
    if len(wholes) == 1:
        return Behind(wholes[0], tuple(halves))
    low = build.least(f"{ident}/half/least", "flow.half_winding", wholes, unit="ohm")
    high = build.largest(f"{ident}/half/largest", "flow.half_winding", wholes, unit="ohm")
    return Behind(build.between_cases(f"{ident}/half", "flow.half_winding", low, high, unit="ohm"), tuple(halves))


def _scaled(ident: str, seen: Behind, factor: Step) -> Behind:
    def times(part: str, step: Step) -> Step:
        return build.product(f"{ident}/{part}", step.name, (factor, step), unit="ohm")

    ways = tuple((times(f"{n}/r", r), times(f"{n}/x", x)) for n, (r, x) in enumerate(seen.ways))
    return Behind(times("whole", seen.whole), ways)


def _with_primary(case: SourceCase, loop: Loop, ident: str, seen: Behind) -> Behind:
    """The reactance of the utility's primary added; nothing where no limit is given for it."""
    if case.primary_mva is None:
        return seen
    line = volts(case, "line_to_line")
    square = build.product(f"{ident}/square", "flow.volts_times_volts", (line, line), unit="V2", inline=True)
    mva = build.fact("fault/primary", "flow.primary_mva", case.primary_mva, "MVA",
                     f"{_PATH}.transformer.primary_fault_mva", inline=True)  # fmt: skip
    million = constant("fault/million", "flow.million", 1000000, "VA/MVA")
    under = build.product(f"{ident}/primary_va", "flow.primary_mva", (mva, million), unit="VA", inline=True)
    reactance = build.quotient(f"{ident}/primary", "flow.primary_reactance", square, under, unit="ohm")
    scale: Callable[[Number], Step] = lambda share: build.product(  # noqa: E731
        f"{ident}/primary_seen", "flow.primary_reactance",
        (reactance, constant(f"fault/share/{share}", "flow.quarter", share)), unit="ohm")  # fmt: skip
    if loop == "line_to_neutral" and case.split:
        reactance = scale(Decimal("0.25"))
    elif loop == "line_to_line" and not case.split:
        reactance = scale(2)
    ways = tuple((r, build.total(f"{ident}/{n}/x", "flow.source_x", (x, reactance), unit="ohm"))
                 for n, (r, x) in enumerate(seen.ways))  # fmt: skip
    return Behind(build.total(f"{ident}/whole", "flow.source_impedance", (seen.whole, reactance), unit="ohm"), ways)


# --- splitting ------------------------------------------------------------------------------------------------------
def _ways(ident: str, whole: Step, ratios: tuple[Step | None, ...]) -> tuple[tuple[Step, Step], ...]:
    """An impedance split by each ratio of reactance to resistance; all of either where the ratio is not known."""
    ways: list[tuple[Step, Step]] = []
    one = constant("fault/one", "flow.one", 1)
    none = constant("fault/none", "flow.nothing", 0, "ohm")
    for number, ratio in enumerate(ratios):
        if ratio is None:
            ways += [(whole, none), (none, whole)]
            continue
        root = build.hypotenuse(f"{ident}/{number}/root", "flow.root", (one, ratio), unit="")
        r = build.quotient(f"{ident}/{number}/r", "flow.source_r", whole, root, unit="ohm")
        ways.append((r, build.product(f"{ident}/{number}/x", "flow.source_x", (r, ratio), unit="ohm")))
    return tuple(ways)
