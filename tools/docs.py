"""Writes every generated page of the docs; with --check says which are stale, and fails.

Run: python -m tools.docs [--check]
"""

from __future__ import annotations

import csv
import json
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import click

from deadfront.app.assess_json import assess_schema
from deadfront.cli.ending import MEANINGS
from deadfront.cli.root import COMMANDS, root
from deadfront.codebook import EDITIONS, open_book
from deadfront.codebook.data_files import data
from deadfront.codebook.editions import standing
from deadfront.codebook.pages import coverage_page, sources_page
from deadfront.documents.catalog import Catalog
from deadfront.job.schema import job_schema_text, reference_text

ROOT = Path(__file__).resolve().parents[1]
REFERENCE = ROOT / "docs" / "reference"
HELP = ROOT / "src" / "deadfront" / "help"
STANDS = "## Where it stands\n"
JOB_FILE_WORDS = {
    "title": "The job file",
    "intro": "A job is TOML text. What is left out is not known; it is never zero. Quantities may be typed with their "
    'unit: `"4.5 kW"`, `"3/0 Al"`. For other programs: [job.schema.json](job.schema.json). How it is read, and what '
    "happens to a block that cannot be: [unknowns and ranges](../explanation/unknowns-and-ranges.md).",
    "field": "field", "holds": "holds", "about": "about", "paths": "Paths of facts",
}  # fmt: skip

EXIT_CODES_MORE = """\
Output that nobody reads any more (a closed pipe) ends quietly with 0. Trouble is said on standard error in one or two
sentences: what, where, what is allowed, what to do. With `deadfront --debug COMMAND` the program also shows where in it
the trouble arose.
"""
ASSESS_JSON_INTRO = """\
# The answer as data

`deadfront assess JOB --json` prints one JSON object, version {version}. The same as a JSON Schema:
[assess.schema.json](assess.schema.json), or `deadfront schema assess`. Fields are only added within a version; a field
that changes its meaning makes a new version.

Figures are exact decimal numbers written as text, so that nothing is rounded on the way. A range holds every value that
may still be true. *cannot tell* is never a pass.
"""


def commands() -> Iterator[tuple[str, click.Command]]:
    """Every command with its whole name, groups before what is in them."""
    context = click.Context(root, info_name="deadfront")
    for name in COMMANDS:
        command = root.get_command(context, name)
        assert command is not None, name
        yield name, command
        if isinstance(command, click.Group):
            yield from ((f"{name} {inner}", command.commands[inner]) for inner in command.commands)


def help_text(name: str, command: click.Command) -> str:
    """What `deadfront NAME --help` prints, 100 columns wide."""
    settings = {"max_content_width": 100, "terminal_width": 100, "help_option_names": ["-h", "--help"]}
    context = click.Context(command, info_name=f"deadfront {name}".strip(), **settings)  # type: ignore[arg-type]
    return command.get_help(context)


def cli_page() -> str:
    """docs/reference/cli.md: the help of every command."""
    lines = ["# The command line", "", "Made from `--help` of every command. [Exit codes](exit-codes.md).", ""]
    for name, command in [("", root), *commands()]:
        lines += [f"## deadfront {name}".rstrip(), "", "```text", help_text(name, command), "```", ""]
    return "\n".join(lines)


def exit_codes_page() -> str:
    """docs/reference/exit-codes.md."""
    rows = [f"| {int(code)} | {words} |" for code, words in MEANINGS.items()]
    return "\n".join(["# Exit codes", "", "| code | meaning |", "|---|---|", *rows, "", EXIT_CODES_MORE])


def stands(check: str) -> str:
    """The sections by edition that a help page ends with."""
    if check in site_pages():
        return site_stands(check)
    files = sorted((ROOT / "tools" / "help_subjects").glob("*.toml"))
    listed = [tomllib.loads(file.read_text(encoding="utf-8")) for file in files]
    subjects = next(each[check] for each in listed if check in each)
    if not subjects:
        return "It is a rule of this program, not of a code: unknown is never a pass.\n"
    if subjects[0].startswith("site."):  # a question of the site list
        return site_stands(subjects[0])
    lines = [f"| Subject | {' | '.join(EDITIONS)} |", "|---" * (len(EDITIONS) + 1) + "|"]
    for subject in subjects:
        cells = []
        for edition in EDITIONS:
            book = open_book(edition)
            if not book.has(subject):
                cells.append("not encoded")
                continue
            kind = next(kind for kind, name in book.names() if name == subject)
            entry = {"value": book.value, "table": book.table, "rule": book.rule}[kind](subject)
            cells.append(f"{entry.section} ({entry.status})")
        lines.append(f"| `{subject}` | {' | '.join(cells)} |")
    return "\n".join([*lines, ""])


def help_paths() -> list[Path]:
    """Every help page there is or must be."""
    return sorted({*HELP.glob("*.md"), *(HELP / f"{check}.md" for check in site_pages())})


def help_page(path: Path) -> str:
    """A help page as it should be: its own words, and where it stands by edition."""
    made = site_pages().get(path.stem)
    own = made if made is not None else path.read_text(encoding="utf-8").partition(STANDS)[0]
    return f"{own}{STANDS}\n{stands(path.stem)}"


@cache
def site_pages() -> dict[str, str]:
    """Own words of the help page of every question and every kind of hazard, made from the catalog."""
    questions = {f"site.{key}": site_page("question", f"site.{key}", key) for key in data().questions}
    return questions | {f"hazard.{key}": site_page("hazard", f"hazard.{key}", key) for key in data().hazards}


def site_page(kind: str, check: str, key: str) -> str:
    """The help page of one question or kind of hazard, without where it stands."""
    catalog = Catalog("en", strict=True)
    entry = (data().questions if kind == "question" else data().hazards)[key]
    figures = standing(entry.get("figures"), EDITIONS[-1]) or {}
    name, ask, how, fails, fix, why = (
        catalog.key(f"{kind}.{key}.{part}", **figures) for part in ("name", "ask", "how", "fails", "fix", "why")
    )
    caution = catalog.key(f"site.caution.{entry['caution']}") if "caution" in entry else ""
    lines = [
        f"# {capital(name)}", "", f"`{check}`", "", "## What it says", "", capital(fails), "", ask, "",
        "## Why it matters", "", why, "", "## How to end it", "", *([f"- {caution}"] if caution else []),
        f"- {how}", f"- {fix}",
    ]  # fmt: skip
    if kind == "question":
        lines.append(f'- Answer it: `seen.{key} = "{entry["meets"]}"` meets the rule.')
    return "\n".join([*lines, "", ""])


def capital(text: str) -> str:
    """A text with its first letter large."""
    return text[:1].upper() + text[1:]


def site_stands(check: str) -> str:
    """The section by edition of a question or a kind of hazard."""
    kind, _, key = check.partition(".")
    cells = []
    for edition in EDITIONS:
        book = open_book(edition)
        found = book.questions() if kind == "site" else book.hazards()
        entry = next((each for each in found if each.key == key), None)
        section = entry.section if entry else ""
        cells.append(f"{section} ({entry.status})" if entry and section else "no section" if entry else "not in it")
    if set(cells) == {"no section"}:
        return "It is a matter of the trade, not of one section of a code.\n"
    lines = [f"| Subject | {' | '.join(EDITIONS)} |", "|---" * (len(EDITIONS) + 1) + "|"]
    return "\n".join([*lines, f"| `{key}` | {' | '.join(cells)} |", ""])


def findings_page() -> str:
    """docs/reference/findings.md: the help pages one after another."""
    pages = [help_page(path).replace("\n## ", "\n### ").replace("# ", "## ", 1) for path in help_paths()]
    head = (
        "# Findings\n\nEvery check by its stable id. The same pages: `deadfront explain ID`, and beside each finding.\n"
    )
    return "\n".join([head, *pages])


def words_page() -> str:
    """docs/reference/words.md: the trade's words in English and Spanish."""
    with (REFERENCE / "words.csv").open(encoding="utf-8", newline="") as file:
        rows = [f"| {row['term_en']} | {row['term_es']} | {row['note']} |" for row in csv.DictReader(file)]
    intro = (REFERENCE / "words_intro.txt").read_text(encoding="utf-8")
    return "\n".join([intro, "| English | Spanish | note |", "|---|---|---|", *rows, ""])


def of_schema(about: dict[str, object]) -> str:
    """What a field of a schema may hold, in a word or two."""
    if "$ref" in about:
        return f"[{str(about['$ref']).rpartition('/')[2]}](#{str(about['$ref']).rpartition('/')[2].lower()})"
    for several in ("anyOf",):
        if several in about:
            return " or ".join(of_schema(each) for each in about[several])  # type: ignore[attr-defined]
    if "enum" in about:
        return ", ".join(f"`{each}`" for each in about["enum"])  # type: ignore[attr-defined]
    if "const" in about:
        return f"`{about['const']}`"
    if about.get("type") == "array":
        return f"list of {of_schema(about['items'])}"  # type: ignore[arg-type]
    if about.get("pattern"):
        return "figure"
    return str(about.get("type"))


def assess_json_page() -> str:
    """docs/reference/assess-json.md."""
    schema = assess_schema()
    version = schema["properties"]["version"]["const"]
    lines = [ASSESS_JSON_INTRO.format(version=version)]
    kinds = {"The whole": schema, **schema["$defs"]}
    for name, about in kinds.items():
        if "properties" not in about:
            continue
        said = str(about.get("description", "")).split("\n")[0]
        lines += [f"## {name}", "", said, "", "| field | holds | about |", "|---|---|---|"]
        lines += [f"| `{field}` | {of_schema(each)} | {each.get('description', '')} |"
                  for field, each in about["properties"].items()]  # fmt: skip
        lines.append("")
    return "\n".join(lines)


def pages() -> dict[Path, str]:
    """Every generated page by its path."""
    made = {
        "cli.md": cli_page(), "exit-codes.md": exit_codes_page(), "findings.md": findings_page(),
        "words.md": words_page(), "assess-json.md": assess_json_page(), "coverage.md": coverage_page(),
        "sources.md": sources_page(), "job.schema.json": job_schema_text(),
        "job-file.md": reference_text(JOB_FILE_WORDS),
        "assess.schema.json": json.dumps(assess_schema(), indent=2, sort_keys=True) + "\n",
    }  # fmt: skip
    return {REFERENCE / name: text for name, text in made.items()} | {path: help_page(path) for path in help_paths()}


def main(arguments: list[str]) -> int:
    """Write what is stale, or with --check only name it."""
    stale = {path: text for path, text in pages().items() if not path.exists() or path.read_text("utf-8") != text}
    for path, text in stale.items():
        print(f"{'stale' if '--check' in arguments else 'written'}: {path.relative_to(ROOT).as_posix()}")
        if "--check" not in arguments:
            path.write_text(text, encoding="utf-8")
    if stale and "--check" in arguments:
        print("Write them anew: python -m tools.docs")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
