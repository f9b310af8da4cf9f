"""Reads the package's own data files, once."""

from __future__ import annotations

import csv
import hashlib
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Any

from deadfront.codebook.editions import EDITIONS


@dataclass(frozen=True, slots=True)
class Data:
    """All entries as written, and the digest of the files they came from."""

    values: Mapping[str, dict[str, Any]]
    tables: Mapping[str, dict[str, Any]]
    rules: Mapping[str, dict[str, Any]]
    coverage: Mapping[str, Mapping[str, tuple[str, ...]]]
    reasons: Mapping[str, str]
    sources: Mapping[str, Any]
    digest: str
    questions: Mapping[str, dict[str, Any]]
    hazards: Mapping[str, dict[str, Any]]


def _files(folder: Traversable, prefix: str = "") -> dict[str, str]:
    found: dict[str, str] = {}
    for item in sorted(folder.iterdir(), key=lambda each: each.name):
        if item.is_dir():
            found |= _files(item, f"{prefix}{item.name}/")
        else:
            found[prefix + item.name] = item.read_text(encoding="utf-8")
    return found


def _entries(files: Mapping[str, str], folder: str) -> dict[str, dict[str, Any]]:
    entries: dict[str, dict[str, Any]] = {}
    for name, text in files.items():
        if name.startswith(folder) and name.endswith(".toml"):
            entries |= exact(tomllib.loads(text, parse_float=Decimal))
    return entries


def _merged(files: Mapping[str, str], folder: str) -> dict[str, Any]:
    """The TOML files of a folder as one, their tables joined."""
    joined: dict[str, Any] = {}
    for name, text in files.items():
        if name.startswith(folder) and name.endswith(".toml"):
            for table, entries in exact(tomllib.loads(text)).items():
                joined.setdefault(table, {}).update(entries)
    return joined


def exact(written: Any) -> Any:
    """The same data with every number as a Decimal and every list as a tuple."""
    if isinstance(written, dict):
        return {key: exact(each) for key, each in written.items()}
    if isinstance(written, list):
        return tuple(exact(each) for each in written)
    return Decimal(written) if type(written) is int else written


@lru_cache(maxsize=1)
def data() -> Data:
    """Everything the code book knows, as written in its data files."""
    files = _files(resources.files("deadfront.codebook") / "data")
    coverage = _merged(files, "coverage/")
    tables = _entries(files, "tables/")
    for name, table in tables.items():
        table["rows"] = tuple(csv.DictReader(files[f"tables/{name}.csv"].splitlines()))
    digest = hashlib.sha256()
    for name, text in files.items():
        digest.update(f"{name}\n{text}\0".encode())
    reasons = coverage.pop("reasons")
    sources = _entries(files, "sources/")
    return Data(
        _entries(files, "values/"), tables, _entries(files, "rules/"), coverage, reasons, sources, digest.hexdigest(),
        _entries(files, "questions/"), _entries(files, "hazards/"),
    )  # fmt: skip


def coverage_of(kind: str, name: str, edition: str) -> str:
    """The coverage word of one entry ("values", "tables", "rules", "questions" or "hazards") in one edition."""
    return data().coverage[kind][name][EDITIONS.index(edition)]
