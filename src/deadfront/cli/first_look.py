"""`deadfront first-look`: ten questions at the door or on the phone, and a bounded answer."""

from __future__ import annotations

import secrets
import sys
from collections.abc import Sequence
from pathlib import Path

import click

from deadfront.app.answers import answer
from deadfront.app.first_look import NONE, QUESTIONS, UNKNOWN, Question, first_look_edits
from deadfront.cli import answer_text, jobs, text
from deadfront.cli.options import EDITIONS, language_option
from deadfront.cli.stream import put
from deadfront.documents.catalog import Catalog
from deadfront.documents.numbers import unit_style
from deadfront.errors import NotAllowed
from deadfront.job.edit import apply_edits, edit_from_dict
from deadfront.job.ids import new_id
from deadfront.job.read import read_job
from deadfront.job.write import new_job_text
from deadfront.store.trouble import guarded

Given = dict[str, str | Sequence[str]]


@click.command("first-look")
@click.option("--edition", type=click.Choice(EDITIONS), required=True, help="The edition of the code in force there.")
@click.option("--name", default="First look", show_default=True, help="What the job is called.")
@click.option("-a", "--answer", "given", multiple=True, metavar="KEY=VALUE",
              help="An answer beforehand: disconnect=100, wanted=evse_32,heat_pump. May be repeated.")  # fmt: skip
@click.option("--no-ask", is_flag=True, help="Ask nothing: what is not answered beforehand is not known.")
@click.option(
    "-o", "--out", type=click.Path(path_type=Path), metavar="FILE", help="Also keep it as a job file (.toml)."
)
@language_option
def first_look_command(
    edition: str, name: str, given: tuple[str, ...], no_ask: bool, out: Path | None, language: str | None
) -> int:
    """Ask ten questions and give a bounded answer before the survey.

    What you do not know is counted as there, in common sizes. Every assumption is named and bars a signature: it tells
    whether a survey is worth the drive, no more.

    \b
    Examples:
      deadfront first-look --edition 2023
      deadfront first-look --edition 2023 --no-ask -a disconnect=100 -a floor_area=1500 -a wanted=evse_32
      deadfront first-look --edition 2023 -o elm.toml

    Exit code: 1 does not fit, 3 cannot tell yet (a first look never meets), 2 wrong use, 5 an answer is not allowed.
    """
    catalog = jobs.catalog_for(language)
    answers = beforehand(given)
    if not no_ask:
        asked = [q for q in QUESTIONS if q.key not in answers]
        answers |= {question.key: ask(question, catalog) for question in asked}
    head: dict[str, object] = {
        "name": name,
        "code": {"edition": edition},
        **({"language": language} if language else {}),
    }
    made = text_of(head, answers)
    if out is not None:
        if out.suffix.lower() != ".toml" or out.exists():
            raise NotAllowed("cli.new.exists" if out.exists() else "cli.new.ending", path=str(out))
        with guarded(out), out.open("x", encoding="utf-8", newline="\n") as file:
            file.write(made)
        text.say(catalog.key("cli.new.written", path=str(out)))
    answered = answer(read_job(made).job)
    answer_text.whole(answered, catalog)
    return answer_text.ending(answered)


def text_of(head: dict[str, object], answers: Given) -> str:
    """The job file that the answers make."""
    used: set[str] = set()

    def fresh(prefix: str) -> str:
        ident = new_id(prefix, used, secrets.SystemRandom())
        used.add(ident)
        return ident

    edits = [edit_from_dict(edit) for edit in first_look_edits(answers, fresh)]
    return apply_edits(new_job_text(head), edits).text


def beforehand(given: Sequence[str]) -> Given:
    """Answers from the command line: KEY=VALUE, several values with commas."""
    answers: Given = {}
    for each in given:
        key, equals, said = each.partition("=")
        if not equals:
            raise click.BadParameter(f"{each!r} is not KEY=VALUE, such as disconnect=100", param_hint="--answer")
        answers[key.strip()] = [part.strip() for part in said.split(",")] if "," in said else said.strip()
    return answers


def ask(question: Question, catalog: Catalog) -> str | list[str]:
    """One question on the terminal; an empty answer is "not known"."""
    put()
    text.say(catalog.say(question.say))
    for option, words in question.options:
        put(f"    {option:22} {catalog.say(words)}")
    hint = catalog.key(f"cli.ask.{question.kind}", unit=unit_style(question.unit).say, none=NONE, unknown=UNKNOWN)
    while True:
        given = str(click.prompt(f"  {hint}", default=UNKNOWN, show_default=False, err=not sys.stdout.isatty())).strip()
        many = [part.strip() for part in given.split(",")]
        value: str | list[str] = many if question.kind == "many" else given
        try:
            first_look_edits({question.key: value}, lambda prefix: f"{prefix}-00")
        except NotAllowed as error:
            text.say(catalog.say(error.msg), "  ")
            continue
        return value
