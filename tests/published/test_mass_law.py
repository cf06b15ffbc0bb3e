"""The mass law of a limp sheet for sound falling straight on it: Kinsler et al.; recomputed."""

import math

import pytest

from speakerwright.acoustics import screens
from speakerwright.acoustics.air import Air

SOURCE = "mass law at normal incidence; Kinsler et al."
CHECKS = [(screens.transmission, SOURCE, "recomputed")]


@pytest.mark.parametrize(
    ("mass", "frequency", "ratio"),
    [(0.024, 5000.0, 0.913811), (0.024, 10000.0, 1.827622), (1.0, 1000.0, 7.615091)],
)
def test_mass(mass, frequency, ratio):
    """10 lg(1 + (omega m / 2 rho c)^2), with rho c 412.548 Pa s/m at 20 degrees and 50 %."""
    air = Air()
    z = 2j * math.pi * frequency * mass
    found = -20.0 * math.log10(abs(screens.transmission([z], air)[0]))
    assert found == pytest.approx(10.0 * math.log10(1.0 + ratio**2), abs=1e-4)
