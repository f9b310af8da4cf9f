"""A desk on a library in a real file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from deadfront.app.library import Desk
from tests.app.desk import new_desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A new desk."""
    made = new_desk(tmp_path)
    yield made
    made.library.close()
