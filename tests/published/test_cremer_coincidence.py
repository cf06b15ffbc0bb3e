"""Cremer: the critical frequency of a plate; recomputed with a speed of 344 m/s."""

import pytest

from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.plates import sheets

CHECKS = [(sheets.critical_frequency, "Cremer, critical frequency of a plate", "recomputed")]


@pytest.mark.parametrize(
    ("h", "modulus", "density", "poisson", "expected"),
    [
        pytest.param(0.018, 3.6e9, 750.0, 0.25, 1601.84376, id="coincidence.1"),
        pytest.param(0.025, 3.6e9, 740.0, 0.25, 1145.61286, id="coincidence.3"),
        pytest.param(0.015, 7.5e9, 600.0, 0.2, 1205.3606, id="coincidence.5"),
    ],
)
def test_critical_frequency(h, modulus, density, poisson, expected):
    sheet = sheets.isotropic(h, modulus, poisson, density, 0.01)
    found = sheets.critical_frequency(sheet, StatedAir(1.2, 344.0))
    assert found == pytest.approx((expected, expected), rel=1e-8)
