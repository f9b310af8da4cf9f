"""A library in a real file, closed after each test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from deadfront.store.library import Library, open_library


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    """A new library."""
    with open_library(tmp_path / "library.db") as opened:
        yield opened
