"""The torque log: every terminal of the work with its target, the tool and the setting that clicked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from deadfront.codebook.entries import Row
from deadfront.commissioning.rules.facts import Facts
from deadfront.commissioning.rules.instruments import in_calibration, name_of, until
from deadfront.commissioning.rules.test_kind import limit
from deadfront.errors import EditionNotEncoded
from deadfront.job.record_things import Torque
from deadfront.job.thing import Thing
from deadfront.msg import Msg, said
from deadfront.quantities import dec, size_rank
from deadfront.results.commissioning import TorqueAnswer
from deadfront.worksheet import build
from deadfront.worksheet.check import Outcome, Severity
from deadfront.worksheet.cite import Cite
from deadfront.worksheet.missing import Missing
from deadfront.worksheet.step import Step

COLUMNS = {"slotted narrow": "slotted_narrow", "slotted wide": "slotted_wide", "hex split bolt": "hex_split_bolt",
           "hex other": "hex_other"}  # fmt: skip
HUNDRED = 100
LUGS = 4  # of a panel or a service: two hots, the neutral, the ground
RULE = "torque_of_terminals"


def torque_log(facts: Facts) -> tuple[TorqueAnswer, ...]:
    """Every entry judged, then every thing of the work that has none yet."""
    latest: dict[tuple[str, str], Torque] = {}
    for each in facts.at.house.torques:  # a terminal made anew stands for itself, not for what it was
        latest[(each.thing or "", (each.terminal or each.id).casefold())] = each
    entered = tuple(_entry(facts, each) for each in latest.values())
    count: dict[str, int] = {}
    for each in latest.values():
        count[each.thing or ""] = count.get(each.thing or "", 0) + 1
    return (*entered, *_still_open(facts, count))


def _still_open(facts: Facts, count: Mapping[str, int]) -> Iterator[TorqueAnswer]:
    """Things of the work with fewer entries than they have terminals."""
    for thing in due(facts):
        wanted, entered = terminals_of(facts, thing), count.get(thing, 0)
        if entered < wanted:
            yield _open(facts, thing, entered, wanted)


def terminals_of(facts: Facts, thing: str) -> int:
    """How many terminals of a thing are made by hand at the least: every hot, the neutral, the ground."""
    breaker = facts.breakers.get(thing)
    if breaker is not None:
        circuits = facts.circuits_on.get(thing, ())
        grounds = len(circuits) or 1  # each circuit's ground; a neutral where a pole is alone or the cable brings one
        neutrals = sum(1 for each in circuits if breaker.poles != 2 or (each.cable.conductors or 0) > 2)  # noqa: PLR2004
        return (breaker.poles or 1) + grounds + neutrals
    return LUGS if thing in facts.panels or thing == "service" else LUGS - 1


def due(facts: Facts) -> Iterator[str]:
    """Things of the work with terminals: breakers and panels; the service where the work touches it."""
    if facts.changed("service"):
        yield "service"
    for panel in facts.at.house.panels:
        if facts.touched(panel):
            yield panel.id
    yield from facts.pieces
    for breaker in facts.at.house.breakers:
        things: list[Thing] = [breaker, *facts.circuits_on.get(breaker.id, ())]
        if facts.touched(*things):
            yield breaker.id


def _cites(facts: Facts) -> tuple[Cite, ...]:
    return (facts.book.rule(RULE).cite,) if facts.book.has(RULE) else ()


def _open(facts: Facts, thing: str, entered: int, wanted: int) -> TorqueAnswer:
    name = facts.name_of(thing)
    missing = Missing(f"torque/{thing}", said("todo.commission.torque", thing=name), said("todo.how.commission.torque"))
    return TorqueAnswer("", thing, name, "", None, None, Outcome.CANNOT_TELL, Severity.CORRECT,
                        said("commission.torque.open", name=name, entered=entered, wanted=wanted), (), (missing,),
                        _cites(facts))  # fmt: skip


def _entry(facts: Facts, entry: Torque) -> TorqueAnswer:
    name = facts.name_of(entry.thing or "house")
    target, missing = _target(facts, entry, name)
    path = facts.at.path(entry, "applied_lbf_in")
    applied = None
    if entry.applied_lbf_in is not None:
        applied = build.fact(f"torque/{entry.id}/applied", said("commission.torque.applied"), entry.applied_lbf_in,
                             "lbf-in", path)  # fmt: skip
    else:
        missing = (*missing, _lacks(path, "applied", name))
    notes, bar = _tool_doubts(facts, entry, target)
    for lacking in ("terminal", "who"):
        if getattr(entry, lacking) is None:
            notes, bar = (*notes, said(f"commission.doubt.no_{lacking}")), True
    outcome, which, params = _judged(target, applied)
    if outcome is Outcome.MEETS and bar:
        outcome, which = Outcome.CANNOT_TELL, "tool"
    say = said(f"commission.torque.{which}", name=name, terminal=entry.terminal or "", **params)
    return TorqueAnswer(entry.id, entry.thing or "", name, entry.terminal or "", target, applied, outcome,
                        Severity.CORRECT, say, notes, missing if outcome is Outcome.CANNOT_TELL else (),
                        (*_cites(facts), *(target.cites if target else ())), entry.who or "", entry.on,
                        entry.tool or "", entry.photo or "")  # fmt: skip


def _lacks(path: str, key: str, name: Msg) -> Missing:
    return Missing(path, said(f"todo.commission.{key}", thing=name), said(f"todo.how.commission.{key}"))


def _target(facts: Facts, entry: Torque, name: Msg) -> tuple[Step | None, tuple[Missing, ...]]:
    """Torque it asks for: as marked, else by the table of unmarked screws [lbf-in]."""
    if entry.marked_lbf_in is not None:
        path = facts.at.path(entry, "marked_lbf_in")
        return build.fact(f"torque/{entry.id}/target", said("commission.torque.marked"), entry.marked_lbf_in, "lbf-in",
                          path), ()  # fmt: skip
    if entry.screw == "socket" and entry.socket_in is not None and entry.nothing_marked:
        return _by_socket(facts, entry), ()
    wanted = ("socket_in", "nothing_marked") if entry.screw == "socket" else ("size", "screw", "nothing_marked")
    missing = tuple(_lacks(facts.at.path(entry, key), key, name) for key in wanted if not getattr(entry, key))
    if missing:
        return None, (_lacks(facts.at.path(entry, "marked_lbf_in"), "marked", name), *missing)
    try:
        table = facts.book.table("terminal_torque")
    except EditionNotEncoded:
        return None, (_lacks(facts.at.path(entry, "marked_lbf_in"), "marked", name),)
    row = next((each for each in table.rows if size_rank(str(each["size_upto"])) >= size_rank(str(entry.size))), None)
    cell = _cell(row, str(entry.screw))
    if row is None or cell is None:
        return None, (_lacks(facts.at.path(entry, "marked_lbf_in"), "marked", name),)
    cite = table.cell_cite(row, COLUMNS[str(entry.screw)])
    label = f"{row['size_upto']}, {entry.screw}"
    return build.lookup(f"torque/{entry.id}/target", said("commission.torque.by_table"), dec(str(cell)), "lbf-in", cite,
                        table="terminal_torque", row=label, inline=False), ()  # fmt: skip


def _by_socket(facts: Facts, entry: Torque) -> Step | None:
    """Torque of an internal socket (Allen) head by its size [lbf-in]."""
    table = facts.book.table("socket_torque")
    row = next(each for each in table.rows if each["socket_in"] == entry.socket_in)
    return build.lookup(f"torque/{entry.id}/target", said("commission.torque.by_table"), dec(str(row["torque"])),
                        "lbf-in", table.cell_cite(row, "torque"), table="socket_torque", row=str(entry.socket_in),
                        inline=False)  # fmt: skip


def _cell(row: Row | None, screw: str) -> object:
    return None if row is None else row[COLUMNS[screw]]


def _judged(target: Step | None, applied: Step | None) -> tuple[Outcome, str, dict[str, object]]:
    if target is None or applied is None:
        return Outcome.CANNOT_TELL, "cannot_tell", {}
    wanted, found, off = target.value.low, applied.value.low, limit("torque_off_percent").value
    params: dict[str, object] = {"target": wanted, "applied": found}
    if abs(found - wanted) * HUNDRED > wanted * off:
        return Outcome.FAILS, "low" if found < wanted else "high", params
    return Outcome.MEETS, "meets", params


def _tool_doubts(facts: Facts, entry: Torque, target: Step | None) -> tuple[tuple[Msg, ...], bool]:
    """What speaks against the tool, and whether no pass rests on it."""
    tool = facts.instruments.get(entry.tool or "")
    if tool is None or tool.kind != "torque tool":
        return (said("commission.doubt.no_torque_tool"),), True
    notes: list[Msg] = []
    bar = False
    last = until(tool)
    if last is None:
        notes.append(said("commission.doubt.calibration_unknown", name=name_of(tool)))
        bar = facts.book.has(RULE) and bool(facts.book.rule(RULE).params.get("calibrated_tool"))
    elif entry.on is None:
        notes.append(said("commission.doubt.no_date", name=name_of(tool)))
        bar = True
    elif not in_calibration(tool, entry.on):
        notes.append(said("commission.doubt.calibration", name=name_of(tool), until=last))
        bar = True
    if target is not None:
        wanted = target.value.low
        low, high = tool.from_lbf_in, tool.upto_lbf_in
        if high is None:
            notes.append(said("commission.doubt.range_unknown", name=name_of(tool)))
        elif wanted > high or (low is not None and wanted < low):
            notes.append(said("commission.doubt.range", name=name_of(tool), low=low or 0, high=high))
            bar = True
    return tuple(notes), bar
