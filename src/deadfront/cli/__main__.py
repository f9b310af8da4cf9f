"""`python -m deadfront.cli` is `deadfront`."""

from __future__ import annotations

from deadfront.cli import main

if __name__ == "__main__":
    main()
