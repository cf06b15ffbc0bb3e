"""M. N. Guddati and B. Yue, modified integration rules for reducing dispersion error (2004).

Comput. Methods Appl. Mech. Engrg. 193, 275. From memory: points at sqrt(2/3). Along one axis this
gives 12 (1 - cos kh) / (5 + cos kh) = (kh)^2 (1 - (kh)^4 / 240), and the axes add.
"""

import math

import numpy as np
import pytest

from speakerwright.acoustics.air import StatedAir
from speakerwright.acoustics.airmodes import elements, grid, modes
from speakerwright.acoustics.airmodes.chambers import box_chamber

SOURCE = "Guddati and Yue, Comput. Methods Appl. Mech. Engrg. 193, 275 (2004)"
CHECKS = [(elements.assembled, SOURCE, "memory")]
AIR = StatedAir(1.2041, 343.2)


def test_speed_of_waves_on_cells():
    size, counts = (0.4, 0.3, 0.6), (4, 3, 6)
    found = modes.rigid_modes(grid.made(box_chamber((0, 0, 0), size), 0.1), 800.0, AIR)
    for order in ((0, 0, 1), (1, 0, 0), (0, 1, 1), (1, 1, 0)):
        square = 0.0
        for n, side, count in zip(order, size, counts, strict=True):
            turn = math.cos(math.pi * n / count)
            square += 12.0 * (1.0 - turn) / (5.0 + turn) / (side / count) ** 2
        expected = 343.2 * math.sqrt(square) / (2.0 * math.pi)
        assert np.min(np.abs(found.frequency / expected - 1.0)) < 1e-9, order


@pytest.mark.parametrize("spacing", [0.1, 0.05])
def test_fourth_order(spacing):
    box = box_chamber((0, 0, 0), (0.1, 0.1, 0.6))
    found = modes.rigid_modes(grid.made(box, spacing), 400.0, AIR).frequency[0]
    expected = -((math.pi * spacing / 0.6) ** 4) / 480.0
    assert found / 286.0 - 1.0 == pytest.approx(expected, rel=0.02)
