"""The page Commission: the energizing sequence, every test with its fields and verdict, the notice's items."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from deadfront.msg import Msg, said
from deadfront.results.commissioning import CommissioningResult, TestAnswer
from deadfront.web.circuit_pieces import ThingList
from deadfront.web.circuits_page import kinds_for, thing_line
from deadfront.web.correction_cards import correction_group
from deadfront.web.ct_walk import walk_of
from deadfront.web.desk import AtJob
from deadfront.web.entry.places import things_of
from deadfront.web.record_cards import INSTALLED, Cards, anchor_of, told
from deadfront.web.record_contexts import CommissionPage
from deadfront.web.record_pieces import Group, SequenceLine
from deadfront.web.shell import shell_of
from deadfront.web.tables import works_of
from deadfront.worksheet.check import Outcome, Severity

TOOLS = ("voltage tester", "multimeter", "clamp meter", "insulation tester", "receptacle tester", "test load")


def commission_page(at: AtJob, again: str = "") -> CommissionPage:
    """Everything the page shows.

    Args:
        again: Place of a test that is done once more.
    """
    cards = Cards(at)
    return CommissionPage(
        shell_of(at, "commission"), answer_of(at), tuple(sequence_of(at)),
        tuple(cards.tools(_needed(cards))), tuple(_groups(at, cards, again)), correction_group(at, cards),
        instruments_of(at), walk_of(at, cards),
    )  # fmt: skip


def measured(result: CommissioningResult) -> tuple[TestAnswer, ...]:
    """The tests that stand on this page."""
    return tuple(each for each in result.tests if each.test not in INSTALLED)


def answer_of(at: AtJob) -> Markup:
    """Whether the next step of the sequence may be taken."""
    result = at.answered.assessment.commissioning
    outcome, msg = standing_in(result)
    return told(at, "web.commission.question", outcome, msg)


def standing_in(result: CommissioningResult) -> tuple[Outcome, Msg]:
    """How the tests stand: what stops first, then how many are open."""
    tests = measured(result)
    left = [each for each in tests if each.stage == "as left"]
    bad = [each for each in tests if each.outcome is Outcome.FAILS and each.severity is not Severity.NOTE]
    count = sum(each.is_open for each in left)
    if bad:
        return Outcome.FAILS, said("web.commission.stop", count=len(bad), say=bad[0].say)
    if not left:
        return Outcome.CANNOT_TELL, said("web.commission.no_work")
    if count:
        return Outcome.CANNOT_TELL, said("web.commission.open", count=count, all=len(left))
    return Outcome.MEETS, said("web.commission.done", count=len(left))


def sequence_of(at: AtJob) -> Iterator[SequenceLine]:
    """The energizing sequence, each step with the way to its tests."""
    result = at.answered.assessment.commissioning
    names = {(each.test, each.thing): each for each in result.tests if each.stage == "as left"}
    for each in result.sequence:
        tests = [names[pair] for pair in each.tests if pair in names]
        links = tuple((f"#{anchor_of(one.test, one.thing, one.stage)}", at.catalog.say(one.name)) for one in tests
                      if one.outcome in (Outcome.FAILS, Outcome.CANNOT_TELL))  # fmt: skip
        say, state = f"commission.sequence.{each.key}", f"commission.state.{each.state}"
        yield SequenceLine(each.state, at.catalog.key(say), at.catalog.key(state), at.catalog.say(each.stop), links)


def _needed(cards: Cards) -> Sequence[str]:
    """Kinds of instruments that a test asks for, in the order they are taken out of the bag."""
    asked = {tool for each in cards.found.tests for tool in cards.kinds[each.test].tools}
    there = {each.kind for each in cards.instruments}
    return [each for each in TOOLS if each in asked & there]


def _groups(at: AtJob, cards: Cards, again: str) -> Iterator[Group]:
    """One group a test, as left first, then what is measured before the work; what comes later is folded away."""
    tests = measured(cards.found)
    now = next((each for each in cards.found.sequence if each.state in ("next", "stopped")), None)
    due = {test for test, _ in now.tests} if now is not None else set()
    due |= {test for each in due for test in cards.kinds[each].before}
    for stage in ("as left", "as found"):
        own = [each for each in tests if each.stage == stage]
        for test in dict.fromkeys(each.test for each in own):
            answers = [each for each in own if each.test == test]
            shown = []
            for each in answers:
                shown.append(cards.card(each))
                if again == anchor_of(each.test, each.thing, each.stage) and each.record:
                    shown.append(cards.card(each, more=True))
            words = at.catalog.key(f"commission.test.{test}")
            heading = words if stage == "as left" else at.catalog.key("web.commission.found", test=words)
            wrong = sum(each.outcome is Outcome.FAILS for each in answers)
            folded = not wrong and again.partition(".")[0] != test and (stage == "as found" or test not in due)
            yield Group(f"{test}-{'left' if stage == 'as left' else 'found'}", heading, tuple(shown),
                        sum(each.is_open for each in answers), folded, wrong)  # fmt: skip


def instruments_of(at: AtJob) -> ThingList:
    """The instruments as a list to add to."""
    lines = tuple(thing_line(at, "instruments", line) for line in things_of(at.job, "instruments"))
    works = tuple(each for each in works_of(at) if each[0] == "E")
    return ThingList("instruments", at.catalog.key("web.list.instruments"), lines, kinds_for(at, "instruments"), works,
                     None)  # fmt: skip
