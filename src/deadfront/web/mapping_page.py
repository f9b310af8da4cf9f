"""What a recording file means as a page: understood, asked, and shown row by row as it would be read."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from deadfront.app.feed_drafts import FeedChannel, feed_channels
from deadfront.app.recording_drafts import Draft, channels_at, draft_of, rows_as_read
from deadfront.app.recordings import add_recording
from deadfront.documents.catalog import Catalog
from deadfront.errors import DeadfrontError, NotAllowed, NotFound
from deadfront.quantities import dec
from deadfront.web.desk import AtJob
from deadfront.web.entry import recordings as entry
from deadfront.web.mapping_fields import column_fields, fact_fields, general_fields, questions, zones
from deadfront.web.recording_contexts import MappingPage
from deadfront.web.recording_pieces import ChannelChoice, ReadLine
from deadfront.web.recordings_page import incoming_line
from deadfront.web.shell import shell_of

if TYPE_CHECKING:
    from deadfront.app.recording_drafts import Amount, RowAsRead
    from deadfront.app.tray import Incoming
    from deadfront.recordings.mapping import Mapping as Columns

TIE = "\N{NO-BREAK SPACE}"


class Answered:
    """A file sent up with the answers given so far.

    Attributes:
        incoming: The file.
        draft: What it seems to mean.
        mapping: The same with the answers; None for ESPI, or where it cannot be made.
        feed: The channels of a utility's feed.
        refused: Why an answer cannot be taken; None where each can.
    """

    def __init__(self, at: AtJob, incoming: Incoming) -> None:
        self.incoming = incoming
        self.refused: DeadfrontError | None = None
        self.mapping: Columns | None = None
        self.feed: tuple[FeedChannel, ...] = ()
        library, form = at.web.desk.library, incoming.said
        self.draft: Draft = draft_of(library, incoming.path)
        try:
            if self.draft.form == "espi":
                self.feed = feed_channels(incoming.path)
            if self.draft.form == "csv" and self.draft.cut is not None:
                cut = entry.cut_of(form, self.draft.cut)
                if cut != self.draft.cut:
                    self.draft = draft_of(None, incoming.path, cut=cut)
            self.mapping = entry.mapping_of(form, self.draft)
        except DeadfrontError as error:
            self.refused = error
            self.mapping = None if self.draft.guess is None else self.draft.remembered or self.draft.guess.mapping

    @property
    def open(self) -> int:
        """How many questions must be answered before the file can be read."""
        return 0 if self.mapping is None else len(self.mapping.open_questions())


def incoming_of(at: AtJob) -> Incoming:
    """The file sent up for a job.

    Raises:
        NotFound: there is none.
    """
    found = at.web.tray.of(at.id)
    if found is None:
        raise NotFound("web.recording.no_incoming")
    return found


def mapping_page(at: AtJob, trouble: str = "") -> MappingPage:
    """Everything the page of a recording file shows.

    Raises:
        NotFound: no file was sent up.
        RecordingUnreadable: there is nothing of a recording in it.
    """
    answered = Answered(at, incoming_of(at))
    draft, mapping, form = answered.draft, answered.mapping, answered.incoming.said
    rows: tuple[ReadLine, ...] = ()
    if answered.refused is not None:
        trouble = trouble or at.catalog.say(answered.refused.msg)
    if draft.table is not None and mapping is not None:
        try:
            rows = tuple(_read_line(row, at.catalog) for row in rows_as_read(draft.table, mapping))
        except DeadfrontError as error:
            trouble = trouble or at.catalog.say(error.msg)
    for channel in answered.feed:
        rows += tuple(_read_line(row, at.catalog, channel.name) for row in channel.rows)
    choices = channel_choices(at, answered)
    asked, remembered = questions(at.catalog, draft, mapping, form), draft.remembered is not None
    understood = [at.catalog.say(each) for each in (draft.guess.understood if draft.guess is not None else ())]
    understood += [_channel_text(each, at.catalog) for each in answered.feed]
    placed = frozenset(each.field.path for each in asked)
    return MappingPage(
        shell_of(at, "load"), incoming_line(answered.incoming, at.catalog), _answer(at.catalog, answered, choices),
        entry.cut_key(draft.cut) if draft.cut else "", remembered,
        (at.catalog.key(f"web.recording.form.{draft.form}"), *understood), asked,
        general_fields(at.catalog, draft, mapping, form, placed), column_fields(at.catalog, draft, mapping, placed),
        _heads(answered, at.catalog), rows, choices, fact_fields(at.catalog, form),
        zones(at.catalog), trouble,
    )  # fmt: skip


def _answer(catalog: Catalog, answered: Answered, choices: tuple[ChannelChoice, ...]) -> str:
    """What is still open, in one sentence."""
    if answered.open:
        return catalog.key("web.recording.open", count=answered.open)
    if choices and not any(each.taken for each in choices):
        return catalog.key("web.recording.which", count=len(choices))
    return catalog.key("web.recording." + ("says_itself" if answered.draft.form == "espi" else "ready"))


def channel_choices(at: AtJob, answered: Answered) -> tuple[ChannelChoice, ...]:
    """The channels to choose from: those of the first rows, and those that reading the file found."""
    mapping, run = answered.mapping, at.web.runs.of(at.id)
    names = [each.name for each in answered.feed]
    names += [] if mapping is None else channels_at(answered.incoming.path, mapping)
    if run is not None and run.trouble is not None and run.trouble.key == "app.recording.which_channel":
        names += [str(name) for name in run.trouble.params["allowed"]]  # type: ignore[attr-defined]
    names = list(dict.fromkeys(names))
    taken = entry.chosen_channels(answered.incoming.said)
    if len(names) < 2:
        return ()
    return tuple(ChannelChoice(entry.CHANNEL + name, name, name in taken) for name in names)


# --- the first rows -----------------------------------------------------------------------------------------------
def _heads(answered: Answered, catalog: Catalog) -> tuple[str, ...]:
    """Names over the cells of the first rows."""
    if answered.draft.table is not None:
        return tuple(name or str(number + 1) for number, name in enumerate(answered.draft.table.names))
    return tuple(catalog.key(f"web.recording.feed.{name}") for name in ("channel", "start", "seconds", "figure"))


def _channel_text(channel: FeedChannel, catalog: Catalog) -> str:
    """What a feed tells of a channel: unit, direction, leg, scale."""
    say = catalog.key
    return say(
        "web.recording.feed.told", name=channel.name, kind=say(f"recordings.kind.{channel.kind}"), unit=channel.unit,
        direction=say(f"web.recording.feed.direction.{channel.direction or 'unsaid'}"),
        leg=say(f"web.recording.feed.leg.{channel.leg.lower() or 'unsaid'}"), scale=f"{channel.scale:g}",
        count=channel.readings,
    )  # fmt: skip


def _read_line(row: RowAsRead, catalog: Catalog, channel: str = "") -> ReadLine:
    """A row in words: "2025-01-01 00:00 to 00:15: 0.42 kWh = 1.68 kW"."""
    figures = catalog.joined([_amount(each, catalog) for each in row.amounts])
    end = row.end.removeprefix(row.start[:11]) if row.start else ""
    when = catalog.key("web.recording.row." + ("span" if end else "moment"), start=row.start, end=end)
    if not row.start:
        when = catalog.key("web.recording.row.no_time")
    clear = bool(row.start) and all(each.value is not None for each in row.amounts)
    return ReadLine(
        (channel, *row.cells) if channel else row.cells,
        catalog.key("web.recording.row.whole", when=when, figures=figures),
        clear,
    )


def _amount(amount: Amount, catalog: Catalog) -> str:
    if amount.value is None:
        return catalog.key("web.recording.row.no_figure")
    told = f"{_figure(amount.value, catalog)}{TIE}{amount.unit or '?'}"
    if amount.mean is None:
        return told
    mean = f"{_figure(amount.mean, catalog)}{TIE}{amount.mean_unit}"
    return catalog.key("web.recording.row.mean", told=told, mean=mean)


def _figure(value: float, catalog: Catalog) -> str:
    return catalog.value(dec(Decimal(repr(round(value, 6)))))


# --- reading it ---------------------------------------------------------------------------------------------------
def start_reading(at: AtJob) -> None:
    """Read the file sent up, in the background; once it is a recording of the job it leaves the tray.

    Raises:
        BadEntry, NotAllowed, RecordingUnreadable: an answer is missing or not understood; nothing was begun.
    """
    incoming = incoming_of(at)
    answered = Answered(at, incoming)
    form, mapping, channels = incoming.said, answered.mapping, entry.chosen_channels(incoming.said)
    facts = entry.facts_of(form)
    if answered.refused is not None:
        raise answered.refused
    if mapping is not None and answered.draft.table is not None:
        rows_as_read(answered.draft.table, mapping.check())
    choices = channel_choices(at, answered)
    if choices and not channels:
        raise NotAllowed("app.recording.which_channel", allowed=tuple(each.name for each in choices[:20]))
    if len(channels) > 2:
        raise NotAllowed("app.recording.two_channels", found=channels)
    measures, desk, tray, job_id, who = facts.pop("measures", None), at.web.desk, at.web.tray, at.id, at.who
    said = {**facts, "file": incoming.name}

    def work(tell: Any, stop: Any) -> str:
        try:
            add_recording(
                desk, job_id, None, incoming.path, mapping=mapping, channels=channels, measures=measures, said=said,
                who=who, progress=tell, stop=stop,
            )  # fmt: skip
        except DeadfrontError:
            if stop():
                tray.drop(job_id)
            raise
        tray.drop(job_id)
        return str(desk.open_job(job_id).job.before.recordings[-1].id)

    at.web.runs.start("read", job_id, work, about=incoming.name, size=incoming.size)


def answers_in(form: Mapping[str, str]) -> dict[str, str]:
    """What a form says of the file, without what is there for the page."""
    return {name: text[:400] for name, text in form.items() if name not in ("base", "does", "page", "folds")}
