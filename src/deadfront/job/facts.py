"""Edits of facts and things on a draft: set, add, strike out, with whatever names them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import tomlkit

from deadfront.errors import EditRefused
from deadfront.job.blocks import Place
from deadfront.job.draft import Draft, Spot, in_house
from deadfront.job.edits import Add, Remove, Set
from deadfront.job.paths import THINGS, Path, parse_path
from deadfront.job.problems import judged, shown
from deadfront.job.references import POINTS_TO
from deadfront.job.things import COLLECTIONS, unit_of
from deadfront.job.toml_text import field_lines, value_of
from deadfront.job.tree import parsed
from deadfront.job.write import thing_text
from deadfront.quantities import typed


class Facts:
    """Does edits of facts and things on a draft."""

    def __init__(self, draft: Draft, used: set[str]) -> None:
        self.draft, self.used = draft, used

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
        value = understood(path, edit.value)
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
        elif path.step and path.fields in (("say",), ("zone",), ("ticks",)):
            self.draft.put(("work", self.step(path.step, edit.path)), path.fields, value)
        else:
            raise EditRefused("job.edit.not_set_so", path=edit.path, found=edit.path, allowed="say, zone, ticks")

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
        bare = draft.at(("before", thing)) is None and draft.at(("before",)) is None
        if bare and draft.value(("before", thing)) is None:
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
        fields = {key: understood(Path(edit.step, ident, (key,)), value) for key, value in edit.thing.items()
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
            raise EditRefused("job.edit.no_thing", path=edit.path, found=edit.path, allowed=THINGS)
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
            if plain is None or not in_house(block.place):
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

    def step_fields(self, step: str, name: str, fields: tuple[str, ...], value: Any) -> None:
        """Set what a step moves or sets."""
        number = self.step(step, f"{step}/{fields[0]}")
        self.draft.put(("work", number), (name, *fields), value)

    def drop_origins(self, which: Callable[[str], bool]) -> bool:
        """Remove the origins of these paths."""
        gone = [
            block for block in self.draft.blocks
            if block.name == ("origins",) and which(str((self.draft.plain(block) or {}).get("of", "")))
        ]  # fmt: skip
        if gone:
            self.draft.cut_out(gone)
        return bool(gone)


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


def understood(path: Path, value: Any) -> Any:
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
        value_of(value)
    except TypeError as error:
        raise EditRefused("job.edit.bad_field", path=str(path), field="value", found=shown(value),
                          allowed="") from error  # fmt: skip
    return value
