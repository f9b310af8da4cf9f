"""Fault currents of two transformers behind four lengths, held against a table worked by another method."""

from __future__ import annotations

from decimal import Decimal

import pytest

from deadfront.physics.faults import line_to_line_current, line_to_neutral_current
from deadfront.physics.service_network import Length, add_length, split_phase
from deadfront.physics.transformers import winding_impedance
from tests.circuits.flow_houses import service_house, worked

# independent: the closed form of the half winding, worked in floats outside this project; 4/0 legs and 2/0 neutral of
# aluminum in PVC (0.10 + j0.041 and 0.16 + j0.043 ohm/kft), primary without limit.
TABLE = [
    (25, "1.6", "1.2", 0, 6510, 9782), (25, "1.6", "1.2", 25, 5753, 6434), (25, "1.6", "1.2", 75, 4638, 3752),
    (25, "1.6", "1.2", 150, 3569, 2295), (50, "1.6", "1.5", 0, 13021, 20037), (50, "1.6", "1.5", 25, 10385, 9743),
    (50, "1.6", "1.5", 75, 7243, 4659), (50, "1.6", "1.5", 150, 4918, 2600),
]  # fmt: skip


@pytest.mark.parametrize(("kva", "percent", "ratio", "feet", "leg_to_leg", "leg_to_neutral"), TABLE)
def test_closed_form_network_and_steps_agree_with_the_table(
    kva: int, percent: str, ratio: str, feet: int, leg_to_leg: int, leg_to_neutral: int
) -> None:
    full = winding_impedance(kva, 240, float(percent), float(ratio))
    leg, neutral = feet / 1000 * (0.10 + 0.041j), feet / 1000 * (0.16 + 0.043j)
    assert round(line_to_line_current(full, leg)) == leg_to_leg
    assert round(line_to_neutral_current(full, leg, neutral)) == leg_to_neutral
    net, at = split_phase(kva, float(percent), float(ratio)), "transformer"
    if feet:
        add_length(net, Length("transformer", "panel", leg, neutral))
        at = "panel"
    assert round(net.fault_current(f"{at}.L1", f"{at}.L2")) == leg_to_leg
    assert round(net.fault_current(f"{at}.L1", f"{at}.N")) == leg_to_neutral
    transformer = {"kva": kva, "impedance_percent": percent, "x_over_r": ratio}
    house = service_house(transformer=transformer, drop_ft=Decimal(feet or 1))
    place = {each.of: each for each in worked(house)}["service point" if feet else "transformer"]
    assert place.line_to_line is not None and place.line_to_neutral is not None
    assert round(place.line_to_line.value.low) == leg_to_leg
    assert round(place.line_to_neutral.value.low) == leg_to_neutral
