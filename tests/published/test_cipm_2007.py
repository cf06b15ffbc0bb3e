"""A. Picard et al., Revised formula for the density of moist air (CIPM-2007), Metrologia 45 (2008).

Recomputed elsewhere with constants from memory; a mixture of ideal gases is the second way.
"""

import pytest

from speakerwright.acoustics.air import Air

CHECKS = [
    (Air.density, "Picard et al., CIPM-2007, Metrologia 45 (2008)", "recomputed"),
    (Air.impedance, "Picard et al., CIPM-2007, with the speed of Cramer 1993", "recomputed"),
]


@pytest.mark.parametrize(
    ("humidity_percent", "expected"),
    [
        pytest.param(0.0, 1.20455734, id="rho_20_0"),
        pytest.param(50.0, 1.1993139, id="rho_20_50"),
    ],
)
def test_density(humidity_percent, expected):
    assert Air(20.0, 101325.0, humidity_percent).density == pytest.approx(expected, rel=5e-9)


@pytest.mark.parametrize("temperature_c", [0.0, 15.0, 30.0])
def test_dry_air_as_an_ideal_gas(temperature_c):
    # Air's compressibility at these states lies 0.02 to 0.06 % below one.
    expected = 101325.0 * 0.02896546 / (8.314462618 * (temperature_c + 273.15))
    assert Air(temperature_c, 101325.0, 0.0).density == pytest.approx(expected, rel=7e-4)


def test_impedance():
    assert Air().impedance == pytest.approx(1.1993139 * 343.986887, rel=1e-8)
