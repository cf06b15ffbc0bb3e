"""O. Cramer, JASA 93, 2510 (1993), eq. 15 and table III, CO2 0.0004; humidity by Davis 1992.

Recomputed elsewhere from the coefficients as five independent files have them; a mixture of ideal
gases, worked out here, is the second way and agrees to 0.06 %.
"""

import math

import pytest

from speakerwright.acoustics.air import Air

CHECKS = [
    (Air.speed, "Cramer, JASA 93, 2510 (1993), eq. 15", "recomputed"),
    (Air.heat_ratio, "Cramer, JASA 93, 2510 (1993), with the density of CIPM-2007", "recomputed"),
]


@pytest.mark.parametrize(
    ("humidity_percent", "expected"),
    [
        pytest.param(50.0, 343.986887, id="c_cramer_20_50"),
        pytest.param(0.0, 343.359467, id="c_cramer_20_0"),
    ],
)
def test_speed(humidity_percent, expected):
    assert Air(20.0, 101325.0, humidity_percent).speed == pytest.approx(expected, rel=3e-9)


@pytest.mark.parametrize("temperature_c", [0.0, 10.0, 20.0, 30.0])
def test_dry_air_as_an_ideal_mixture(temperature_c):
    expected = math.sqrt(1.4 * 8.314462618 / 0.0289655 * (temperature_c + 273.15))
    assert Air(temperature_c, 101325.0, 0.0).speed == pytest.approx(expected, rel=6e-4)


def test_heat_ratio_is_that_of_two_atomic_air():
    assert Air(20.0, 101325.0, 0.0).heat_ratio == pytest.approx(1.4, rel=1.5e-3)
