"""The command `deadfront`: its subcommands by name, each imported only when it is called."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any

import click

from deadfront import __version__
from deadfront.cli.ending import Ending

COMMANDS: dict[str, tuple[str, str]] = {
    "demo": ("demo", "Open an example house that exists nowhere."),
    "new": ("new", "Start a job: a job file, or a job in the library."),
    "first-look": ("first_look", "Ask ten questions and give a bounded answer."),
    "check": ("check", "Read a job and list what is wrong with it."),
    "assess": ("assess", "Answer: does the service carry it, and what is still to find out?"),
    "record": ("record", "Add a recording of demand to a job."),
    "panel": ("panel", "Judge the layout of a panel; on request, the fewest moves to even legs."),
    "sheet": ("sheet", "Show one sheet of the packet: circuits, grounding, fault current, ..."),
    "isolate": ("isolate", "Plan how a zone is made dead: locks, procedure, what stays live."),
    "drawing": ("drawing", "Write the one-line diagram as SVG, PDF or DXF."),
    "parts": ("parts", "List the parts that the work needs, or write them as XLSX or CSV."),
    "metering": ("metering", "List the metering channels, or say what load steps prove of them."),
    "packet": ("packet", "Write the inspector's packet as PDF or HTML."),
    "serve": ("serve", "Open the library in the browser on this computer."),
    "import": ("transfer", "Bring a job file into the library."),
    "export": ("transfer", "Write a job of the library as a job file."),
    "jobs": ("history", "List the jobs of the library."),
    "history": ("history", "List every revision of a job and what it changed."),
    "issue": ("issue", "Sign a revision: freeze its answers under a license."),
    "codebook": ("codebook", "Show what the code book holds: values, tables, rules."),
    "explain": ("explain", "Explain a finding: what it says, and how to end it."),
    "schema": ("schema", "Print the JSON Schema of the job file or of the assessment."),
}
"""Name of each subcommand, the file of this folder that holds it, and one line on it."""


class Lazy(click.Group):
    """A group whose commands are imported when one is called, never to list them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"deadfront.cli.{COMMANDS[cmd_name][0]}")
        found: click.Command = getattr(module, cmd_name.replace("-", "_") + "_command")
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, short) for name, (_, short) in COMMANDS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            ctx.fail(f"There is no command {args[0]!r}. There are: {', '.join(COMMANDS)}.")
        return super().resolve_command(ctx, args)


@click.command(cls=Lazy, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="deadfront", message="%(prog)s %(version)s")
@click.option("--debug", is_flag=True, help="Where trouble arises, also show where in the program.")
def root(debug: bool) -> None:
    """Load calculation, checks and papers for the licensed residential electrician in the USA.

    A job is named by its file (.toml, .zip, a folder) or by its id in the library.

    \b
    Examples:
      deadfront demo                       an example house, in the browser
      deadfront new elm.toml --name "9 Elm St" --edition 2023
      deadfront assess elm.toml            does the service carry it?
      deadfront packet elm.toml -o elm.pdf

    \b
    Exit codes: 0 done or meets; 1 something to correct; 2 wrong use; 3 cannot tell, facts
    missing; 4 unreadable; 5 refused or not encoded; 70 a fault of this program; 130 stopped.
    """


def run(arguments: Sequence[str]) -> int:
    """Run one command; its exit code. Whatever happens is said in words."""
    from deadfront.cli.stream import safe_streams

    safe_streams()
    settings: dict[str, Any] = {"color": False} if os.environ.get("NO_COLOR") else {}
    try:
        code = root.main(list(arguments), prog_name="deadfront", standalone_mode=False, **settings)
        sys.stdout.flush()
        return int(code or 0)
    except click.ClickException as error:
        error.show()
        return Ending.WRONG_USE
    except (click.Abort, KeyboardInterrupt):
        print("\nStopped.", file=sys.stderr)
        return Ending.STOPPED
    except (BrokenPipeError, SystemExit):  # click exits by itself there; the reader has gone, nothing is left to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Ending.OK
    except Exception as error:
        from deadfront.cli.ending import trouble

        return trouble(error, arguments)
