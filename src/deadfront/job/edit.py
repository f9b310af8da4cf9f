"""Carrying out edits on a job file: all of them or none; comments and untouched blocks keep every byte."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import tomlkit

from deadfront.errors import EditRefused, JobUnreadable
from deadfront.job.blocks import Place, body_and_tail
from deadfront.job.build import judged
from deadfront.job.draft import Draft, Spot
from deadfront.job.edits import (
    Add,
    AddStep,
    Assume,
    DropOrigin,
    DropStep,
    Edit,
    Move,
    OrderSteps,
    PutBack,
    Remove,
    Set,
    SetAmendments,
    SetInStep,
    SetOrigin,
    TakeOut,
    Unassume,
    conflicts,
    edit_from_dict,
)
from deadfront.job.limits import check_text
from deadfront.job.model import FORMAT, Job
from deadfront.job.paths import Path, parse_path
from deadfront.job.problems import Problem, near, shown
from deadfront.job.read import ReadJob, read_job
from deadfront.job.references import POINTS_TO
from deadfront.job.things import COLLECTIONS, unit_of
from deadfront.job.toml_text import field_lines, key_of, table_text, value_of
from deadfront.job.tree import parsed
from deadfront.job.upgrade import format_of, upgraded_table
from deadfront.job.write import thing_text
from deadfront.quantities import typed

__all__ = ["Applied", "Edit", "apply_edits", "conflicts", "edit_from_dict"]


@dataclass(frozen=True, slots=True)
class Applied:
    """A job file after edits.

    Args:
        text: The new text.
        job: What it says.
        problems: What could not be taken as written; none of it new, except what the work leaves behind.
        touched: The paths that changed, to compare with someone else's edits.
    """

    text: str
    job: Job
    problems: tuple[Problem, ...]
    touched: tuple[str, ...]


def apply_edits(text: str, edits: Sequence[Edit], *, used_ids: Collection[str] = (), file: str = "job.toml",
                kinds: Mapping[str, object] | None = None) -> Applied:  # fmt: skip
    """A job file with edits made, all of them or none.

    Args:
        text: The job file.
        edits: What to do, in order.
        used_ids: Ids of things struck out in earlier revisions: these are not free either.
        file: Name of the file, for messages.
        kinds: Allowed kinds of loads; left out: all that the code book knows.
    Raises:
        EditRefused: an edit would break the job; the message names path, found, allowed.
        JobUnreadable: the text is no job file to begin with.
    """
    text = text.removeprefix("\ufeff")
    check_text(text, file)
    draft = Draft(text)
    _bring_up(draft, file)
    worker = _Worker(draft, set(used_ids))
    for edit in edits:
        worker.do(edit)
    after = _read_after(draft.text, file, kinds)
    if after.problems:
        _refuse_new(read_job(text, file=file, kinds=kinds).problems, after.problems)
    touched = dict.fromkeys(path for edit in edits for path in edit.touches())
    return Applied(after.text, after.job, after.problems, tuple(touched))


def _read_after(text: str, file: str, kinds: Mapping[str, object] | None) -> ReadJob:
    try:
        return read_job(text, file=file, kinds=kinds)
    except JobUnreadable as error:
        inner = error.msg.params.get("problem")
        key, params = (inner.key, inner.params) if hasattr(inner, "key") else (error.msg.key, error.msg.params)
        raise EditRefused(key, **{"path": "job", "found": "", **params}) from error


_LEFT_BEHIND = "job.read.reference_removed"


def _refuse_new(before: Sequence[Problem], after: Sequence[Problem]) -> None:
    """Refuse a problem that was not there; what the work leaves behind (a circuit off its breaker) is only said."""
    known = Counter(_told(each) for each in before)
    for each in after:
        if known[_told(each)]:
            known[_told(each)] -= 1
        elif each.msg.key != _LEFT_BEHIND:
            raise EditRefused(each.msg.key, **each.msg.params)


def _told(problem: Problem) -> tuple[str, str, str, str]:
    params = problem.msg.params
    return problem.msg.key, problem.path, str(params.get("field", "")), str(params.get("found", ""))


def _bring_up(draft: Draft, file: str) -> None:
    """Bring a file of an older format up to today's, block by block."""
    head = draft.value(("job",))
    if not isinstance(head, dict) or format_of({"job": head}, file) == FORMAT:
        return
    for place in [block.place for block in draft.blocks]:
        block = draft.at(place)
        plain = draft.plain(block) if block else None
        if block and plain is not None and upgraded_table(dict(parsed(f"x = {value_of(plain)}")["x"]), block.name, []):
            name = block.name
            draft.change(place, lambda table, name=name: _upgrade(table, name))  # type: ignore[misc]
    draft.put(("job",), ("format",), FORMAT)


def _upgrade(table: Any, name: tuple[str, ...]) -> None:
    upgraded_table(table, name, [])


class _Worker:
    """Does one edit after another on a draft."""

    def __init__(self, draft: Draft, used: set[str]) -> None:
        self.draft, self.used = draft, used
        self.acts: dict[type[Any], Callable[[Any], None]] = {
            Set: self.set, Add: self.add, Remove: self.remove, TakeOut: self.take_out, PutBack: self.put_back,
            Move: self.in_step, SetInStep: self.in_step, AddStep: self.add_step, DropStep: self.drop_step,
            OrderSteps: self.order_steps, Assume: self.assume, Unassume: self.assume, SetOrigin: self.set_origin,
            DropOrigin: self.drop_origin, SetAmendments: self.set_amendments,
        }  # fmt: skip

    def do(self, edit: Edit) -> None:
        """Do one edit."""
        self.acts[type(edit)](edit)

    # --- finding ------------------------------------------------------------------------------------------------
    def step(self, ident: str, path: str) -> int:
        """Number of a work step."""
        steps = self.draft.steps()
        if ident not in steps:
            raise EditRefused("job.edit.no_such_step", path=path, found=ident, allowed=", ".join(steps))
        return steps[ident]

    def spot(self, ident: str, path: str) -> Spot:
        """Where a thing stands."""
        spot = self.draft.find(ident)
        if spot is None:
            raise EditRefused("job.edit.no_such_thing", path=path, found=ident, allowed="")
        return spot

    def free(self, ident: str, path: str) -> None:
        """Refuse an id that was ever used."""
        if ident in self.used or self.draft.find(ident) or ident in self.draft.steps():
            raise EditRefused("job.edit.id_used", path=path, found=ident, allowed="")

    # --- facts --------------------------------------------------------------------------------------------------
    def set(self, edit: Set) -> None:
        path = parse_path(edit.path)
        value = _understood(path, edit.value)
        if not path.fields:
            raise EditRefused("job.edit.no_field", path=edit.path, found=edit.path, allowed=f"{edit.path}.FIELD")
        if path.thing not in (None, "complete", "service") and path.fields == ("id",):
            raise EditRefused("job.edit.id_stays", path=edit.path, found=shown(value), allowed=str(path.thing))
        if path.scope in ("job", "choices"):
            self.in_table(path.scope, path.fields, value)
        elif path.scope == "before" and path.thing in ("complete", "service"):
            self.in_before(str(path.thing), path.fields, value)
        elif path.thing is not None:
            self.set_thing(path, value)
        elif path.step and path.fields == ("say",):
            self.draft.put(("work", self.step(path.step, edit.path)), path.fields, value)
        else:
            raise EditRefused("job.edit.not_set_so", path=edit.path, found=edit.path, allowed="say")

    def set_thing(self, path: Path, value: Any) -> None:
        """Set a field of a thing where it was recorded or added; in another step, have that step set it."""
        spot = None if path.thing == "service" else self.spot(str(path.thing), str(path))
        if spot and spot.scope == path.scope:
            self.draft.put(spot.place, path.fields, value)
        elif path.scope == "before":
            allowed = f"{spot.scope}/{path.thing}" if spot else ""
            raise EditRefused("job.edit.not_there", path=str(path), found=str(path.thing), allowed=allowed)
        else:
            self.step_fields(str(path.scope), "set", (str(path.thing), *path.fields), value)

    def in_table(self, name: str, fields: tuple[str, ...], value: Any) -> None:
        """Set a field of a table of the job, made if it is not there."""
        if self.draft.value((name,)) is None:
            if value is None:
                return
            self.draft.insert_after(self.draft.last(("work",), ("before",), ("job",)), f"[{name}]\n")
        self.draft.put((name,), fields, value)

    def in_before(self, thing: str, fields: tuple[str, ...], value: Any) -> None:
        """Set a field of the service, or whether a collection is complete."""
        draft = self.draft
        if draft.at(("before", thing)) is None and draft.at(("before",)) is None:
            if draft.value(("before", thing)) is None:
                if value is None:
                    return
                draft.insert_after(draft.last(("job",)), "[before]\n" if thing == "complete" else "[before.service]\n")
        if draft.at(("before", thing)) is None and draft.at(("before",)) is None:
            raise EditRefused("job.edit.unreadable", path=f"before/{thing}", found="before", allowed="", line=1)
        base: Place = ("before", thing) if draft.at(("before", thing)) else ("before",)
        draft.put(base, fields if len(base) == 2 else (thing, *fields), value)

    # --- things -------------------------------------------------------------------------------------------------
    def add(self, edit: Add) -> None:
        ident = str(edit.thing.get("id", ""))
        path = f"{edit.step}/{ident}"
        fields = {key: _understood(Path(edit.step, ident, (key,)), value) for key, value in edit.thing.items()
                  if value is not None}  # fmt: skip
        thing, said = judged(COLLECTIONS[edit.collection], fields)
        if thing is None or said:
            raise EditRefused(said[0].key, **{"path": path, "found": "", "allowed": "", **said[0].params})
        self.free(ident, path)
        above: Place = ("before",) if edit.step == "before" else ("work", self.step(edit.step, path), "add")
        here = (*above, edit.collection)
        draft = self.draft
        inline = draft.value(here)
        if isinstance(inline, list) and draft.at((*here, 0)) is None:
            text = "{ " + ", ".join(field_lines(thing)) + " }"
            draft.change(here, lambda items: items.append(tomlkit.value(text) if hasattr(items, "as_string")
                                                          else parsed(f"x = {text}")["x"]))  # fmt: skip
            return
        name = "before" if edit.step == "before" else "work.add"
        block = draft.last(here, above[:2], ("job",))
        draft.insert_after(block, thing_text(thing, f"{name}.{edit.collection}"))

    def remove(self, edit: Remove) -> None:
        path = parse_path(edit.path)
        if path.thing in (None, "service", "complete") or path.fields:
            raise EditRefused("job.edit.no_thing", path=edit.path, found=edit.path, allowed="before/ID, STEP/ID")
        ident = str(path.thing)
        spot = self.spot(ident, edit.path)
        if spot.scope != path.scope:
            raise EditRefused("job.edit.not_there", path=edit.path, found=ident, allowed=f"{spot.scope}/{ident}")
        held = self.holders(ident)
        if held and not edit.cascade:
            raise EditRefused("job.edit.still_named", path=edit.path, found=ident, by=", ".join(sorted(held)),
                              allowed="cascade")  # fmt: skip
        for let_go in held.values():
            let_go()
        self.strike(self.spot(ident, edit.path).place)
        self.drop_origins(lambda of: of.partition("/")[2].partition(".")[0] == ident)

    def strike(self, place: Place) -> None:
        """Remove the thing at a place."""
        own = self.draft.under(place)
        if own:
            self.draft.cut_out(own)
        else:
            number = int(place[-1])
            self.draft.change(place[:-1], lambda items: items.pop(number))

    def holders(self, ident: str) -> dict[str, Callable[[], None]]:
        """What names a thing: each path, with the act that lets go of it."""
        found: dict[str, Callable[[], None]] = {}
        draft = self.draft
        names = {number: step for step, number in draft.steps().items()}
        for block in draft.blocks:
            plain = draft.plain(block) if ident in block.text else None
            if plain is None or block.name[:1] not in (("before",), ("work",)):
                continue
            for place, thing in _things_in(plain, block.place):
                scope = "before" if place[0] == "before" else names.get(int(place[1]), "")
                for field in POINTS_TO:
                    value = thing.get(field)
                    if value == ident or (isinstance(value, list) and ident in value):
                        rest = [v for v in value if v != ident] if isinstance(value, list) else None
                        found[f"{scope}/{thing.get('id')}.{field}"] = self._letting(place, (field,), rest)
            if block.name == ("work",):
                found |= self.step_holders(ident, plain, block.place, names.get(int(block.place[1]), ""))
        return found

    def step_holders(self, ident: str, plain: dict[str, Any], place: Place, step: str) -> dict[str, Callable[[], None]]:
        """What a work step does with a thing, or sets to name it."""
        found: dict[str, Callable[[], None]] = {}
        removes = plain.get("remove")
        if isinstance(removes, list) and ident in removes:
            left = [each for each in removes if each != ident] or None
            found[f"{step}/{ident}.remove"] = self._letting(place, ("remove",), left)
        for name in ("move", "set"):
            does = plain.get(name)
            for other, fields in does.items() if isinstance(does, dict) else ():
                if other == ident:
                    found[f"{step}/{ident}.{name}"] = self._letting(place, (name, ident), None)
                    continue
                for field, value in fields.items() if isinstance(fields, dict) else ():
                    if field in POINTS_TO and (value == ident or (isinstance(value, list) and ident in value)):
                        rest = [v for v in value if v != ident] if isinstance(value, list) else None
                        found[f"{step}/{other}.{field}"] = self._letting(place, (name, other, field), rest)
        return found

    def _letting(self, place: Place, fields: tuple[str, ...], value: Any) -> Callable[[], None]:
        return lambda: self.draft.put(place, fields, value)

    # --- the work -----------------------------------------------------------------------------------------------
    def take_out(self, edit: TakeOut) -> None:
        path = f"{edit.step}/{edit.id}"
        number = self.step(edit.step, path)
        self.spot(edit.id, path)
        removes = self.removes(number)
        if edit.id in removes:
            raise EditRefused("job.edit.already_out", path=path, found=edit.id, allowed="")
        self.draft.put(("work", number), ("remove",), [*removes, edit.id])

    def put_back(self, edit: PutBack) -> None:
        path = f"{edit.step}/{edit.id}"
        number = self.step(edit.step, path)
        removes = self.removes(number)
        if edit.id not in removes:
            raise EditRefused("job.edit.not_out", path=path, found=edit.id, allowed=", ".join(map(str, removes)))
        self.draft.put(("work", number), ("remove",), [each for each in removes if each != edit.id] or None)

    def removes(self, number: int) -> list[Any]:
        """What a step takes out."""
        found = self.draft.value(("work", number, "remove"))
        return list(found) if isinstance(found, list) else []

    def in_step(self, edit: Move | SetInStep) -> None:
        path = f"{edit.step}/{edit.id}"
        self.step(edit.step, path)
        if edit.id != "service":
            self.spot(edit.id, path)
        if "id" in edit.fields:
            raise EditRefused("job.edit.id_stays", path=f"{path}.id", found=shown(edit.fields["id"]), allowed=edit.id)
        name = "move" if isinstance(edit, Move) else "set"
        if not edit.fields:
            self.draft.put(("work", self.step(edit.step, path)), (name, edit.id), None)
        for field, value in edit.fields.items():
            where = Path(edit.step, edit.id, (field,))
            self.step_fields(edit.step, name, (edit.id, field), _understood(where, value))

    def step_fields(self, step: str, name: str, fields: tuple[str, ...], value: Any) -> None:
        """Set what a step moves or sets."""
        number = self.step(step, f"{step}/{fields[0]}")
        self.draft.put(("work", number), (name, *fields), value)

    def add_step(self, edit: AddStep) -> None:
        self.free(edit.id, edit.id)
        if isinstance(self.draft.value(("work",)), list) and not self.draft.under(("work",)):
            raise EditRefused("job.edit.inline_work", path="work", found="work = [...]", allowed="[[work]]")
        text = f"[[work]]\nid = {value_of(edit.id)}\nsay = {value_of(edit.say)}\n"
        if edit.after == "before":
            first = next((b for b in self.draft.blocks if b.place[:1] == ("work",)), None)
            after = self.draft.blocks[self.draft.blocks.index(first) - 1] if first else None
            self.draft.insert_after(after or self.draft.last(("before",), ("job",)), text)
        elif edit.after is not None:
            number = self.step(edit.after, edit.id)
            self.draft.insert_after(self.draft.last(("work", number)), text)
        else:
            self.draft.insert_after(self.draft.last(("work",), ("before",), ("job",)), text)

    def drop_step(self, edit: DropStep) -> None:
        number = self.step(edit.id, edit.id)
        self.draft.cut_out(self.draft.under(("work", number)))
        self.drop_origins(lambda of: of.split("/")[0].split(".")[0] == edit.id)

    def order_steps(self, edit: OrderSteps) -> None:
        steps = self.draft.steps()
        if sorted(edit.ids) != sorted(steps):
            raise EditRefused("job.edit.not_all_steps", path="work", found=", ".join(edit.ids),
                              allowed=", ".join(steps))  # fmt: skip
        draft = self.draft
        groups = {number: [b for b in draft.blocks if b.place[:2] == ("work", number)] for number in steps.values()}
        texts = {number: "".join(b.text for b in blocks) for number, blocks in groups.items()}
        texts = {number: text if text.endswith("\n") else text + "\n" for number, text in texts.items()}
        slots = iter([texts[steps[ident]] for ident in edit.ids])
        out = []
        for block in draft.blocks:
            if block.place[:1] != ("work",) or int(block.place[1]) not in groups:
                out.append(block.text)
            elif len(block.place) == 2:
                out.append(next(slots))
        draft.recut(out)

    # --- assumptions, origins, amendments -----------------------------------------------------------------------
    def assume(self, edit: Assume | Unassume) -> None:
        held = self.draft.value(("assumptions",)) or []
        names = list(held) if isinstance(held, list) else []
        has = edit.name in names
        if has == isinstance(edit, Assume):
            key = "job.edit.already_assumed" if has else "job.edit.not_assumed"
            raise EditRefused(key, path="assumptions", found=edit.name, allowed=", ".join(map(str, names)),
                              near=near(edit.name, map(str, names)))  # fmt: skip
        names = [*names, edit.name] if not has else [each for each in names if each != edit.name]
        first = self.draft.blocks[0] if self.draft.blocks else None
        if first and not first.name and "assumptions" in (self.draft.plain(first) or {}):
            self.draft.put((), ("assumptions",), names or None)
            return
        line = f"assumptions = {value_of(names)}\n"
        texts = [block.text for block in self.draft.blocks]
        if first is None or first.name:
            self.draft.recut([line + "\n", *texts])
        else:
            lead = first.text if first.text.endswith("\n") else first.text + "\n"
            self.draft.recut([lead, line + "\n", *texts[1:]])

    def set_origin(self, edit: SetOrigin) -> None:
        parse_path(edit.origin.of)
        text = "\n".join(["[[origins]]", *field_lines(edit.origin)]) + "\n"
        for block in self.draft.blocks:
            if block.name == ("origins",) and (self.draft.plain(block) or {}).get("of") == edit.origin.of:
                self.draft.replace(block, text + body_and_tail(block.text)[1])
                return
        self.draft.insert_after(self.draft.last(("origins",)), text)

    def drop_origin(self, edit: DropOrigin) -> None:
        if not self.drop_origins(lambda of: of == edit.path):
            raise EditRefused("job.edit.no_origin", path=edit.path, found=edit.path, allowed="")

    def drop_origins(self, which: Callable[[str], bool]) -> bool:
        """Remove the origins of these paths."""
        gone = [
            block for block in self.draft.blocks
            if block.name == ("origins",) and which(str((self.draft.plain(block) or {}).get("of", "")))
        ]  # fmt: skip
        if gone:
            self.draft.cut_out(gone)
        return bool(gone)

    def set_amendments(self, edit: SetAmendments) -> None:
        own = self.draft.under(("amendments",))
        if own:
            self.draft.cut_out(own)
        elif self.draft.value(("amendments",)) is not None:
            self.draft.put((), ("amendments",), None)
        for each in edit.amendments:
            last = self.draft.last(("amendments",))
            try:
                self.draft.insert_after(last, table_text("[[amendments]]", each))
            except TypeError as error:
                raise EditRefused("job.edit.bad_field", path="amendments", field="amendments", found=shown(each),
                                  allowed="") from error  # fmt: skip


def _things_in(table: Any, place: Place) -> list[tuple[Place, dict[str, Any]]]:
    """The things in a block's own data, with their places."""
    found: list[tuple[Place, dict[str, Any]]] = []
    if not isinstance(table, dict):
        return found
    if len(place) > 1 and isinstance(place[-1], int) and place[-2] in COLLECTIONS:
        found.append((place, table))
    for key, value in table.items():
        if key in COLLECTIONS and isinstance(value, list):
            found += [((*place, key, n), each) for n, each in enumerate(value) if isinstance(each, dict)]
        elif key == "add" and isinstance(value, dict):
            found += _things_in(value, (*place, key))
    return found


def _understood(path: Path, value: Any) -> Any:
    """A value as it will stand in the file: typed quantities as numbers; what no file can hold is refused."""
    unit = unit_of(path.fields[-1]) if path.fields else None
    if isinstance(value, str) and unit:
        try:
            return typed(value, unit)
        except ValueError:
            return value
    if value is None:
        return None
    if isinstance(value, float):
        value = parsed(f"x = {value!r}\n")["x"]
    try:
        key_of(value_of(value))
    except TypeError as error:
        raise EditRefused("job.edit.bad_field", path=str(path), field="value", found=shown(value),
                          allowed="") from error  # fmt: skip
    return value
