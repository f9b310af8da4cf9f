"""A source of standby power and the utility never meet."""

from __future__ import annotations

from typing import Any

import pytest

from tests.circuits.protection.houses import PANEL, found, job

APART = "protection.kept_apart"


def things(kind: str, apart: bool | None, breaker: str | None = "b-aa1") -> dict[str, Any]:
    told = {"id": "s-aa1", "kind": kind, "breaker": breaker}
    return {"breakers": [{"id": "b-aa1", "panel": "p-aa1", "spaces": [1, 3], "poles": 2, "role": "source",
                          "kept_apart": apart}],
            "sources": [{name: value for name, value in told.items() if value is not None}]}  # fmt: skip


@pytest.mark.parametrize("kind", ["generator", "inlet", "vehicle"])
@pytest.mark.parametrize(("apart", "wanted"), [(None, "CANNOT_TELL"), (False, "FAILS"), (True, "MEETS")])
def test_standby_sources_old_and_new(kind: str, apart: bool | None, wanted: str) -> None:
    for data in (job("2023", {"panels": [PANEL]}, things(kind, apart)), job("2020", things(kind, apart))):
        (made,) = found(data, APART)
        assert (made.thing, made.outcome.name, made.severity.name) == ("b-aa1", wanted, "DANGER")
        assert bool(made.missing) is (apart is None) and bool(made.remedy) is (apart is not True)


def test_sources_that_stop_with_the_utility_are_another_matter() -> None:
    assert found(job("2023", things("solar", None)), APART) == []


def test_a_breaker_of_a_source_that_nobody_named_is_asked_about() -> None:
    (made,) = found(job("2023", things("inlet", None, breaker=None) | {"sources": []}), APART)
    assert (made.thing, made.outcome.name) == ("b-aa1", "CANNOT_TELL")
