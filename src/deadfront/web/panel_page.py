"""The panel as a page: judged, drawn, tried by hand, searched for even legs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from deadfront.documents.html import caution_html, verdict_html
from deadfront.documents.panel_sheets.moves import step_words, work_moves
from deadfront.documents.panel_sheets.standing import waiting_of, wrong_of
from deadfront.errors import NotFound
from deadfront.job.ids import new_id
from deadfront.msg import said
from deadfront.results.panel import PanelResult
from deadfront.web.desk import AtJob, NewIds
from deadfront.web.panel_contexts import PanelDraftPart, PanelPage, PanelRunPart
from deadfront.web.panel_draft import draft_of
from deadfront.web.panel_pieces import Draft, PanelLink, TimeTable
from deadfront.web.panel_puts import puts_text, read_puts
from deadfront.web.panel_search import places_of_point, search_view
from deadfront.web.panel_times import times_of
from deadfront.web.render import safe
from deadfront.web.shell import circuit_href, shell_of
from deadfront.worksheet.check import Outcome

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

NO_TIMES = TimeTable("", (), (), (), False, ())
ASKED = ("panel", "puts", "breaker", "spaces", "point", "extra")
"""What an address of the page may carry."""


def panel_page(at: AtJob, asked: Mapping[str, str], trouble: str = "") -> PanelPage:
    """Everything the panel page shows.

    Args:
        asked: The panel, the places tried, what was typed, the point of the curve.
    Raises:
        NotFound: no such panel.
    """
    results, say = at.answered.assessment.panels, at.catalog
    result = _chosen(results, asked.get("panel", ""))
    here = "" if result is None else result.id
    links = tuple(
        PanelLink(f"/jobs/{at.id}/panel?panel={each.id}", say.say(each.name), each.id == here) for each in results
    )
    shell, caution = shell_of(at, "panel"), safe(caution_html("danger", say.key("sheet.panel.live"), say))
    if result is None:
        answer = _answer(at, Outcome.CANNOT_TELL, say.key("web.panel.none"))
        return PanelPage(shell, answer, links, None, (), (), (), NO_TIMES, None, trouble, caution)
    draft = None if result.case is None else tried_draft(at, result, asked)
    waits = tuple((say.say(each), _where(at, result, n)) for n, each in enumerate(result.troubles))
    told = () if result.case is None else tuple(say.say(each) for each in result.case.told)
    return PanelPage(
        shell, answer_of(at, result), links, draft, waits, told, tuple(work_told(at, result)), times_of(at, result.id),
        None if result.case is None else search_view(at, result, asked.get("point", "")), trouble, caution,
    )  # fmt: skip


def work_told(at: AtJob, result: PanelResult) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What each step of the work does in a panel, in the order it is worked."""
    found = at.answered.assessment
    for step in work_moves(at.job, result.id, found.at.step, found.circuits.runs):
        yield step.say, tuple(step_words(act, at.catalog) for act in step.acts)


def _chosen(results: tuple[PanelResult, ...], wanted: str) -> PanelResult | None:
    """The panel asked for, else the first.

    Raises:
        NotFound: no such panel.
    """
    found = next((each for each in results if each.id == wanted), None)
    if wanted and found is None:
        raise NotFound("web.not_found")
    return found or (results[0] if results else None)


def _where(at: AtJob, result: PanelResult, number: int) -> str:
    """Where the fact that a trouble waits for is entered."""
    if number < len(result.missing):
        return circuit_href(at.id, result.missing[number].path)
    return f"/jobs/{at.id}/things/{result.id}"


def tried_draft(at: AtJob, result: PanelResult, asked: Mapping[str, str]) -> Draft:
    """The layout that an address asks for: a point of the curve, or places tried by hand."""
    point = asked.get("point", "")
    places = places_of_point(at, result, point, asked.get("extra", "")) if point else None
    if places is not None:
        return draft_of(at, result.id, puts_text(places), chosen=point)
    return draft_of(at, result.id, asked.get("puts", ""), asked.get("breaker", ""), asked.get("spaces", ""))


def draft_part(at: AtJob, asked: Mapping[str, str]) -> PanelDraftPart:
    """Only the layout that is tried.

    Raises:
        NotFound: no such panel.
    """
    result = _chosen(at.answered.assessment.panels, asked.get("panel", ""))
    if result is None or result.case is None:
        raise NotFound("web.not_found")
    return PanelDraftPart(shell_of(at, "panel"), tried_draft(at, result, asked))


def run_part(at: AtJob, panel: str) -> PanelRunPart:
    """How far the search is.

    Raises:
        NotFound: no such panel.
    """
    result = _chosen(at.answered.assessment.panels, panel)
    if result is None or result.case is None:
        raise NotFound("web.not_found")
    return PanelRunPart(search_view(at, result, ""))


def answer_of(at: AtJob, result: PanelResult) -> Markup:
    """Legal? even? In one sentence each, the panel as it stands."""
    say = at.catalog
    if result.case is None:
        return _answer(at, Outcome.CANNOT_TELL, say.key("web.panel.waits"))
    wrong, waiting = len(wrong_of(result.violations)), len(waiting_of(result.violations))
    listed = at.answered.assessment.at.house.complete.breakers == "yes"
    if wrong:
        first, outcome = say.key("web.panel.wrong", count=wrong), Outcome.FAILS
    elif waiting:
        first, outcome = say.key("web.panel.waiting", count=waiting), Outcome.CANNOT_TELL
    else:
        key = "right_so_far" if not listed else "label_open" if result.layout_open else "right"
        first, outcome = say.key(f"web.panel.{key}"), Outcome.MEETS if key == "right" else Outcome.CANNOT_TELL
    even = {True: "leave", False: "uneven", None: "even_open"}[result.leave]
    limit = "" if result.limit is None else result.limit.value
    second = said(f"web.panel.{even}", apart=result.apart, limit=limit)
    if result.leave is False and outcome is Outcome.MEETS:
        outcome = Outcome.FAILS
    if result.leave is None and outcome is Outcome.MEETS:
        outcome = Outcome.CANNOT_TELL
    return _answer(at, outcome, f"{first} {say.say(second)}")


def _answer(at: AtJob, outcome: Outcome, words: str) -> Markup:
    head = at.catalog.key("web.panel.question")
    return safe(f"<h1>{head}</h1>") + safe('<p class="ans">') + safe(verdict_html(outcome, words)) + safe("</p>")


# --- keeping --------------------------------------------------------------------------------------------------------
def keep(at: AtJob, asked: Mapping[str, str], base: int) -> int:
    """Keep a layout: the moves become work of the job; how many breakers stand elsewhere.

    Raises:
        NotAllowed: nothing changes, or something would be made wrong.
        StaleRevision: someone saved first.
    """
    from deadfront.app.panel_keeping import keeping_edits
    from deadfront.app.panel_layouts import tried

    panel, point = asked.get("panel", ""), asked.get("point", "")
    found = tried(at.answered, panel, read_puts(asked.get("puts", "")))
    name, used = at.catalog.say(found.now.name), at.web.desk.used_ids(at.id)
    key = "web.panel.step_point" if point else "web.panel.step_hand"
    say = at.catalog.key(key, panel=name)[:120]

    def breaker() -> str:
        ident = new_id("b", used, at.web.desk.rng)
        used.add(ident)
        return ident

    edits = keeping_edits(at.job, at.opened.text, found, NewIds(at)("w"), say, breaker, own_step=bool(point))
    at.web.desk.apply(at.id, base, edits, at.who)
    return len(found.changed)
