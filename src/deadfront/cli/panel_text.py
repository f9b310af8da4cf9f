"""A panel on the terminal: what is wrong, the legs, what it stands on."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from deadfront.cli import text
from deadfront.cli.ending import Ending
from deadfront.documents.catalog import Catalog
from deadfront.documents.formula import assumption
from deadfront.documents.panel_sheets.legs_picture import leg_columns
from deadfront.documents.panel_sheets.standing import layout_stands, waiting_of, wrong_of
from deadfront.panel.rules.judge import leg_tenths
from deadfront.quantities import point
from deadfront.results.panel import Balance, PanelCase, PanelResult
from deadfront.worksheet.check import Outcome, Severity
from deadfront.worksheet.sheet import Figure

SHOWN = ("panel.balance", "panel.room", "panel.not_traced")


def judged(result: PanelResult, catalog: Catalog) -> None:
    """One panel as it stands."""
    case = result.case
    if case is None:
        for trouble in result.troubles:
            text.say(f"{text.SHAPES[Outcome.CANNOT_TELL]} {catalog.say(trouble)}")
        return
    free: object = tuple(map(str, result.free)) or catalog.key("cli.panel.none_free")
    text.heading(catalog.key("cli.panel.head", panel=case.name, spaces=case.spaces, count=len(case.pieces), free=free))
    stands = layout_stands(result)
    if stands is not Outcome.FAILS:
        key = "right" if stands is Outcome.MEETS else "right_so_far"
        text.say(f"{text.SHAPES[stands]} {catalog.key(f'cli.panel.{key}')}", "  ", "    ")
    for wrong in wrong_of(result.violations):
        text.say(f"{text.SHAPES[Outcome.FAILS]} {catalog.say(wrong.say)}", "  ", "    ")
    for each in () if result.layout_open else waiting_of(result.violations):
        text.say(f"{text.SHAPES[Outcome.CANNOT_TELL]} {catalog.say(each.say)}", "  ", "    ")
    for check in result.checks:
        told = check.id in SHOWN or check.id.startswith("panel.name") or check in result.layout_open
        fails = check.outcome is Outcome.FAILS and all(check.say != each.say for each in result.violations)
        if told or fails:
            text.say(f"{text.SHAPES[check.outcome]} {catalog.say(check.say)}", "  ", "    ")
    legs(result.balances, catalog, case)
    stands_on(result, catalog)


def legs(balances: Sequence[Balance], catalog: Catalog, case: PanelCase) -> None:
    """The legs at every time; where a load is not known, also as they are counted for the search."""
    text.heading(catalog.key("cli.panel.legs"))
    count = len(balances[0].legs)
    heads = ("cli.panel.column.scenario", *leg_columns(count), "cli.panel.column.apart", "cli.panel.column.neutral")
    rows = [[catalog.key(each) for each in heads]]
    for index, each in enumerate(balances):
        figures = [catalog.figure(Figure(step.value, "A")) for step in (*each.legs, each.apart, each.neutral)]
        rows.append([catalog.say(each.scenario), *figures])
        if not each.apart.value.exact:
            rows.append(_counted(case, index, catalog))
    text.table(rows, right=tuple(range(1, count + 3)))


def _counted(case: PanelCase, index: int, catalog: Catalog) -> list[str]:
    """One line of the table with what is not known counted as the lines below it say."""
    tenths = leg_tenths(case, case.found(), index)
    figures = [Figure(point(Decimal(each) / 10), "A") for each in (*tenths, max(tenths) - min(tenths))]
    return [catalog.key("cli.panel.counted"), *(catalog.figure(each) for each in figures), "–"]


def stands_on(result: PanelResult, catalog: Catalog) -> None:
    """What was assumed, and the named assumptions that the figures stand on."""
    told = [catalog.say(each) for each in (result.case.told if result.case else ())]
    named = dict.fromkeys(name for each in result.balances for name in each.neutral.all_assumed())
    told += [catalog.key(f"assumption.{name}") if catalog.has(f"assumption.{name}") else assumption(name, catalog)
             for name in named]  # fmt: skip
    text.heading(catalog.key("cli.panel.stands_on"))
    for each in told:
        text.say(each, "  - ", "    ")


def ending(results: Sequence[PanelResult]) -> Ending:
    """How the command ends: something to correct, something that cannot be told, or all well; a note bars nothing.

    Cannot tell: a fact is missing that a finding waits for, or where a breaker stands, or how even the legs are.
    """
    stands = [layout_stands(each) for each in results]
    findings = [check.outcome for each in results for check in each.checks if check.severity is not Severity.NOTE]
    if Outcome.FAILS in (*stands, *findings):
        return Ending.TO_CORRECT
    even = [each.leave for each in results if each.case is not None]
    return Ending.CANNOT_TELL if Outcome.CANNOT_TELL in (*stands, *findings) or None in even else Ending.OK
