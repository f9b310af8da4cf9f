"""Make the project's own environment, `.venv`, and see to the system programs that the tests need.

Standard library only: this runs before anything is installed.
"""

from __future__ import annotations

import hashlib
import json
import os
import platform
import shutil
import subprocess
import sys
import time
from collections.abc import Iterable, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
STAMP = VENV / "deadfront-stamp.json"
SERIES = "{}.{}".format(*sys.version_info[:2])
CORE_LOCK, DATA_LOCK, DEV_LOCK = (ROOT / f"requirements{kind}.lock" for kind in ("", "-data", "-dev"))
# Settings of pip that say where packages come from; every other one (user, target, constraint, ...) is left out,
# since it could send the installation elsewhere.
KEPT_PIP_SETTINGS = {
    "PIP_INDEX_URL",
    "PIP_EXTRA_INDEX_URL",
    "PIP_NO_INDEX",
    "PIP_FIND_LINKS",
    "PIP_PROXY",
    "PIP_CERT",
    "PIP_CLIENT_CERT",
    "PIP_TRUSTED_HOST",
    "PIP_TIMEOUT",
    "PIP_DEFAULT_TIMEOUT",
    "PIP_RETRIES",
    "PIP_CACHE_DIR",
    "PIP_NO_CACHE_DIR",
    "PIP_CONFIG_FILE",
}


class SetUpFailed(Exception):
    """Something the set-up needs is missing or failed; the message says what to do."""


def say(text: str) -> None:
    """Print one line of progress, at once."""
    print(f"» {text}", flush=True)


def clean_environment() -> dict[str, str]:
    """The caller's environment without what would mislead Python or pip."""
    dropped = {"PYTHONPATH", "PYTHONHOME", "PYTHONSTARTUP", "PYTHONUSERBASE", "VIRTUAL_ENV", "__PYVENV_LAUNCHER__"}

    def kept(name: str) -> bool:
        return name not in dropped and (not name.startswith("PIP_") or name in KEPT_PIP_SETTINGS)

    settings = {name: value for name, value in os.environ.items() if kept(name)}
    return settings | {"PIP_DISABLE_PIP_VERSION_CHECK": "1", "PYTHONNOUSERSITE": "1", "PYTHONUTF8": "1"}


def run_quietly(command: Sequence[str | Path], doing: str, environment: dict[str, str] | None = None) -> None:
    """Run a step; show its output only if it fails.

    Raises:
        SetUpFailed: the program ended with an error or could not be started.
    """
    settings = clean_environment() if environment is None else environment
    try:
        done = subprocess.run(
            [str(part) for part in command],
            cwd=ROOT,
            env=settings,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
        )
    except OSError as error:
        raise SetUpFailed(f"{doing} failed: {error}") from error
    if done.returncode:
        tail = "\n".join(done.stdout.splitlines()[-30:])
        raise SetUpFailed(f"{doing} failed (exit code {done.returncode}). Its last words:\n{tail}")


def environment_works() -> bool:
    """Whether `.venv` holds a Python that starts, is the one running here, and has pip."""
    if not PYTHON.exists():
        return False
    question = "import sys, pip; print('%d.%d' % sys.version_info[:2])"
    command = [str(PYTHON), "-I", "-c", question]
    try:
        answer = subprocess.run(command, capture_output=True, text=True, env=clean_environment())
    except OSError:
        return False
    return answer.returncode == 0 and answer.stdout.strip() == SERIES


def make_environment() -> None:
    """Make `.venv` with the Python that runs this, fetching Debian's venv package where it is missing."""
    try:
        import ensurepip  # noqa: F401
        import venv  # noqa: F401
    except ImportError:
        own = sys.executable.startswith("/usr/bin/") and platform.system() == "Linux"
        if not own:
            raise SetUpFailed(
                f"{sys.executable} has no venv or ensurepip module, so it cannot make an environment. "
                "Install a complete Python 3.11 or newer and run start.py with it."
            ) from None
        system_packages([f"python{SERIES}-venv"], "to make a Python environment")
    say(f"Making .venv with Python {platform.python_version()}")
    run_quietly([sys.executable, "-m", "venv", "--clear", VENV], "Making .venv")


def wanted_stamp(dev: bool) -> str:
    """What the environment is made from, as one hash: Python, place, settings and locks."""
    digest = hashlib.sha256(f"{sys.version_info[:2]} {ROOT}".encode())
    for path in [ROOT / "pyproject.toml", DATA_LOCK] + ([DEV_LOCK] if dev else []):
        try:
            digest.update(path.read_bytes())
        except OSError as error:
            raise SetUpFailed(f"{path.name} cannot be read ({error}); the checkout is not whole.") from error
    return digest.hexdigest()


def read_stamps() -> dict[str, str]:
    """What was installed last time; empty when nothing was, or the note is unreadable."""
    try:
        found = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def prepare(dev: bool) -> None:
    """Bring `.venv` to what the locks and pyproject.toml say; at once when nothing has changed.

    Raises:
        SetUpFailed: with what is missing and what to do.
    """
    name = "dev" if dev else "data"
    stamp = wanted_stamp(dev)
    works = environment_works()
    if works and read_stamps().get(name) == stamp:
        return
    if not works:
        make_environment()
    lock = DEV_LOCK if dev else DATA_LOCK
    count = lock.read_text(encoding="utf-8").count("==")
    started = time.monotonic()
    say(f"Installing up to {count} packages at their exact versions, hashes checked ({lock.name})")
    pip = [PYTHON, "-I", "-m", "pip", "install", "--quiet", "--no-input"]
    run_quietly([*pip, "--require-hashes", "--no-deps", "--requirement", lock], "Installing the packages")
    say("Installing deadfront itself, editable")
    own = ["--no-build-isolation", "--no-deps", "--no-index", "--editable", ROOT]
    run_quietly([*pip, *own], "Installing deadfront")
    stamps = {name: stamp} | ({"data": wanted_stamp(False)} if dev else {})
    STAMP.write_text(json.dumps(stamps), encoding="utf-8")
    say(f"Ready in {time.monotonic() - started:.0f} s")


def missing_programs(programs: dict[str, str]) -> list[str]:
    """The system packages whose program is not on this machine; `programs` is program name to package name."""
    places = os.pathsep.join([os.environ.get("PATH", ""), "/usr/bin", "/usr/local/bin"])
    return sorted({package for program, package in programs.items() if not shutil.which(program, path=places)})


def system_packages(packages: Iterable[str], why: str) -> None:
    """Install system packages with apt-get when we may; otherwise say the exact command and fail.

    Raises:
        SetUpFailed: not root, no apt-get, or the installation failed.
    """
    names = list(packages)
    if not names:
        return
    may = shutil.which("apt-get") is not None and hasattr(os, "geteuid") and os.geteuid() == 0
    if not may:
        command = "apt-get update && apt-get install -y --no-install-recommends " + " ".join(names)
        raise SetUpFailed(
            f"This machine lacks, {why}: {', '.join(names)}. On Debian or Ubuntu run, as root:\n  {command}\n"
            "On another system install the same programs its own way, then run this again."
        )
    settings = clean_environment() | {"DEBIAN_FRONTEND": "noninteractive"}
    apt = ["apt-get", "-qq", "-o", "DPkg::Lock::Timeout=120"]
    say(f"Installing system packages, {why}: {', '.join(names)} (apt-get, as root)")
    run_quietly([*apt, "update"], "apt-get update", settings)
    run_quietly([*apt, "install", "-y", "--no-install-recommends", *names], "apt-get install", settings)
