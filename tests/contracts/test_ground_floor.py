"""The one command at the root: what it lets through to pip, how it reads its arguments, and that the locks fit."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from tools import environment, lock_check, tasks

ROOT = Path(__file__).resolve().parents[2]
PYPROJECT = '[project]\ndependencies = ["click>=8.5"]\n[dependency-groups]\nbuild = []\ndev = ["pytest>=9"]\n'
CLICK = "click==8.5.1 \\\n    --hash=sha256:aa\n"
PYTEST = "pytest==9.2.0 \\\n    --hash=sha256:bb\n"


def test_an_old_python_can_read_start_up_to_its_message() -> None:
    text = (ROOT / "start.py").read_text(encoding="utf-8")
    tree = ast.parse(text, feature_version=(3, 4))
    assert not [node for node in ast.walk(tree) if isinstance(node, ast.JoinedStr | ast.AnnAssign | ast.NamedExpr)]
    gate = text.index("if sys.version_info < NEEDED")
    assert gate < text.index("from tools"), "the message must come before anything an old Python cannot import"


def test_only_the_standard_library_is_needed_to_start() -> None:
    names = set()
    for path in (ROOT / "start.py", Path(environment.__file__), Path(tasks.__file__)):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names |= {name.name.split(".")[0] for name in node.names}
            elif isinstance(node, ast.ImportFrom):
                names.add((node.module or "").split(".")[0])
    assert names - sys.stdlib_module_names == {"tools"}


def test_settings_that_send_an_installation_elsewhere_are_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("PIP_USER", "PIP_TARGET", "PIP_CONSTRAINT", "PIP_NO_BINARY", "PYTHONPATH", "PYTHONHOME"):
        monkeypatch.setenv(name, "1")
    monkeypatch.setenv("PIP_CERT", "certificate.pem")
    kept = environment.clean_environment()
    assert not {"PIP_USER", "PIP_TARGET", "PIP_CONSTRAINT", "PIP_NO_BINARY", "PYTHONPATH", "PYTHONHOME"} & set(kept)
    assert kept["PIP_CERT"] == "certificate.pem"


def test_a_failing_step_shows_its_last_words() -> None:
    command = [sys.executable, "-c", "print('no room left'); raise SystemExit(3)"]
    with pytest.raises(environment.SetUpFailed, match=r"Packing failed \(exit code 3\)(?s:.*)no room left"):
        environment.run_quietly(command, "Packing")


def test_without_root_the_exact_command_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("os.geteuid", lambda: 1000)
    with pytest.raises(environment.SetUpFailed, match="apt-get install -y --no-install-recommends chromium"):
        environment.system_packages(["chromium"], "for a test")


def test_a_missing_program_leads_to_its_package(monkeypatch: pytest.MonkeyPatch) -> None:
    programs = {"no-such-program-here": "its-package", Path(sys.executable).name: "python"}
    monkeypatch.setenv("PATH", str(Path(sys.executable).parent))
    assert environment.missing_programs(programs) == ["its-package"]


@pytest.mark.parametrize(
    ("arguments", "command", "rest"),
    [
        ([], "demo", []),
        (["--no-serve"], "demo", []),
        (["demo", "--no-serve"], "demo", []),
        (["test", "tests/loads", "-k", "range"], "test", ["tests/loads", "-k", "range"]),
        (["check"], "check", []),
    ],
)
def test_arguments(arguments: list[str], command: str, rest: list[str]) -> None:
    read = tasks.read_arguments(arguments)
    assert (read[0], read[2]) == (command, rest)
    assert command != "demo" or read[1].serve is ("--no-serve" not in arguments)


def test_an_unknown_command_is_refused_without_a_traceback() -> None:
    done = subprocess.run([sys.executable, ROOT / "start.py", "tset"], capture_output=True, text=True)
    assert done.returncode == 1
    assert "Unknown command: tset. There are: demo, check, test, bench, study." in done.stdout
    assert "Traceback" not in done.stdout + done.stderr


def test_every_check_names_a_module_that_is_there() -> None:
    for _, command in tasks.CHECKS:
        done = subprocess.run([sys.executable, "-c", f"import {command[0]}"], cwd=ROOT, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr


def test_the_locks_fit_the_project() -> None:
    texts = [(ROOT / name).read_text(encoding="utf-8") for name in ("pyproject.toml", *lock_check.LOCK_NAMES)]
    assert lock_check.problems(*texts) == []


@pytest.mark.parametrize(
    ("core", "dev", "said"),
    [
        ("", CLICK + PYTEST, "requirements.lock: click is wanted by pyproject.toml and not locked"),
        (CLICK.replace("8.5.1", "8.4.0"), CLICK + PYTEST, "click>=8.5 is wanted and 8.4.0 is locked"),
        (CLICK, CLICK, "requirements-dev.lock: pytest is wanted by pyproject.toml and not locked"),
        ("click==8.5.1\n", CLICK + PYTEST, "requirements.lock: click has no hash"),
        (CLICK, CLICK.replace("8.5.1", "8.5.2") + PYTEST, "click: 8.5.1 in requirements.lock, 8.5.2 in"),
        (CLICK + "# from https://" + "example.org\n", CLICK + PYTEST, "requirements.lock: it holds an address"),
    ],
)
def test_a_lock_that_does_not_fit_is_caught(core: str, dev: str, said: str) -> None:
    assert any(said in line for line in lock_check.problems(PYPROJECT, core, dev))
    assert lock_check.problems(PYPROJECT, CLICK, CLICK + PYTEST) == []


def test_the_lock_of_an_extra_holds_what_it_wants_at_the_versions_that_are_tested() -> None:
    """A lock for users of `solve` without a solver, or with another one than the tests run with, is caught."""
    wants = PYPROJECT.replace("[dependency", '[project.optional-dependencies]\nsolve = ["solver>=2"]\n[dependency')
    solver, older = "solver==2.1 \\\n    --hash=sha256:cc\n", "solver==2.0 \\\n    --hash=sha256:dd\n"
    dev = CLICK + PYTEST + solver
    assert lock_check.problems(wants, CLICK, dev, CLICK, CLICK + solver) == []
    (lacks,) = lock_check.problems(wants, CLICK, dev, CLICK, CLICK)
    assert lacks == "requirements-solve.lock: solver is wanted by pyproject.toml and not locked"
    (apart,) = lock_check.problems(wants, CLICK, dev, CLICK, CLICK + older)
    assert apart == "solver: 2.0 in requirements-solve.lock, 2.1 in requirements-dev.lock"
