"""R. V. Waterhouse, JASA 27, 247 (1955), and 30, 4 (1958): power of a source near planes.

The law 1 + sum of sin(2kd)/(2kd) is from memory; its figures are recomputed apart from the program.
"""

import math

import numpy as np
import pytest

from speakerwright.acoustics import places

SOURCE = "Waterhouse, JASA 27, 247 (1955) and 30, 4 (1958)"
CHECKS = [
    (places.power_gain, SOURCE + "; law from memory", "recomputed"),
    (places.power_gain, SOURCE + "; correction 1 + S lambda / 8V for a room", "memory"),
]
SPEED = 340.0


@pytest.mark.parametrize(
    ("distances", "waves", "dip_db"),
    [
        pytest.param([1.0], 0.357575, -1.063678, id="one plane"),
        pytest.param([1.0, 1.0], 0.318826, -2.857001, id="edge"),
        pytest.param([1.0, 1.0, 1.0], 0.281421, -11.365346, id="corner"),
    ],
)
def test_the_dip_at_like_distances(distances, waves, dip_db):
    """Lowest power, and the distance in waves; one plane's is at tan x = x, x = 4.493409."""
    near = np.linspace(0.97, 1.03, 6001) * waves * SPEED
    gain = places.power_gain(near, distances, SPEED)
    assert 10.0 * math.log10(gain.min()) == pytest.approx(dip_db, abs=1e-4)
    assert near[np.argmin(gain)] / SPEED == pytest.approx(waves, rel=1e-4)


def test_the_energy_before_one_wall():
    """By reciprocity the same law is the energy of diffuse sound: a wall adds lambda/8 of it.

    The mean over a distance of many waves; what the rest still swings is below 1e-4 of lambda.
    """
    distance = np.linspace(0.0, 400.0, 400001)
    # one frequency at many distances is many frequencies at one distance
    gain = places.power_gain(distance * SPEED, [1.0], SPEED)
    assert np.trapezoid(gain - 1.0, distance) == pytest.approx(0.125, abs=1e-4)
