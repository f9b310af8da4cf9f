"""The job file described for other programs (JSON Schema) and for people (a page), both from the models."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from deadfront.job.model import FORMAT, Choices, Head, Job, Origin, WorkStep
from deadfront.job.paths import GRAMMAR
from deadfront.job.things import COLLECTIONS, Complete, Service, unit_of

_MARKS = {"VA": "VA", "A": "A", "V": "V", "ft": "ft", "ft2": "ft2", "kA": "kA"}


def mark_of(field: str) -> str:
    """The unit of a field as printed in brackets, empty for a field that is no quantity."""
    return "W" if field.endswith("_w") else _MARKS.get(unit_of(field) or "", "")


def job_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a job file's data; quantities carry their unit in the description."""
    schema = Job.model_json_schema(by_alias=True, mode="validation")
    for owner in (schema, *schema.get("$defs", {}).values()):
        for field, about in owner.get("properties", {}).items():
            mark = mark_of(field)
            said = about.get("description", "")
            if mark and f"[{mark}]" not in said:
                about["description"] = f"{said} [{mark}]".strip()
    draft = "https://json-schema.org/draft/2020-12/schema"  # words-ok
    head = {"$schema": draft, "title": f"Job file, format {FORMAT}"}
    return {**head, **{key: value for key, value in schema.items() if key != "title"}}


def job_schema_text() -> str:
    """The schema as the text of docs/reference/job.schema.json; the same models always give the same text."""
    return json.dumps(job_schema(), indent=2, sort_keys=True, ensure_ascii=False) + "\n"


_TABLES: tuple[tuple[str, type[BaseModel]], ...] = (
    ("job", Head), ("before.complete", Complete), ("before.service", Service),
    *((f"[before.{name}]", model) for name, model in COLLECTIONS.items()),
    ("[work]", WorkStep), ("choices", Choices), ("[origins]", Origin),
)  # fmt: skip


def reference_text(words: Mapping[str, str]) -> str:
    """The tables of docs/reference/job-file.md: every block and field with what it may hold.

    Args:
        words: Head words of the page: title, intro, field, holds, about, paths; each a text.
    """
    lines = [f"# {words['title']}", "", words["intro"], ""]
    for header, model in _TABLES:
        lines += [f"## `[{header}]`", "", (model.__doc__ or "").strip().split("\n")[0], ""]
        lines += [f"| {words['field']} | {words['holds']} | {words['about']} |", "|---|---|---|", *_rows(model), ""]
    lines += [f"## {words['paths']}", "", *(f"- `{form}`" for form in GRAMMAR.split(", ")), ""]
    return "\n".join(lines)


def _rows(model: type[BaseModel], prefix: str = "") -> list[str]:
    """A table row for each field, those of inner models under dotted names."""
    rows = []
    defs = model.model_json_schema(by_alias=True)
    for name, info in model.__pydantic_fields__.items():
        kind = info.annotation
        key = prefix + (info.alias or name)
        if isinstance(kind, type) and issubclass(kind, BaseModel) and name != "add":
            rows += _rows(kind, key + ".")
            continue
        said = info.description or ""
        mark = mark_of(name)
        said = f"{said} [{mark}]".strip() if mark and f"[{mark}]" not in said else said
        holds = _holds(defs["properties"][info.alias or name], defs.get("$defs", {}))
        rows.append(f"| `{key}` | {holds} | {said} |")
    return rows


def _holds(about: Mapping[str, Any], defs: Mapping[str, Any]) -> str:
    """What a field may hold, from its schema: allowed words, or a plain kind."""
    if "enum" in about:
        return ", ".join(f"`{each}`" for each in about["enum"])
    if "const" in about:
        return f"`{about['const']}`"
    if "$ref" in about:
        return str(about["$ref"].rsplit("/", 1)[-1])
    if "anyOf" in about:
        kinds = [_holds(each, defs) for each in about["anyOf"] if each.get("type") != "null"]
        if "number" in kinds:
            return "number"
        return ", ".join(dict.fromkeys(kinds))
    if about.get("type") == "array":
        return "[" + _holds(about.get("items", {}), defs) + "]"
    return str(about.get("format") or about.get("type") or "any")
