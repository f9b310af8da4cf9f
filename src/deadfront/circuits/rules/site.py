"""The site list: what is answered by looking, each question with what its answer comes to.

Rules of today are asked of what the work touches. What the work leaves alone is asked about only where the question
is one of a hazard; unanswered it is a note there and bars nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import NamedTuple

from deadfront.circuits.rules.facts import Facts
from deadfront.circuits.rules.site_case import Case, cases
from deadfront.codebook.book import Codebook
from deadfront.codebook.site_entries import SiteQuestion
from deadfront.job.thing import Known
from deadfront.msg import Msg, said
from deadfront.results.circuits import Question
from deadfront.worksheet.check import Check, Outcome, Reach, Severity
from deadfront.worksheet.missing import Missing


class Asked(NamedTuple):
    """A question of one thing, and the check it makes."""

    question: Question
    check: Check


def site_list(facts: Facts) -> tuple[Asked, ...]:
    """Every question of the site list that is asked in this house, in the order a survey walks."""
    return tuple(asked for case in cases(facts) for asked in _of_case(facts.book, case))


def site_questions(facts: Facts) -> tuple[Question, ...]:
    """The site list alone."""
    return tuple(asked.question for asked in site_list(facts))


def _rank(question: SiteQuestion) -> int:
    """Where a question stands among those of its thing: life safety first."""
    return 0 if question.severity == "danger" else 1 if question.hazard else 2


@lru_cache(maxsize=16)
def questions_of(book: Codebook) -> Mapping[str, tuple[SiteQuestion, ...]]:
    """The site list of an edition, by what is asked: first what can hurt or burn, then hazards, then the rest."""
    found: dict[str, tuple[SiteQuestion, ...]] = {}
    for each in sorted(book.questions(), key=_rank):
        found[each.of] = (*found.get(each.of, ()), each)
    return found


@lru_cache(maxsize=4096)
def _of_case(book: Codebook, case: Case) -> tuple[Asked, ...]:
    told, answers = dict(case.facts), dict(case.seen)
    return tuple(_asked(case, told, answers.get(each.key), each) for each in questions_of(book).get(case.of, ())
                 if each.key in answers or _is_asked(case, told, each))  # fmt: skip


def _is_asked(case: Case, told: Mapping[str, str], question: SiteQuestion) -> bool:
    touched = case.reach is not Reach.EXISTING or (question.reaches == "worked" and case.worked)
    return (touched or bool(question.old)) and _holds(told, question)


def _holds(told: Mapping[str, str], question: SiteQuestion) -> bool:
    return all(told[name] in allowed for name, allowed in question.when)


def _asked(case: Case, told: Mapping[str, str], answer: Known | None, entry: SiteQuestion) -> Asked:
    """A question with its answer; one that was answered though it is not asked here does not apply."""
    answer = answer or "unknown"
    applies = _is_asked(case, told, entry)
    touched = case.reach is not Reach.EXISTING or (entry.reaches == "worked" and case.worked)
    reach = case.reach if case.reach is not Reach.EXISTING or not touched else Reach.EXTENDED
    if not applies:
        outcome, severity = Outcome.NOT_APPLICABLE, Severity.NOTE
    elif answer == "unknown":
        outcome, severity = Outcome.CANNOT_TELL, Severity.CORRECT if touched else Severity.NOTE
    else:
        outcome = Outcome.MEETS if answer == entry.meets else Outcome.FAILS
        severity = Severity(entry.severity if touched else entry.old)
        if outcome is Outcome.FAILS and _is_recorded(case, entry):
            severity = Severity.NOTE
    path, cites = f"{case.path}.{entry.key}", (entry.cite,)
    question = Question(entry.key, case.ident, path, words_of(entry, "ask"), answer, entry.meets, outcome,
                        severity, reach, cites, how_to_look(entry))  # fmt: skip
    return Asked(question, _check(case, entry, question))


def _is_recorded(case: Case, entry: SiteQuestion) -> bool:
    """Whether the hazard that the wrong answer is stands on record, at something the work does not itself make."""
    return case.reach is Reach.EXISTING and entry.hazard in case.recorded


def name_of(case: Case) -> Msg:
    """What a thing is called on the site list."""
    return said(f"site.of.{case.of}") if case.name is None else case.name


def _check(case: Case, entry: SiteQuestion, question: Question) -> Check:
    thing, name = name_of(case), words_of(entry, "name")
    say = {
        Outcome.MEETS: said("check.site.meets", thing=thing, name=name),
        Outcome.FAILS: said("check.site.fails", thing=thing, found=words_of(entry, "fails")),
        Outcome.CANNOT_TELL: said("check.site.open", thing=thing, name=name),
        Outcome.NOT_APPLICABLE: said("check.site.not_asked", thing=thing, name=name),
    }[question.outcome]
    on_record = question.outcome is Outcome.FAILS and _is_recorded(case, entry)
    fix = said("remedy.site.recorded") if on_record else words_of(entry, "fix")
    missing = (Missing(question.path, said("site.ask", thing=thing, ask=question.say), how_to_look(entry)),)
    return Check(
        f"site.{entry.key}",
        case.ident,
        question.outcome,
        question.severity,
        say,
        question.reach,
        missing=missing if question.outcome is Outcome.CANNOT_TELL else (),
        cites=question.cites,
        remedy=fix if question.outcome is Outcome.FAILS else None,
    )


def words_of(entry: SiteQuestion, part: str) -> Msg:
    """One of the texts of a question, with the figures of its rule."""
    return said(f"question.{entry.key}.{part}", **dict(entry.figures))


def how_to_look(entry: SiteQuestion) -> Msg:
    """How a question is answered, after the caution that belongs to looking."""
    how = words_of(entry, "how")
    return said("site.how", caution=said(f"site.caution.{entry.caution}"), how=how) if entry.caution else how


def answers_given(facts: Facts) -> Iterator[tuple[str, str, str, str]]:
    """Every answer in the job: collection, id, path of the answers, key."""
    house = facts.at.house
    for key in house.service.seen:
        yield "service", "service", "before/service.seen", key
    for name in type(facts.at.house).model_fields:
        for thing in getattr(house, name) if name not in ("complete", "service") else ():
            for key in thing.seen:
                yield name, thing.id, facts.at.path(thing, "seen"), key
