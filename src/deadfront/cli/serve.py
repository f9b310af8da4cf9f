"""`deadfront serve`: the library in the browser, on this computer only."""

from __future__ import annotations

from pathlib import Path

import click

from deadfront.cli.ending import Ending
from deadfront.cli.options import library_option, library_path


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on; this computer only.")
@click.option("--port", default=0, type=click.IntRange(0, 65535), help="Port; 0 takes a free one.", show_default=True)
@click.option("--open/--no-open", "open_browser", default=True, help="Open the browser.", show_default=True)
@library_option
def serve_command(host: str, port: int, open_browser: bool, library: Path | None) -> int:
    """Open the library in the browser on this computer; Ctrl-C stops it.

    Only this computer can reach it. A screen is not a test: it may be live.

    \b
    Examples:
      deadfront serve
      deadfront serve --port 8350 --no-open
      deadfront serve --library /media/stick/jobs

    Exit code: 0 stopped in the browser, 4 the library cannot be used, 130 stopped by Ctrl-C.
    """
    from deadfront.web.serve import serve

    serve(library_path(library), host=host, port=port, open_browser=open_browser)
    return Ending.OK
