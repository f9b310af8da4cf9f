"""What was answered about a recording file, understood: where its table is, what each column means, what it is of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any

from deadfront.app.recording_drafts import Cut, Draft
from deadfront.web.entry import typed as t

if TYPE_CHECKING:
    from deadfront.recordings.mapping import Column
    from deadfront.recordings.mapping import Mapping as Columns
    from deadfront.recordings.sniff import Table

Form = Mapping[str, str]
WHOLE = ("zone", "date_order", "decimal", "thousands", "stamp_form", "offsets", "stamps", "clock")
ONCE = ("start", "end", "date", "clock", "clock_end", "channel", "leg", "quality")
MEASURES = ("both legs", "L1", "L2")
TAKEN = ("utility", "recorder")
FACTS = ("measures", "taken", "occupied", "heavier_leg", "season_load_va", "power_factor", "name")
MAX_LINE = 100_000
MAX_INTERVAL_MIN = 1440
CHANNEL = "channel:"


def cut_key(cut: Cut) -> str:
    """A cut as one text, so that a form says to which table its columns belong."""
    return f"{cut.separator}|{cut.encoding}|{cut.header_line}|{cut.first_line}"


def cut_of(form: Form, found: Cut) -> Cut:
    """Where the table is, as answered; what is not answered is as found.

    Raises:
        BadEntry: a line number that is none.
    """
    from deadfront.recordings.mapping import ENCODINGS, SEPARATORS

    header = t.count("header_line", form.get("header_line", ""), 0, MAX_LINE)
    first = t.count("first_line", form.get("first_line", ""), 1, MAX_LINE)
    return Cut(
        _allowed("separator", form.get("separator", ""), SEPARATORS) or found.separator,
        _allowed("encoding", form.get("encoding", ""), ENCODINGS) or found.encoding,
        found.header_line if header is None else header - 1,
        found.first_line if first is None else first - 1,
    )


def _allowed(field: str, text: str, allowed: tuple[str, ...]) -> str:
    if text and text not in allowed:
        raise t.BadEntry(field, "entry.not_allowed", found=text[:60], allowed=allowed)
    return text


def mapping_of(form: Form, draft: Draft) -> Columns | None:
    """What the columns mean, as answered so far; what is not answered is as understood. None for ESPI.

    Raises:
        BadEntry: an answer that is not understood, or a use given to two columns.
        RecordingUnreadable: an answer that no mapping may hold.
    """
    if draft.guess is None or draft.table is None or draft.cut is None:
        return None
    from deadfront.recordings.mapping import mapping_from_json

    known = draft.remembered or draft.guess.mapping
    fields: dict[str, Any] = {name: t.clean(form[name]) for name in WHOLE if name in form and name != "thousands"}
    if "thousands" in form:
        fields["thousands"] = form["thousands"][:1]  # it may be a blank
    minutes = t.count("interval_min", form.get("interval_min", ""), 0, MAX_INTERVAL_MIN)
    if minutes is not None:
        fields["interval_s"] = minutes * 60
    if form.get("cut") == cut_key(draft.cut):
        fields["columns"] = columns_of(form, draft.table, known)
    cut = draft.cut
    made = replace(
        known, header_line=cut.header_line, first_line=cut.first_line, encoding=cut.encoding,
        separator=cut.separator, **fields,
    )  # fmt: skip
    return mapping_from_json(made.to_json())


def columns_of(form: Form, table: Table, known: Columns) -> tuple[Column, ...]:
    """The columns as answered.

    Raises:
        BadEntry: a use given to two columns.
    """
    from deadfront.recordings.mapping import USES, Column

    found: list[Column] = []
    for number, name in enumerate(table.names):
        if f"use.{number}" not in form:  # a column that the page had no room for stays as understood
            found += [each for each in known.columns if each.at == (name or number)]
            continue
        use = _allowed("use", form[f"use.{number}"], USES)
        if use in ("", "ignore"):
            continue
        if use in ONCE and any(each.use == use for each in found):
            raise t.BadEntry("use", "entry.recording.twice", column=name or str(number + 1))
        at: str | int = name if name and table.names.count(name) == 1 else number
        if use != "value":
            found.append(Column(at, use))
            continue
        before = next((each for each in known.columns if each.at == at and each.use == "value"), None)
        told = {key: t.clean(form.get(f"{key}.{number}", "")) for key in ("unit", "kind", "leg")}
        found.append(Column(at, use, channel=before.channel if before else "", **told))
    return tuple(found)


def facts_of(form: Form) -> dict[str, Any]:
    """What is said of the recording beside its file: only what is known.

    Raises:
        BadEntry: an answer that is not understood.
    """
    factor = t.clean(form.get("power_factor", ""))
    found: dict[str, Any] = {
        "measures": _allowed("measures", form.get("measures", ""), MEASURES) or None,
        "taken": _allowed("taken", form.get("taken", ""), TAKEN) or None,
        "occupied": t.one_of("occupied", form.get("occupied", ""), t.YES_NO),
        "heavier_leg": t.one_of("heavier_leg", form.get("heavier_leg", ""), t.YES_NO),
        "season_load_va": t.quantity("season_load_va", form.get("season_load_va", ""), "VA"),
        "power_factor": _factor(factor) if factor else None,
        "name": t.text_of("name", form.get("name", "")),
    }
    if found["taken"] == "utility" and found["measures"] is None:
        found["measures"] = "both legs"  # a utility's meter counts both
    return {name: value for name, value in found.items() if value is not None}


def _factor(text: str) -> Decimal:
    try:
        value = Decimal(text.replace(",", "."))
    except InvalidOperation:
        value = Decimal(0)
    if not (value.is_finite() and 0 < value <= 1 and len(text) <= 6):
        raise t.BadEntry("power_factor", "entry.recording.power_factor", found=text[:60])
    return value


def chosen_channels(form: Form) -> tuple[str, ...]:
    """The channels ticked."""
    return tuple(name.removeprefix(CHANNEL) for name in form if name.startswith(CHANNEL) and form[name] == "yes")
