"""What `python3 start.py` can do: show the example house, test, check, measure.

Standard library only; everything else runs in `.venv`.
"""

from __future__ import annotations

import argparse
import signal
import subprocess
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from tools.environment import (
    PYTHON,
    ROOT,
    SetUpFailed,
    clean_environment,
    missing_programs,
    prepare,
    say,
    system_packages,
)

# Every line of `start.py check`: what it is called, and the Python module with its arguments. Add a line here.
CHECKS: list[tuple[str, list[str]]] = [
    ("format", ["ruff", "format", "--check", "--output-format", "concise", "."]),
    ("lint", ["ruff", "check", "."]),
    ("types", ["mypy"]),
    ("imports", ["pytest", "-p", "no:cacheprovider", "tests/contracts/test_imports.py"]),
    ("locks", ["tools.lock_check"]),
    ("docs", ["tools.docs", "--check"]),
]
# System programs that the whole suite uses, and the Debian package that holds each.
TEST_PROGRAMS = {"chromium": "chromium", "pdftoppm": "poppler-utils"}
PYTEST = ["pytest", "--hypothesis-profile=ci", "-p", "no:randomly"]
HELP = f"""\
With no command: makes an environment of its own in .venv (once), then builds an example house that exists nowhere,
assesses it, writes the inspector's packet as PDF, prints the answer, and opens the local web page.

commands:
  (none)              the example house; --no-serve stops before the web page; --out DIR says where it goes
  test [ARGS]         everything: sets up what the tests need, runs the checks, then pytest with ARGS
  check               {", ".join(name for name, _ in CHECKS)}: quick, no browser
  bench [ARGS]        times and sizes, as ratios to a yardstick (tests/bench/run.py)
  study [ARGS]        the full counts: thousands of houses, panels, graphs (tests/study/run.py)

examples:
  python3 start.py
  python3 start.py --no-serve --out demo
  python3 start.py test tests/loads -k range

Exit code: 0 when all went well, that of the failing program otherwise, 1 when the set-up failed, 130 on Ctrl-C.
"""


def run_python(arguments: Sequence[str | Path]) -> int:
    """Run `.venv`'s Python in the project root, its output shown as it comes; its exit code."""
    child = subprocess.Popen([str(part) for part in (PYTHON, *arguments)], cwd=ROOT, env=clean_environment())
    try:
        code = child.wait()
    except KeyboardInterrupt:  # the child got the same Ctrl-C; let it put things away first
        try:
            child.wait(timeout=10)
        except (KeyboardInterrupt, subprocess.TimeoutExpired):
            child.terminate()
        raise
    if code < 0:
        say(f"Ended by signal {signal.Signals(-code).name}")
        return 128 - code
    return code


def demo(options: argparse.Namespace, rest: list[str]) -> int:
    """Show the example house."""
    if rest:
        raise SetUpFailed(f"Unknown argument: {rest[0]}. See: python3 start.py --help")
    prepare(dev=False)
    out = Path(options.out).expanduser().resolve()
    serve = "--serve" if options.serve else "--no-serve"
    return run_python(["-m", "deadfront.cli", "demo", "--out", out, serve])


def run_checks() -> list[str]:
    """Run every check, the later ones too when an earlier one fails; the names of those that failed."""
    failed = []
    for name, command in CHECKS:
        started = time.monotonic()
        say(f"Checking {name}: {' '.join(command)}")
        if run_python(["-m", *command]):
            failed.append(name)
            say(f"{name} FAILED after {time.monotonic() - started:.1f} s")
    return failed


def check(options: argparse.Namespace, rest: list[str]) -> int:
    """Format, lint, types, imports, locks, docs."""
    if rest:
        raise SetUpFailed(f"check takes no arguments; found {rest[0]}.")
    prepare(dev=True)
    failed = run_checks()
    say(f"Checks failed: {', '.join(failed)}" if failed else f"All {len(CHECKS)} checks passed")
    return 1 if failed else 0


def test(options: argparse.Namespace, rest: list[str]) -> int:
    """The checks, then the whole suite; both are always run, and either failing fails the run."""
    system_packages(missing_programs(TEST_PROGRAMS), "for the tests in a browser and of the printed pages")
    prepare(dev=True)
    failed = run_checks()
    say("Running the tests" + (f": {' '.join(rest)}" if rest else ""))
    started = time.monotonic()
    code = run_python(["-m", *PYTEST, *rest])
    say(f"Tests {'passed' if code == 0 else f'FAILED (exit code {code})'} in {time.monotonic() - started:.0f} s")
    if failed:
        say(f"Checks failed before the tests: {', '.join(failed)}")
    return code or (1 if failed else 0)


def script_task(script: str) -> Callable[[argparse.Namespace, list[str]], int]:
    """A command that runs one script of the tests folder, and says so plainly when it is not there."""

    def task(options: argparse.Namespace, rest: list[str]) -> int:
        if not (ROOT / script).is_file():
            raise SetUpFailed(f"{script} is not in this checkout, so there is nothing to run.")
        prepare(dev=True)
        say(f"Running {script}")
        return run_python([script, *rest])

    return task


TASKS = {
    "demo": demo,
    "check": check,
    "test": test,
    "bench": script_task("tests/bench/run.py"),
    "study": script_task("tests/study/run.py"),
}


def read_arguments(arguments: Sequence[str]) -> tuple[str, argparse.Namespace, list[str]]:
    """Which command, its options, and what is left for the program it starts."""
    if arguments and not arguments[0].startswith("-"):
        command, *rest = arguments
        if command not in TASKS:
            raise SetUpFailed(f"Unknown command: {command}. There are: {', '.join(TASKS)}. See --help.")
        if command != "demo" and rest not in (["--help"], ["-h"]):
            return command, argparse.Namespace(), rest
        arguments = rest
    form = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(
        prog="start.py", usage="python3 start.py [command] [options]", epilog=HELP, formatter_class=form
    )
    parser.add_argument("--serve", action=argparse.BooleanOptionalAction, default=True, help="open the web page")
    parser.add_argument("--out", default=str(ROOT / "demo"), metavar="DIR", help="folder of the example house")
    options, rest = parser.parse_known_args(arguments)
    return "demo", options, rest


def main(arguments: Sequence[str]) -> int:
    """Do what the arguments say; the exit code."""
    try:
        command, options, rest = read_arguments(arguments)
        return TASKS[command](options, rest)
    except SetUpFailed as error:
        print(f"start.py: {error}", flush=True)
        return 1
    except KeyboardInterrupt:
        print("\nStopped.", flush=True)
        return 130
