"""Runs every study and writes docs/reference/study.md: `python -m tests.study.run`.

`stale()` says whether the committed page belongs to the engine as it is.
"""

from __future__ import annotations

import hashlib
import importlib
import re
import sys
import time
from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "reference" / "study.md"
ROOMS = ("loads", "codebook", "worksheet")
HEAD = "Engine: sha256 "


def engine_hash() -> str:
    """Checksum of everything that a load figure comes from."""
    source = ROOT / "src" / "deadfront"
    files = [source / "quantities.py"]
    for room in ROOMS:
        files += [path for path in (source / room).rglob("*") if path.suffix in (".py", ".toml", ".csv")]
    told = hashlib.sha256()
    for path in sorted(files):
        told.update(path.relative_to(source).as_posix().encode() + b"\0")
        told.update(path.read_bytes().replace(b"\r\n", b"\n") + b"\0")
    return told.hexdigest()


def stale() -> str | None:
    """Why the committed page does not belong to this engine, or None where it does."""
    if not PAGE.exists():
        return f"{PAGE.name} is not there: run python -m tests.study.run"
    found = re.search(re.escape(HEAD) + r"([0-9a-f]{64})", PAGE.read_text(encoding="utf-8"))
    if found is None:
        return f"{PAGE.name} names no engine: run python -m tests.study.run"
    if found[1] != engine_hash():
        return f"{PAGE.name} was made with another engine ({found[1][:12]}): run python -m tests.study.run"
    return None


def yardstick() -> float:
    """Seconds of a fixed piece of decimal arithmetic on this machine: times are told as ratios to it."""
    start = time.perf_counter()
    value = Decimal(0)
    for number in range(1, 1_000_001):
        value += Decimal(number) / 7
    assert value > 0
    return time.perf_counter() - start


def studies() -> list[tuple[str, Callable[[list[str]], None]]]:
    """Every module beside this one that has `run(out)`, by name."""
    found = []
    for path in sorted(Path(__file__).parent.glob("*.py")):
        if path.stem in ("run", "__init__") or path.stem.startswith("test_"):
            continue
        run = getattr(importlib.import_module(f"tests.study.{path.stem}"), "run", None)
        if run is not None:
            found.append((path.stem, run))
    return found


def main(only: Sequence[str] = ()) -> None:
    """Run all, or only those named, and write the page; what was not run is said on it."""
    engine, unit = engine_hash(), yardstick()
    out = [
        "# Study: what the engine was held against",
        "",
        f"{HEAD}{engine}",
        "",
        "Made by `python -m tests.study.run`, fixed seeds. Times are ratios to a yardstick: one million decimal",
        "divisions and additions on the same machine in the same run.",
    ]
    for name, run in studies():
        if only and name not in only:
            out += ["", f"Not run for this page: `{name}`."]
            continue
        start = time.perf_counter()
        lines: list[str] = []
        run(lines)
        out += ["", *lines, "", f"Time of `{name}`: {(time.perf_counter() - start) / unit:.0f} yardsticks."]
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text("\n".join(out) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
