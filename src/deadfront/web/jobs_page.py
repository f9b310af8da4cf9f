"""The list of jobs and the first look as pages; what a form for a new job means."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from starlette.responses import Response

from deadfront.app.first_look import QUESTIONS, first_look_edits
from deadfront.codebook import EDITIONS
from deadfront.documents.catalog import Catalog
from deadfront.errors import DeadfrontError
from deadfront.store.rows import JobRow
from deadfront.web.contexts import FirstLookPage, JobsPage
from deadfront.web.desk import AtJob, NewIds, Web
from deadfront.web.entry.typed import BadEntry, text_of
from deadfront.web.pieces import Asked, JobLine
from deadfront.web.shell import line_of, load_in_short

LAST_EDITION = "2023"
MAX_ANSWERED = 200


def editions() -> tuple[str, ...]:
    """Editions there are, the newest first."""
    return tuple(sorted(EDITIONS, reverse=True))


def last_edition(web: Web) -> str:
    """The edition of the job changed last."""
    for row in web.desk.library.jobs()[:1]:
        try:
            return web.desk.open_job(row.id).job.job.code.edition
        except DeadfrontError:
            break
    return LAST_EDITION


def jobs_page(
    web: Web, catalog: Catalog, typed: Mapping[str, str] | None = None, trouble: str = "", noted: tuple[str, ...] = ()
) -> JobsPage:
    """Every job with its answer and what stands before its signature."""
    rows = sorted(web.desk.library.jobs(), key=lambda row: row.changed, reverse=True)
    lines = tuple(_line(web, catalog, row) for row in rows[:MAX_ANSWERED])
    return JobsPage(lines, editions(), last_edition(web), dict(typed or {}), trouble, noted)


def _line(web: Web, catalog: Catalog, row: JobRow) -> JobLine:
    place, answer, standing = "", "", ""
    try:
        at = AtJob(web, web.desk.open_job(row.id), catalog)
        place, answer = at.job.job.place, load_in_short(at.answered, catalog)
        standing = line_of(row.id, at.answered, catalog).counts
    except DeadfrontError as error:  # one job that cannot be answered hides no other
        standing = catalog.say(error.msg)
    return JobLine(row.id, row.name, place, answer, standing, f"{row.changed:%Y-%m-%d}", row.status == "closed")


def head_of(form: Mapping[str, str], language: str) -> dict[str, Any]:
    """The head of a new job as typed.

    Raises:
        BadEntry: no name.
    """
    name = text_of("name", form.get("name", ""))
    if name is None:
        raise BadEntry("name", "entry.name_needed")
    edition = form.get("edition", LAST_EDITION)
    if edition not in EDITIONS:
        raise BadEntry("edition", "entry.not_allowed", found=edition[:20], allowed=editions())
    head: dict[str, Any] = {"name": name, "code": {"edition": edition}, "language": language}
    place = text_of("place", form.get("place", ""), longest=400)
    existing = {"yes": True, "no": False}.get(form.get("existing", ""))
    return head | ({"place": place} if place else {}) | ({"existing": existing} if existing is not None else {})


def safe_name(name: str) -> str:
    """A file's name with nothing of a path in it, its ending kept."""
    stem = re.sub(r"[^A-Za-z0-9._-]+", "-", name.replace("\\", "/").rsplit("/", 1)[-1]).lstrip(".-")
    return stem[-80:] or "file"


def file_name(name: str) -> str:
    """A job's name as the name of a file."""
    return re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-")[:60] or "job"


def download(data: bytes, name: str, media: str) -> Response:
    """A file to keep."""
    return Response(data, media_type=media, headers={"content-disposition": f'attachment; filename="{name}"'})


def local(address: str) -> str:
    """An address on these pages; anything else is the first page."""
    return address if re.fullmatch(r"/(?:[A-Za-z0-9_-][A-Za-z0-9/._-]*)?", address) else "/"


def first_look_page(
    web: Web, catalog: Catalog, answers: Mapping[str, Sequence[str]] | None = None, trouble: str = ""
) -> FirstLookPage:
    """The ten questions, with what was answered."""
    given = answers or {}
    asked = tuple(
        Asked(
            q.key,
            catalog.say(q.say),
            q.kind,
            q.unit,
            tuple((v, catalog.say(m)) for v, m in q.options),
            tuple(given.get(q.key, ())),
        )
        for q in QUESTIONS
    )
    edition = next(iter(given.get("edition", ())), last_edition(web))
    return FirstLookPage(asked, editions(), edition, next(iter(given.get("name", ())), ""), trouble)


def look_at(web: Web, catalog: Catalog, answers: Mapping[str, Sequence[str]], who: str = "") -> str:
    """A job from the first look's answers; its id.

    Raises:
        NotAllowed, BadEntry: an answer that is not understood.
    """
    head = {name: "".join(answers.get(name, ())[:1]) for name in ("name", "place", "edition")}
    head = {name: text for name, text in head.items() if text}
    head.setdefault("name", catalog.key("web.first.name"))
    said = {
        q.key: ([a for a in answers.get(q.key, ()) if a] if q.kind == "many" else "".join(answers.get(q.key, ())[:1]))
        for q in QUESTIONS
    }
    first_look_edits({key: value for key, value in said.items() if value}, _counted())
    job_id = web.desk.create_job(head_of({**head, "existing": "yes"}, catalog.language), who)
    at = AtJob(web, web.desk.open_job(job_id), catalog)
    edits = first_look_edits({key: value for key, value in said.items() if value}, NewIds(at))
    web.desk.apply(job_id, at.opened.revision, edits, who)
    return job_id


def _counted() -> Any:
    """Ids for a trial: what cannot be taken is refused before a job is made."""
    numbers = iter(range(1000))
    return lambda prefix: f"{prefix}-{next(numbers):03}"
