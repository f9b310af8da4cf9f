"""The import contract: who may import whom, no ring, short chains, pure rooms; and that breaking it is seen."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.contracts import import_graph as contract

PACKAGE_FOLDER = Path(__file__).resolve().parents[2] / "src" / "deadfront"


@pytest.fixture(scope="module")
def source() -> contract.Source:
    """The package as it stands."""
    return contract.read_source(PACKAGE_FOLDER)


def test_the_package_was_read(source: contract.Source) -> None:
    assert "deadfront" in source.trees and "deadfront.errors" in source.trees


def test_rooms_import_only_rooms_above(source: contract.Source) -> None:
    found = contract.wrong_way(source)
    assert not found, "\n".join(found)


def test_no_modules_import_each_other_in_a_ring(source: contract.Source) -> None:
    assert contract.cycle(source) == []


def test_chains_of_imports_are_short(source: contract.Source) -> None:
    chain = contract.longest_chain(source)
    assert 0 < len(chain) <= contract.MAX_DEPTH, " > ".join(chain)


def test_pure_rooms_reach_for_nothing_outside(source: contract.Source) -> None:
    found = contract.impure(source, sys.stdlib_module_names)
    assert not found, "\n".join(found)


def package(folder: Path, files: dict[str, str]) -> contract.Source:
    """A made-up package, so that each rule of the contract is seen to catch what it is for."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        init = path.parent / "__init__.py"
        init.touch()
    return contract.read_source(folder)


@pytest.mark.parametrize(
    ("files", "said"),
    [
        ({"physics/heat.py": "from deadfront.job import house"}, "physics must not import job"),
        ({"loads/rules.py": "import deadfront.panel"}, "loads must not import panel"),
        ({"loads/rules.py": "def f():\n    from ..sources import x"}, "loads must not import sources"),
        ({"options/a.py": "from deadfront.followup import b"}, "options must not import followup"),
        ({"cellar/a.py": ""}, "cellar is not a room"),
        ({"__init__.py": "from deadfront import job", "job/a.py": ""}, "must import no room"),
        ({"worksheet/a.py": "from deadfront import assess", "assess/b.py": ""}, "worksheet must not import assess"),
    ],
)
def test_a_wrong_way_import_is_caught(tmp_path: Path, files: dict[str, str], said: str) -> None:
    assert any(said in line for line in contract.wrong_way(package(tmp_path, files)))


def test_upward_imports_are_allowed(tmp_path: Path) -> None:
    files = {"assess/a.py": "from deadfront.loads import rules\nfrom .b import c", "assess/b.py": "", "errors.py": ""}
    files |= {"loads/rules.py": "from deadfront.errors import X", "cli/a.py": "from deadfront.web import serve"}
    assert contract.wrong_way(package(tmp_path, files)) == []


def test_a_ring_is_caught_even_inside_functions(tmp_path: Path) -> None:
    files = {"job/a.py": "from deadfront.job import b", "job/b.py": "def f():\n    from deadfront.job.a import x"}
    assert {"deadfront.job.a", "deadfront.job.b"} <= set(contract.cycle(package(tmp_path, files)))


def test_a_ring_for_types_alone_is_no_ring(tmp_path: Path) -> None:
    guarded = "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from deadfront.job.b import x"
    files = {"job/a.py": guarded, "job/b.py": "from deadfront.job import a"}
    assert contract.cycle(package(tmp_path, files)) == []


def test_a_long_chain_is_measured(tmp_path: Path) -> None:
    files = {f"job/m{n}.py": f"from deadfront.job import m{n + 1}" for n in range(30)} | {"job/m30.py": ""}
    assert len(contract.longest_chain(package(tmp_path, files))) == 31  # hand: m0 ... m30


@pytest.mark.parametrize(
    ("file", "text", "said"),
    [
        ("loads/rules.py", "import random", "must not import random"),
        ("loads/rules.py", "from os import path", "must not import os"),
        ("job/a.py", "from pathlib import Path", "must not import pathlib"),
        ("loads/rules.py", "import numpy as np", "only in a module named solve"),
        ("job/a.py", "from datetime import date\nx = date.today()", "must not read the clock"),
        ("codebook/a.py", "text = open('x')", "must not call open()"),
        ("physics/a.py", "n = 0\ndef f():\n    global n\n    n = 1", "must keep no global state"),
    ],
)
def test_an_impure_room_is_caught(tmp_path: Path, file: str, text: str, said: str) -> None:
    found = contract.impure(package(tmp_path, {file: text}), sys.stdlib_module_names)
    assert any(said in line for line in found), found


def test_what_a_pure_room_may_use(tmp_path: Path) -> None:
    files = {
        "codebook/load.py": "from pathlib import Path\nimport tomllib",
        "loads/solve.py": "import numpy",
        "job/a.py": "import tomlkit\nfrom datetime import date\nfrom pydantic import BaseModel",
        "store/a.py": "import os, sqlalchemy",
        "recordings/a.py": "import numpy, pyarrow.csv",
    }
    assert contract.impure(package(tmp_path, files), sys.stdlib_module_names) == []
