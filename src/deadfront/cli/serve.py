"""`deadfront serve`: the library in the browser, on this computer only."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from deadfront.cli.ending import Ending
from deadfront.cli.options import library_option, library_path, overlay_option
from deadfront.errors import NotAllowed

if TYPE_CHECKING:
    from deadfront.codebook import Overlay


@click.command("serve")
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="Address to listen on: 127.0.0.1, localhost or ::1, this computer only.",
)
@click.option("--port", default=0, type=click.IntRange(0, 65535), help="Port; 0 takes a free one.", show_default=True)
@click.option("--open/--no-open", "open_browser", default=True, help="Open the browser.", show_default=True)
@overlay_option
@library_option
def serve_command(host: str, port: int, open_browser: bool, overlay: Path | None, library: Path | None) -> int:
    """Open the library in the browser on this computer; Ctrl-C stops it.

    Only this computer can reach it. A screen is not a test: it may be live.

    \b
    Examples:
      deadfront serve
      deadfront serve --port 8350 --no-open
      deadfront serve --library /media/stick/jobs

    Exit code: 0 or 130 stopped by Ctrl-C, 4 the library cannot be used, 5 the address cannot be had.
    """
    from deadfront.cli.jobs import overlay_of

    handed_out(library_path(library), host, port, open_browser, overlay_of(overlay))
    return Ending.OK


def handed_out(library: Path, host: str, port: int, open_browser: bool, overlay: Overlay | None = None) -> None:
    """Hand out the pages until stopped.

    Raises:
        NotAllowed: the address cannot be had.
    """
    from deadfront.web.serve import LOOPBACK, serve

    if host not in LOOPBACK:
        raise NotAllowed("cli.serve.loopback_only", address=host)

    try:
        serve(library, host=host, port=port, open_browser=open_browser, overlay=overlay)
    except OSError as error:
        raise NotAllowed("cli.serve.address", address=f"{host}:{port}", problem=error.strerror or str(error)) from error
