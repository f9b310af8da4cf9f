"""How much disk an installation takes, without pip: a fresh environment, a lock, and the project's wheel.

python -m tools.install_size          print the sizes in MB: the core, then the core with the extra `data`
python -m tools.install_size --json   the same as JSON; exit code 1 with the core above its ceiling either way
"""

from __future__ import annotations

import json
import os
import shutil
import sys
import tempfile
from pathlib import Path

from tools.environment import CORE_LOCK, DATA_LOCK, PYTHON, ROOT, SetUpFailed, run_quietly

CEILING_MB = 180.0
MB = 1_000_000
# Data without which the installed package cannot print; a wheel that lost them must not be measured as fine.
MUST_SHIP = ("documents/fonts/AtkinsonHyperlegibleNext-Regular.ttf", "documents/fonts/DejaVuSans-LICENSE.txt")
LEFT_OUT = ("pip", "pip-", "setuptools", "_distutils_hack", "distutils-precedence", "pkg_resources")


def size_bytes(path: Path) -> int:
    """Bytes of a file, or of all files under a folder."""
    if path.is_file():
        return path.stat().st_size
    return sum(each.stat().st_size for each in path.rglob("*") if each.is_file())


def copy_project(target: Path) -> Path:
    """Copy what the package is built from; the folder it was copied to."""
    shutil.copytree(ROOT / "src", target / "src", ignore=shutil.ignore_patterns("*.egg-info", "__pycache__"))
    for name in ("pyproject.toml", "README.md", "LICENSE", "NOTICE"):
        shutil.copy2(ROOT / name, target / name)
    return target


def measure(scratch: Path, lock: Path) -> dict[str, float]:
    """Install what a lock says into a fresh environment under `scratch`; megabytes of each part, largest first."""
    venv = scratch / "venv"
    python = venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    run_quietly([PYTHON, "-m", "venv", "--without-pip", venv], "Making an environment")
    pip = [PYTHON, "-I", "-m", "pip", "--python", python, "install", "--quiet", "--no-input"]
    run_quietly([*pip, "--require-hashes", "--no-deps", "-r", lock], f"Installing {lock.name}")
    project = copy_project(scratch / "project")  # a build in the checkout would leave files that a later one picks up
    own = ["--no-build-isolation", "--no-deps", "--no-index", project]
    run_quietly([*pip, *own], "Installing deadfront")
    packages = next(venv.rglob("site-packages"))
    missing = [name for name in MUST_SHIP if not (packages / "deadfront" / name).is_file()]
    if missing:
        raise SetUpFailed(f"The installed package lacks {', '.join(missing)}; see package-data in pyproject.toml.")
    parts = {each.name: size_bytes(each) / MB for each in packages.iterdir() if not each.name.startswith(LEFT_OUT)}
    return dict(sorted(parts.items(), key=lambda item: -item[1]))


def main(arguments: list[str]) -> int:
    """Print the totals and the largest parts; 1 if the core is above its ceiling."""
    try:
        with tempfile.TemporaryDirectory() as scratch:
            parts = measure(Path(scratch) / "core", CORE_LOCK)
            with_data = measure(Path(scratch) / "data", DATA_LOCK)
    except SetUpFailed as error:
        print(f"install_size: {error}")
        return 1
    total = sum(parts.values())
    largest = {name: round(size, 1) for name, size in list(parts.items())[:8]}
    data_mb = sum(with_data.values())
    answer = {"core_mb": round(total, 1), "ceiling_mb": CEILING_MB, "largest_mb": largest, "data_mb": round(data_mb, 1)}
    if "--json" in arguments:
        print(json.dumps(answer))
    else:
        print(f"core installation without pip: {total:.1f} MB (at most {CEILING_MB:.0f} MB)")
        for name, size in largest.items():
            print(f"  {size:7.1f}  {name}")
        print(f"with the extra `data`: {data_mb:.1f} MB")
    return 0 if total <= CEILING_MB else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
