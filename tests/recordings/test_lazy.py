"""The room loads no arrays until it reads; what others import of it stays light."""

from __future__ import annotations

import subprocess
import sys


def test_arrays_load_only_when_something_is_read() -> None:
    modules = "answer, guess, mapping, marks, quality, read, reduce, series, zone"
    code = f"from deadfront.recordings import {modules}; import deadfront.results.recordings, sys; " \
           "print(sorted({'numpy', 'pyarrow', 'pandas'} & set(sys.modules)))"  # fmt: skip
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_guess_at_text_needs_no_arrays() -> None:
    code = (
        "from deadfront.recordings.guess import guess_mapping; import sys; "
        "guess_mapping(b'time,kW\\n' + b'2025-03-01 00:00,1.5\\n' * 9); "
        "print(sorted({'numpy', 'pyarrow'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
