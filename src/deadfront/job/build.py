"""From plain nested data to a Job: each thing judged by itself, so a bad block costs only its own collection."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from deadfront.errors import JobUnreadable
from deadfront.job.blocks import Block, Place
from deadfront.job.limits import MAX_THINGS, unreasonable
from deadfront.job.model import Added, Choices, Head, Job, Key, Origin, WorkStep
from deadfront.job.problems import KeptBlock, Problem, beyond, first_said, judged, likely, shown
from deadfront.job.references import check_references, check_work
from deadfront.job.things import COLLECTIONS, Complete, House, Model, Service, Thing
from deadfront.job.toml_text import key_of, table_text, value_of
from deadfront.job.tree import Tree
from deadfront.msg import Msg

M = TypeVar("M", bound=Model)
TOP = ("job", "before", "work", "choices", "assumptions", "amendments", "origins")
MOST = {"work": 500, "origins": 20_000, "amendments": 500, "assumptions": 200}
_KEY: TypeAdapter[str] = TypeAdapter(Key)


class Builder:
    """Builds one Job; problems, kept blocks and lost collections gather on the way."""

    def __init__(self, tree: Tree, file: str, kinds: Iterable[str]) -> None:
        self.tree, self.file, self.kinds = tree, file, list(kinds)
        self.problems: list[Problem] = []
        self.kept: list[KeptBlock] = []
        self.lost: set[str] = set()
        self.ids: dict[str, str] = {}
        self.hurt: set[Place] = set()
        self.places: dict[str, Place] = {}
        self.things = 0
        self.step_ids: dict[int, str] = {}
        self.blocks: dict[Place, Block] = {block.place: block for block in reversed(tree.blocks)}
        self.at_top: dict[Any, list[Block]] = {}
        for block in tree.blocks:
            self.at_top.setdefault(block.place[:1][0] if block.place else None, []).append(block)

    # --- problems and what is kept ------------------------------------------------------------------------------
    def line_of(self, place: Place, field: str = "") -> int:
        """Line of a field, or of the block that holds a place."""
        block = next((self.blocks[place[:n]] for n in range(len(place), -1, -1) if place[:n] in self.blocks), None)
        if block is None:
            return 1
        for name in (field, field.split(".")[-1]) if field else ():
            found = re.search(rf"^[ \t]*{re.escape(name)}[ \t]*=", block.text, re.M)
            if found:
                return block.line + block.text.count("\n", 0, found.start())
        return block.line

    def problem(self, msg: Msg, path: str, place: Place, *, aside: bool = False, line: int | None = None) -> None:
        """Note a problem, with its file and line."""
        at = line or self.line_of(place, str(msg.params.get("field", "")))
        params = {**msg.params, "file": self.file, "line": at, "path": path}
        self.problems.append(Problem(Msg(msg.key, params), path, at, aside))

    def within(self, place: Place) -> str:
        """The step a place belongs to; for a step itself, the step before it."""
        if place[:1] != ("work",) or len(place) < 2:
            return "before" if place[:1] in ((), ("before",)) else ""
        if not isinstance(place[1], int):
            return ""
        number = place[1] - (len(place) == 2)
        while number >= 0 and number not in self.step_ids:
            number -= 1
        return self.step_ids.get(number, "before").strip()  # as the model keeps it

    def keep(self, place: Place, collection: str, raw: Any) -> None:
        """Keep the text of a thing set aside: its own blocks as written, or written out if it stands inside another."""
        own = [b for b in self.tree.blocks if b.place[: len(place)] == place] if place in self.blocks else []
        if own:
            text = "".join(block.text for block in own)
        else:
            name = ".".join(key_of(part) for part in place if isinstance(part, str))
            data = raw if isinstance(raw, dict) else {"found": raw}
            text = table_text(f"[[{name}]]", data)
        self.kept.append(KeptBlock(text, place, self.within(place), collection, self.line_of(place)))

    def keep_line(self, place: Place, fields: tuple[str, ...], value: Any) -> None:
        """Keep a field set aside as the line that would write it."""
        if place[:1] == ("work",):  # a step's own lines stand in its one block
            place, fields = place[:2], (*map(str, place[2:]), *fields)
        text = ".".join(key_of(part) for part in fields) + f" = {value_of(value)}\n"
        where = (*place, *fields)
        self.kept.append(KeptBlock(text, where, self.within((*place, "")), "", self.line_of(place), line_only=True))

    def place_of(self, ident: str) -> Place:
        """Where a thing stands in the whole."""
        return self.places.get(ident, ())

    def lose(self, collection: str) -> None:
        """A collection lost a block; if it cannot be told which, all did."""
        self.lost |= {collection} if collection in COLLECTIONS else set(COLLECTIONS)

    # --- the parts ----------------------------------------------------------------------------------------------
    def job(self, raw: dict[str, Any]) -> Job:
        """The Job.

        Raises:
            JobUnreadable: no readable [job] table.
        """
        head = self.head(raw.get("job"))
        for number, step in enumerate(raw["work"]) if isinstance(raw.get("work"), list) else ():
            if isinstance(step, dict) and isinstance(step.get("id"), str):
                self.step_ids[number] = step["id"]
        self.damage()
        before = self.house(raw.get("before", {}))
        work = self.work(self.listed(raw, "work"))
        choices = self.lenient(Choices, raw.get("choices", {}), ("choices",), "choices") or Choices()
        assumptions = tuple(self.assumptions(self.listed(raw, "assumptions")))
        amendments = tuple(self.amendments(self.listed(raw, "amendments")))
        origins = tuple(self.origins(self.listed(raw, "origins")))
        for key in raw:
            if key not in TOP:
                self.unknown_top(key, raw[key])
        job = Job.model_construct(job=head, before=before, work=work, choices=choices, assumptions=assumptions,
                                  amendments=amendments, origins=origins)  # fmt: skip
        job = check_work(job, self)
        check_references(job, self)
        if self.lost:
            counted = self.lost & set(Complete.model_fields)
            complete = job.before.complete.model_copy(update=dict.fromkeys(counted, "unknown"))
            job = job.model_copy(update={"before": job.before.model_copy(update={"complete": complete})})
        return job

    def listed(self, raw: dict[str, Any], name: str) -> list[Any]:
        """A list of the job, empty if there is none or it is no list."""
        value = raw.get(name, [])
        if not isinstance(value, list):
            self.problem(Msg("job.read.not_list", {"field": name, "found": shown(value)}), name, (name,), aside=True)
            self.keep_raw(name, value)
            if name == "work":
                self.lose("")
            return []
        if len(value) > MOST[name]:
            raise JobUnreadable("job.read.too_many", file=self.file, what=name, found=len(value), allowed=MOST[name])
        return value

    def keep_raw(self, name: str, value: Any) -> None:
        """Keep a top-level part as its blocks, or as its line."""
        own = self.at_top.get(name)
        if own:
            text = "".join(block.text for block in own)
            self.kept.append(KeptBlock(text, (name,), "", "", self.line_of((name,))))
        else:
            self.keep_line((), (name,), value)

    def unknown_top(self, key: str, value: Any) -> None:
        msg = Msg("job.read.unknown_field", {"field": key, "found": shown(key), "allowed": ", ".join(TOP),
                                             **likely(key, TOP)})  # fmt: skip
        self.problem(msg, shown(key), (key,), aside=True)
        self.keep_raw(key, value)
        self.lose("")

    def damage(self) -> None:
        """Blocks that could not be read at all."""
        for each in self.tree.damage:
            block = each.block
            collection = block.name[-1] if block.name and block.name[-1] in COLLECTIONS else ""
            harmless = block.name[:1] in (("job",), ("choices",), ("origins",), ("amendments",)) or (
                block.name[:2] == ("before", "service")
            )
            if not collection and len(block.name) > 2 and block.name[-2] in COLLECTIONS:
                collection = block.name[-2]
            several = len(re.findall(r"\bid\b[ \t\"']*=", block.text)) > 1 or "[[" in block.text[2:]
            if several or not harmless:
                self.lose("" if several else collection)
            path = ".".join(block.name) or "the first lines"
            msg = Msg(f"job.read.unreadable_{each.why}", {"found": shown(each.found), "block": path})
            self.problem(msg, path, block.place, aside=True, line=each.line)
            owner = next((block.place[: n + 1] for n in range(1, len(block.place) - 1)
                          if isinstance(block.place[n], int) and block.place[n - 1] in COLLECTIONS), None)  # fmt: skip
            if owner and owner not in self.tree.broken:
                self.hurt.add(owner)  # kept with the thing that it belongs to
                continue
            self.kept.append(KeptBlock(block.text, block.place, self.within(block.place), collection, block.line))

    def head(self, raw: Any) -> Head:
        """The [job] table; nothing can be said without its name and its code's edition."""
        if not isinstance(raw, dict):
            damaged = next((d for d in self.tree.damage if d.block.name == ("job",)), None)
            line, found = (damaged.line, shown(damaged.found)) if damaged else (1, "")
            raise JobUnreadable("job.read.no_job_table", file=self.file, line=line, found=found)
        head = self.lenient(Head, raw, ("job",), "job")
        if head is None:
            last = self.problems[-1].msg
            last = next((p.msg for p in self.problems if p.msg.params.get("field") == last.params.get("field")), last)
            raise JobUnreadable("job.read.job_table", file=self.file, line=last.params.get("line", 1), problem=last)
        return head

    def house(self, raw: Any) -> House:
        """The house as found."""
        if not isinstance(raw, dict):
            self.problem(Msg("job.read.not_table", {"field": "before", "found": shown(raw)}), "before", (), aside=True)
            self.keep_raw("before", raw)
            self.lose("")
            return House()
        parts: dict[str, Any] = {}
        complete = self.lenient(Complete, raw.get("complete", {}), ("before", "complete"), "before/complete")
        service = self.lenient(Service, raw.get("service", {}), ("before", "service"), "before/service")
        for name in raw:
            if name in COLLECTIONS:
                parts[name] = self.collection(name, raw[name], ("before",), "before")
            elif name not in ("complete", "service"):
                self.unknown_collection(name, raw[name], ("before",), "before")
        return House.model_construct(complete=complete or Complete(), service=service or Service(),
                                     **{name: parts.get(name, ()) for name in COLLECTIONS})  # fmt: skip

    def unknown_collection(self, name: str, value: Any, place: Place, path: str) -> None:
        """A name in [before] or in a step's `add` that is no collection."""
        allowed = [*COLLECTIONS] if path != "before" else ["complete", "service", *COLLECTIONS]
        msg = Msg("job.read.unknown_field", {"field": shown(name), "found": shown(name),
                                             "allowed": ", ".join(allowed), **likely(name, allowed)})  # fmt: skip
        here = (*place, name)
        self.problem(msg, f"{path}.{shown(name)}", here, aside=True)
        blocks = [b for b in self.tree.blocks if b.place[: len(here)] == here]
        if blocks:
            text = "".join(b.text for b in blocks)
            self.kept.append(KeptBlock(text, here, self.within((*here, "")), "", blocks[0].line))
        else:
            self.keep_line(place, (name,), value)
        self.lose("")

    def collection(self, name: str, raw: Any, place: Place, path: str) -> tuple[Thing, ...]:
        """The things of one collection that can be understood."""
        here = (*place, name)
        if not isinstance(raw, list):
            self.problem(Msg("job.read.not_list", {"field": name, "found": shown(raw)}), f"{path}.{name}", here,
                         aside=True)  # fmt: skip
            self.keep(here, name, raw) if here in self.blocks else self.keep_line(place, (name,), raw)
            self.lose(name)
            return ()
        self.things += len(raw)
        if self.things > MAX_THINGS:
            raise JobUnreadable("job.read.too_many", file=self.file, what="things", found=self.things,
                                allowed=MAX_THINGS)  # fmt: skip
        found: list[Thing] = []
        for number, data in enumerate(raw):
            if (*here, number) in self.tree.broken:
                continue
            thing = self.thing(name, data, (*here, number), path)
            if thing is not None:
                found.append(thing)
        return tuple(found)

    def thing(self, name: str, data: Any, place: Place, path: str) -> Thing | None:
        """One thing; set aside, with all its problems named, if it cannot be understood."""
        if place in self.hurt:
            self.keep(place, name, data)
            self.lose(name)
            return None
        ident = data.get("id") if isinstance(data, dict) else None
        where = f"{path}/{shown(ident)}" if ident is not None else f"{path}.{name}"
        thing, said = judged(COLLECTIONS[name], data)
        if thing is not None and name == "loads" and thing.kind not in self.kinds:  # type: ignore[attr-defined]
            kind = thing.kind  # type: ignore[attr-defined]
            said.append(Msg("job.read.unknown_kind", {"field": "kind", "found": kind, "allowed": ", ".join(self.kinds),
                                                      **likely(kind, self.kinds)}))  # fmt: skip
        if thing is not None and thing.id in self.ids:
            said.append(Msg("job.read.id_twice", {"field": "id", "found": thing.id, "first": self.ids[thing.id]}))
        if thing is not None and not said:
            self.ids[thing.id] = where
            self.places[thing.id] = place
            return thing
        for msg in said:
            self.problem(msg, where, place, aside=True)
        self.keep(place, name, data)
        self.lose(name)
        return None

    def work(self, raw: list[Any]) -> tuple[WorkStep, ...]:
        """The steps of the work that can be understood."""
        steps = []
        for number, data in enumerate(raw):
            place: Place = ("work", number)
            if place not in self.tree.broken:
                step = self.step(data, place)
                if step is not None:
                    steps.append(step)
        return tuple(steps)

    def step(self, data: Any, place: Place) -> WorkStep | None:
        """One step; set aside if its id, its words or its lists cannot be understood."""
        ident = data.get("id") if isinstance(data, dict) else None
        path = shown(ident) if ident is not None else "work"
        plain = {key: value for key, value in data.items() if key != "add"} if isinstance(data, dict) else data
        step, said = judged(WorkStep, plain)
        if step is not None and step.id in self.ids:
            said.append(Msg("job.read.id_twice", {"field": "id", "found": step.id, "first": self.ids[step.id]}))
        added = data.get("add", {}) if isinstance(data, dict) else {}
        if not isinstance(added, dict):
            said.append(Msg("job.read.not_table", {"field": "add", "found": shown(added)}))
        if step is None or said:
            for msg in said:
                self.problem(msg, path, place, aside=True)
            self.keep(place, "", data)
            self.lose("")
            return None
        self.ids[step.id] = path
        parts = {}
        for name, value in added.items():
            if name in COLLECTIONS:
                parts[name] = self.collection(name, value, (*place, "add"), path)
            else:
                self.unknown_collection(name, value, (*place, "add"), path)
        every: dict[str, Any] = {name: parts.get(name, ()) for name in COLLECTIONS}
        return step.model_copy(update={"add": Added.model_construct(
            **every)})  # fmt: skip

    def assumptions(self, raw: list[Any]) -> Iterable[str]:
        """The named assumptions."""
        for each in raw:
            try:
                yield _KEY.validate_python(each)
            except ValidationError:
                msg = Msg("job.read.bad_form", {"field": "assumptions", "found": shown(each),
                                                     "allowed": Msg("job.form.key")})  # fmt: skip
                self.problem(msg, "assumptions", (), aside=True)
                self.keep_line((), ("assumptions",), [each])

    def amendments(self, raw: list[Any]) -> Iterable[dict[str, Any]]:
        """The local amendments, as plain data; the code book judges them."""
        for number, each in enumerate(raw):
            place: Place = ("amendments", number)
            if place in self.tree.broken:
                continue
            bad = [] if isinstance(each, dict) else [Msg("job.read.not_table", {"field": "amendments",
                                                                               "found": shown(each)})]  # fmt: skip
            bad += list(beyond(each))
            if not bad:
                yield each
                continue
            for msg in bad:
                self.problem(msg, "amendments", place, aside=True)
            self.keep(place, "", each)

    def origins(self, raw: list[Any]) -> Iterable[Origin]:
        """Where facts come from."""
        for number, each in enumerate(raw):
            place: Place = ("origins", number)
            if place in self.tree.broken:
                continue
            origin, said = judged(Origin, each)
            if origin is not None and not said:
                yield origin
                continue
            for msg in said:
                self.problem(msg, "origins", place, aside=True)
            self.keep(place, "", each)

    def lenient(self, model: type[M], raw: Any, place: Place, path: str) -> M | None:
        """A model without the fields that cannot be understood; None if what is left is not enough."""
        if not isinstance(raw, dict):
            self.problem(Msg("job.read.not_table", {"field": place[-1], "found": shown(raw)}), path, place, aside=True)
            self.keep_line(place[:-1], (str(place[-1]),), raw)
            return None
        found = list(unreasonable(raw))
        for field, value, kind in found:
            self.problem(Msg(f"job.read.bad_{kind}", {"field": field, "found": shown(value)}), path, place, aside=True)
            self.drop(raw, tuple(field.split(".")), place)
        while True:
            try:
                return model.model_validate(raw)
            except ValidationError as error:
                dropped = False
                for each, msg in zip(error.errors(include_url=False), first_said(error, model), strict=False):
                    self.problem(msg, path, place, aside=True)
                    fields = tuple(str(p) for p in each["loc"] if p != "[key]")
                    dropped = self.drop(raw, fields, place) or dropped
                if not dropped:
                    return None

    def drop(self, raw: Any, fields: tuple[str, ...], place: Place) -> bool:
        """Take a field out of plain data, keeping the line that wrote it."""
        for number, part in enumerate(fields):
            if not isinstance(raw, dict) or part not in raw:
                return False
            if number == len(fields) - 1 or not isinstance(raw[part], dict):
                self.keep_line(place, fields[: number + 1], raw.pop(part))
                if part == "id":
                    self.lose("")
                return True
            raw = raw[part]
        return False
