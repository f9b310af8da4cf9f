"""From what was typed to a new revision, and to the parts of the page that it changes."""

from __future__ import annotations

import json
from collections.abc import Sequence

from starlette.responses import HTMLResponse, Response

from deadfront.app.changes import StaleEdits
from deadfront.errors import NotFound
from deadfront.job.model import Job
from deadfront.web.called import called, told
from deadfront.web.circuits_page import circuits_page
from deadfront.web.contexts import PastePart, StalePart
from deadfront.web.desk import AtJob, NewIds
from deadfront.web.entry import circuits, loads, rows
from deadfront.web.entry.facts import fact_edits, service_after
from deadfront.web.entry.places import EditData, Standing, found, struck_out, work_step
from deadfront.web.entry.typed import BadEntry
from deadfront.web.entry.work import elsewhere, work_edits
from deadfront.web.load_page import load_page
from deadfront.web.pieces import PastedRow, SideRow
from deadfront.web.render import html
from deadfront.web.site_page import site_page
from deadfront.web.sources_page import sources_page
from deadfront.web.survey_page import survey_page
from deadfront.web.tables import blank_row, columns_of, first_panel, kinds_said, works_of
from deadfront.web.thing_page import thing_page
from deadfront.web.views.typed import Form, field_of, number_of

TABLES = ("units", "panels", "circuits", "loads", "sources")


def fresh(at: AtJob) -> NewIds:
    """Ids for things that this change adds."""
    return NewIds(at)


# --- what was typed, as edits -------------------------------------------------------------------------------------
def fact_edits_of(at: AtJob, form: Form) -> list[EditData]:
    """The edits of one fact as typed; a fact of the service in a work step makes the step where there is none.

    Raises:
        BadEntry: not understood.
    """
    path, text = field_of(form, "path"), field_of(form, "value")
    if field_of(form, "many") == "yes":
        text = ", ".join(name.removeprefix("value.") for name in form if name.startswith("value."))
    if path.startswith("w-") and "/service." in path:
        step, edits = work_step(at.job, fresh(at)("w"), at.catalog.key("web.new_work"))
        named = path.partition("/")[0]
        step = named if any(each.id == named for each in at.job.work) else step
        own = service_after(at.job, path, text, step)
        return [*edits, *own] if own and (text.strip() or not edits) else []
    return fact_edits(at.job, path, text, fresh(at))


def row_edits(at: AtJob, table: str, form: Form) -> list[EditData]:
    """The edits of one line as typed.

    Raises:
        BadEntry: a column that is not understood.
        NotFound: no such table.
    """
    if table not in TABLES:
        raise NotFound("web.not_found")
    job, key = at.job, field_of(form, "key")
    wanted, named = work_wanted(job, field_of(form, "work"))
    before = lines_of(job, table, form)
    edits: list[EditData] = []
    step, scope = named, "before"
    needs_step = (wanted == "N" and not before) or any(
        wanted != "E" and (line.work != wanted or (named and elsewhere(line, wanted, named))) for line in before
    )
    if needs_step:
        if not named:
            step, edits = work_step(job, fresh(at)("w"), at.catalog.key("web.new_work"))
        scope = step if wanted == "N" else "before"
    typed = _typed_edits(at, table, key, form, scope)
    if not typed and not before:
        return []
    moves = [] if not before else work_edits(job, before, wanted, step, bool(named))
    if typed and moves:  # the texts first; then what the work does with the line
        return typed
    return [*edits, *typed, *moves] if typed or moves else []


def work_wanted(job: Job, text: str) -> tuple[str, str]:
    """What the work is to do with a line, and in which step where one is named: "E", "N", "R w-4c1"."""
    letter, _, named = text.partition(" ")
    letter = letter if letter in ("E", "N", "R") else "E"
    return letter, named if letter != "E" and any(step.id == named for step in job.work) else ""


def lines_of(job: Job, table: str, form: Form) -> list[Standing]:
    """The things behind a line that are there already."""
    names = [(table, field_of(form, "key"))]
    if table == "circuits":
        names.append(("breakers", field_of(form, "breakers")))
    both = (found(job, collection, ident) for collection, ident in names)
    return [each for each in both if each]


def _typed_edits(at: AtJob, table: str, key: str, form: Form, scope: str) -> list[EditData]:
    if table == "circuits":
        panel, made = _panel_for(at, form, scope)
        ids = circuits.CircuitIds(key, field_of(form, "breakers"), panel)
        own = circuits.circuit_edits(at.job, ids, form, scope)
        for edit in own:
            if made and edit["do"] == "add" and edit["collection"] == "breakers":
                edit["thing"]["panel"] = panel
        return [*made, *own] if own else []
    if table == "loads":
        return loads.load_edits(at.job, key, form, scope, kinds_said(at.catalog))
    read = {"units": rows.unit_fields, "panels": rows.panel_fields, "sources": rows.source_fields}[table]
    fields = read(form)
    own = rows.thing_edits(at.job, table, key, fields, scope)
    return [*own, *_feeds(at.job, str(fields["fed_by"]))] if own and table == "panels" else own


def _feeds(job: Job, ident: str) -> list[EditData]:
    """The edit that makes the breaker that feeds a panel a feeder's."""
    line = found(job, "breakers", ident)
    if line is None or getattr(line.thing, "role", "") != "branch":
        return []
    return [{"do": "set", "path": f"{line.scope}/{ident}.role", "value": "feeder"}]


def _panel_for(at: AtJob, form: Form, scope: str) -> tuple[str, list[EditData]]:
    """The panel of a line; where there is none yet, the edit that adds one."""
    panel = field_of(form, "panel") or first_panel(at.job)
    if panel:
        return panel, []
    ident = fresh(at)("p")
    thing = {"id": ident, "name": at.catalog.key("web.like.panel")}
    return ident, [{"do": "add", "step": "before", "collection": "panels", "thing": thing}]


def strike_out_edits(at: AtJob, table: str, form: Form) -> list[EditData]:
    """The edits that strike out a line; nothing for one that was never entered."""
    if table not in TABLES:
        raise NotFound("web.not_found")
    return [struck_out(line) for line in lines_of(at.job, table, form)]


# --- saving, and what the page shows then -------------------------------------------------------------------------
def made(at: AtJob, edits: Sequence[EditData], form: Form, *, table: str = "") -> Response:
    """Save the edits on the revision the page was made from, and show what they change.

    Raises:
        EditRefused, StaleRevision: as Desk.apply.
    """
    if not edits:
        return parts(at, form)
    try:
        at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
    except StaleEdits as stale:
        return stale_part(at, stale, edits, form)
    after = at.again()
    key = field_of(form, "key")
    fresh_row = table if table and key and not found(at.job, table, key) and found(after.job, table, key) else ""
    return parts(after, form, new_row=fresh_row)


def parts(at: AtJob, form: Form, *, new_row: str = "") -> HTMLResponse:
    """The parts of the page that a change may touch: the line, the route, the slips, the answer."""
    on, _, ident = field_of(form, "page").partition(":")
    path = field_of(form, "path") or field_of(form, "of")
    ident = ident or path.partition("/")[2].partition(".")[0]
    on_load = on == "load"
    work = "N" if on_load else "E"
    blank = blank_row(new_row, at, NewIds(at), work) if new_row else None
    columns = columns_of(new_row, at) if new_row else ()
    context = page_shown(at, on, ident, frozenset(field_of(form, "folds").split()))
    shown = {"blank": blank, "columns": columns, "table": new_row, "works": works_of(at), "on": on}
    return HTMLResponse(html(context, at.catalog, template="parts.html", **shown))


def page_shown(at: AtJob, on: str, ident: str, folds: frozenset[str]) -> object:
    """The page that a change was made on, as it stands now."""
    if on == "load":
        return load_page(at, folds)
    if on in ("circuits", "site"):
        return circuits_page(at) if on == "circuits" else site_page(at)
    if on == "sources":
        return sources_page(at)
    return thing_page(at, ident) if on == "thing" and ident else survey_page(at)


def stale_part(at: AtJob, stale: StaleEdits, edits: Sequence[EditData], form: Form) -> HTMLResponse:
    """Mine and theirs side by side, in place of the change."""
    say = at.catalog

    def shown(value: object) -> str:
        if value is None:
            return say.key("web.stale.nothing")
        return json.dumps(value, ensure_ascii=False) if isinstance(value, dict | list) else say.value(value)

    sides = tuple(
        SideRow(s.path, called(s.path, at.job, say), shown(s.base), shown(s.mine), shown(s.theirs), s.clash)
        for s in stale.sides
    )
    context = StalePart(
        at.id,
        say.say(told(stale.msg, at.job, say)),
        sides,
        json.dumps(list(edits), default=str),
        stale.current,
        field_of(form, "page") or "survey",
    )
    return HTMLResponse(html(context, say), 409, headers={"HX-Retarget": "#clash", "HX-Reswap": "innerHTML"})


# --- lists pasted from a spreadsheet ------------------------------------------------------------------------------
def split_rows(text: str) -> list[list[str]]:
    """Rows and columns of a pasted text: tabs as a spreadsheet copies them, else commas with quotes."""
    import csv

    lines = [line for line in text.replace("\r\n", "\n").replace("\r", "\n").split("\n") if line.strip()]
    if any("\t" in line for line in lines):
        return [[cell.strip().strip('"') for cell in line.split("\t")] for line in lines]
    try:
        return [[cell.strip() for cell in row] for row in csv.reader(lines, skipinitialspace=True)]
    except csv.Error:
        return [[line.strip()] for line in lines]


def read_pasted(at: AtJob, table: str, text: str, page: str) -> tuple[list[PastedRow], list[EditData], list[str]]:
    """Each pasted line with what is wrong with it, the edits of the good ones, and the lines that are not."""
    names = [column.name for column in columns_of(table, at)]
    heads = {column.head.lower() for column in columns_of(table, at)}
    ids, job = NewIds(at), at.job
    shown: list[PastedRow] = []
    edits: list[EditData] = []
    bad: list[str] = []
    seen: dict[int, int] = {}
    step, made_step = work_step(job, ids("w"), at.catalog.key("web.new_work"))
    scope = step if page == "load" else "before"
    for number, cells in enumerate(split_rows(text), 1):
        if number == 1 and cells[0].lower() in heads:
            continue
        row = dict(zip(names, cells, strict=False))
        values = tuple(row.get(name, "") for name in names)
        try:
            if number > at.web.settings.max_pasted_rows:
                raise BadEntry("", "entry.paste.too_many", most=at.web.settings.max_pasted_rows)
            own = _pasted_edits(at, job, table, row, ids, edits, seen, scope)
            edits += own
            shown.append(PastedRow(values, "" if own else at.catalog.key("entry.paste.nothing")))
        except BadEntry as error:
            shown.append(PastedRow(values, at.catalog.say(error.msg)))
            bad.append("\t".join(cells))
    return shown, [*(made_step if edits and scope == step else []), *edits], bad


def _pasted_edits(
    at: AtJob,
    job: Job,
    table: str,
    row: dict[str, str],
    ids: NewIds,
    before: list[EditData],
    seen: dict[int, int],
    scope: str,
) -> list[EditData]:
    if table != "circuits":
        return loads.load_edits(job, ids("l"), row, scope, kinds_said(at.catalog))
    made = [edit["thing"]["id"] for edit in before if edit["do"] == "add" and edit["collection"] == "panels"]
    panel = first_panel(job) or (made[0] if made else "")
    form = {**row, "breakers": ids("b"), "key": ids("c"), "panel": panel}
    own = _typed_edits(at, "circuits", form["key"], form, scope)
    for edit in own:
        if edit["do"] == "add" and edit["collection"] == "breakers":
            edit["thing"].setdefault("panel", panel)
            for space in () if edit["thing"].get("half") else edit["thing"].get("spaces", ()):
                if space in seen:
                    raise BadEntry("spaces", "entry.spaces.twice", found=space)
                seen[space] = 1
    return own


def pasted(at: AtJob, table: str, form: Form) -> PastePart:
    """A pasted list as it is understood, nothing saved."""
    if table not in ("circuits", "loads"):
        raise NotFound("web.not_found")
    text = field_of(form, "text")
    shown, _, bad = read_pasted(at, table, text, field_of(form, "page"))
    good = sum(1 for row in shown if not row.say)
    said = at.catalog.key("web.paste.read", good=good, bad=len(shown) - good)
    heads = tuple(column.head for column in columns_of(table, at))
    return PastePart(at.id, table, heads, tuple(shown), good, text, field_of(form, "page"), said)


def take_pasted(at: AtJob, table: str, form: Form) -> Response:
    """Enter the good lines of a pasted list; the others stay to be corrected."""
    if table not in ("circuits", "loads"):
        raise NotFound("web.not_found")
    _, edits, bad = read_pasted(at, table, field_of(form, "text"), field_of(form, "page"))
    if not edits:
        context = pasted(at, table, form)
        return HTMLResponse(html(context, at.catalog, saved=0))
    try:
        at.web.desk.apply(at.id, number_of(form, "base"), edits, at.who)
    except StaleEdits as stale:
        return stale_part(at, stale, edits, form)
    if bad:
        after = at.again()
        rest = pasted(after, table, {**form, "text": "\n".join(bad)})
        return HTMLResponse(html(rest, at.catalog, saved=after.opened.revision))
    return Response(status_code=204, headers={"HX-Refresh": "true"})
