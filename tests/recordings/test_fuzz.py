"""Damaged files: an error that says why, or figures with their marks; the full count runs in the study."""

from __future__ import annotations

import io
import random

import pytest

from deadfront.documents.catalog import words
from deadfront.errors import DeadfrontError
from deadfront.recordings.guess import guess_parquet
from tests.recordings.making import PLAIN, minute_stamps, table
from tests.recordings.mutate import judge, mutated, seeds, trials
from tests.recordings.test_tables import as_parquet


def test_a_few_thousand_damaged_files() -> None:
    tally = trials(3_000, 11)
    assert tally.wrong == [], "\n".join(tally.wrong[:3])
    assert tally.read > 500 and sum(tally.refused.values()) > 300  # both ways were truly tried
    assert set(tally.refused) <= set(words("en"))


def test_the_files_before_damage_are_sound() -> None:
    for data, mapping in seeds():
        judge(data, mapping)


def test_damaged_parquet() -> None:
    data = as_parquet(PLAIN, table(((f"{stamp}:00", 1.5) for stamp in minute_stamps(50)), ("time", "kW")))
    dice = random.Random(5)
    for _ in range(300):
        broken = mutated(data, dice)
        try:
            guess_parquet(io.BytesIO(broken), zone="UTC")
            judge(broken, PLAIN)
        except DeadfrontError:
            continue


@pytest.mark.parametrize("data", [b"", b"\n", b"PAR1", b"<", b"\xff\xfe", b"\xff\xfe\x00", b"a" * 3_000_000])
def test_hardly_any_file(data: bytes) -> None:
    with pytest.raises(DeadfrontError):
        judge(data, PLAIN)
