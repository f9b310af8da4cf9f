"""Sudden death at random moments: 500 kills of a program that saves, 100 of one that exports, at full count."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.store.killed import kill_during_exports, kill_during_saves

SAVES, EXPORTS = 500, 100


def run(out: list[str], saves: int = SAVES, exports: int = EXPORTS) -> None:
    """Kill, open, look: a lost or torn revision or file stops the study."""
    out += [
        "A program is killed at random moments; afterwards the library holds together, every acknowledged revision is"
    ]
    out += ["there and whole, and the exported file is the old or the new one, never torn.", ""]
    out += ["| kills during | count | what survived |", "|---|---|---|"]
    for name, work, count in (("saves", kill_during_saves, saves), ("exports", kill_during_exports, exports)):
        with tempfile.TemporaryDirectory() as folder:
            seen = work(Path(folder), count)
        told = f"{seen.acknowledged:,} reported done, all found whole; {seen.left} left work for the next opening"
        out.append(f"| {name} | {seen.kills} | {told} |")
