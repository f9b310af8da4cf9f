"""Damaged job files at full count: every one read or refused in words, nothing lost on the way back."""

from __future__ import annotations

from tests.job.test_fuzz import damage

FILES = 50_000


def run(out: list[str], files: int = FILES) -> None:
    """Damage, read, write back, read again."""
    seen = damage(files, seed=11)
    out += [
        f"{files:,} damaged job files: none raised anything but a clear error, none stalled, every word that could not"
    ]
    out += ["be read was kept and written back.", ""]
    out += ["| what became of them | count |", "|---|---|"]
    out += [f"| {name} | {count:,} |" for name, count in seen.items()]
