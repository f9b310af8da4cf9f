"""The names of a panel's circuits as checks: what a directory may not have, and breakers nobody has traced yet.

One check for each kind of fault and panel, names of the work apart from old ones. What is only offered (a word for
where a circuit is) stands on the directory sheet, and is no finding.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from deadfront.codebook.book import Codebook
from deadfront.codebook.name_words import name_words
from deadfront.job.house import HouseAt
from deadfront.job.panel_things import Breaker, Panel
from deadfront.msg import Msg, said
from deadfront.panel.rules.feeds import breakers_in, panel_name
from deadfront.panel.rules.names import Kind, Named, NameFinding, name_findings, named_on, spaces_of
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing

QUESTION = "panel_directory"
MADE: dict[Kind, tuple[str, Callable[..., Check]]] = {
    "none": ("missing", lambda *told: Check("panel.name_missing", *told)),
    "person": ("person", lambda *told: Check("panel.name_person", *told)),
    "vague": ("vague", lambda *told: Check("panel.name_vague", *told)),
    "twice": ("twice", lambda *told: Check("panel.name_twice", *told)),
    "spare_in_use": ("spare", lambda *told: Check("panel.name_spare", *told)),
}
"""Every kind of fault with the last word of its check, and the check."""


def name_checks(book: Codebook, at: HouseAt, panel: Panel) -> Iterator[Check]:
    """What is wrong with the names of one panel's circuits, and which breakers have none because nobody looked."""
    breakers = sorted(breakers_in(at, panel), key=lambda each: (min(each.spaces, default=999), each.half or ""))
    cites = tuple(each.cite for each in book.questions() if each.key == QUESTION)
    named = {each.id: each for each in named_on(at, breakers)}
    findings = name_findings(tuple(named.values()), name_words())
    for kind in MADE:
        for new in (True, False):
            found = [each for each in findings if each.kind == kind and _of_work(at, each) is new]
            if found:
                yield _fails(panel, kind, found, named, new, cites)
    blank = [each for each in breakers if _not_traced(at, each)]
    if blank:
        yield _blank(at, panel, blank, cites)


def _of_work(at: HouseAt, finding: NameFinding) -> bool:
    """Whether one of its circuits is new, or changed by the work."""
    return any(at.tag(ident) == "N" or ident in at.changed for ident in finding.circuits)


def _fails(
    panel: Panel, kind: Kind, found: Sequence[NameFinding], named: dict[str, Named], new: bool, cites: tuple[Cite, ...]
) -> Check:
    circuits = [named[each] for finding in found for each in finding.circuits]
    word, made = MADE[kind]
    if kind == "none":
        names = tuple(dict.fromkeys(_spot(each) for each in circuits))
    else:
        names = tuple(said("thing.named", name=named[finding.circuits[0]].name) for finding in found)
    reach, severity = (Reach.NEW, Severity.CORRECT) if new else (Reach.EXISTING, Severity.NOTE)
    say = said(f"check.panel.name_{word}.fails", panel=panel_name(panel), names=names, count=len(names))
    remedy = said(f"remedy.panel.name_{word}")
    return made(panel.id, Outcome.FAILS, severity, say, reach, None, (), cites, remedy)


def _spot(each: Named) -> Msg:
    return said("thing.named", name=each.spaces) if each.spaces else said("thing.by_id", id=each.id)


def _not_traced(at: HouseAt, breaker: Breaker) -> bool:
    """A branch breaker that feeds nothing on file, while nobody says that every circuit is listed."""
    house = at.house
    if breaker.role != "branch" or house.complete.circuits == "yes":
        return False
    fed = {each.breaker for each in house.circuits} | {each.breaker for each in house.sources}
    return breaker.id not in fed | {each.fed_by for each in house.panels}


def _blank(at: HouseAt, panel: Panel, blank: Sequence[Breaker], cites: tuple[Cite, ...]) -> Check:
    new = any(at.tag(each.id) == "N" for each in blank)
    reach, severity = (Reach.NEW, Severity.CORRECT) if new else (Reach.EXISTING, Severity.NOTE)
    names = tuple(said("thing.named", name=spaces_of(each)) if each.spaces else said("thing.by_id", id=each.id)
                  for each in blank)  # fmt: skip
    missing = Missing("before/complete.circuits", said("todo.panel.circuits", panel=panel_name(panel)),
                      said("todo.how.panel.circuits"))  # fmt: skip
    say = said("check.panel.not_traced.cannot_tell", panel=panel_name(panel), names=names, count=len(names))
    return Check("panel.not_traced", panel.id, Outcome.CANNOT_TELL, severity, say, reach, None, (missing,), cites)
