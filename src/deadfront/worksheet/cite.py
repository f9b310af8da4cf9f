"""Where a figure or rule stands, and how sure we are that it stands there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Status = Literal["verified", "partly", "memory"]


@dataclass(frozen=True, slots=True)
class Cite:
    """One place in a code book.

    Args:
        section: "220.14(J)", "Table 220.55".
        edition: "2023".
        code: "NEC", or the name of the local amendments.
        status: How far public sources support the value: verified, partly, or memory.
        source: Where the value was confirmed (short key of docs/reference/sources.md).
        confirmed_by: License holder who compared it with the book, or None.
    """

    section: str
    edition: str
    code: str = "NEC"
    status: Status = "verified"
    source: str = ""
    confirmed_by: str | None = None

    @property
    def marked(self) -> bool:
        """True where a sheet must print the mark 'from memory, check with the book'."""
        return self.status == "memory" and self.confirmed_by is None
