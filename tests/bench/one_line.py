"""Drawing the one-line of the largest of the invented houses, laid out, put on its paper and written as SVG."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Iterator
from datetime import date

from deadfront.app.answers import answer, sheet_head
from deadfront.app.drawing import drawing_of
from deadfront.documents.catalog import Catalog
from deadfront.documents.one_line.as_svg import one_line_svg
from tests.documents.one_line_houses import invented_house

SEED = 0
"""Of the fifty invented houses, the one with the most symbols."""
TIMES = 15
LIMIT_MS = 200.0


def rows() -> Iterator[tuple[str, float, str, float, str, float | None]]:
    """The line of the bench: what, figure, unit, noise, in words, limit."""
    answered, catalog = answer(invented_house(SEED)), Catalog("en")
    head = sheet_head(answered, revision=1, on=date(2026, 5, 12))
    count = len(drawing_of(answered, catalog, head).groups)
    taken = []
    gc.collect()
    for _ in range(TIMES):
        started = time.perf_counter()
        one_line_svg(drawing_of(answered, catalog, head))
        taken.append((time.perf_counter() - started) * 1e3)
    noise = statistics.median(taken) - min(taken)
    yield "one-line diagram, drawn", min(taken), "ms", noise, f"{count} symbols with their words", LIMIT_MS
