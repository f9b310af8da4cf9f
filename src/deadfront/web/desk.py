"""What the views share: the desk behind them, the job a request is about, its language."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING
from urllib.parse import unquote

from starlette.requests import Request

from deadfront.documents.catalog import LANGUAGES, Catalog
from deadfront.job.ids import new_id
from deadfront.job.model import Job
from deadfront.msg import Msg
from deadfront.store.rows import text_hash
from deadfront.web.settings import Settings
from deadfront.worksheet.sheet import Sheet, SheetHead

if TYPE_CHECKING:
    from deadfront.app.answers import Answered, Answers
    from deadfront.app.asked import Runs
    from deadfront.app.library import Desk, OpenJob
    from deadfront.app.tray import Tray
    from deadfront.loads.rules.matters import Share
    from deadfront.store.rows import Issue

LANGUAGE_COOKIE = "language"
WHO_COOKIE = "who"
LONGEST_NAME = 80


@dataclass(frozen=True, slots=True)
class Web:
    """The desk, the answers kept, the settings of this start, and what is asked of a job's answers.

    Args:
        runs: What is done in the background.
        tray: Files sent up that belong to no job yet.
        sheets: All sheets of answers, in the order of the packet.
        packet: The same as one PDF.
        shares: How much each load matters.
        sign: Freezes what is signed, where nothing bars it.
        origins: Where the facts of a job come from, in words.
        photos: The photos that a job names, by name.
        head: What stands at the top of every sheet.
        searched: Sheets of the searches that are not stale.
    """

    desk: Desk
    answers: Answers
    settings: Settings
    runs: Runs
    tray: Tray
    sheets: Callable[..., Sequence[Sheet]]
    packet: Callable[..., bytes]
    shares: Callable[..., tuple[Share, ...]]
    sign: Callable[..., Issue]
    origins: Callable[..., Mapping[str, Msg]]
    photos: Callable[..., Mapping[str, bytes]]
    head: Callable[..., SheetHead]
    searched: Callable[..., Sequence[Sheet]]

    def answered(self, opened: OpenJob) -> Answered:
        """The answers of an opened job."""
        key = text_hash(opened.text)
        return self.answers.of(key, opened.job, self.settings.overlay, measured=opened.measured)


@dataclass(frozen=True, slots=True)
class AtJob:
    """A job that a request is about, with its answers and its language."""

    web: Web
    opened: OpenJob
    catalog: Catalog
    who: str = ""

    @property
    def id(self) -> str:
        """Its id."""
        return self.opened.id

    @property
    def job(self) -> Job:
        """The job itself."""
        return self.opened.job

    @property
    def answered(self) -> Answered:
        """Its answers."""
        return self.web.answered(self.opened)

    @property
    def origins(self) -> Mapping[str, Msg]:
        """Where its facts come from, in words."""
        return self.web.origins(self.job)

    @property
    def photos(self) -> Mapping[str, bytes]:
        """The photos it names."""
        return self.web.photos(self.web.desk.library, self.id, self.job)

    def sheets(self, *, blank: bool = False, load_only: bool = False) -> list[Sheet]:
        """Its sheets as of today; with `blank` those after the work too, to write on; or the load sheet alone."""
        on, number = self.web.settings.today(), self.opened.revision
        return list(
            self.web.sheets(
                self.answered,
                self.catalog,
                revision=number,
                on=on,
                photos=self.photos,
                more=() if load_only else self.asked_sheets(),
                blank=blank,
                load_only=load_only,
            )
        )

    def asked_sheets(self) -> Sequence[Sheet]:
        """Sheets of what was asked for and is not stale."""
        head = self.web.head(self.answered, revision=self.opened.revision, on=self.web.settings.today())
        return self.web.searched(self.web.desk, self.id, self.answered, head, self.catalog)

    def again(self) -> AtJob:
        """The same job as it stands now."""
        return AtJob(self.web, self.web.desk.open_job(self.id), self.catalog, self.who)


def web_of(request: Request) -> Web:
    """What this start works on."""
    found: Web = request.app.state.web
    return found


def language_of(request: Request, otherwise: str = "en") -> str:
    """The language chosen in this browser, else the job's."""
    chosen = request.cookies.get(LANGUAGE_COOKIE, "")
    return chosen if chosen in LANGUAGES else otherwise


def who_of(request: Request) -> str:
    """The name given in this browser, "" for none."""
    return shown_name(unquote(request.cookies.get(WHO_COOKIE, "")))


def shown_name(text: str) -> str:
    """A name on one line, not too long."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())[:LONGEST_NAME]


def at_job(request: Request) -> AtJob:
    """The job of the address.

    Raises:
        NotFound: no such job.
    """
    web = web_of(request)
    opened = web.desk.open_job(request.path_params["job"])
    return AtJob(web, opened, Catalog(language_of(request, opened.job.job.language)), who_of(request))


class NewIds:
    """Ids for lines that are not typed yet: longer than usual, so that two pages never hand out the same."""

    def __init__(self, at: AtJob) -> None:
        self.desk, self.job_id = at.web.desk, at.id

    @cached_property
    def used(self) -> set[str]:
        """Ids that are taken; looked up when the first one is made."""
        return self.desk.used_ids(self.job_id)

    def __call__(self, prefix: str) -> str:
        ident = new_id(prefix, self.used, self.desk.rng) + new_id(prefix, (), self.desk.rng).partition("-")[2]
        self.used.add(ident)
        return ident
