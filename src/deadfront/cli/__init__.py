"""The command line: a thin door; each command reads its arguments, calls `app`, prints words or JSON.

Comes in: arguments, job files, the library of jobs, the keyboard.
Goes out: text or JSON on standard output, trouble in words on standard error, an exit code.
May import: every room; this file, root.py and ending.py nothing heavy, so that `--help` answers at once.
Start reading: root.py, ending.py (the exit codes), then assess.py for a whole command.
"""

from __future__ import annotations

import sys
from typing import NoReturn


def main() -> NoReturn:
    """Run the command that the arguments name, and end with its exit code."""
    from deadfront.cli.root import run

    sys.exit(run(sys.argv[1:]))
