"""Two and more small sources of one volume velocity: elementary, Kinsler et al.; recomputed."""

import math

import numpy as np
import pytest

from speakerwright.acoustics import places

SOURCE = "point sources by superposition, elementary; Kinsler et al."
CHECKS = [(places.radiation_gain, SOURCE, "recomputed")]
SPEED = 340.0


@pytest.mark.parametrize(
    ("waves", "expected"),
    [
        pytest.param(1e-3, 1.99999342, id="close"),
        pytest.param(0.25, 1.63661977, id="quarter wave"),
        pytest.param(0.5, 1.0, id="half a wave"),
        pytest.param(0.75, 0.787793409, id="three quarters"),
    ],
)
def test_a_pair(waves, expected):
    """1 + sin(kd)/(kd): 2/pi at a quarter of a wave, 0 at half of one."""
    pair = [[0.0, 0.0, 0.0], [waves * SPEED, 0.0, 0.0]]
    assert places.radiation_gain([1.0], pair, SPEED)[:, 0] == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize("count", [2, 3, 4, 8])
def test_close_sources_together(count):
    """n^2 the power and 20 lg n the level of one."""
    row = np.zeros((count, 3))
    found = places.radiation_gain([50.0], row, SPEED)
    assert found.sum() == pytest.approx(count**2)
    assert 10.0 * math.log10(found.sum()) == pytest.approx(
        {2: 6.0206, 3: 9.5424, 4: 12.0412, 8: 18.0618}[count], abs=1e-4)
