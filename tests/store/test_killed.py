"""A program killed without warning loses nothing it has acknowledged. The full counts run in the study."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.store.killed import kill_during_exports, kill_during_saves

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs fork and SIGKILL")


def test_saves(tmp_path: Path) -> None:
    seen = kill_during_saves(tmp_path, 40)
    assert seen.kills == 40 and seen.acknowledged >= 40  # enough was going on to be worth killing


def test_exports(tmp_path: Path) -> None:
    seen = kill_during_exports(tmp_path, 10)
    assert seen.kills == 10 and seen.acknowledged >= 5
