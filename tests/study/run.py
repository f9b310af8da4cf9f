"""Runs every study and writes docs/reference/study.md: `python -m tests.study.run`, or only those named behind it.

Each study tells the checksum of the rooms it was held against; `stale()` says which sections of the committed page do
not belong to the rooms as they are. A study that is not run keeps its section.
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
# What each study stands on; a room not named here may change without making its section stale.
ROOMS = {
    "loads": ("loads", "codebook", "worksheet"),
    "recordings": ("recordings",),
    "job_files": ("job",),
    "library": ("store", "job"),
    "circuits": ("physics", "codebook"),
    "circuit_tables": ("circuits", "codebook", "worksheet"),
    "panels": ("panel",),
    "grounding_tables": ("codebook",),
    "isolation": ("isolation", "topology"),
}
SECTION = re.compile(r"^Study `(\w+)`, engine: sha256 ([0-9a-f]{64}).*$", re.MULTILINE)


def engine_hash(study: str) -> str:
    """Checksum of everything that the figures of a study come from."""
    source = ROOT / "src" / "deadfront"
    files = [source / "quantities.py", source / "errors.py"]
    for room in ROOMS[study]:
        files += [path for path in (source / room).rglob("*") if path.suffix in (".py", ".toml", ".csv")]
    told = hashlib.sha256()
    for path in sorted(files):
        told.update(path.relative_to(source).as_posix().encode() + b"\0")
        told.update(path.read_bytes().replace(b"\r\n", b"\n") + b"\0")
    return told.hexdigest()


def heading(study: str, engine: str) -> str:
    """The line that a section begins with."""
    return f"Study `{study}`, engine: sha256 {engine} (of {', '.join(ROOMS[study])})"


def sections() -> dict[str, tuple[str, str]]:
    """Engine and text of every section of the committed page."""
    text = PAGE.read_text(encoding="utf-8") if PAGE.exists() else ""
    found = list(SECTION.finditer(text))
    ends = [each.start() for each in found[1:]] + [len(text)]
    return {each[1]: (each[2], text[each.start() : end].strip()) for each, end in zip(found, ends, strict=False)}


def stale() -> str | None:
    """Which sections of the committed page do not belong to the rooms as they are, or None where all do."""
    if not PAGE.exists():
        return f"{PAGE.name} is not there: run python -m tests.study.run"
    found = sections()
    lacking = [study for study in ROOMS if study not in found]
    other = [study for study in ROOMS if study in found and found[study][0] != engine_hash(study)]
    told = [f"lacks {', '.join(lacking)}"] * bool(lacking) + [f"made with another engine: {', '.join(other)}"] * bool(
        other
    )
    if not told:
        return None
    return f"{PAGE.name} {'; '.join(told)}: run python -m tests.study.run {' '.join(lacking + other)}"


def yardstick() -> float:
    """Seconds of a fixed piece of decimal arithmetic on this machine: times are told as ratios to it."""
    start = time.perf_counter()
    value = Decimal(0)
    for number in range(1, 1_000_001):
        value += Decimal(number) / 7
    assert value > 0
    return time.perf_counter() - start


def studies(only: Sequence[str] = ()) -> list[tuple[str, Callable[[list[str]], None]]]:
    """Every module beside this one that has `run(out)`, or those named, by name."""
    found = []
    for path in sorted(Path(__file__).parent.glob("*.py")):
        if path.stem in ("run", "__init__") or path.stem.startswith("test_") or (only and path.stem not in only):
            continue
        run = getattr(importlib.import_module(f"tests.study.{path.stem}"), "run", None)
        if run is not None:
            found.append((path.stem, run))
    return found


def main(only: Sequence[str] = ()) -> None:
    """Run all, or only those named, and write the page; the others keep their sections."""
    unit = yardstick()
    for name, run in studies(only):
        engine, start = engine_hash(name), time.perf_counter()
        lines: list[str] = []
        run(lines)
        took = f"Time of `{name}`: {(time.perf_counter() - start) / unit:.0f} yardsticks."
        if engine_hash(name) != engine:
            print(f"What {name} stands on was changed while it ran; its section names the engine it began with.")
        write(name, "\n".join([heading(name, engine), "", *lines, "", took]))


def write(name: str, text: str) -> None:
    """Put one section on the page."""
    found = {each: told for each, (_, told) in sections().items()} | {name: text}
    head = [
        "# Study: what the engine was held against",
        "",
        "Made by `python -m tests.study.run`, fixed seeds. Each study names the checksum of the rooms it was held",
        "against. Times are ratios to a yardstick: one million decimal divisions and additions on the same machine in",
        "the same run.",
    ]
    known = [each for each in ROOMS if each in found]
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text("\n\n".join(["\n".join(head), *(found[each] for each in known)]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
