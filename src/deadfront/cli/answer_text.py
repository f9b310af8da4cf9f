"""An assessment as text: the answer first, then the methods, the service, the findings, what is to find out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from deadfront.app.answers import Answered
from deadfront.cli import text
from deadfront.cli.ending import Ending
from deadfront.documents.catalog import Catalog
from deadfront.documents.findings import finding_text
from deadfront.documents.formula import assumption
from deadfront.documents.load_sheet import no_figure, on_assumptions, part_amperes, reading_words, stands
from deadfront.documents.notes import noted
from deadfront.job.problems import Problem
from deadfront.loads.rules.matters import Share
from deadfront.msg import Msg, said
from deadfront.results.loads import LoadResult, Method
from deadfront.worksheet.check import Check, Outcome, Severity
from deadfront.worksheet.sheet import Figure

CAUTIONS = ("cli.caution.load", "cli.caution.live", "cli.caution.authority")


def cautions(catalog: Catalog) -> list[str]:
    """The lines that stand under every answer."""
    return [catalog.key(key) for key in CAUTIONS]


def carries(answered: Answered) -> Check:
    """The check that answers the question."""
    return next(c for c in answered.assessment.checks if c.id == "load.service_carries")


def answer_lines(answered: Answered, catalog: Catalog) -> None:
    """The answer: verdict and words, what it stands on, then what to do next."""
    load, check = answered.assessment.load, carries(answered)
    outcome = Outcome.CANNOT_TELL if on_assumptions(load) else check.outcome
    words, said_word = catalog.say(headline(load, check)), catalog.outcome(outcome)
    lead = "" if said_word in words else f"{said_word}: "
    text.say(f"{text.SHAPES[outcome]} {lead}{words}")
    for name in answered.job.assumptions:
        text.say(catalog.key("cli.assumed", what=assumed_words(name, catalog)), "  ")
    standing = answered.standing
    if standing.signable:
        text.say(catalog.say(standing.next))
        return
    key = said("cli.standing", correct=standing.to_correct, find=standing.to_find)
    text.say(f"{catalog.say(key)} {catalog.key('cli.next', next=standing.next)}")


def headline(load: LoadResult, check: Check) -> Msg:
    """The answer in words; one that stands on named assumptions says so."""
    relied = load.method(load.relied)
    if relied is None or relied.rounded is None or not on_assumptions(load):
        return check.say
    return said("check.load.service_carries.assumed", method=relied.name, amperes=relied.rounded.value,
                limit=load.limit.told)  # fmt: skip


def assumed_words(name: str, catalog: Catalog) -> str:
    """A named assumption as a sentence, else in short."""
    key = f"assumption.{name}"
    return catalog.key(key) if catalog.has(key) else f"{assumption(name, catalog)}."


def amperes(method: Method, catalog: Catalog) -> str:
    """The method's whole amperes with their unit, or that there is no figure."""
    if method.rounded is None:
        return catalog.say(no_figure(method))
    return catalog.figure(Figure(method.rounded.value, "A"))


def methods_table(load: LoadResult, catalog: Catalog) -> None:
    """The methods side by side; those that do not apply are left out."""
    text.heading(catalog.key("sheet.load.methods"))
    heads = ("method", "section", "current", "against", "admissible")
    rows = [[catalog.key(f"cli.column.{name}") for name in heads]]
    for m in load.methods:
        if m.admissible is Outcome.NOT_APPLICABLE:
            continue
        name = catalog.say(m.name) + (" *" if m.key == load.relied else "")
        why = catalog.say(m.why)
        rows.append([name, m.section, amperes(m, catalog), text.verdict(stands(m), catalog), why])
    text.table(rows, right=(2,))
    if load.relied:
        text.say(catalog.key("cli.relied"), "  ")
    for reading in reading_words(load, "cli"):
        text.say(catalog.say(reading), "  ")


def service_table(load: LoadResult, catalog: Catalog) -> None:
    """The parts of the service; the smallest counts."""
    text.heading(catalog.key("sheet.load.service"))
    rows = [[catalog.key("cli.column.part"), catalog.key("cli.column.current"), ""]]
    for part in load.limit.parts:
        least = catalog.key("sheet.load.limiting") if part.id == load.limit.limiting else ""
        rows.append([catalog.say(part.name), catalog.value(part_amperes(part)), least])
    text.table(rows, right=(1,))
    if load.minimum is not None:
        minimum = Figure(load.minimum.value, "A")
        text.say(catalog.key("sheet.load.minimum_is", minimum=minimum), "  ")


def findings(answered: Answered, catalog: Catalog) -> None:
    """What is not met or cannot be told, the worst first; the rest is counted."""
    checks = answered.assessment.checks
    numbers = {each.missing.path: n for n, each in enumerate(answered.assessment.to_find, 1)}
    text.heading(catalog.key("sheet.findings"))
    looked = [c for c in checks if c.id.startswith("site.") and c.outcome is Outcome.CANNOT_TELL]
    for check in noted(c for c in checks if c.is_finding and c not in looked):
        finding(check, numbers, catalog)
    barring = sum(1 for c in looked if c.severity is not Severity.NOTE)
    if barring:
        text.say(f"{text.SHAPES[Outcome.CANNOT_TELL]} {catalog.key('cli.site_open', count=barring)}", "  ", "    ")
    well = sum(1 for c in checks if c.outcome is Outcome.MEETS)
    text.say(catalog.key("cli.well", count=well), "  ")


def finding(check: Check, numbers: Mapping[str, int], catalog: Catalog) -> None:
    """One finding; the facts it waits for by their number in the list below."""
    found = finding_text(check, catalog)
    section = f" [{found.section}]" if found.section else ""
    text.say(f"{text.SHAPES[found.outcome]} {found.lead}: {found.say}{section}", "  ", "    ")
    if check.remedy is not None and check.outcome is Outcome.FAILS:
        text.say(catalog.key("finding.remedy", remedy=check.remedy), "    ", "      ")
    waits = tuple(map(str, sorted({numbers[m.path] for m in check.missing if m.path in numbers})))
    if waits:
        text.say(catalog.key("cli.waits", numbers=waits, count=len(waits)), "    ")
    text.say(catalog.key("cli.help_page", id=found.check_id), "    ")


def to_find(answered: Answered, catalog: Catalog) -> None:
    """The survey's to-do list, the most useful fact first."""
    listed = answered.assessment.to_find
    if not listed:
        return
    text.heading(catalog.key("sheet.todo.heading"))
    for number, each in enumerate(listed, 1):
        what, how = catalog.say(each.missing.what), catalog.say(each.missing.how)
        hang = catalog.key("cli.hang", count=len(each.answers))
        text.say(f"{number:2}. {what} ({hang})", "  ", "      ")
        text.say(f"{how}  [{each.missing.path}]", "      ", "      ")


def problem_words(each: Problem, where: str, catalog: Catalog) -> str:
    """A problem with its file, line and path."""
    if each.line is None:
        return catalog.say(each.msg)
    return catalog.key("job.read.at", file=Path(where).name, line=each.line, path=each.path, problem=each.msg)


def problems(found: Sequence[Problem], where: str, catalog: Catalog) -> None:
    """What in the file could not be taken as written."""
    for each in found:
        aside = f" {catalog.key('cli.set_aside')}" if each.set_aside else ""
        text.say(f"{text.SHAPES[Outcome.CANNOT_TELL]} {problem_words(each, where, catalog)}{aside}", "  ", "    ")


def shares(found: Sequence[Share], catalog: Catalog) -> None:
    """What each load adds to the method relied on; in the least case where no upper end is known."""
    text.heading(catalog.key("cli.shares"))
    rows = [[catalog.key("cli.column.load"), catalog.key("cli.column.adds"), ""]]
    for share in found:
        least = "" if share.adds is not None else catalog.key("cli.least_case")
        adds = share.with_it.low - share.without.low if share.adds is None else share.adds
        rows.append([catalog.say(share.name), f"{adds:,.1f} A", least])
    text.table(rows, right=(1,))


def whole(
    answered: Answered, catalog: Catalog, *, where: str = "", found: Sequence[Problem] = (),
    share: Sequence[Share] | None = None,
) -> None:  # fmt: skip
    """All of it."""
    head, load = answered.job.job, answered.assessment.load
    amended = tuple(a.name for a in answered.assessment.book.amendments)
    edition = catalog.key("head.edition", edition=answered.assessment.book.edition)
    amendments = catalog.key("head.amendments", names=amended) if amended else ""
    text.say(" | ".join(part for part in (head.name, head.place, edition, amendments) if part))
    answer_lines(answered, catalog)
    if found:
        text.heading(catalog.key("cli.problems"))
        problems(found, where, catalog)
    methods_table(load, catalog)
    service_table(load, catalog)
    findings(answered, catalog)
    to_find(answered, catalog)
    if share is not None:
        shares(share, catalog)
    text.say()
    for line in cautions(catalog):
        text.say(line)


def ending(answered: Answered, problems: Sequence[Problem] = ()) -> Ending:
    """The exit code of an answer: a failing finding, else a fact missing or a line not understood, else done."""
    barring = [c for c in answered.assessment.checks if c.is_finding and c.severity is not Severity.NOTE]
    if any(c.outcome is Outcome.FAILS for c in barring):
        return Ending.TO_CORRECT
    return Ending.CANNOT_TELL if barring or problems else Ending.OK
