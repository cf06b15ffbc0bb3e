"""Thick simply supported plates: Mindlin 1951, and exact in three dimensions.

Exact: table 7 of Three-dimensional exact free vibration analysis of ... flat one-layered panels,
Shock and Vibration 2014, 479738, read: omega a^2 / h sqrt(rho / E) for a / h of 100, 50, 10 and 5,
Poisson's ratio 0.3; that b = 3 a and which half waves follows from its thin end. Mindlin's own
plate with Reissner's 5/6: 19.065 for a square of a / h = 10, from memory.
"""

import math

import pytest

from speakerwright.acoustics.plates import sheets

EXACT = "Shock and Vibration 2014, 479738, table 7"
CHECKS = [
    (sheets.thick_plate_ratio, EXACT, "read"),
    (sheets.thick_plate_ratio, "Mindlin 1951, square plate", "memory"),
]


@pytest.mark.parametrize(
    ("half_waves", "values"),
    [
        ((1, 0), (2.9861, 2.9846, 2.9360, 2.8012)),
        ((1, 1), (3.3179, 3.3159, 3.2562, 3.0933)),
        ((1, 2), (4.3130, 4.3097, 4.2099, 3.9450)),
        ((2, 1), (12.270, 12.243, 11.497, 9.9094)),
    ],
)
def test_against_three_dimensions(half_waves, values):
    """Mindlin's plate lies below the exact one, by less than 0.8 % of (k h)^2."""
    m, n = half_waves
    square = math.pi**2 * (m**2 + (n / 3.0) ** 2)
    for thickness, exact in zip((0.01, 0.02, 0.1, 0.2), values, strict=True):
        sheet = sheets.isotropic(thickness, 10e9, 0.3, 700.0, 0.0)
        ratio = float(sheets.thick_plate_ratio(math.sqrt(square), sheet, sheet.shear))
        thin = square / math.sqrt(12.0 * (1.0 - 0.3**2))
        allowed = 1e-4 + 0.8 * (thickness * math.sqrt(square)) ** 2 / 100.0
        assert thin * ratio == pytest.approx(exact, rel=allowed)
        assert thin * ratio < exact * (1.0 + 1e-4)


def test_mindlins_square():
    sheet = sheets.isotropic(0.1, 10e9, 0.3, 700.0, 0.0)
    ratio = float(sheets.thick_plate_ratio(math.pi * math.sqrt(2.0), sheet, sheet.shear))
    assert 2.0 * math.pi**2 * ratio == pytest.approx(19.065, abs=5e-4)
