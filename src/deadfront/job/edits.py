"""The edits there are, as plain data: each an operation on an id path. `edit.apply_edits` carries them out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError, field_validator

from deadfront.errors import EditRefused
from deadfront.job.model import Key, Origin
from deadfront.job.paths import Path, parse_path
from deadfront.job.problems import form_of, likely, shown
from deadfront.job.things import COLLECTIONS, Id, Name

Fields = dict[str, Any]


class _Edit(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    def touches(self) -> tuple[str, ...]:
        """The paths that it changes."""
        raise NotImplementedError


class _Pathed(_Edit):
    path: str

    @field_validator("path")
    @classmethod
    def _is_path(cls, value: str) -> str:
        try:
            parse_path(value)
        except EditRefused as error:
            raise ValueError("no path") from error
        return value

    def touches(self) -> tuple[str, ...]:
        return (self.path,)


class Set(_Pathed):
    """Set a field; None clears it: not known."""

    do: Literal["set"] = "set"
    value: Any = None


class Add(_Edit):
    """Add a thing: to the house as found ("before") or by a work step."""

    do: Literal["add"] = "add"
    step: Id | Literal["before"]
    collection: Literal[tuple(COLLECTIONS)]  # type: ignore[valid-type]
    thing: Fields

    def touches(self) -> tuple[str, ...]:
        return (f"{self.step}/{self.thing.get('id', '')}",)


class Remove(_Pathed):
    """Strike out a thing recorded in error; with cascade, whatever names it lets go of it."""

    do: Literal["remove"] = "remove"
    cascade: bool = False


class _InStep(_Edit):
    step: Id
    id: Id

    def touches(self) -> tuple[str, ...]:
        return (f"{self.step}/{self.id}",)


class TakeOut(_InStep):
    """The work removes a thing."""

    do: Literal["take_out"] = "take_out"


class PutBack(_InStep):
    """The work no longer removes a thing."""

    do: Literal["put_back"] = "put_back"


class Move(_InStep):
    """The work puts a thing elsewhere; a field set to None no longer changes; no fields: it stays where it was."""

    do: Literal["move"] = "move"
    fields: Fields

    def touches(self) -> tuple[str, ...]:
        return tuple(f"{self.step}/{self.id}.{name}" for name in self.fields) or (f"{self.step}/{self.id}",)


class SetInStep(_Edit):
    """The work changes facts of a thing or of the service; a field set to None no longer changes."""

    do: Literal["set_in_step"] = "set_in_step"
    step: Id
    id: Id | Literal["service"]
    fields: Fields

    def touches(self) -> tuple[str, ...]:
        return tuple(f"{self.step}/{self.id}.{name}" for name in self.fields) or (f"{self.step}/{self.id}",)


class AddStep(_Edit):
    """Add a step to the work: after another, first ("before"), or last (left out)."""

    do: Literal["add_step"] = "add_step"
    id: Id
    say: Name
    after: Id | Literal["before"] | None = None

    def touches(self) -> tuple[str, ...]:
        return (self.id,)


class DropStep(_Edit):
    """Strike out a step of the work with all it does."""

    do: Literal["drop_step"] = "drop_step"
    id: Id

    def touches(self) -> tuple[str, ...]:
        return (self.id,)


class OrderSteps(_Edit):
    """Put the steps of the work in this order; all of them are named."""

    do: Literal["order_steps"] = "order_steps"
    ids: tuple[Id, ...]

    def touches(self) -> tuple[str, ...]:
        return ("work",)


class Assume(_Edit):
    """Make a named assumption."""

    do: Literal["assume"] = "assume"
    name: Key

    def touches(self) -> tuple[str, ...]:
        return (f"assumptions.{self.name}",)


class Unassume(_Edit):
    """Take a named assumption back."""

    do: Literal["unassume"] = "unassume"
    name: Key

    def touches(self) -> tuple[str, ...]:
        return (f"assumptions.{self.name}",)


class SetOrigin(_Edit):
    """Say where a fact comes from, in place of what was said before."""

    do: Literal["set_origin"] = "set_origin"
    origin: Origin

    def touches(self) -> tuple[str, ...]:
        return (self.origin.of,)


class DropOrigin(_Pathed):
    """No longer say where a fact comes from."""

    do: Literal["drop_origin"] = "drop_origin"


class SetAmendments(_Edit):
    """Put these local amendments in place of those there are."""

    do: Literal["set_amendments"] = "set_amendments"
    amendments: tuple[Fields, ...]

    def touches(self) -> tuple[str, ...]:
        return ("amendments",)


Edit = (
    Set | Add | Remove | TakeOut | PutBack | Move | SetInStep | AddStep | DropStep | OrderSteps | Assume | Unassume
    | SetOrigin | DropOrigin | SetAmendments
)  # fmt: skip
_EDIT: TypeAdapter[Edit] = TypeAdapter(Annotated[Edit, Field(discriminator="do")])
DOES: tuple[str, ...] = tuple(model.model_fields["do"].default for model in Edit.__args__)
"""Every edit by the word in its `do`."""


def edit_from_dict(data: Mapping[str, Any]) -> Edit:
    """An edit from plain data, such as {"do": "set", "path": "before/l-2xf.nameplate_w", "value": 9000}.

    An origin may be given flat: {"do": "set_origin", "of": ..., "from": ...}.

    Raises:
        EditRefused: no such edit, or a field of it that does not fit.
    """
    if not isinstance(data, Mapping) or data.get("do") not in DOES:
        found = shown(data.get("do")) if isinstance(data, Mapping) else shown(data)
        raise EditRefused("job.edit.no_such_edit", path="do", found=found, allowed=", ".join(DOES),
                          **likely(found, DOES))  # fmt: skip
    if data["do"] == "set_origin" and "origin" not in data:
        data = {"do": "set_origin", "origin": {key: value for key, value in data.items() if key != "do"}}
    try:
        return _EDIT.validate_python(dict(data))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        field = ".".join(str(part) for part in first["loc"][1:])
        context = first.get("ctx", {})
        allowed = form_of(context["pattern"]) if "pattern" in context else str(context.get("expected") or "")
        raise EditRefused("job.edit.bad_field", path=str(data["do"]), field=field, found=shown(first["input"]),
                          allowed=allowed) from error  # fmt: skip


def conflicts(mine: Sequence[Edit], theirs: Sequence[str]) -> tuple[tuple[Edit, str], ...]:
    """My edits that touch what someone else touched since: (my edit, their path), for the side-by-side view."""
    return tuple((edit, path) for edit in mine for path in theirs if any(_meet(own, path) for own in edit.touches()))


def _meet(one: str, other: str) -> bool:
    try:
        a, b = parse_path(one), parse_path(other)
    except EditRefused:
        return one == other
    if a.covers(b) or b.covers(a):
        return True
    return _same_thing(a, b)


def _same_thing(a: Path, b: Path) -> bool:
    """A whole thing added, struck out or taken out meets every fact of it, in any step."""
    return a.thing is not None and a.thing == b.thing and "-" in a.thing and (not a.fields or not b.fields)
