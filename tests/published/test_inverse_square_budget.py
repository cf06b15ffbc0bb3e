"""Power for a level at a distance, free field: the inverse square law; recomputed.

P = 10^((L - S + 20 lg r)/10) W, with the sensitivity S for 1 W at 1 m, and V = sqrt(P R). The
brief counts from 2.83 V and an rms sine, so S is taken to 2.83 V and the crest is that of a sine.
"""

import math

import pytest

from speakerwright.brief.stage import work
from speakerwright.design.sections.brief import Brief

SOURCE = "inverse square law"
CHECKS = [(work, SOURCE, "recomputed")]

CASES = [  # level, sensitivity at 1 W, distance, resistance, power, volts
    pytest.param(105, 92, 3.5, 8, 244.419634, 44.2194196, id="spl_budget.1"),
    pytest.param(102, 88, 2.8, 4, 196.931896, 28.0664851, id="spl_budget.3"),
    pytest.param(115, 98, 4.0, 8, 801.899574, 80.0949224, id="spl_budget.5"),
]


@pytest.mark.parametrize(("level", "one_watt", "distance", "ohms", "watts", "volts"), CASES)
def test_power_and_voltage(level, one_watt, distance, ohms, watts, volts):
    brief = Brief.model_validate({
        "use": "a case", "lowest": "50 Hz",
        "level": {"average": f"{level} dB", "weighting": "Z", "crest": "0 dB"},
        "seats": {"nearest": f"{distance} m", "farthest": f"{distance} m"},
        "place": {"kind": "free"}, "amplifier": {"power": "100 W", "load": f"{ohms} ohm"},
    })
    sine = 10 * math.log10(2)  # a sine of this peak has half the power
    at_2v83 = one_watt + 10 * math.log10(2.83**2 / ohms)
    seat = work(brief, at_2v83).governing
    assert seat.drive_v * 10 ** (sine / 20) == pytest.approx(volts, rel=1e-5)
    assert seat.drive_w * 10 ** (sine / 10) == pytest.approx(watts, rel=1e-5)
