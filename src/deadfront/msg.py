"""A message by key; its words live in the catalogs of documents/words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Msg:
    """A name, finding or remedy that a catalog turns into words.

    Args:
        key: Catalog key, dotted, such as "load.method.standard".
        params: Values for the words: numbers, Intervals, plain strings, other Msgs.
    """

    key: str
    params: Mapping[str, object] = field(default_factory=dict)

    def __hash__(self) -> int:
        return hash((self.key, tuple(sorted((k, str(v)) for k, v in self.params.items()))))


def said(key: str, /, **params: object) -> Msg:
    """A Msg, written short."""
    return Msg(key, params)
