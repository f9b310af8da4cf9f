"""The site list as a page: place by place, each question answered by one tap."""

from __future__ import annotations

from deadfront.documents.circuit_sheets.common import place_name
from deadfront.documents.html import caution_html, verdict_html
from deadfront.results.circuits import Question
from deadfront.web.circuit_contexts import SitePage
from deadfront.web.circuit_pieces import SiteAsked, SitePlace
from deadfront.web.circuits_page import site_told
from deadfront.web.desk import AtJob
from deadfront.web.render import safe
from deadfront.web.shell import help_pages, shell_of
from deadfront.worksheet.check import Check, Outcome


def site_page(at: AtJob) -> SitePage:
    """Everything the site list shows."""
    caution = safe(caution_html("danger", at.catalog.key("sheet.todo.live"), at.catalog))
    return SitePage(shell_of(at, "site"), site_told(at), places_of(at), caution)


def places_of(at: AtJob) -> tuple[SitePlace, ...]:
    """The questions by the thing they are about; the job and the service first, as they are walked."""
    found = at.answered.assessment
    checks = {(check.id, check.thing): check for check in found.checks}
    out = []
    for of in dict.fromkeys(q.of for q in found.circuits.questions):
        asked = tuple(asked_of(at, q, checks.get((f"site.{q.key}", q.of))) for q in found.circuits.questions
                      if q.of == of)  # fmt: skip
        name = at.catalog.say(place_name(found.at, of))
        out.append(SitePlace(of, name, sum(1 for each in asked if each.answer == "unknown"), asked))
    return tuple(out)


def asked_of(at: AtJob, question: Question, check: Check | None) -> SiteAsked:
    """One question with how to look and what its answer comes to."""
    say, ident = at.catalog, f"site.{question.key}"
    how = say.say(check.missing[0].how) if check and check.missing else ""
    open_ = question.outcome is Outcome.CANNOT_TELL
    stands = safe("") if open_ else safe(verdict_html(question.outcome, say.outcome(question.outcome)))
    section = say.section(question.cites[0].section) if question.cites else ""
    help_ = f"/help/{ident}" if ident in help_pages() else ""
    return SiteAsked(question.path, say.say(question.say), how, section, question.answer, stands, help_)
