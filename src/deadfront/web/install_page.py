"""The page Install: the work in its order, as found, the torque log terminal by terminal, settings as left."""

from __future__ import annotations

from collections.abc import Iterator

from deadfront.documents.html import caution_html
from deadfront.job.panel_things import Breaker
from deadfront.job.things import COLLECTIONS, PAPER, Thing
from deadfront.msg import Msg, said
from deadfront.results.commissioning import CommissioningResult
from deadfront.web.circuits_page import thing_named
from deadfront.web.desk import AtJob
from deadfront.web.record_cards import Cards, anchor_of, told
from deadfront.web.record_contexts import InstallPage
from deadfront.web.record_pieces import Group, WorkLine
from deadfront.web.render import safe
from deadfront.web.shell import shell_of
from deadfront.web.torque_cards import torque_groups
from deadfront.worksheet.check import Outcome, Severity


def install_page(at: AtJob, again: str = "") -> InstallPage:
    """Everything the page shows.

    Args:
        again: Place of an entry that is made once more.
    """
    cards = Cards(at)
    outcome, msg = standing_in(at.answered.assessment.commissioning)
    return InstallPage(
        shell_of(at, "install"), told(at, "web.install.question", outcome, msg), tuple(_steps(at)),
        tuple(cards.tools(each.kind for each in cards.instruments if each.kind == "torque tool")),
        _group(at, cards, "as_found", "as found", again), torque_groups(at, cards),
        _group(at, cards, "settings", "as left", again),
        safe(caution_html("danger", at.catalog.key("sheet.panel.live"), at.catalog)),
    )  # fmt: skip


def standing_in(result: CommissioningResult) -> tuple[Outcome, Msg]:
    """How it stands: what is wrong, then what is not written down."""
    found = [each for each in result.of("as_found", stage="as found") if each.is_open]
    left = [each for each in result.of("settings") if each.is_open]
    open_ = [each for each in result.torques if each.outcome is Outcome.CANNOT_TELL]
    told = (*result.of("settings"), *result.of("as_found", stage="as found"))
    bad = [each.say for each in result.torques if each.outcome is Outcome.FAILS]
    bad += [each.say for each in told if each.outcome is Outcome.FAILS and each.severity is not Severity.NOTE]
    if bad:
        return Outcome.FAILS, said("web.install.bad", count=len(bad), say=bad[0])
    if found:
        return Outcome.CANNOT_TELL, said("web.install.found_first", count=len(found))
    if open_ or left:
        return Outcome.CANNOT_TELL, said("web.install.open", terminals=len(open_), panels=len(left))
    if not result.torques:
        return Outcome.CANNOT_TELL, said("web.install.no_work")
    return Outcome.MEETS, said("web.install.done", count=len(result.torques))


def _steps(at: AtJob) -> Iterator[WorkLine]:
    """The work step by step: what is new, what goes, what is moved or set."""
    for step in at.job.work:
        lines: list[tuple[str, str, str]] = []
        for collection in COLLECTIONS:
            if collection in (*PAPER, "recordings"):
                continue
            for thing in getattr(step.add, collection):
                lines.append(("N", called(at, thing), f"/jobs/{at.id}/things/{thing.id}"))
        for ident in step.remove:
            lines.append(("R", thing_named(at, ident), f"/jobs/{at.id}/things/{ident}"))
        for ident in step.move:
            lines.append(("RL", thing_named(at, ident), f"/jobs/{at.id}/things/{ident}"))
        yield WorkLine(step.say, tuple(lines), f"/jobs/{at.id}/isolation?zone={step.id}")


def called(at: AtJob, thing: Thing) -> str:
    """What a thing is called; a breaker without a name by its spaces."""
    if isinstance(thing, Breaker) and not thing.name and thing.spaces:
        return at.catalog.key(
            "commission.of.breaker", spaces=tuple(f"{each}{thing.half or ''}" for each in thing.spaces)
        )
    return thing_named(at, thing.id)


def _group(at: AtJob, cards: Cards, test: str, stage: str, again: str) -> Group:
    answers = [each for each in cards.found.tests if each.test == test and each.stage == stage]
    shown = []
    for each in answers:
        shown.append(cards.card(each))
        if again == anchor_of(each.test, each.thing, each.stage) and each.record:
            shown.append(cards.card(each, more=True))
    return Group(test, at.catalog.key(f"commission.test.{test}"), tuple(shown), sum(e.is_open for e in answers),
                 wrong=sum(e.outcome is Outcome.FAILS for e in answers))  # fmt: skip
