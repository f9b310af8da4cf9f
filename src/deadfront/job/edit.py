"""Carrying out edits on a job file: all of them or none; comments and untouched blocks keep every byte."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from deadfront.errors import EditRefused, JobUnreadable
from deadfront.job.blocks import body_and_tail
from deadfront.job.draft import Draft
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
from deadfront.job.facts import Facts, understood
from deadfront.job.limits import check_text
from deadfront.job.model import FORMAT, Job
from deadfront.job.paths import Path, parse_path
from deadfront.job.problems import Problem, likely, shown
from deadfront.job.read import ReadJob, read_job
from deadfront.job.toml_text import field_lines, table_text, value_of
from deadfront.job.tree import parsed
from deadfront.job.upgrade import format_of, upgraded_table
from deadfront.msg import Msg

__all__ = ["Applied", "Edit", "apply_edits", "conflicts", "edit_from_dict"]


@dataclass(frozen=True, slots=True)
class Applied:
    """A job file after edits.

    Args:
        text: The new text.
        job: What it says.
        problems: What could not be taken as written; none of it new, except what the work leaves behind.
        touched: The paths that changed, to compare with someone else's edits.
        read: The new text as it was read, so that nobody need read it again.
    """

    text: str
    job: Job
    problems: tuple[Problem, ...]
    touched: tuple[str, ...]
    read: ReadJob


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
    return Applied(after.text, after.job, after.problems, tuple(touched), after)


def _read_after(text: str, file: str, kinds: Mapping[str, object] | None) -> ReadJob:
    try:
        return read_job(text, file=file, kinds=kinds)
    except JobUnreadable as error:
        inner = error.msg.params.get("problem")
        msg = inner if isinstance(inner, Msg) else error.msg
        raise EditRefused(msg.key, **{"path": "job", "found": "", **msg.params}) from error


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


class _Worker(Facts):
    """Does one edit after another on a draft."""

    def __init__(self, draft: Draft, used: set[str]) -> None:
        super().__init__(draft, used)
        self.acts: dict[type[Any], Callable[[Any], None]] = {
            Set: self.set, Add: self.add, Remove: self.remove, TakeOut: self.take_out, PutBack: self.put_back,
            Move: self.in_step, SetInStep: self.in_step, AddStep: self.add_step, DropStep: self.drop_step,
            OrderSteps: self.order_steps, Assume: self.assume, Unassume: self.assume, SetOrigin: self.set_origin,
            DropOrigin: self.drop_origin, SetAmendments: self.set_amendments,
        }  # fmt: skip

    def do(self, edit: Edit) -> None:
        """Do one edit."""
        self.acts[type(edit)](edit)

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
            self.step_fields(edit.step, name, (edit.id, field), understood(where, value))

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
            if block.place[:1] != ("work",) or block.place[1] not in groups:
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
                              **likely(edit.name, map(str, names)))  # fmt: skip
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
