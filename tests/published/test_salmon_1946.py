"""V. Salmon, A new family of horns, JASA 17, 212 (1946), from memory.

Throat of the endless horn above cutoff, mu = f / fc: resistance sqrt(1 - mu^-2) / D and reactance
(T / mu) / D with D = 1 - (1 - T^2) / mu^2.
"""

import math

import pytest

from speakerwright.acoustics import horns, profiles

SOURCE = "Salmon, JASA 17, 212 (1946)"
CHECKS = [(horns.infinite_horn, SOURCE, "memory"), (profiles.hyperbolic, SOURCE, "memory"),
          (profiles.Profile.area, SOURCE, "memory"),
          (profiles.Profile.root_and_slope, SOURCE, "memory")]


@pytest.mark.parametrize("parameter", [0.0, 0.5, 0.7, 1.0, 2.0])
@pytest.mark.parametrize("mu", [1.1, 1.5, 4.0])
def test_throat_of_the_family(parameter, mu):
    below = 1.0 - (1.0 - parameter**2) / mu**2
    found = horns.infinite_horn([mu], parameter)[0]
    assert found.real == pytest.approx(math.sqrt(1.0 - mu**-2) / below, rel=1e-10)
    assert found.imag == pytest.approx(parameter / mu / below, rel=1e-10, abs=1e-14)


@pytest.mark.parametrize("parameter", [0.0, 0.5, 3.0])
def test_contour(parameter):
    horn = profiles.hyperbolic(0.004, 0.09, 0.7, parameter)
    reference = 1.0 / math.sqrt(horn.curvature)
    for x in (0.0, 0.3, 0.7):
        root = math.cosh(x / reference) + parameter * math.sinh(x / reference)
        assert horn.area(x) == pytest.approx(0.004 * root**2, rel=1e-10)
    assert horn.area(0.7) == pytest.approx(0.09, rel=1e-10)
