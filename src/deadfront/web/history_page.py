"""The history as a page, and which of my edits were chosen to be made again."""

from __future__ import annotations

from typing import Any

from deadfront.errors import JobUnreadable
from deadfront.job.edits import edit_from_dict
from deadfront.store.rows import RevisionRow
from deadfront.web.called import told
from deadfront.web.contexts import HistoryPage
from deadfront.web.desk import AtJob
from deadfront.web.pieces import RevisionLine
from deadfront.web.shell import shell_of
from deadfront.web.views.typed import Form


def history_page(at: AtJob) -> HistoryPage:
    """Every revision, the newest first."""
    desk = at.web.desk
    signed = {issue.revision for issue in desk.library.issues(at.id)}
    lines = tuple(_line(at, row, row.number in signed) for row in desk.history(at.id))
    return HistoryPage(shell_of(at, "history"), lines)


def _line(at: AtJob, row: RevisionRow, signed: bool) -> RevisionLine:
    say = at.catalog.say(told(row.say, at.job, at.catalog))
    return RevisionLine(row.number, f"{row.at:%Y-%m-%d %H:%M}", row.who, say, signed, row.number == at.opened.revision)


def chosen_edits(edits: Any, form: Form) -> list[dict[str, Any]]:
    """My edits whose every fact was chosen as mine.

    Raises:
        JobUnreadable: no list of edits.
    """
    if not isinstance(edits, list) or len(edits) > 2000:
        raise JobUnreadable("web.not_understood")
    return [
        edit for edit in edits if all(form.get(f"side.{path}") != "theirs" for path in edit_from_dict(edit).touches())
    ]
