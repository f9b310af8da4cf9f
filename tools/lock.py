"""Make the five lock files anew: exact versions with hashes, for every supported Python, without any address.

    python -m tools.lock            keep what is locked, add what is missing
    python -m tools.lock --newest   take the newest releases

Needs the program `uv` (`pip install uv` in an environment of its own; it is no part of the project).
"""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
OPTIONS = ["--universal", "--python-version", "3.11", "--generate-hashes", "--no-header", "--no-emit-index-url"]
OPTIONS += ["--no-emit-find-links", "--no-annotate", "--quiet"]
CORE, DATA, SOLVE, DRAWING, DEV = (f"requirements{each}.lock" for each in ("", "-data", "-solve", "-drawing", "-dev"))
BUILD = ["--group", "build"]
BOUND = ["--constraint", CORE, "--constraint", DATA]
LOCKS = {
    CORE: BUILD,
    DATA: [*BUILD, "--extra", "data", "--constraint", CORE],
    SOLVE: [*BUILD, "--extra", "solve", *BOUND],
    DRAWING: [*BUILD, "--extra", "drawing", *BOUND, "--constraint", SOLVE],
    DEV: [
        *BUILD,
        "--group",
        "dev",
        "--extra",
        "data",
        "--extra",
        "solve",
        "--extra",
        "drawing",
        *BOUND,
        "--constraint",
        SOLVE,
        "--constraint",
        DRAWING,
    ],
}


def make_lock(uv: str, name: str, options: list[str], newest: bool) -> None:
    """Write one lock file and refuse it if an address got in."""
    command = [uv, "pip", "compile", "pyproject.toml", *OPTIONS, *options, "--output-file", name]
    subprocess.run(command + (["--upgrade"] if newest else []), cwd=ROOT, check=True)
    text = (ROOT / name).read_text(encoding="utf-8")
    if "://" in text:
        sys.exit(f"{name} holds an address; it must hold names, versions and hashes alone.")
    print(f"{name}: {text.count('==')} packages")


def main(arguments: list[str]) -> None:
    """Make all locks; the core one first, since it binds the others."""
    uv = shutil.which("uv")
    if uv is None:
        sys.exit("uv is not on the PATH. Install it in an environment of its own: pip install uv")
    for name, options in LOCKS.items():
        make_lock(uv, name, options, newest="--newest" in arguments)


if __name__ == "__main__":
    main(sys.argv[1:])
