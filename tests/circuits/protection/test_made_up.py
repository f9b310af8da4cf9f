"""Houses made up at random: never a crash, never a finding without its facts or its remedy, the same answer twice."""

from __future__ import annotations

import pytest

from deadfront.worksheet.check import Outcome
from tests.circuits.protection.made_up import made_up
from tests.circuits.protection.test_laws import protection_checks

SETTLED_BY_THE_AUTHORITY = ("protection.evse", "protection.backfed")
"""Where the text of an edition was not found: the finding says whom to ask, no fact of the house would tell."""


@pytest.mark.parametrize("seed", range(60))
def test_a_house_made_up(seed: int) -> None:
    checks = protection_checks(made_up(seed))
    assert len(checks) > 5
    for check in checks:
        told = check.outcome is not Outcome.CANNOT_TELL
        assert not (told and check.missing), check
        assert told or check.missing or check.id in SETTLED_BY_THE_AUTHORITY, check
        assert check.outcome is not Outcome.FAILS or check.remedy is not None, check
    assert [(c.id, c.thing, c.outcome, c.say) for c in checks] == [
        (c.id, c.thing, c.outcome, c.say) for c in protection_checks(made_up(seed))
    ]
