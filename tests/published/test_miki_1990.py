"""Y. Miki, Acoustical properties of porous materials: modifications of Delany-Bazley models (1990).

J. Acoust. Soc. Jpn. (E) 11, 19. Printed by 10^3 f / sigma, and restated by f / sigma with three
digits (both read second hand).
"""

import numpy as np
import pytest

from speakerwright.acoustics import linings
from speakerwright.acoustics.air import Air

SOURCE = "Miki, J. Acoust. Soc. Jpn. (E) 11, 19 (1990)"
CHECKS = [(linings.miki, SOURCE, "read"), (linings.relaxing, SOURCE, "read")]
AIR = Air()


def test_printed_law():
    propagation, impedance = linings.miki([10.0], 10000.0, AIR)
    k = 2 * np.pi * 10.0 / AIR.speed
    assert propagation[0] / k / 1j == pytest.approx(1 + 7.81 - 11.41j, rel=1e-12)
    assert impedance[0] / AIR.impedance == pytest.approx(1 + 5.50 - 8.43j, rel=1e-12)


@pytest.mark.parametrize("ratio", [0.01, 0.1, 1.0])
def test_restated_law(ratio):
    propagation, impedance = linings.miki([ratio * 8000.0], 8000.0, AIR)
    index = propagation[0] / (2 * np.pi * ratio * 8000.0 / AIR.speed) / 1j
    assert (index - 1).real == pytest.approx(0.109 * ratio**-0.618, rel=0.005)
    assert index.imag == pytest.approx(-0.160 * ratio**-0.618, rel=0.005)
    assert (impedance[0] / AIR.impedance - 1).real == pytest.approx(
        0.0699 * ratio**-0.632, rel=0.002)
    assert impedance[0].imag / AIR.impedance == pytest.approx(-0.107 * ratio**-0.632, rel=0.002)


def test_the_law_for_boxes_and_lines_keeps_to_it():
    f = 8000.0 * np.geomspace(0.01, 1.0, 30)
    found = linings.relaxing(f, linings.Fill(8000.0), AIR)
    expected = linings.miki(f, 8000.0, AIR)
    assert np.max(np.abs(found[0] / expected[0] - 1.0)) < 0.11
    assert np.max(np.abs(found[1] / expected[1] - 1.0)) < 0.12
