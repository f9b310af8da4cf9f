"""Text kept beside the tests; DEADFRONT_NEW_SNAPSHOTS=1 writes it anew, to be read before it is committed."""

from __future__ import annotations

import os
from pathlib import Path

FOLDER = Path(__file__).parent / "snapshots"


def same_as_kept(name: str, text: str) -> None:
    """Fails where the text differs from the kept one, or none is kept."""
    kept = FOLDER / name
    if os.environ.get("DEADFRONT_NEW_SNAPSHOTS") == "1":
        FOLDER.mkdir(exist_ok=True)
        kept.write_text(text, encoding="utf-8")
    assert kept.is_file(), f"no snapshot {name}: run with DEADFRONT_NEW_SNAPSHOTS=1 and read it"
    assert text == kept.read_text(encoding="utf-8")
