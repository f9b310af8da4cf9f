"""What is wrong with a job file: file, line, field, found, allowed; and the blocks set aside for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from deadfront.job.blocks import Element, Place
from deadfront.job.limits import CONTROL, unreasonable
from deadfront.msg import Msg


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in a job file that could not be taken as written.

    Args:
        msg: What was found and what is allowed, with file, line and field.
        path: Where: "before/l-2xf", "before.loads", "work".
        line: Line of the file, None for a job that has no text.
        set_aside: The block was left out of the job; its text is kept.
    """

    msg: Msg
    path: str
    line: int | None
    set_aside: bool = False

    @property
    def located(self) -> Msg:
        """The problem with file, line and place before it."""
        file, line = self.msg.params.get("file", ""), str(self.line or "")
        return Msg("job.read.at", {"file": file, "line": line, "path": self.path, "problem": self.msg})


@dataclass(frozen=True, slots=True)
class KeptBlock:
    """A block that could not be understood, word for word, to be shown and written back.

    Args:
        text: As written, or as it would be written if it stood inside another block.
        place: Where it stood in the whole.
        within: "before", the id of a work step, or "" for the job itself.
        collection: The collection it belongs to; empty if it cannot be told.
        line: Line of the file.
        line_only: A single field, to be written back inside the block it stood in.
    """

    text: str
    place: Place
    within: str
    collection: str
    line: int
    line_only: bool = False


def near(found: str, allowed: Iterable[str]) -> str:
    """The allowed word most like the one found, or empty."""
    return next(iter(get_close_matches(found, list(allowed), 1)), "") if len(found) <= 40 else ""


def likely(found: str, allowed: Iterable[str]) -> dict[str, Any]:
    """Parameters for the word most like the one found: itself, and a Msg that offers it."""
    word = near(found, allowed)
    return {"near": word, "hint": Msg("job.read.hint", {"near": word}) if word else ""}


def shown(value: Any) -> str:
    """A found value short enough to print."""
    text = CONTROL.sub(lambda m: f"\\u{ord(m[0]):04x}", value if isinstance(value, str) else str(value))
    return text if len(text) <= 60 else text[:57] + "..."


def field_names(model: type[BaseModel]) -> list[str]:
    """The fields of a model as a job file writes them."""
    return [info.alias or name for name, info in model.__pydantic_fields__.items()]


_BOUNDS = {"greater_than": ("gt", "> "), "greater_than_equal": ("ge", ">= "), "less_than": ("lt", "< "),
           "less_than_equal": ("le", "<= ")}  # fmt: skip


_PATTERNS = {
    r"^[a-z]{1,3}-[0-9a-z]{2,16}$": "id",
    r"^[a-z0-9_]{2,40}$": "key",
    r"^([0-9]+-)?[0-9]+(/[0-9]+)?$": "horsepower",
    r"^[a-z_]{2,30}$": "kind",
    r"^[0-9a-f]{64}$": "checksum",
    r"^([0-9]+-)?[0-9]+(/[0-9])?$": "trade_size",
    r"^([01][0-9]|2[0-3]):[0-5][0-9]$": "time",
}


def form_of(pattern: str) -> Msg:
    """The form that a pattern asks for, in words with an example."""
    return Msg(f"job.form.{_PATTERNS.get(pattern, 'other')}")


def said_of(error: Mapping[str, Any], model: type[BaseModel]) -> Msg:
    """One error of a model as a Msg with field, found, allowed (and near, if a word is close to what was found)."""
    kind, ctx = error["type"], error.get("ctx", {})
    field = ".".join(str(part) for part in error["loc"])
    found = shown(error["input"])
    if kind == "missing":
        return Msg("job.read.missing_field", {"field": field})
    if kind == "extra_forbidden":
        owner = _owner(model, error["loc"][:-1])
        names = field_names(owner) if owner else []
        name = str(error["loc"][-1])
        return Msg("job.read.unknown_field", {"field": field, "found": shown(name), "allowed": ", ".join(names),
                                              **likely(name, names)})  # fmt: skip
    if kind == "literal_error":
        allowed = str(ctx.get("expected", "")).replace("'", "").replace(" or ", ", ")
        return Msg("job.read.not_allowed", {"field": field, "found": found, "allowed": allowed,
                                            **likely(found, allowed.split(", "))})  # fmt: skip
    if kind in _BOUNDS:
        name, sign = _BOUNDS[kind]
        return Msg("job.read.out_of_range", {"field": field, "found": found, "allowed": f"{sign}{ctx[name]}"})
    if kind.startswith("decimal") or kind in ("int_parsing", "int_type", "int_from_float", "finite_number"):
        return Msg("job.read.not_a_number", {"field": field, "found": found})
    if kind == "string_pattern_mismatch":
        key = "job.read.bad_id" if form_of(ctx["pattern"]).key == "job.form.id" else "job.read.bad_form"
        return Msg(key, {"field": field, "found": found, "allowed": form_of(ctx["pattern"])})
    if kind in ("string_too_long", "string_too_short"):
        key, length = ("too_long", "max_length") if kind == "string_too_long" else ("too_short", "min_length")
        return Msg(f"job.read.{key}", {"field": field, "found": found, "allowed": ctx[length]})
    form = next((form for start, form in _FORMS if kind.startswith(start)), "other")
    return Msg(f"job.read.not_{form}", {"field": field, "found": found})


_FORMS = (("string", "text"), ("bool", "yes_no"), ("date", "date"), ("tuple", "list"), ("list", "list"),
          ("dict", "table"), ("model", "table"))  # fmt: skip


def _owner(model: type[BaseModel], loc: Iterable[Any]) -> type[BaseModel] | None:
    """The model that an error inside another one is about."""
    owner: type[BaseModel] | None = model
    for part in loc:
        info = owner.__pydantic_fields__.get(str(part)) if owner else None
        kind = info.annotation if info else None
        owner = kind if isinstance(kind, type) and issubclass(kind, BaseModel) else None
    return owner


def first_said(error: ValidationError, model: type[BaseModel]) -> list[Msg]:
    """The errors of a model as Msgs, at most five."""
    return [said_of(each, model) for each in error.errors(include_url=False)[:5]]


M = TypeVar("M", bound=BaseModel)


def beyond(data: Any) -> Iterable[Msg]:
    """Numbers beyond reason and control characters, as Msgs."""
    for field, value, kind in unreasonable(data):
        allowed = "10^12" if kind == "number" else ""
        yield Msg(f"job.read.bad_{kind}", {"field": field, "found": shown(value), "allowed": allowed})


def judged(model: type[M], data: Any) -> tuple[M | None, list[Msg]]:
    """A model of plain data, or None with what is wrong with it."""
    if not isinstance(data, Mapping):
        return None, [Msg("job.read.not_table", {"field": "", "found": shown(data)})]
    kept = getattr(data, "understood", None) if isinstance(data, Element) else None
    if type(kept) is model:
        return kept, []
    said = list(beyond(data))[:5]
    if said:
        return None, said
    try:
        found = model.model_validate(data)
    except ValidationError as error:
        return None, first_said(error, model)
    if isinstance(data, Element):
        data.understood = found
    return found, []
