"""G. Lame, Lecons sur la theorie mathematique de l'elasticite (1852): the equilateral triangle.

Hard walls: f = (2 c / 3 a) sqrt(m^2 + m n + n^2), from memory. The right isosceles triangle has
those of the square that are even about its diagonal, elementary.
"""

import math

import numpy as np
import pytest

from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.airmodes import grid, modes
from speakerwright.acoustics.airmodes.chambers import Chamber

SOURCE = "Lamé 1852, the equilateral triangle"
CHECKS = [(grid.made, SOURCE, "memory"), (modes.rigid_modes, SOURCE, "memory")]
AIR = StatedAir(1.2041, 343.2)
SIDE = 0.5


def found(outline):
    chamber = Chamber(outline, 0.0, 0.1)
    return modes.rigid_modes(grid.made(chamber, 0.025), 950.0, AIR)


def test_equilateral_triangle():
    shape = found(((0.0, 0.0), (SIDE, 0.0), (0.5 * SIDE, 0.5 * math.sqrt(3.0) * SIDE)))
    sums = sorted(m * m + m * n + n * n for m in range(4) for n in range(4))[1:]
    expected = 2.0 * 343.2 / (3.0 * SIDE) * np.sqrt(sums[: shape.frequency.size])
    assert shape.frequency.size == 5
    assert shape.frequency == pytest.approx(expected, rel=1e-3)
    assert shape.volume == pytest.approx(0.25 * math.sqrt(3.0) * SIDE**2 * 0.1, rel=1e-9)


def test_right_isosceles_triangle():
    shape = found(((0.0, 0.0), (SIDE, 0.0), (0.0, SIDE)))
    sums = sorted(m * m + n * n for m in range(5) for n in range(m + 1))[1:]
    expected = 0.5 * 343.2 / SIDE * np.sqrt(sums[: shape.frequency.size])
    assert shape.frequency.size == 4
    assert shape.frequency == pytest.approx(expected, rel=5e-3)
