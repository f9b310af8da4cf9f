"""Whether the four lock files still fit pyproject.toml: all wanted packages pinned, with hashes, at fit versions.

Run by `start.py check`; `python -m tools.lock` makes the locks anew.
"""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parent.parent
LOCK_NAMES = tuple(f"requirements{each}.lock" for each in ("", "-dev", "-data", "-solve", "-drawing"))
PIN = re.compile(r"^(?P<name>[A-Za-z0-9._-]+)==(?P<version>[^\s;]+)(?P<rest>.*)$", re.MULTILINE)


def read_lock(text: str) -> tuple[dict[str, str], list[str]]:
    """The pinned version of each package, and what is wrong with the file."""
    pins: dict[str, str] = {}
    wrong = ["it holds an address"] if "://" in text else []
    for found in PIN.finditer(text.replace("\\\n", " ")):
        pins[canonicalize_name(found["name"])] = found["version"]
        if "--hash=sha256:" not in found["rest"]:
            wrong.append(f"{found['name']} has no hash")
    return pins, wrong


def problems(
    pyproject: str, core_lock: str, dev_lock: str, data_lock: str | None = None, solve_lock: str | None = None,
    drawing_lock: str | None = None,
) -> list[str]:  # fmt: skip
    """Every way in which the locks and pyproject.toml disagree, one sentence each; empty when they agree.

    Without `data_lock` the extra `data` is taken as empty, and so without `solve_lock` and `drawing_lock`.
    """
    settings = tomllib.loads(pyproject)
    groups = settings["dependency-groups"]
    core = settings["project"]["dependencies"] + groups["build"]
    extras = settings["project"].get("optional-dependencies", {})
    data, solve, drawing = (extras.get(each, []) for each in ("data", "solve", "drawing"))
    found, locks = [], {}
    for name, text, wanted in (
        ("requirements.lock", core_lock, core),
        ("requirements-dev.lock", dev_lock, core + data + solve + drawing + groups["dev"]),
        ("requirements-data.lock", core_lock if data_lock is None else data_lock, core + data),
        ("requirements-solve.lock", core_lock if solve_lock is None else solve_lock, core + solve),
        ("requirements-drawing.lock", core_lock if drawing_lock is None else drawing_lock, core + drawing),
    ):
        locks[name], wrong = read_lock(text)
        found += [f"{name}: {each}" for each in wrong]
        for requirement in map(Requirement, wanted):
            version = locks[name].get(canonicalize_name(requirement.name))
            if version is None:
                found.append(f"{name}: {requirement.name} is wanted by pyproject.toml and not locked")
            elif not requirement.specifier.contains(version, prereleases=True):
                found.append(f"{name}: {requirement} is wanted and {version} is locked")
    for package, version in locks["requirements.lock"].items():
        for name in LOCK_NAMES[1:]:
            if (other := locks[name].get(package)) != version:
                found.append(f"{package}: {version} in requirements.lock, {other} in {name}")
    return [*found, *_apart(locks)]


def _apart(locks: dict[str, dict[str, str]]) -> list[str]:
    """Packages of the extras that users and tests would get in different versions."""
    core, dev = locks["requirements.lock"], locks["requirements-dev.lock"]
    return [
        f"{package}: {version} in {name}, {dev.get(package)} in requirements-dev.lock"
        for name in LOCK_NAMES[2:]
        for package, version in locks[name].items()
        if package not in core and dev.get(package) != version
    ]


def main() -> int:
    """Print what is wrong; 1 if anything is."""
    texts = [(ROOT / name).read_text(encoding="utf-8") for name in ("pyproject.toml", *LOCK_NAMES)]
    found = problems(*texts)
    for line in found:
        print(line)
    if found:
        print("Make the locks anew: python -m tools.lock")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
