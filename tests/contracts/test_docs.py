"""The docs keep up with the program: help pages, decisions, links, generated pages, fragments of the change log."""

from __future__ import annotations

import ast
import re
from importlib import import_module
from pathlib import Path

import pytest

from tools import docs

ROOT = Path(__file__).resolve().parents[2]
HELP = ROOT / "src" / "deadfront" / "help"
PAGES = sorted([*(ROOT / "docs").rglob("*.md"), ROOT / "README.md", ROOT / "CHANGELOG.md"])
LINK = re.compile(r"\]\((?!https?:|#)([^)#\s]+)(?:#[^)]*)?\)")
CHECK_ID = re.compile(r"[a-z]+\.[a-z_]+")


def stages() -> dict[str, set[str]]:
    """Every stage whose rules are listed in a registry, with the ids of the checks they make."""
    found = sorted((ROOT / "src" / "deadfront").glob("*/rules/registry.py"))
    names = [path.parents[1].name for path in found]
    return {name: set(import_module(f"deadfront.{name}.rules.registry").check_ids()) for name in names}


def check_ids() -> set[str]:
    """Every id a Check is made with: what each listed rule says it makes; elsewhere the first argument of each call."""
    listed = stages()
    found: set[str] = set().union(*listed.values())
    for path in (ROOT / "src" / "deadfront").rglob("*.py"):
        if listed.keys() & set(path.relative_to(ROOT / "src" / "deadfront").parts):
            continue
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for call in ast.walk(tree):
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "Check" and call.args:
                first = call.args[0]
                if isinstance(first, ast.Constant | ast.IfExp):
                    ends = [first] if isinstance(first, ast.Constant) else [first.body, first.orelse]
                    found |= {str(each.value) for each in ends if isinstance(each, ast.Constant)}
                else:
                    assert isinstance(first, ast.JoinedStr), ast.unparse(call)
                    found |= {f"load.{field}" for field in ("small_appliance_circuits", "laundry_circuits")}
    return found


def test_the_scan_finds_checks_at_all() -> None:
    assert {"circuits", "sources"} <= stages().keys()
    assert {"load.service_carries", "load.complete", "load.laundry_circuits"} <= check_ids()


def test_every_check_has_a_help_page_and_every_page_a_check() -> None:
    assert {path.stem for path in HELP.glob("*.md")} == check_ids()


@pytest.mark.parametrize("page", sorted(HELP.glob("*.md")), ids=lambda page: page.stem)
def test_a_help_page_says_what_why_how_and_where(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    heads = re.findall(r"^## (.*)$", text, re.MULTILINE)
    assert heads == ["What it says", "Why it matters", "How to end it", "Where it stands"]
    assert f"`{page.stem}`" in text
    parts = re.split(r"^## .*$", text, flags=re.MULTILINE)[1:]
    assert all(len(part.split()) >= 8 for part in parts), "a part of the page is empty"


def test_generated_pages_are_not_stale() -> None:
    stale = [path.name for path, text in docs.pages().items() if not path.exists() or path.read_text("utf-8") != text]
    assert stale == [], "write them anew: python -m tools.docs"


def test_a_stale_page_is_noticed(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    page = docs.REFERENCE / "exit-codes.md"
    monkeypatch.setattr(docs, "pages", lambda: {page: page.read_text(encoding="utf-8") + "old"})
    assert docs.main(["--check"]) == 1
    assert "stale: docs/reference/exit-codes.md" in capsys.readouterr().out


def test_every_link_leads_somewhere() -> None:
    broken = [
        f"{page.relative_to(ROOT)}: {target}"
        for page in PAGES
        for target in LINK.findall(page.read_text(encoding="utf-8"))
        if not (page.parent / target).exists()
    ]
    assert broken == []


def test_every_page_is_reached_from_the_readme() -> None:
    seen, wait = set(), [ROOT / "README.md"]
    while wait:
        page = wait.pop()
        if page in seen:
            continue
        seen.add(page)
        for target in LINK.findall(page.read_text(encoding="utf-8")):
            there = (page.parent / target).resolve()
            there = there / "README.md" if there.is_dir() else there
            if there.suffix == ".md" and there.exists():
                wait.append(there)
    assert [p.relative_to(ROOT).as_posix() for p in PAGES if p not in seen] == ["CHANGELOG.md", "docs/README.md"]


def decisions() -> list[Path]:
    """The decision records, in order."""
    return sorted((ROOT / "docs" / "explanation" / "decisions").glob("[0-9]*.md"))


def test_decisions_are_numbered_without_a_gap() -> None:
    assert [int(path.name[:4]) for path in decisions()] == list(range(1, len(decisions()) + 1))
    assert len(decisions()) >= 14


@pytest.mark.parametrize("page", decisions(), ids=lambda page: page.stem)
def test_a_decision_says_its_four_parts_on_one_page(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert re.findall(r"^## (.*)$", text, re.MULTILINE) == ["Context", "Choice", "Rejected", "Consequence"]
    assert len(text.split()) < 400


def test_a_fragment_of_the_change_log_says_first_whether_answers_change() -> None:
    fragments = [p for p in (ROOT / "changelog.d").glob("*.md") if p.name != "README.md"]
    assert fragments
    for path in fragments:
        assert re.fullmatch(r"[\w-]+\.(added|changed|fixed|removed)\.md", path.name), path.name
        first = path.read_text(encoding="utf-8").splitlines()[0]
        assert re.fullmatch(r"Answers change: (no|.{12,})", first), f"{path.name}: {first}"
