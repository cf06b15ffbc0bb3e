"""C. E. Wallace, JASA 51, 946 (1972): radiation resistance of a rectangular panel's modes.

His low-frequency series, two terms, from memory. The second term of modes even both ways does not
follow from his integral as remembered (5/64): it is 1/28, worked out here. The elements' modes are
held to his integral over the hemisphere.
"""

import math

import numpy as np
import pytest

from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.plates import fields, radiation, sheets

SOURCE = "Wallace, JASA 51, 946 (1972)"
CHECKS = [
    (radiation.wallace_efficiency, f"{SOURCE}, low-frequency series", "memory"),
    (radiation.mode_efficiency, f"{SOURCE}, integral", "recomputed"),
    (radiation.baffled_power, f"{SOURCE}, integral", "recomputed"),
]
AIR = StatedAir(1.2, 343.0)
A, B = 0.6, 0.4


def series(k, m, n):
    area, root = A * B, k**2 * A * B
    p, q = 8.0 / (m * math.pi) ** 2, 8.0 / (n * math.pi) ** 2
    if m % 2 and n % 2:
        rest = 1 - root / 12 * ((1 - p) * A / B + (1 - q) * B / A)
        return 32 * k**2 * area / (m**2 * n**2 * math.pi**5) * rest
    if m % 2:  # n even
        rest = 1 - root / 20 * ((1 - p) * A / B + (1 - 3 * q) * B / A)
        return 8 * k**4 * A * B**3 / (3 * m**2 * n**2 * math.pi**5) * rest
    rest = 1 - root / 28 * ((1 - 3 * p) * A / B + (1 - 3 * q) * B / A)
    return 2 * k**6 * A**3 * B**3 / (15 * m**2 * n**2 * math.pi**5) * rest


@pytest.mark.parametrize(("m", "n"), [(1, 1), (3, 1), (1, 2), (3, 4), (2, 2)])
def test_low_frequency(m, n):
    k = np.array([0.05, 0.2, 0.4])
    found = radiation.wallace_efficiency(k * 343.0 / (2 * math.pi), A, B, m, n, AIR)
    expected = np.array([series(one, m, n) for one in k])
    assert np.all(np.abs(found / expected - 1.0) < (1e-6, 3e-5, 4e-4))


@pytest.mark.parametrize(("index", "m", "n"), [(0, 1, 1), (1, 2, 1), (2, 1, 2), (3, 3, 1)])
def test_modes_of_elements(index, m, n):
    """With 24 cells a side; sheet, so stiffness, does not matter: only the shape does."""
    sheet = sheets.isotropic(0.01, 10e9, 0.3, 700.0, 0.01)
    field = fields.Field(A, B, sheet, fields.Edges.all("supported"))
    f = np.array([30.0, 100.0, 300.0, 900.0, 1800.0])
    found = radiation.mode_efficiency(f, fields.modes(field, 4), index, AIR)
    expected = radiation.wallace_efficiency(f, A, B, m, n, AIR)
    assert found[:3] == pytest.approx(expected[:3], rel=2e-3)
    assert found == pytest.approx(expected, rel=0.02)


def test_far_above_it_radiates_as_a_piston():
    k = 60.0 / A
    found = radiation.wallace_efficiency([k * 343.0 / (2 * math.pi)], A, B, 2, 2, AIR)[0]
    bending = math.hypot(2 * math.pi / A, 2 * math.pi / B)
    assert found == pytest.approx(1.0 / math.sqrt(1.0 - (bending / k) ** 2), rel=0.01)
