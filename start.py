#!/usr/bin/env python3
"""The one command of this checkout: `python3 start.py` opens an example house; `python3 start.py --help` tells more.

Uses nothing but the standard library. This file alone is written so that an old Python can read it, as far as the
message that asks for a newer one; the work is done in tools/tasks.py.
"""

import sys

NEEDED = (3, 11)

if sys.version_info < NEEDED:
    sys.stderr.write(
        "deadfront needs Python %d.%d or newer; this is Python %d.%d (%s).\n"
        "Run it with a newer one, for example: python3.%d start.py\n"
        % (NEEDED + tuple(sys.version_info[:2]) + (sys.executable, NEEDED[1]))
    )
    sys.exit(1)

from tools.tasks import main  # noqa: E402  (an old Python must not get this far)

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
